"""Check that the parts of one supply exist, fit its strips, and fit each other."""

from __future__ import annotations

import math
from collections.abc import Mapping

from lightcalc import units
from lightcalc.design.fields import shown
from lightcalc.design.known import check_fuse, check_wire, known
from lightcalc.design.piece import Design, Supply
from lightcalc.parts.kinds import Catalogue, Controller, Converter, Pack, Strip
from lightcalc.problems import Problems

HIGHEST_VOLTS = 60.0
# A strip fed with more than this above its label overheats; a converter is set to its label.
SETTING_TOLERANCE_RATIO = 0.05
# Below this share of its rated volts a strip of LEDs in series is as good as dark.
LEAST_SHARE_OF_RATED = 0.75


def check_supply(
    supply: Supply, place: str, design: Design, catalogue: Catalogue, problems: Problems
) -> None:
    """Add every contradiction between one supply, the runs it feeds, and the catalogue."""
    runs = design.runs_of(supply.name)
    # A run whose supply is misspelt may be the one that this supply feeds.
    names = [other.name for other in design.supplies]
    if supply.name and not runs and design.runs and all(run.supply in names for run in design.runs):
        problems.add(
            place, f"feeds no run; write supply = {shown(supply.name)} in a run, or take it out."
        )
    _check_names(supply, place, catalogue, problems)
    strips = [catalogue.strips[run.strip] for run in runs if run.strip in catalogue.strips]
    _check_strips_alike(strips, place, problems)
    if supply.controller in catalogue.controllers:
        controller = catalogue.controllers[supply.controller]
        _check_channels(controller, strips, f"{place}.controller", problems)
    pack = catalogue.packs.get(supply.pack)
    converter = catalogue.converters.get(supply.converter or "")
    if supply.output_v is not None and supply.output_v > HIGHEST_VOLTS:
        problems.add(
            f"{place}.output",
            f"found {_volts(supply.output_v)}; this is for extra-low voltage only, up to 60 V DC.",
        )
        return
    if pack is not None:
        _check_keys_in_use(supply, pack, place, problems)
    if strips and pack is not None and not supply.converter:
        _check_straight(pack, strips[0].rated_v, place, problems)
    if strips and converter is not None:
        _check_converter(supply, pack, converter, strips[0].rated_v, place, problems)


def volts_fit(pack: Pack, converter: Converter | None, rated_v: float) -> bool:
    """Whether a pack can feed a strip of these volts, straight or through a converter."""
    problems = Problems("")
    if converter is None:
        _check_straight(pack, rated_v, "", problems)
    elif not _can_give(converter, rated_v):
        return False
    else:
        _check_input(pack, converter, rated_v, "", problems)
    return not problems.found


def keys_fit(supply: Supply, pack: Pack) -> bool:
    """Whether every key of a supply has its place beside a pack."""
    problems = Problems("")
    _check_keys_in_use(supply, pack, "", problems)
    return not problems.found


def _check_straight(pack: Pack, rated_v: float, place: str, problems: Problems) -> None:
    """Refuse a strip straight on a pack that never comes near its volts: it stays dark."""
    _, highest_v = source_v(pack)
    if highest_v < LEAST_SHARE_OF_RATED * rated_v:
        problems.add(
            f"{place}.converter",
            f"is missing: {pack.name} gives at most {_volts(highest_v)} and the strip is rated "
            f"{_volts(rated_v)}. Name a boost or buck-boost converter that gives "
            f"{_volts(rated_v)}, or take a strip of fewer volts.",
        )


def _volts(value: float) -> str:
    return units.show(value, "voltage")


def _check_names(supply: Supply, place: str, catalogue: Catalogue, problems: Problems) -> None:
    names: tuple[tuple[str | None, Mapping[str, object], str, str], ...] = (
        (supply.pack, catalogue.packs, "pack", "pack"),
        (supply.converter, catalogue.converters, "converter", "converter"),
        (supply.controller, catalogue.controllers, "controller", "controller"),
        *((name, catalogue.connectors, "connector", "connectors") for name in supply.connectors),
    )
    for name, parts, kind, key in names:
        known(name, parts, kind, f"{place}.{key}", problems)
    check_fuse(supply.pack_fuse, catalogue, f"{place}.pack_fuse", problems)
    check_fuse(supply.fuse, catalogue, f"{place}.fuse", problems)
    check_wire(supply.pack_wire, catalogue, f"{place}.pack_wire", problems)


def _check_strips_alike(strips: list[Strip], place: str, problems: Problems) -> None:
    """One supply gives one voltage, and its controller drives every run as it drives the first."""
    by_volts = {strip.rated_v: strip.name for strip in strips}
    if len(by_volts) > 1:
        several = " and ".join(f"{_volts(v)} ({by_volts[v]})" for v in sorted(by_volts))
        problems.add(
            place,
            f"feeds strips of {several}; one supply gives one voltage. Give each its own supply.",
        )
    by_kind = {_wiring(strip): strip.name for strip in strips}
    if len(by_kind) > 1:
        several = " and ".join(f"{kind} ({name})" for kind, name in by_kind.items())
        problems.add(
            place,
            f"feeds strips of {several}; one supply and its controller drive one kind. Give each "
            "its own supply.",
        )


def _wiring(strip: Strip) -> str:
    """Say how a strip is driven; one channel is driven like any other one channel."""
    if strip.kind == "pixel":
        return f"pixels of {', '.join(strip.channels)}"
    if len(strip.channels) == 1:
        return "one channel"
    return f"channels {', '.join(strip.channels)}"


def _check_channels(
    controller: Controller, strips: list[Strip], place: str, problems: Problems
) -> None:
    for strip in dict.fromkeys(strips):
        if strip.kind != "pixel" and len(strip.channels) > controller.channels:
            needed = len(strip.channels)
            problems.add(
                place,
                f"found {shown(controller.name)} with {_channels(controller.channels)}; "
                f"{strip.name} needs {needed} ({', '.join(strip.channels)}). Take a controller "
                f"with {needed} or more.",
            )


def _channels(count: int) -> str:
    return "1 channel" if count == 1 else f"{count} channels"


def _check_keys_in_use(supply: Supply, pack: Pack, place: str, problems: Problems) -> None:
    """Note the keys that change nothing in this supply; they are misunderstandings."""
    if supply.output_v is not None and supply.converter is None:
        problems.add(
            f"{place}.output",
            "stands alone; it is what an adjustable converter is set to. Name a converter, or take "
            "it out.",
        )
    if pack.output_v is not None and supply.pack_fuse is not None:
        problems.add(
            f"{place}.pack_fuse",
            f"has no place: {pack.name} is a USB bank, closed up to its socket. Write the fuse "
            "after it as fuse, or take it out.",
        )
    if pack.output_v is None and supply.converter is None and supply.fuse is not None:
        problems.add(
            f"{place}.fuse",
            "has no place: with no converter there is one fuse, at the pack. Write it "
            "as pack_fuse.",
        )


def _can_give(converter: Converter, volts_v: float) -> bool:
    return converter.output_min_v - 1e-9 <= volts_v <= converter.output_max_v + 1e-9


def _gives(converter: Converter) -> str:
    low_v, high_v = converter.output_min_v, converter.output_max_v
    return _volts(low_v) if low_v == high_v else f"{_volts(low_v)} to {_volts(high_v)}"


def _check_converter(  # noqa: PLR0917 - one supply's parts and where to tell of them
    supply: Supply,
    pack: Pack | None,
    converter: Converter,
    rated_v: float,
    place: str,
    problems: Problems,
) -> None:
    if not _can_give(converter, rated_v):
        problems.add(
            f"{place}.converter",
            f"found {shown(converter.name)}, which gives {_gives(converter)} and cannot reach the "
            f"{_volts(rated_v)} of the strip; take one whose output includes {_volts(rated_v)}.",
        )
        return
    _check_output(supply, converter, rated_v, place, problems)
    if pack is not None:
        _check_input(pack, converter, rated_v, f"{place}.converter", problems)


def _check_output(
    supply: Supply, converter: Converter, rated_v: float, place: str, problems: Problems
) -> None:
    """Check what the converter is set to, a converter that can reach the strip's volts."""
    asked_v = supply.output_v
    if asked_v is None or math.isnan(asked_v):
        return
    if not _can_give(converter, asked_v):
        problems.add(
            f"{place}.output",
            f"found {_written(asked_v)}; {converter.name} gives {_gives(converter)}. Write "
            f'output = "{_volts(rated_v)}" for this strip, or leave it out.',
        )
    elif abs(asked_v - rated_v) > SETTING_TOLERANCE_RATIO * rated_v:
        problems.add(
            f"{place}.output",
            f"found {_written(asked_v)} for a strip rated {_volts(rated_v)}; write "
            f'output = "{_volts(rated_v)}" or leave it out.',
        )


def _written(volts_v: float) -> str:
    return units.show(volts_v, "voltage", digits=6)


def source_v(pack: Pack) -> tuple[float, float]:
    """Return the lowest and highest volts at the terminals a maker can reach.

    A USB bank shows its socket's volts; every other pack shows its cells.
    """
    if pack.output_v is not None:
        return pack.output_v, pack.output_v
    return pack.cutoff_v, pack.full_v


def _check_input(
    pack: Pack, converter: Converter, output_v: float, place: str, problems: Problems
) -> None:
    low_v, high_v = source_v(pack)
    sentence = ""
    if high_v > converter.input_max_v:
        sentence = (
            f"takes at most {_volts(converter.input_max_v)} at its input, and {pack.name} gives "
            f"{_volts(high_v)} when full. Take a converter for more, or a pack of fewer volts."
        )
    elif high_v <= converter.input_min_v:
        sentence = (
            f"needs more than {_volts(converter.input_min_v)} at its input, and {pack.name} gives "
            f"{_volts(high_v)} when full. Take a converter for less, or a pack of more volts."
        )
    elif converter.kind == "buck" and high_v <= output_v:
        sentence = (
            f"only lowers volts, and {pack.name} gives {_volts(high_v)} when full, too little for "
            f"{_volts(output_v)}. Take a boost or buck-boost converter, or a pack of more volts."
        )
    elif converter.kind == "boost" and low_v >= output_v:
        sentence = (
            f"only raises volts, and {pack.name} never falls below {_volts(low_v)}, too much for "
            f"{_volts(output_v)}. Take a buck or buck-boost converter."
        )
    if sentence:
        problems.add(place, f"found {shown(converter.name)}, which {sentence}")
