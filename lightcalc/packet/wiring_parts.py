"""What a wiring diagram shows of one supply: its parts in order, its leads and runs, with numbers.

pack, fuse, switch, connectors, converter, fuse, controller, then the tree of leads
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from lightcalc.answers.fuses import BY_LIMIT, PACK_SIDE, SOCKET, STRIP_SIDE
from lightcalc.answers.results import Answer, FeedAnswer, FuseAnswer, RunAnswer, WireAnswer
from lightcalc.answers.wiring import Wired, wire_up
from lightcalc.answers.words import Shower
from lightcalc.design.piece import Design, Supply
from lightcalc.design.service import Crossing
from lightcalc.packet.conductors import Conductor, conductors, returns_of
from lightcalc.packet.dimensions import measure
from lightcalc.packet.jumpers import JUMPER_M, jumpers
from lightcalc.packet.sensors import place_words, sensor_tag
from lightcalc.parts.kinds import Catalogue, Controller

# Both systems of units show volts and amps alike.
_SHOWER = Shower("metric")
volts, amps = _SHOWER.meter_volts, _SHOWER.amps


@dataclass(frozen=True)
class Part:
    """One part on the way from the pack to the leads; a box, or a symbol within the wires."""

    kind: str
    name: str
    lines: tuple[str, ...]

    @property
    def boxed(self) -> bool:
        """Whether it is drawn as a box that wires end at."""
        return self.kind in {"pack", "converter", "controller"}


@dataclass(frozen=True)
class LeadRow:
    """A lead of the tree. `parent` counts from 0 among the leads, -1 is the supply's own output.

    `run` and `feed` are None for a trunk. `crossing` holds the connectors in it.
    """

    number: int
    parent: int
    wire: WireAnswer
    conductors: tuple[Conductor, ...]
    run: RunAnswer | None
    feed: FeedAnswer | None
    crossing: Crossing = field(default_factory=Crossing)

    def details(self, system: str) -> str:
        """Say what it is made of and what flows in it."""
        wire = self.wire
        text = (
            f"{measure(wire.length_m, system)} of {wire.size} ({wire.wire}); "
            f"{amps(wire.full_level_a)}, at most {amps(wire.peak_a)}"
        )
        text = text if self.feed else f"{text}; {volts(wire.end_v)} at its end"
        if self.crossing.connector is None:
            return text
        joints = " and at ".join(self.crossing.joints)
        return f"{text}; connector {self.crossing.connector}{joints and f' at {joints}'}"


@dataclass(frozen=True)
class SupplyWiring:
    """Everything on the wiring diagram of one supply."""

    supply: str
    system: str
    parts: tuple[Part, ...]
    pack_lead: WireAnswer
    pack_conductors: tuple[Conductor, ...]
    rows: tuple[LeadRow, ...]
    returns: tuple[str, ...]
    notes: tuple[str, ...]


def supply_wiring(
    supply: str, design: Design, catalogue: Catalogue, answer: Answer
) -> SupplyWiring:
    """Gather what the wiring diagram of one supply shows."""
    wired = wire_up(design.supply(supply), design, catalogue)
    wires = [wire for wire in answer.wires if wire.supply == supply]
    fuses = {fuse.place: fuse for fuse in answer.fuses if fuse.supply == supply}
    returns = returns_of(wired.runs[0].strip)
    return SupplyWiring(
        supply=supply,
        system=design.system,
        parts=_parts(wired, wires, fuses, design, answer),
        pack_lead=wires[0],
        pack_conductors=conductors(catalogue.wires.get(wires[0].wire), ("",)),
        rows=_rows(wired, wires[1:], catalogue, answer),
        returns=returns,
        notes=(
            *_notes(wired, fuses),
            *_sensor_notes(wired, design),
            *_jumper_notes(wired, wires[1:], design, catalogue),
        ),
    )


def _rows(
    wired: Wired, wires: list[WireAnswer], catalogue: Catalogue, answer: Answer
) -> tuple[LeadRow, ...]:
    runs = {run.run: run for run in answer.runs}
    seen: dict[str, int] = {}
    rows = []
    for number, (lead, wire) in enumerate(zip(wired.leads, wires, strict=True)):
        run = feed = None
        if lead.run is not None:
            run = runs[wired.runs[lead.run].run.name]
            feed = run.feeds[seen.setdefault(run.run, 0)]
            seen[run.run] += 1
        made_of = conductors(catalogue.wires.get(wire.wire), returns_of(wired.runs[0].strip))
        rows.append(LeadRow(number, lead.parent, wire, made_of, run, feed, lead.lead.crossing))
    return tuple(rows)


def _parts(
    wired: Wired,
    wires: list[WireAnswer],
    fuses: dict[str, FuseAnswer],
    design: Design,
    answer: Answer,
) -> tuple[Part, ...]:
    supply = wired.supply
    parts = [_pack(wired, wires[0])]
    if wired.pack.output_v is not None:
        parts.append(Part("plug", "for its socket", ("find + and \u2212 with a meter",)))
    for place in (PACK_SIDE, SOCKET):
        if place in fuses:
            parts += _fuse(fuses[place], named=supply.fuse)
    if supply.switched_off:
        parts.append(Part("switch", "by hand", ("cuts the pack off",)))
    parts += [Part("connector", name, ()) for name in supply.connectors]
    if wired.converter:
        parts.append(_converter(wired, wires[0], answer))
    if STRIP_SIDE in fuses:
        parts += _fuse(fuses[STRIP_SIDE], named=supply.fuse)
    if wired.controller:
        sensor = _sensor(wired.controller, wired.supply, design)
        parts.append(_controller(wired, sensor, wires, answer))
    return tuple(parts)


def _controller(
    wired: Wired, sensor: Sequence[str], wires: list[WireAnswer], answer: Answer
) -> Part:
    found = next(one for one in answer.supplies if one.supply == wired.supply.name)
    pairs = zip(wires[1:], wired.leads, strict=True)
    start_v = min(wire.start_v for wire, lead in pairs if lead.parent < 0)
    each = " a channel" if wired.returns > 1 else ""
    lines = (f"out {volts(start_v)}", f"at most {amps(found.channel_peak_a)}{each}")
    return Part("controller", found.controller, (*lines, *sensor))


def _sensor(controller: Controller, supply: Supply, design: Design) -> tuple[str, ...]:
    """Name what works a controller, and where it is found."""
    if supply.sensor_at_m is None:
        return ()
    tag = sensor_tag(design.supplies.index(supply) + 1)
    where = f"{tag} on the plan" if design.space.blocks else "see below"
    return (f"{controller.sensor}: {where}",)


def _pack(wired: Wired, lead: WireAnswer) -> Part:
    pack, multiple = wired.pack, wired.supply.pack_multiple
    lines = [f"of {multiple} times the cells"] if multiple > 1 else []
    if pack.output_v is not None:
        lines.append(f"{volts(pack.output_v)} at its socket")
    else:
        lines.append(f"{volts(pack.nominal_v)} nominal")
        lines.append(f"{volts(pack.full_v)} full, {volts(pack.cutoff_v)} flat")
    lines.append(f"gives {amps(lead.full_level_a)}")
    return Part("pack", pack.name, (*lines, f"at most {amps(lead.peak_a)}"))


def _converter(wired: Wired, lead: WireAnswer, answer: Answer) -> Part:
    found = next(one for one in answer.supplies if one.supply == wired.supply.name)
    lines = [f"in {volts(lead.end_v)}", f"out {volts(found.output_v)}"]
    if wired.converter and wired.converter.output_min_v < wired.converter.output_max_v:
        lines.append(f"set it to {volts(wired.output_v)}")
    lines.append(f"at most {amps(found.output_peak_a)}")
    return Part("converter", found.converter, tuple(lines))


def _fuse(fuse: FuseAnswer, named: str | None) -> list[Part]:
    """Draw a fuse that is there or that should be; one that its source makes idle only if named."""
    if fuse.protected_by == BY_LIMIT and not named:
        return []
    if fuse.fuse is None or fuse.rating_a is None:
        return [Part("fuse", "none fits", ("see the findings",))]
    lines = [amps(fuse.rating_a), fuse.place]
    return [Part("fuse", fuse.fuse, (*lines, *([] if fuse.fits else ["see the findings"])))]


def _sensor_notes(wired: Wired, design: Design) -> Iterator[str]:
    """Say where the controller is worked, if the design does and there is no plan to show it."""
    place = "" if design.space.blocks else place_words(wired.supply, design.system)
    if wired.controller and place:
        yield f"The {wired.controller.sensor} of {wired.controller.name}: {place}."


def _jumper_notes(
    wired: Wired, wires: list[WireAnswer], design: Design, catalogue: Catalogue
) -> Iterator[str]:
    """Say what the wires between the parts of a supply are made of."""
    for one in jumpers(wired, wires, returns_of(wired.runs[0].strip)):
        made_of = conductors(catalogue.wires.get(one.like.wire), one.returns)
        words = "; ".join(conductor.words for conductor in made_of)
        yield (
            f"{one.name}: {measure(JUMPER_M[design.system], design.system)} assumed, of "
            f"{one.like.size} ({one.like.wire}), {words}."
        )


def _notes(wired: Wired, fuses: dict[str, FuseAnswer]) -> list[str]:
    nominal = wired.pack.nominal_v if wired.pack.output_v is None else wired.pack.output_v
    notes = [
        f"Volts and amps are what to expect at full level with {volts(nominal)} at the pack; "
        '"at most" is with the pack at its worst. Check + and \u2212 with a meter before the runs '
        "are connected.",
        "A dot joins wires; a wire that passes over another is not joined to it.",
    ]
    for fuse in fuses.values():
        if fuse.protected_by == BY_LIMIT and not wired.supply.fuse:
            notes.append(
                f"No fuse is needed {fuse.place}: the source limits itself to "
                f"{amps(fuse.prospective_a)}."
            )
    if any(run.strip.kind == "pixel" for run in wired.runs):
        notes.append(
            "Pixel strips also take a data wire from the controller to the start of each run, as "
            "their maker's sheet says; it is not drawn."
        )
    if wired.controller is None and wired.returns > 1:
        notes.append(f"Without a controller the {wired.returns} returns join at the supply.")
    return notes
