"""Check that a design holds together: names that exist, parts that can work with each other.

These are mistakes that make an answer meaningless. What can be answered but should be changed
is a finding of the answer instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from lightcalc import units
from lightcalc.design.fields import suggest
from lightcalc.design.piece import Design, Lead, Run, Supply
from lightcalc.parts.kinds import Catalogue, Converter, Pack, Strip
from lightcalc.problems import Problems

HIGHEST_VOLTS = 60.0
# A strip fed with more than this above its label overheats; a converter is set to its label.
SETTING_TOLERANCE_RATIO = 0.05


def check_against_catalogue(design: Design, catalogue: Catalogue, problems: Problems) -> None:
    """Add every contradiction within the design, and between it and the catalogue."""
    _check_names(design, problems)
    _check_trunks(design, problems)
    for run in design.runs:
        _check_run(run, design, catalogue, problems)
    for supply in design.supplies:
        _check_supply(supply, design, catalogue, problems)


def _known(
    name: str | None, parts: Mapping[str, object], kind: str, place: str, problems: Problems
) -> bool:
    """Return whether the name is in the catalogue, noting it when it is not; None passes."""
    if not name:
        return False
    if name not in parts:
        problems.add(
            place, f'found "{name}", which is no {kind} in the catalogue; {suggest(name, [*parts])}'
        )
        return False
    return True


def _check_wire(name: str | None, catalogue: Catalogue, place: str, problems: Problems) -> None:
    if not name:
        return
    try:
        find_wire_name(name, catalogue)
    except KeyError:
        sizes = sorted({wire.size.name for wire in catalogue.wires.values()})
        problems.add(
            place,
            f'found "{name}", which is no wire in the catalogue; allowed are: {", ".join(sizes)}, '
            "or the name of a wire.",
        )


def find_wire_name(name: str, catalogue: Catalogue) -> str:
    """Return the name of the catalogue's wire of this name or size; KeyError when there is none."""
    if name in catalogue.wires:
        return name
    try:
        size = units.read_wire_size(name)
    except units.UnitProblem:
        raise KeyError(name) from None
    for wire in catalogue.wires.values():
        if wire.size.name == size.name:
            return wire.name
    raise KeyError(name)


def _check_names(design: Design, problems: Problems) -> None:
    groups: dict[str, Iterable[str]] = {
        "runs": (run.name for run in design.runs),
        "supplies": (supply.name for supply in design.supplies),
        "trunks": (trunk.name for trunk in design.trunks),
    }
    for group, names in groups.items():
        for name, times in Counter(names).items():
            if name and times > 1:
                problems.add(group, f'"{name}" is used {times} times; give each its own name.')


def _check_trunks(design: Design, problems: Problems) -> None:
    parents = {trunk.name: trunk.parent for trunk in design.trunks}
    leads: list[tuple[str, Lead]] = [(f"trunks.{trunk.name}", trunk) for trunk in design.trunks]
    for run in design.runs:
        leads += [
            (f"runs.{run.name}.feeds.{number}", feed.lead)
            for number, feed in enumerate(run.feeds, start=1)
        ]
    for place, lead in leads:
        if lead.parent is not None and lead.parent not in parents:
            problems.add(
                f"{place}.from",
                f'found "{lead.parent}", which is no trunk; {suggest(lead.parent, [*parents])} '
                "Leave it out for a lead that starts at the supply.",
            )
    for trunk in design.trunks:
        seen: set[str] = set()
        name: str | None = trunk.name
        while name in parents and name not in seen:
            seen.add(name)
            name = parents[name]
        if name in seen:
            problems.add(
                f"trunks.{trunk.name}.from", "leads back to itself; a trunk starts at the supply."
            )


def _check_run(run: Run, design: Design, catalogue: Catalogue, problems: Problems) -> None:
    place = f"runs.{run.name}"
    names = [supply.name for supply in design.supplies]
    if run.supply not in names and any(names):
        found = f'found "{run.supply}", which is no supply' if run.supply else "is missing"
        problems.add(f"{place}.supply", f"{found}; {suggest(run.supply, names)}")
    for number, feed in enumerate(run.feeds, start=1):
        _check_wire(feed.lead.wire, catalogue, f"{place}.feeds.{number}.wire", problems)
    for number, seen in enumerate(run.seen, start=1):
        seen_place = f"{place}.seen.{number}"
        if _known(seen.sheet, catalogue.sheets, "sheet", f"{seen_place}.sheet", problems) and (
            seen.thickness_m is None
        ):
            problems.add(
                f"{seen_place}.thickness", 'is missing; write it like this: thickness = "3 mm".'
            )
    if _known(run.strip, catalogue.strips, "strip", f"{place}.strip", problems):
        _check_cut(run, catalogue.strips[run.strip], f"{place}.length", problems)
        _check_mix(run, catalogue.strips[run.strip], design, problems)


def _check_cut(run: Run, strip: Strip, place: str, problems: Problems) -> None:
    asked = units.show(run.length_m, "length")
    if run.length_m > strip.reel_m * (1 + 1e-9):
        problems.add(
            place,
            f"found {asked}; a reel of {strip.name} is {units.show(strip.reel_m, 'length')}. "
            "Split it into shorter runs, each with its own feed.",
        )
    if run.length_m < strip.cut_unit_m * (1 - 1e-9):
        problems.add(
            place,
            f"found {asked}; the shortest piece of {strip.name} is one cut unit of "
            f"{units.show(strip.cut_unit_m, 'length')}.",
        )


def _check_mix(run: Run, strip: Strip, design: Design, problems: Problems) -> None:
    """Channels named in an evening's mix must exist on at least one strip of the design."""
    for number, stretch in enumerate(design.use.stretches, start=1):
        for channel, _ in stretch.mix:
            if len(strip.channels) > 1 and channel not in strip.channels:
                problems.add(
                    f"use.evening.{number}.mix.{channel}",
                    f"is no channel of {strip.name} (run {run.name}); "
                    f"{suggest(channel, strip.channels)}",
                )


def _check_supply(
    supply: Supply, design: Design, catalogue: Catalogue, problems: Problems
) -> None:
    place = f"supplies.{supply.name}"
    runs = design.runs_of(supply.name)
    if supply.name and not runs:
        problems.add(place, "feeds no run; name it in a run, or leave it out.")
    _check_wire(supply.pack_wire, catalogue, f"{place}.pack_wire", problems)
    _known(supply.fuse, catalogue.fuses, "fuse", f"{place}.fuse", problems)
    _known(supply.pack_fuse, catalogue.fuses, "fuse", f"{place}.pack_fuse", problems)
    for connector in supply.connectors:
        _known(connector, catalogue.connectors, "connector", f"{place}.connectors", problems)
    strips = [catalogue.strips[run.strip] for run in runs if run.strip in catalogue.strips]
    rated = sorted({strip.rated_v for strip in strips})
    if len(rated) > 1:
        volts = " and ".join(units.show(value, "voltage") for value in rated)
        problems.add(place, f"feeds strips of {volts}; one supply gives one voltage.")
    if _known(supply.controller, catalogue.controllers, "controller", f"{place}.controller", problems):
        _check_controller(supply, strips, catalogue, place, problems)
    pack_known = _known(supply.pack, catalogue.packs, "pack", f"{place}.pack", problems)
    converter_known = _known(
        supply.converter, catalogue.converters, "converter", f"{place}.converter", problems
    )
    if supply.output_v is not None and supply.output_v > HIGHEST_VOLTS:
        problems.add(
            f"{place}.output",
            f"found {units.show(supply.output_v, 'voltage')}; lightcalc is for extra-low voltage "
            "and refuses more than 60 V DC.",
        )
    elif pack_known and rated and converter_known and supply.converter:
        _check_converter(
            supply, catalogue.packs[supply.pack], catalogue.converters[supply.converter],
            rated[0], place, problems,
        )


def _check_controller(
    supply: Supply, strips: list[Strip], catalogue: Catalogue, place: str, problems: Problems
) -> None:
    controller = catalogue.controllers[supply.controller or ""]
    for strip in strips:
        if strip.kind != "pixel" and len(strip.channels) > controller.channels:
            problems.add(
                f"{place}.controller",
                f"{controller.name} has {controller.channels} channel(s) and {strip.name} needs "
                f"{len(strip.channels)} ({', '.join(strip.channels)}); take a controller with "
                f"{len(strip.channels)} or more.",
            )


def source_v(pack: Pack) -> tuple[float, float]:
    """Return the lowest and highest volts at the terminals a maker can reach.

    A USB bank shows its socket's volts; every other pack shows its cells.
    """
    if pack.output_v is not None:
        return pack.output_v, pack.output_v
    return pack.cutoff_v, pack.full_v


def _check_converter(
    supply: Supply, pack: Pack, converter: Converter, rated_v: float, place: str, problems: Problems
) -> None:
    def volts(value: float) -> str:
        return units.show(value, "voltage")

    output_v = supply.output_v if supply.output_v is not None else rated_v
    low_v, high_v = source_v(pack)
    gives = (
        volts(converter.output_min_v)
        if converter.output_min_v == converter.output_max_v
        else f"{volts(converter.output_min_v)} to {volts(converter.output_max_v)}"
    )
    if not converter.output_min_v - 1e-9 <= output_v <= converter.output_max_v + 1e-9:
        problems.add(
            f"{place}.converter",
            f"{converter.name} gives {gives} and cannot reach the {volts(output_v)} of the strip; "
            f"take a converter whose output includes {volts(output_v)}.",
        )
    if abs(output_v - rated_v) > SETTING_TOLERANCE_RATIO * rated_v:
        problems.add(
            f"{place}.output",
            f"found {volts(output_v)} for a strip rated {volts(rated_v)}; set it to {volts(rated_v)}.",
        )
    if high_v > converter.input_max_v:
        problems.add(
            f"{place}.converter",
            f"{converter.name} takes at most {volts(converter.input_max_v)} at its input; the full "
            f"pack gives {volts(high_v)}.",
        )
    if high_v <= converter.input_min_v:
        problems.add(
            f"{place}.converter",
            f"{converter.name} needs more than {volts(converter.input_min_v)} at its input; the "
            f"full pack gives {volts(high_v)}.",
        )
    if converter.kind == "buck" and high_v <= output_v:
        problems.add(
            f"{place}.converter",
            f"{converter.name} only lowers volts: the full pack's {volts(high_v)} cannot become "
            f"{volts(output_v)}. Take a boost or buck-boost converter, or a pack of more volts.",
        )
    if converter.kind == "boost" and low_v >= output_v:
        problems.add(
            f"{place}.converter",
            f"{converter.name} only raises volts: a pack that never falls below {volts(low_v)} "
            f"cannot become {volts(output_v)}. Take a buck or buck-boost converter.",
        )
