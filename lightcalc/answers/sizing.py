"""Wires and fuses for one supply.

    cells ─[pack fuse]─ pack lead ─[converter]─[strip fuse]─ trunks ─ feed leads ─ runs

The pack lead carries the current at the end of the charge, when the pack is lowest. Leads are
sized for full level, whatever the level of the evening: a dimmer's pulse has the full current.

A bare pack limits nothing, so its fuse comes first: the smallest that would do with the strongest
wire on offer. Every wire then stands that fuse, and the fuse is checked against the wires chosen.
Converters and USB banks limit themselves, and wires after them stand that limit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from lightcalc.answers.bought import Cells, fuse_of, named_wire, offered_fuses, offered_wires
from lightcalc.answers.draw import controller_idle_a
from lightcalc.answers.wiring import Wired, WiredLead, build_network
from lightcalc.design.piece import Ask, Lead, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.converter import Converter, input_current_a, lowest_input_v
from lightcalc.physics.circuit.fuse import Fuse, FuseChoice, FuseDuty, check_fuse, choose_fuse
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.short_circuit import Branch, Source
from lightcalc.physics.circuit.short_circuit import Lead as Pair
from lightcalc.physics.circuit.wire import (
    Wire,
    WireCheck,
    WireChoice,
    WireDuty,
    ampacity_a,
    check_wire,
    choose_wire,
)
from lightcalc.tables.wires import metric_size

# Wires inside a closed piece are warmer than the room by about this much (common practice).
INSIDE_PIECE_K = 10.0
# Common practice: the fuse sits within a hand's width of the pack.
PACK_TO_FUSE_LOOP_M = 0.2
SHARING_ROUNDS = 6
# What protects the wires where their source limits itself.
BY_LIMIT = "converter limit"
PACK_SIDE, STRIP_SIDE, SOCKET = "at the pack", "after the converter", "at the bank's socket"


@dataclass(frozen=True)
class SizedWire:
    """The wire of one lead: the one used, its check, and what the shop should sell at least.

    Wires are chosen by what their copper loses. `contact_ohm` is what the connectors in the lead
    add to each of its conductors, and comes on top.
    """

    lead: str
    length_m: float
    duty: WireDuty
    check: WireCheck
    choice: WireChoice
    named: bool
    smallest_awg: str | None
    smallest_mm2: str | None
    contact_ohm: float

    @property
    def contact_drop_v(self) -> float:
        """What its connectors lose, there and back, at the current that its wire is sized for."""
        loop_in_lengths = self.duty.loop_length_m / self.length_m
        return self.duty.peak_a * self.contact_ohm * loop_in_lengths

    @property
    def contact_drop_ratio(self) -> float:
        """The same as a share of the volts."""
        return self.contact_drop_v / self.duty.source_v


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

    @property
    def fitted(self) -> Fuse | None:
        """The fuse that is bought and fitted, and whose ohms count.

        Where the source limits itself to what every wire may carry none is needed, and one is
        fitted only if the maker named it.
        """
        return self.named if self.choice.protected_by == BY_LIMIT else self.fuse


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


@dataclass(frozen=True)
class _Task:
    """What the wires and fuses of one supply have to do."""

    wired: Wired
    converter: Converter | None
    catalogue: Catalogue
    ambient_c: float
    lead_drop_ratio: float
    lead_a: tuple[float, ...]
    pack_a: float

    @property
    def limit_a(self) -> float | None:
        """Current that the source of the leads limits itself to, if it does."""
        return self.converter.limit_a if self.converter else self.wired.pack.output_max_a


def size_supply(
    wired: Wired,
    converter: Converter | None,
    cells: Cells,
    use: Use,
    ask: Ask,
    *,
    catalogue: Catalogue,
) -> Sized:
    """Choose or check every wire and fuse of one supply."""
    task = _task(wired, converter, use, ask, catalogue)
    pack_rating_a = _pack_rating_a(task, cells)
    pack_lead = _size_pack_lead(task, pack_rating_a)
    strip_rating_a = _strip_rating_a(task)
    task, leads = _size_leads(task, pack_rating_a if strip_rating_a is None else strip_rating_a)
    fuses = _size_fuses(task, cells, pack_lead.check.wire, _wires(leads))
    return Sized(leads, pack_lead, fuses, task.pack_a)


def size_after_limit(
    wired: Wired, converter: Converter | None, use: Use, ask: Ask, *, catalogue: Catalogue
) -> tuple[tuple[SizedWire, ...], SizedFuse]:
    """Choose or check the leads and the fuse after a source that limits itself.

    Behind a converter they are the same whatever pack feeds it. ValueError on a bare pack.
    """
    task = _task(wired, converter, use, ask, catalogue)
    rating_a = _strip_rating_a(task)
    if rating_a is None:
        raise ValueError("A bare pack limits nothing; size the whole supply.")
    task, leads = _size_leads(task, rating_a)
    return leads, _size_limited_fuse(task, task.limit_a or rating_a, _wires(leads))


def _task(
    wired: Wired, converter: Converter | None, use: Use, ask: Ask, catalogue: Catalogue
) -> _Task:
    ambient_c = max(use.temperature_c, 20.0) + INSIDE_PIECE_K
    thick = (Wire("", metric_size(2.5), 70.0),) * len(wired.leads)
    lead_a = _full_currents_a(wired, thick, ambient_c)
    output_a = sum(a for a, lead in zip(lead_a, wired.leads, strict=True) if lead.parent < 0)
    pack_a = _pack_peak_a(wired, converter, output_a, ask.lead_drop_ratio)
    return _Task(wired, converter, catalogue, ambient_c, ask.lead_drop_ratio, lead_a, pack_a)


def _wires(leads: tuple[SizedWire, ...]) -> tuple[Wire, ...]:
    return tuple(lead.check.wire for lead in leads)


def _full_currents_a(wired: Wired, wires: tuple[Wire, ...], ambient_c: float) -> tuple[float, ...]:
    """Find the current in each lead at full level and the highest volts."""
    strip_c = (ambient_c,) * len(wired.runs)
    return _lead_currents_a(build_network(wired, wires, strip_c, 0.0, ambient_c), wired.highest_v)


@lru_cache(maxsize=1024)
def _lead_currents_a(network: Network, supply_v: float) -> tuple[float, ...]:
    """Find the current in each lead; a search comes back to the same leads again and again."""
    return tuple(float(amps) for amps in np.abs(solve(network, supply_v).lead_a))


def _pack_peak_a(
    wired: Wired, converter: Converter | None, output_a: float, drop_ratio: float
) -> float:
    """Highest current at the pack's terminals, at full level, lead and converter low on volts."""
    output_a += controller_idle_a(wired)
    if converter is None:
        return output_a
    lowest_v = wired.pack.cutoff_v if wired.pack.output_v is None else wired.pack.output_v
    input_v = max(lowest_v * (1.0 - drop_ratio), lowest_input_v(converter))
    output_w = min(output_a, converter.limit_a) * converter.output_v
    return float(input_current_a(converter, output_w, input_v))


def _pack_rating_a(task: _Task, cells: Cells) -> float:
    """Find what the wires at the pack must stand: the bank's limit, or the pack fuse's rating."""
    named = task.wired.supply.pack_fuse
    if task.wired.pack.output_max_a is not None:
        return task.wired.pack.output_max_a
    if named:
        return task.catalogue.fuses[named].rating_a
    offered = offered_wires(task.catalogue)
    strongest = max(offered, key=lambda wire: ampacity_a(wire, task.ambient_c))
    duty = _pack_fuse_duty(task, cells, strongest, (strongest,) * len(task.wired.leads))
    choice = choose_fuse(offered_fuses(task.catalogue), duty)
    return choice.chosen.rating_a if choice.chosen else choice.least_rating_a


def _strip_rating_a(task: _Task) -> float | None:
    """Find what the leads must stand where their source limits itself; None on a bare pack."""
    limit_a, named = task.limit_a, task.wired.supply.fuse
    if limit_a is None or not named:
        return limit_a
    fuse = task.catalogue.fuses[named]
    # A fuse that opens at the limit protects the wires better than the limit does.
    opens = fuse.rating_a * fuse.opens_at_ratio <= limit_a
    return min(limit_a, fuse.rating_a) if opens else limit_a


def _size_pack_lead(task: _Task, rating_a: float) -> SizedWire:
    pack, supply = task.wired.pack, task.wired.supply
    duty = WireDuty(
        peak_a=task.pack_a,
        rms_a=task.pack_a,
        loop_length_m=2.0 * supply.pack_lead_m,
        source_v=pack.nominal_v if pack.output_v is None else pack.output_v,
        allowed_drop_ratio=task.lead_drop_ratio,
        ambient_c=task.ambient_c,
        fuse_a=rating_a,
    )
    lead = Lead(f"{supply.name} pack lead", supply.pack_lead_m, supply.pack_wire)
    return _size_wire(lead, task.wired.pack_contact_ohm, duty, task.catalogue)


def _size_leads(task: _Task, rating_a: float) -> tuple[_Task, tuple[SizedWire, ...]]:
    """Size the leads, and return the task with what then flows in them.

    Where a run has several feeds, the wires chosen settle how they share its current.
    """
    leads = _each_lead(task, rating_a)
    for _ in range(SHARING_ROUNDS):
        found_a = _full_currents_a(task.wired, _wires(leads), task.ambient_c)
        if all(now <= 1.01 * was for now, was in zip(found_a, task.lead_a, strict=True)):
            break
        task = replace(task, lead_a=tuple(map(max, task.lead_a, found_a)))
        leads = _each_lead(task, rating_a)
    # Each wire stands the most it was found to carry; a fuse carries what flows at one time.
    return replace(task, lead_a=found_a), leads


def _each_lead(task: _Task, rating_a: float) -> tuple[SizedWire, ...]:
    """Size each lead. The positive conductor carries all, each of `n` returns an n-th."""
    loop_in_lengths = 1.0 + 1.0 / task.wired.returns
    sized = []
    for wired_lead, amps in zip(task.wired.leads, task.lead_a, strict=True):
        lead = wired_lead.lead
        duty = WireDuty(
            peak_a=amps,
            rms_a=amps,
            loop_length_m=loop_in_lengths * lead.length_m,
            source_v=task.wired.output_v,
            allowed_drop_ratio=task.lead_drop_ratio * wired_lead.share,
            ambient_c=task.ambient_c,
            fuse_a=rating_a,
        )
        sized.append(_size_wire(lead, wired_lead.contact_ohm, duty, task.catalogue))
    return tuple(sized)


def _size_wire(lead: Lead, contact_ohm: float, duty: WireDuty, catalogue: Catalogue) -> SizedWire:
    choice = choose_wire(offered_wires(catalogue), duty)
    check = check_wire(named_wire(lead.wire, catalogue), duty) if lead.wire else choice.closest
    smallest: dict[str, str] = {}
    for fitting in (one.wire.size for one in choice.checks if not one.unmet):
        smallest.setdefault(fitting.system, fitting.name)
    return SizedWire(
        lead=lead.name,
        length_m=lead.length_m,
        duty=duty,
        check=check,
        choice=choice,
        named=lead.wire is not None,
        smallest_awg=smallest.get("AWG"),
        smallest_mm2=smallest.get("mm2"),
        contact_ohm=contact_ohm,
    )


def _size_fuses(
    task: _Task, cells: Cells, pack_wire: Wire, lead_wires: tuple[Wire, ...]
) -> tuple[SizedFuse, ...]:
    supply, catalogue = task.wired.supply, task.catalogue
    fuses = []
    if task.wired.pack.output_v is None:
        duty = _pack_fuse_duty(task, cells, pack_wire, lead_wires)
        fuses.append(_size_fuse(PACK_SIDE, supply.pack_fuse, duty, catalogue))
    if task.limit_a is not None:
        fuses.append(_size_limited_fuse(task, task.limit_a, lead_wires))
    return tuple(fuses)


def _size_limited_fuse(task: _Task, limit_a: float, lead_wires: tuple[Wire, ...]) -> SizedFuse:
    """Size the fuse after a converter or a bank that limits itself."""
    volts = task.wired.output_v
    source = Source(volts, 0.0, volts, 0.0, limit_a=limit_a)
    duty = FuseDuty(source, _branches(task, lead_wires), ambient_c=task.ambient_c)
    place = STRIP_SIDE if task.converter is not None else SOCKET
    return _size_fuse(place, task.wired.supply.fuse, duty, task.catalogue)


def _size_fuse(place: str, named: str | None, duty: FuseDuty, catalogue: Catalogue) -> SizedFuse:
    fuse = fuse_of(catalogue.fuses[named]) if named else None
    fails = check_fuse(fuse, duty).failed if fuse else ()
    return SizedFuse(place, duty, choose_fuse(offered_fuses(catalogue), duty), fuse, fails)


def _pack_fuse_duty(
    task: _Task, cells: Cells, pack_wire: Wire, lead_wires: tuple[Wire, ...]
) -> FuseDuty:
    """All that the fuse beside the cells protects: to the converter, or to the ends of the runs."""
    wired = task.wired
    pack_lead = Pair(pack_wire, 2.0 * wired.supply.pack_lead_m, 2.0 * wired.pack_contact_ohm)
    source = _pack_source(task, cells, pack_wire)
    if task.converter is not None:
        branches: tuple[Branch, ...] = (Branch(pack_lead, task.pack_a),)
        return FuseDuty(source, branches, ambient_c=task.ambient_c)
    branches = _branches(task, lead_wires)
    return FuseDuty(source, branches, feeder=pack_lead, ambient_c=task.ambient_c)


def _pack_source(task: _Task, cells: Cells, wire: Wire) -> Source:
    """Describe the cells at their strongest and weakest, as seen by the fuse beside them."""
    part, multiple = task.wired.pack, task.wired.supply.pack_multiple
    fresh_ohm = float(cells.fresh.ohms)
    if part.prospective_a is not None:
        fresh_ohm = min(fresh_ohm, part.full_v / (part.prospective_a * multiple))
    weak_ohm = max(float(cells.weak.ohms), fresh_ohm) * (1.0 + part.resistance_tolerance)
    return Source(
        full_v=part.full_v,
        full_ohm=fresh_ohm,
        weak_v=part.cutoff_v,
        weak_ohm=weak_ohm,
        wiring_20c_ohm=wire.size.resistance_20c_ohm_per_m * PACK_TO_FUSE_LOOP_M,
    )


def _branches(task: _Task, lead_wires: tuple[Wire, ...]) -> tuple[Branch, ...]:
    """One branch for each feed: its whole path, counted as if all of the path's thinnest wire."""
    branches = []
    for number, lead in enumerate(task.wired.leads):
        if lead.run is None or lead.pad is None:
            continue
        path = [lead_wires[k] for k in lead_path(task.wired.leads, number)]
        thinnest = min(path, key=lambda wire: wire.size.area_m2)
        run = task.wired.runs[lead.run]
        reach_m = _reach_units(task.wired.leads, lead, run.units) * run.strip.cut_unit_m
        branches.append(
            Branch(
                Pair(thinnest, 2.0 * lead.path_m, 2.0 * lead.path_contact_ohm),
                task.lead_a[number],
                2.0 * run.strip.rail_ohm_per_m * reach_m,
                strip_c=run.strip.max_c,
            )
        )
    return tuple(branches)


def _reach_units(leads: tuple[WiredLead, ...], lead: WiredLead, units: int) -> float:
    """Cut units from a feed to the farthest short that no other feed of its run is nearer to.

    ```
    pad     0         5        10        14
    run     |---------+---------|---------|      the feed at 0 reaches 5, the one at 10 reaches 5
            feed               feed
    ```
    """
    pad = lead.pad or 0
    pads = [other.pad for other in leads if other.run == lead.run and other.pad is not None]
    before, after = [p for p in pads if p < pad], [p for p in pads if p > pad]
    to_start = (pad - max(before)) / 2.0 if before else float(pad)
    to_end = (min(after) - pad) / 2.0 if after else float(units - pad)
    return max(to_start, to_end)


def lead_path(leads: tuple[WiredLead, ...], number: int) -> list[int]:
    """Return the leads from one of them back to the supply."""
    path = []
    while number >= 0:
        path.append(number)
        number = leads[number].parent
    return path
