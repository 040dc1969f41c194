"""Wires and fuses for one supply.

    cells ─[pack fuse]─ pack lead ─[converter]─[strip fuse]─ trunks ─ feed leads ─ runs

The pack lead carries the current at the end of the charge, when the pack is lowest. Leads are
sized for full level, whatever the level of the evening: a dimmer's pulse has the full current.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lightcalc.answers.bought import (
    fuse_of,
    named_wire,
    offered_fuses,
    offered_wires,
    pack_of,
)
from lightcalc.answers.wiring import Wired, WiredLead, build_network
from lightcalc.design.piece import Ask, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.converter import Converter, input_current_a, lowest_input_v
from lightcalc.physics.fuse import Fuse, FuseChoice, FuseDuty, check_fuse, choose_fuse
from lightcalc.physics.ladder import solve
from lightcalc.physics.short_circuit import Branch, Lead, Source
from lightcalc.physics.wire import (
    Wire,
    WireCheck,
    WireChoice,
    WireDuty,
    check_wire,
    choose_wire,
)
from lightcalc.tables.wires import metric_size

# Wires inside a closed piece are warmer than the room by about this much (common practice).
INSIDE_PIECE_K = 10.0
# Common practice: the fuse sits within a hand's width of the pack.
PACK_TO_FUSE_LOOP_M = 0.2
# A pack at the end of its life, in the cold, is the weakest source a fuse must still open on.
WEAK_HEALTH, WEAK_C = 0.8, 0.0
PACK_SIDE, STRIP_SIDE = "at the pack", "after the converter"


@dataclass(frozen=True)
class SizedWire:
    """The wire of one lead: the one used, its check, and what the shop should sell at least."""

    lead: str
    length_m: float
    duty: WireDuty
    check: WireCheck
    choice: WireChoice
    named: bool
    smallest_awg: str | None
    smallest_mm2: str | None


@dataclass(frozen=True)
class SizedFuse:
    """The fuse at one place: the choice among those on offer, and a check of the one named."""

    place: str
    duty: FuseDuty
    choice: FuseChoice
    named: Fuse | None
    named_fails: tuple[str, ...]

    @property
    def fuse(self) -> Fuse | None:
        """The fuse that stands in the answer."""
        return self.named or self.choice.chosen


@dataclass(frozen=True)
class Sized:
    """Every wire and fuse of one supply."""

    leads: tuple[SizedWire, ...]
    pack_lead: SizedWire
    fuses: tuple[SizedFuse, ...]
    pack_peak_a: float

    @property
    def lead_wires(self) -> tuple[Wire, ...]:
        """The wire of each lead, in the order of the leads."""
        return tuple(sized.check.wire for sized in self.leads)


def size_supply(
    wired: Wired, converter: Converter | None, use: Use, ask: Ask, catalogue: Catalogue
) -> Sized:
    """Choose or check every wire and fuse of one supply."""
    ambient_c = max(use.temperature_c, 20.0) + INSIDE_PIECE_K
    lead_a = _full_currents_a(wired, ambient_c)
    output_a = sum(a for a, lead in zip(lead_a, wired.leads, strict=True) if lead.parent < 0)
    pack_a = _pack_peak_a(wired, converter, output_a)
    offered = offered_fuses(catalogue)
    pack_rating_a = _rating_a(wired.supply.pack_fuse, pack_a, offered, catalogue)
    limit_a = _limit_a(wired, converter)
    strip_rating_a = pack_rating_a if limit_a is None else limit_a
    pack_duty = WireDuty(
        peak_a=pack_a,
        rms_a=pack_a,
        loop_length_m=2.0 * wired.supply.pack_lead_m,
        source_v=_pack_side_v(wired),
        allowed_drop_ratio=ask.lead_drop_ratio,
        ambient_c=ambient_c,
        fuse_a=pack_rating_a if wired.pack.output_v is None else limit_a,
    )
    leads = tuple(
        _size_wire(
            lead.lead.name,
            lead.lead.wire,
            WireDuty(
                peak_a=amps,
                rms_a=amps,
                loop_length_m=2.0 * lead.lead.length_m,
                source_v=wired.output_v,
                allowed_drop_ratio=ask.lead_drop_ratio * lead.share,
                ambient_c=ambient_c,
                fuse_a=strip_rating_a,
            ),
            catalogue,
        )
        for lead, amps in zip(wired.leads, lead_a, strict=True)
    )
    name = f"{wired.supply.name} pack lead"
    pack_lead = _size_wire(name, wired.supply.pack_wire, pack_duty, catalogue)
    fuses = _size_fuses(wired, converter, leads, pack_lead, lead_a, ambient_c, catalogue)
    return Sized(leads, pack_lead, fuses, pack_a)


def _full_currents_a(wired: Wired, ambient_c: float) -> list[float]:
    """Current in each lead at full level and the highest volts, with wires of 1 mm2."""
    wires = (Wire("", metric_size(1.0), 70.0),) * len(wired.leads)
    strip_c = (ambient_c,) * len(wired.runs)
    network = build_network(wired, wires, strip_c, 0.0, ambient_c)
    highest_v = wired.output_v
    if wired.converter is None and wired.pack.output_v is None:
        highest_v = wired.pack.full_v
    return [float(amps) for amps in np.abs(solve(network, highest_v).lead_a)]


def _pack_side_v(wired: Wired) -> float:
    return wired.pack.nominal_v if wired.pack.output_v is None else wired.pack.output_v


def _limit_a(wired: Wired, converter: Converter | None) -> float | None:
    """Current that the source of the leads limits itself to, if it does."""
    if converter is not None:
        return converter.limit_a
    return wired.pack.output_max_a


def _pack_peak_a(wired: Wired, converter: Converter | None, output_a: float) -> float:
    """Highest current at the pack's terminals, at full level."""
    idle_a = wired.controller.idle_a if wired.controller else 0.0
    output_a += idle_a
    if converter is None:
        return output_a
    lowest_v = max(wired.pack.cutoff_v, lowest_input_v(converter))
    if wired.pack.output_v is not None:
        lowest_v = wired.pack.output_v
    output_w = min(output_a, converter.limit_a) * converter.output_v
    return float(input_current_a(converter, output_w, lowest_v))


def _rating_a(
    named: str | None, continuous_a: float, offered: list[Fuse], catalogue: Catalogue
) -> float:
    """Rating that the wires must stand: of the fuse named, else of the smallest that carries."""
    if named:
        return catalogue.fuses[named].rating_a
    enough = [fuse.rating_a for fuse in offered if fuse.rating_a >= 1.25 * continuous_a]
    return min(enough, default=1.25 * continuous_a)


def _size_wire(lead: str, named: str | None, duty: WireDuty, catalogue: Catalogue) -> SizedWire:
    offered = offered_wires(catalogue)
    choice = choose_wire(offered, duty)
    check = check_wire(named_wire(named, catalogue), duty) if named else choice.closest
    smallest: dict[str, str | None] = {}
    for system in ("AWG", "mm2"):
        some = [wire for wire in offered if wire.size.system == system]
        chosen = choose_wire(some, duty).chosen if some else None
        smallest[system] = chosen.size.name if chosen else None
    return SizedWire(
        lead=lead,
        length_m=duty.loop_length_m / 2.0,
        duty=duty,
        check=check,
        choice=choice,
        named=named is not None,
        smallest_awg=smallest["AWG"],
        smallest_mm2=smallest["mm2"],
    )


def _size_fuses(
    wired: Wired,
    converter: Converter | None,
    leads: tuple[SizedWire, ...],
    pack_lead: SizedWire,
    lead_a: list[float],
    ambient_c: float,
    catalogue: Catalogue,
) -> tuple[SizedFuse, ...]:
    pack_wire = Lead(pack_lead.check.wire, pack_lead.duty.loop_length_m)
    branches = _branches(wired, leads, lead_a, ambient_c)
    feeder_of_all = pack_wire
    fuses = []
    if wired.pack.output_v is None:
        behind = branches
        if converter is not None:
            behind = (Branch(pack_wire, pack_lead.duty.peak_a),)
        duty = FuseDuty(
            _pack_source(wired, pack_lead.check.wire),
            behind,
            feeder=feeder_of_all if converter is None else None,
            ambient_c=ambient_c,
        )
        fuses.append(_size_fuse(PACK_SIDE, wired.supply.pack_fuse, duty, catalogue))
    limit_a = _limit_a(wired, converter)
    if limit_a is not None:
        source = Source(wired.output_v, 0.0, wired.output_v, 0.0, limit_a=limit_a)
        duty = FuseDuty(source, branches, ambient_c=ambient_c)
        place = STRIP_SIDE if converter is not None else "at the bank's socket"
        fuses.append(_size_fuse(place, wired.supply.fuse, duty, catalogue))
    return tuple(fuses)


def _size_fuse(place: str, named: str | None, duty: FuseDuty, catalogue: Catalogue) -> SizedFuse:
    fuse = fuse_of(catalogue.fuses[named]) if named else None
    fails = check_fuse(fuse, duty).failed if fuse else ()
    return SizedFuse(place, duty, choose_fuse(offered_fuses(catalogue), duty), fuse, fails)


def _pack_source(wired: Wired, wire: Wire) -> Source:
    """The cells at their strongest and weakest, as seen by the fuse beside them."""
    part, multiple = wired.pack, wired.supply.pack_multiple
    fresh_ohm = float(pack_of(part, multiple, 1.0, 25.0).ohms)
    if part.prospective_a is not None:
        fresh_ohm = min(fresh_ohm, part.full_v / (part.prospective_a * multiple))
    weak_ohm = float(pack_of(part, multiple, WEAK_HEALTH, WEAK_C).ohms)
    return Source(
        full_v=part.full_v,
        full_ohm=fresh_ohm,
        weak_v=part.cutoff_v,
        weak_ohm=max(weak_ohm, fresh_ohm) * (1.0 + part.resistance_tolerance),
        wiring_20c_ohm=wire.size.resistance_20c_ohm_per_m * PACK_TO_FUSE_LOOP_M,
    )


def _branches(
    wired: Wired, leads: tuple[SizedWire, ...], lead_a: list[float], ambient_c: float
) -> tuple[Branch, ...]:
    """One branch for each feed: its whole path, counted as if all of the path's thinnest wire."""
    branches = []
    for number, lead in enumerate(wired.leads):
        if lead.run is None or lead.pad is None:
            continue
        path = _path(wired.leads, number)
        thinnest = min((leads[k].check.wire for k in path), key=lambda wire: wire.size.area_m2)
        run = wired.runs[lead.run]
        at_m = lead.pad * run.strip.cut_unit_m
        farthest_m = max(at_m, run.length_m - at_m)
        branches.append(
            Branch(
                Lead(thinnest, 2.0 * lead.path_m),
                lead_a[number],
                2.0 * run.strip.rail_ohm_per_m * farthest_m,
                strip_c=ambient_c,
            )
        )
    return tuple(branches)


def _path(leads: tuple[WiredLead, ...], number: int) -> list[int]:
    path = []
    while number >= 0:
        path.append(number)
        number = leads[number].parent
    return path
