"""Supplies that are wired alike, as one batch: same runs, feeds and branches, other numbers.

A case is one of the supplies with wires, volts and warmth of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import cut_unit
from lightcalc.answers.draw import controller_idle_a, with_jumpers
from lightcalc.answers.finder.offers import WireOffer
from lightcalc.answers.jumpers import JUMPER_M, NO_JUMPERS, JumperOhms, in_series
from lightcalc.answers.surroundings import brightest
from lightcalc.answers.wiring import Wired, lead_path
from lightcalc.design.piece import Use
from lightcalc.physics.circuit import network
from lightcalc.physics.circuit.ladder import Solution, solve
from lightcalc.physics.circuit.strip import Channel, CutUnit, Values
from lightcalc.physics.circuit.wire import hot_copper_ratio

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Key = tuple[object, ...]


def alike(wireds: Sequence[Wired], uses: Sequence[Use]) -> list[list[int]]:
    """Sort supplies into groups that are wired alike and used alike."""
    groups: dict[Key, list[int]] = {}
    for place, (wired, use) in enumerate(zip(wireds, uses, strict=True)):
        runs = tuple((run.units, run.strip.kind, len(run.strip.channels)) for run in wired.runs)
        leads = tuple((lead.parent, lead.run, lead.pad) for lead in wired.leads)
        groups.setdefault((use, runs, leads), []).append(place)
    return list(groups.values())


@dataclass(frozen=True)
class Batch:
    """Supplies wired alike; numbers are (supplies,), those of leads (supplies, leads)."""

    wireds: tuple[Wired, ...]
    use: Use
    offer: WireOffer

    @cached_property
    def leads_m(self) -> Array:
        """Length of each lead."""
        return np.array([[lead.lead.length_m for lead in w.leads] for w in self.wireds])

    @cached_property
    def contacts_ohm(self) -> Array:
        """What the connectors in each lead add to each of its conductors."""
        return np.array([[lead.contact_ohm for lead in w.leads] for w in self.wireds])

    @cached_property
    def shares(self) -> Array:
        """Share of each lead in the volts that may be lost on the way."""
        return np.array([[lead.share for lead in w.leads] for w in self.wireds])

    @cached_property
    def named(self) -> Places:
        """Place on offer of each wire that is named."""
        named = [self.offer.named([lead.lead.wire for lead in w.leads]) for w in self.wireds]
        return np.array(named, dtype=np.intp)

    @property
    def returns(self) -> int:
        """Return conductors of every lead."""
        return self.wireds[0].returns

    @property
    def idle_a(self) -> float:
        """What the controller draws itself."""
        return controller_idle_a(self.wireds[0])

    @cached_property
    def standby_a(self) -> Array:
        """What controller and pixels draw when it is dark."""
        idle_a = np.full(len(self.wireds), self.idle_a)
        if self.wireds[0].runs[0].strip.kind == "pixel":
            idle_a += np.sum(self.of_strips("idle_a") * self.of_runs("units"), axis=1)
        return idle_a

    @property
    def first_leads(self) -> list[int]:
        """Leads that start at the supply."""
        return [number for number, lead in enumerate(self.wireds[0].leads) if lead.parent < 0]

    @cached_property
    def by_rated_v(self) -> list[tuple[float, Places]]:
        """Places of the supplies of each rated volts."""
        rated = np.array([wired.rated_v for wired in self.wireds])
        return [(volts, np.flatnonzero(rated == volts)) for volts in np.unique(rated).tolist()]

    @cached_property
    def paths(self) -> list[list[int]]:
        """For each feed, its lead and those it branches from."""
        leads = self.wireds[0].leads
        return [lead_path(leads, n) for n, lead in enumerate(leads) if lead.run is not None]

    @property
    def apart(self) -> bool:
        """Whether what one lead carries is all the same to the others: runs share no copper.

        Nor the switches of a controller, at which a run with thin wire leaves volts to the rest.
        """
        first = self.wireds[0]
        own = len(first.leads) == len(first.runs) and all(lead.parent < 0 for lead in first.leads)
        shared = first.controller is not None and first.controller.on_ohm > 0.0
        return own and (len(first.runs) == 1 or not shared)

    @cached_property
    def _units(self) -> list[list[CutUnit]]:
        count = len(self.wireds[0].runs)
        return [[cut_unit(w.runs[number].strip) for w in self.wireds] for number in range(count)]

    @cached_property
    def _rail_ohm_per_m(self) -> Array:
        return np.array([[run.strip.rail_ohm_per_m for run in w.runs] for w in self.wireds])

    @cached_property
    def cut_m(self) -> Array:
        """Length of a cut unit of each run (supplies, runs)."""
        return np.array([[run.strip.cut_unit_m for run in w.runs] for w in self.wireds])

    @cached_property
    def light_ratio(self) -> Array:
        """Share of full light in the brightest part of the evening."""
        strips = [[run.strip for run in wired.runs] for wired in self.wireds]
        most = [max(brightest(strip, self.use).level_ratio for strip in row) for row in strips]
        return np.array(most)

    def of_runs(self, name: str) -> Array:
        """Return a figure of each run (supplies, runs)."""
        return np.array([[getattr(run, name) for run in w.runs] for w in self.wireds])

    def of_strips(self, name: str) -> Array:
        """Return a figure of the strip of each run (supplies, runs); infinite where unknown."""
        figures = [[getattr(run.strip, name) for run in w.runs] for w in self.wireds]
        return np.array(
            [[np.inf if one is None else one for one in row] for row in figures], dtype=float
        )

    def plugs(self, name: str) -> Array:
        """Return price or mass of the connectors in leads (supplies,)."""
        parts = self.offer.catalogue.connectors
        plugs = [
            [plug for lead in w.leads for plug in lead.lead.crossing.connectors]
            for w in self.wireds
        ]
        each = {plug: getattr(parts[plug], name) for row in plugs for plug in row}
        each = {plug: np.inf if value is None else value for plug, value in each.items()}
        return np.array([sum(each[plug] for plug in row) for row in plugs], dtype=float)

    def jumpers(self, of: Places, copper_ohm: Array, *, converter: bool) -> JumperOhms:
        """Return the jumpers of cases (cases,) behind converters, or straight on packs."""
        first = self.first_leads
        per_m = (copper_ohm[:, first] / self.leads_m[of][:, first]).min(axis=1)
        controller = self.wireds[0].controller is not None
        return in_series(JUMPER_M * per_m, len(first), converter=converter, controller=controller)

    def network(
        self,
        of: Places,
        copper_ohm: Array,
        strip_c: Array,
        series_ohm: Array | float,
        jumpers: JumperOhms = NO_JUMPERS,
    ) -> network.Network:
        """Wire up cases (cases,) of these supplies.

        Parameters: which supply each is; ohms of the copper of one conductor of each lead (cases,
        leads), warmth of each run (cases, runs), what lies before the controller, and jumpers.
        """
        first, lead_ohm = self.wireds[0], copper_ohm + self.contacts_ohm[of]
        rail = self._rail_ohm_per_m[of] * hot_copper_ratio(strip_c) * self.cut_m[of]
        runs, count = [], self._units[0][0].returns
        for number, run in enumerate(first.runs):
            unit = _stacked(self._units[number], of)
            copper = rail[:, number]
            runs.append(network.Run(unit, run.units, 1.0, copper, (copper,) * count))
        leads = [
            network.Lead(lead.parent, lead_ohm[:, n], (lead_ohm[:, n],) * count, lead.run, lead.pad)
            for n, lead in enumerate(first.leads)
        ]
        on_ohm = first.controller.on_ohm if first.controller else 0.0
        found = network.Network(tuple(runs), tuple(leads), series_ohm, (on_ohm,) * count)
        return with_jumpers(found, jumpers)

    def amps(self, of: Places, wires: Places, volts: Array) -> Array:
        """Find the current in each lead at full level, all as warm as inside a piece."""
        warm_c = self.offer.ambient_c
        ohm = self.offer.ohm(wires, self.leads_m[of], warm_c)
        strip_c = np.full((len(of), len(self._units)), warm_c)
        found = solve(self.network(of, ohm, strip_c, 0.0), volts)
        return np.abs(found.lead_a)

    def light(self, of: Places, found: Solution) -> tuple[Array, Array]:
        """Return the light of all runs [lm] and the fall along the worst of them (...)."""
        light_lm: Array | float = 0.0
        fall: Array | float = 0.0
        lm_per_m, length_m = self.of_strips("light_lm_per_m")[of], self.of_runs("length_m")[of]
        for number, run in enumerate(found.runs):
            light = run.light.mean(axis=-1)
            rated_lm = lm_per_m[:, number] * length_m[:, number]
            rated_lm = rated_lm.reshape(rated_lm.shape + (1,) * (light.ndim - 2))
            light_lm = light_lm + rated_lm * light.mean(axis=-1)
            brightest = np.maximum(light.max(axis=-1), 1e-12)
            fall = np.maximum(fall, 1.0 - light.min(axis=-1) / brightest)
        return np.asarray(light_lm), np.asarray(fall)


def over_volts(wiring: network.Network) -> network.Network:
    """Return cases (cases,) so that each can be solved at several volts (cases, volts)."""

    def wide(number: Values) -> Values:
        return np.asarray(number)[:, None] if np.ndim(number) else number

    return wiring.with_numbers(wide)


def _stacked(units: Sequence[CutUnit], of: Places) -> CutUnit:
    """One unit with numbers (cases,)."""
    first = units[0]

    def column(values: Sequence[object]) -> Array:
        return np.array(values, dtype=float)[of]

    channels = tuple(
        Channel(
            column([unit.channels[c].rated_a for unit in units]),
            column([unit.channels[c].forward_v for unit in units]),
            column([unit.channels[c].slope_v for unit in units]),
            column([unit.channels[c].resistance_ohm for unit in units]),
        )
        for c in range(len(first.channels))
    )
    return CutUnit(
        channels,
        first.holds_current,
        first.shared_return,
        column([unit.idle_a for unit in units]),
        column([unit.idle_min_v for unit in units]),
    )
