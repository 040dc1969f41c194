"""One supply as it is wired: its runs cut to length, its leads as a tree, and the network.

The leads of a supply are the trunks its runs branch from and the leads to their feeds, in an
order in which every lead comes after the one it branches from. A connector is part of the lead it
sits in: each of its conductors goes through one mated contact.

    ──copper──▷▷──copper──   +            both contacts of a loop count; of a lead with several
    ──copper──▷▷──copper──   - of a channel   returns, one in the + and one in each of them
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from lightcalc.answers.bought import cut_unit
from lightcalc.design.cutting import cut_units, nearest_pad
from lightcalc.design.piece import Design, Lead, Run, Supply
from lightcalc.parts.kinds import Catalogue, Controller, Converter, Pack, Strip
from lightcalc.physics.circuit import network
from lightcalc.physics.circuit.strip import Values
from lightcalc.physics.circuit.wire import Wire, hot_copper_ratio, loop_ohm


@dataclass(frozen=True)
class CutRun:
    """A run with its strip, cut to whole cut units."""

    run: Run
    strip: Strip
    units: int

    @property
    def length_m(self) -> float:
        """Length after cutting."""
        return self.units * self.strip.cut_unit_m

    @property
    def rated_w(self) -> float:
        """Rated power after cutting."""
        return self.strip.power_w_per_m * self.length_m

    @property
    def rated_light_w(self) -> float:
        """Watts of `rated_w` that leave as light."""
        return self.rated_w * (1.0 - self.strip.heat_share)

    def pad(self, at_m: float) -> int:
        """Return the nearest solder pad to a place along the run."""
        return nearest_pad(at_m, self.units, self.strip)


@dataclass(frozen=True)
class WiredLead:
    """One lead of a supply. `parent` counts from 0, or is -1 at the supply.

    `path_m` is the length of cable from the supply to its far end; `share` is the part of the
    longest path through it that is its own. `contact_ohm` is what the connectors in it add to each
    of its conductors, and `path_contact_ohm` those of the whole path.
    """

    lead: Lead
    parent: int
    path_m: float
    share: float
    run: int | None = None
    pad: int | None = None
    contact_ohm: float = 0.0
    path_contact_ohm: float = 0.0


def lead_path(leads: tuple[WiredLead, ...], number: int) -> list[int]:
    """Return the leads from one of them back to the supply."""
    path = []
    while number >= 0:
        path.append(number)
        number = leads[number].parent
    return path


@dataclass(frozen=True)
class Wired:
    """A supply with its parts, runs and leads.

    `pack_contact_ohm` is what the connectors of the pack lead add to each of its conductors.
    """

    supply: Supply
    pack: Pack
    converter: Converter | None
    controller: Controller | None
    runs: tuple[CutRun, ...]
    leads: tuple[WiredLead, ...]
    pack_contact_ohm: float

    @property
    def rated_v(self) -> float:
        """Rated volts of the strips."""
        return self.runs[0].strip.rated_v

    @property
    def output_v(self) -> float:
        """Volts that reach the controller and leads when nothing is drawn."""
        if self.converter is not None:
            return self.supply.output_v if self.supply.output_v is not None else self.rated_v
        return self.pack.nominal_v if self.pack.output_v is None else self.pack.output_v

    @property
    def rated_w(self) -> float:
        """Rated power of all runs together."""
        return math.fsum(run.rated_w for run in self.runs)

    @property
    def highest_v(self) -> float:
        """Highest volts that reach the controller and leads."""
        straight = self.converter is None and self.pack.output_v is None
        return self.pack.full_v if straight else self.output_v

    @property
    def returns(self) -> int:
        """How many return conductors every lead has beside its positive one."""
        strip = self.runs[0].strip
        return 1 if strip.kind == "pixel" else len(strip.channels)


def cut(run: Run, catalogue: Catalogue) -> CutRun:
    """Cut a run to whole cut units, rounded down."""
    strip = catalogue.strips[run.strip]
    return CutRun(run, strip, cut_units(run.length_m, strip))


def contact_ohm(connectors: Iterable[str], catalogue: Catalogue) -> float:
    """Return what connectors, one after another, add to each conductor that goes through them."""
    return math.fsum(catalogue.connectors[name].resistance_ohm for name in connectors)


def wire_up(supply: Supply, design: Design, catalogue: Catalogue) -> Wired:
    """Gather the runs and leads of one supply."""
    runs = tuple(cut(run, catalogue) for run in design.runs_of(supply.name))
    return Wired(
        supply=supply,
        pack=catalogue.packs[supply.pack],
        converter=catalogue.converters[supply.converter] if supply.converter else None,
        controller=catalogue.controllers[supply.controller] if supply.controller else None,
        runs=runs,
        leads=_leads(runs, {trunk.name: trunk for trunk in design.trunks}, catalogue),
        pack_contact_ohm=contact_ohm(supply.connectors, catalogue),
    )


def _leads(
    runs: tuple[CutRun, ...], trunks: Mapping[str, Lead], catalogue: Catalogue
) -> tuple[WiredLead, ...]:
    chosen: list[tuple[Lead, int, int | None, int | None]] = []
    places: dict[str, int] = {}

    def place(name: str | None) -> int:
        if name is None:
            return network.SUPPLY
        if name not in places:
            parent = place(trunks[name].parent)
            chosen.append((trunks[name], parent, None, None))
            places[name] = len(chosen) - 1
        return places[name]

    for number, run in enumerate(runs):
        for feed in run.run.feeds:
            parent = place(feed.lead.parent)
            chosen.append((feed.lead, parent, number, run.pad(feed.at_m)))
    return _with_paths(chosen, catalogue)


def _with_paths(
    chosen: list[tuple[Lead, int, int | None, int | None]], catalogue: Catalogue
) -> tuple[WiredLead, ...]:
    path_m: list[float] = []
    contacts = [contact_ohm(lead.crossing.connectors, catalogue) for lead, *_ in chosen]
    path_ohm: list[float] = []
    for own_ohm, (lead, parent, _, _) in zip(contacts, chosen, strict=True):
        path_m.append(lead.length_m + (path_m[parent] if parent >= 0 else 0.0))
        path_ohm.append(own_ohm + (path_ohm[parent] if parent >= 0 else 0.0))
    longest_m = list(path_m)
    for number in reversed(range(len(chosen))):
        parent = chosen[number][1]
        if parent >= 0:
            longest_m[parent] = max(longest_m[parent], longest_m[number])
    return tuple(
        WiredLead(
            lead=lead,
            parent=parent,
            path_m=path_m[number],
            share=lead.length_m / longest_m[number],
            run=run,
            pad=pad,
            contact_ohm=contacts[number],
            path_contact_ohm=path_ohm[number],
        )
        for number, (lead, parent, run, pad) in enumerate(chosen)
    )


def copper_times(lead: network.Lead, factor: Values, contact_ohm: float) -> network.Lead:
    """Return a lead whose copper is some times what it was; its contacts stay as they are."""

    def times(ohm: Values) -> Values:
        return (np.asarray(ohm) - contact_ohm) * factor + contact_ohm

    returns = tuple(times(ohm) for ohm in lead.return_ohm)
    return replace(lead, positive_ohm=times(lead.positive_ohm), return_ohm=returns)


def build_network(
    wired: Wired,
    wires: tuple[Wire, ...],
    strip_c: tuple[float, ...],
    series_ohm: float,
    ambient_c: float,
) -> network.Network:
    """Build the network of one supply.

    `wires` holds one wire for each lead, `strip_c` how warm each run gets, and `series_ohm` what
    lies before the controller: pack lead, fuse and connectors, both conductors in one figure,
    since all of the current flows through both.
    """
    runs = []
    for number, cut_run in enumerate(wired.runs):
        unit = cut_unit(cut_run.strip)
        ohm_per_m = cut_run.strip.rail_ohm_per_m * float(hot_copper_ratio(strip_c[number]))
        returns = (ohm_per_m,) * unit.returns
        runs.append(network.Run(unit, cut_run.units, cut_run.strip.cut_unit_m, ohm_per_m, returns))
    count = runs[0].unit.returns
    leads = []
    for wired_lead, wire in zip(wired.leads, wires, strict=True):
        copper_ohm = float(loop_ohm(wire.size, wired_lead.lead.length_m, ambient_c))
        one_way = copper_ohm + wired_lead.contact_ohm
        leads.append(
            network.Lead(
                wired_lead.parent, one_way, (one_way,) * count, wired_lead.run, wired_lead.pad
            )
        )
    on_ohm = wired.controller.on_ohm if wired.controller else 0.0
    return network.Network(tuple(runs), tuple(leads), series_ohm, (on_ohm,) * count)
