"""Fuses for one supply: what each has to do, and what the wires behind it must stand.

A bare pack limits nothing, so its fuse comes first: the smallest that would do with the strongest
wire on offer. Every wire then stands that fuse, and the fuse is checked against the wires chosen.
Converters and USB banks limit themselves, and wires after them stand that limit.
"""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.bought import Cells, fuse_of, offered_fuses, offered_wires
from lightcalc.answers.full_load import FullLoad
from lightcalc.answers.wiring import WiredLead, lead_path
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.fuse import Fuse, FuseChoice, FuseDuty, check_fuse, choose_fuse
from lightcalc.physics.circuit.short_circuit import Branch, Source
from lightcalc.physics.circuit.short_circuit import Lead as Pair
from lightcalc.physics.circuit.wire import Wire, ampacity_a

# Common practice: the fuse sits within a hand's width of the pack.
PACK_TO_FUSE_LOOP_M = 0.2
# What protects the wires where their source limits itself.
BY_LIMIT = "converter limit"
PACK_SIDE, STRIP_SIDE, SOCKET = "at the pack", "after the converter", "at the bank's socket"


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


def pack_rating_a(load: FullLoad, cells: Cells) -> float:
    """Find what the wires at the pack must stand: the bank's limit, or the pack fuse's rating."""
    named = load.wired.supply.pack_fuse
    if load.wired.pack.output_max_a is not None:
        return load.wired.pack.output_max_a
    if named:
        return load.catalogue.fuses[named].rating_a
    offered = offered_wires(load.catalogue)
    strongest = max(offered, key=lambda wire: ampacity_a(wire, load.ambient_c))
    duty = _pack_fuse_duty(load, cells, strongest, (strongest,) * len(load.wired.leads))
    choice = choose_fuse(offered_fuses(load.catalogue), duty)
    return choice.chosen.rating_a if choice.chosen else choice.least_rating_a


def strip_rating_a(load: FullLoad) -> float | None:
    """Find what the leads must stand where their source limits itself; None on a bare pack."""
    limit_a, named = load.limit_a, load.wired.supply.fuse
    if limit_a is None or not named:
        return limit_a
    fuse = load.catalogue.fuses[named]
    # A fuse that opens at the limit protects the wires better than the limit does.
    opens = fuse.rating_a * fuse.opens_at_ratio <= limit_a
    return min(limit_a, fuse.rating_a) if opens else limit_a


def size_fuses(
    load: FullLoad, cells: Cells, pack_wire: Wire, lead_wires: tuple[Wire, ...]
) -> tuple[SizedFuse, ...]:
    """Choose or check the fuse wherever a source of its own begins."""
    supply, catalogue = load.wired.supply, load.catalogue
    fuses = []
    if load.wired.pack.output_v is None:
        duty = _pack_fuse_duty(load, cells, pack_wire, lead_wires)
        fuses.append(_size_fuse(PACK_SIDE, supply.pack_fuse, duty, catalogue))
    if load.limit_a is not None:
        fuses.append(_size_limited_fuse(load, load.limit_a, lead_wires))
    return tuple(fuses)


def _size_limited_fuse(load: FullLoad, limit_a: float, lead_wires: tuple[Wire, ...]) -> SizedFuse:
    """Size the fuse after a converter or a bank that limits itself."""
    volts = load.wired.output_v
    source = Source(volts, 0.0, volts, 0.0, limit_a=limit_a)
    duty = FuseDuty(source, _branches(load, lead_wires), ambient_c=load.ambient_c)
    place = STRIP_SIDE if load.converter is not None else SOCKET
    return _size_fuse(place, load.wired.supply.fuse, duty, load.catalogue)


def _size_fuse(place: str, named: str | None, duty: FuseDuty, catalogue: Catalogue) -> SizedFuse:
    fuse = fuse_of(catalogue.fuses[named]) if named else None
    fails = check_fuse(fuse, duty).failed if fuse else ()
    return SizedFuse(place, duty, choose_fuse(offered_fuses(catalogue), duty), fuse, fails)


def _pack_fuse_duty(
    load: FullLoad, cells: Cells, pack_wire: Wire, lead_wires: tuple[Wire, ...]
) -> FuseDuty:
    """All that the fuse beside the cells protects: to the converter, or to the ends of the runs."""
    wired = load.wired
    pack_lead = Pair(pack_wire, 2.0 * wired.supply.pack_lead_m, 2.0 * wired.pack_contact_ohm)
    source = _pack_source(load, cells, pack_wire)
    if load.converter is not None:
        branches: tuple[Branch, ...] = (Branch(pack_lead, load.pack_a),)
        return FuseDuty(source, branches, ambient_c=load.ambient_c)
    branches = _branches(load, lead_wires)
    return FuseDuty(source, branches, feeder=pack_lead, ambient_c=load.ambient_c)


def _pack_source(load: FullLoad, cells: Cells, wire: Wire) -> Source:
    """Describe the cells at their strongest and weakest, as seen by the fuse beside them."""
    part, multiple = load.wired.pack, load.wired.supply.pack_multiple
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


def _branches(load: FullLoad, lead_wires: tuple[Wire, ...]) -> tuple[Branch, ...]:
    """One branch for each feed: its whole path, counted as if all of the path's thinnest wire."""
    branches = []
    for number, lead in enumerate(load.wired.leads):
        if lead.run is None or lead.pad is None:
            continue
        path = [lead_wires[k] for k in lead_path(load.wired.leads, number)]
        thinnest = min(path, key=lambda wire: wire.size.area_m2)
        run = load.wired.runs[lead.run]
        reach_m = _reach_units(load.wired.leads, lead, run.units) * run.strip.cut_unit_m
        branches.append(
            Branch(
                Pair(thinnest, 2.0 * lead.path_m, 2.0 * lead.path_contact_ohm),
                load.lead_a[number],
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
