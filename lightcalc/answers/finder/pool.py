"""The designs of a search that may still be worth answering, with the best each could be.

One column of a pool is a light side behind one converter, or straight on a pack; its rows are the
packs that could feed it. What no pack changes is answered once for a column.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import cells_of
from lightcalc.answers.draw import Circuit, standby_w
from lightcalc.answers.finder.choices import Choices, LightSide, Power
from lightcalc.answers.finder.demands import Demands
from lightcalc.answers.finder.energy import Energies, Stage, longest_s
from lightcalc.answers.finder.light_side import light_answer
from lightcalc.answers.finder.straight import Cells, straight_bounds
from lightcalc.answers.findings_power import OVERVOLT_STOP_RATIO
from lightcalc.answers.findings_service import hold_findings
from lightcalc.answers.wiring import wire_up
from lightcalc.design.check import find_wire_name
from lightcalc.design.check_supply import volts_fit
from lightcalc.design.piece import Design, Supply, Use

Array = NDArray[np.float64]
HOUR_S = 3600.0
# A sum in another order may come out less by this, and must still be a bound.
ROUNDING = 1.0 - 1e-9


@dataclass(frozen=True)
class Pool:
    """The powers of one group of supplies in one light side, those that may do.

    Merits (powers,) that no answer of these supplies is better than.
    """

    light: LightSide
    design: Design
    group: tuple[str, ...]
    powers: tuple[Power, ...]
    price: Array
    hours_h: Array
    fall: Array
    mass_kg: Array


class _Best:
    """Merits of a column that no answer is better than, one row for each pack (powers,)."""

    def __init__(self, count: int) -> None:
        self.price, self.mass_kg = np.zeros(count), np.zeros(count)
        self.hours_h, self.fall = np.full(count, math.inf), np.zeros(count)
        self.possible = np.ones(count, dtype=bool)


class _Steady(NamedTuple):
    """A load that does not follow the volts of its pack, down to the volts where it ends."""

    stages: tuple[Stage, ...]
    dark_w: Array | float
    floor_v: float


class Bounds:
    """Bounds for every light side of a search, from the packs and converters of its catalogue."""

    def __init__(self, choices: Choices, demands: Demands) -> None:
        self.choices, self.demands = choices, demands
        self.catalogue = choices.catalogue
        self.packs = tuple(self.catalogue.packs.values())
        self.row = {pack.name: row for row, pack in enumerate(self.packs)}
        self._known_to_fit: dict[tuple[str, str | None, float], bool] = {}

    def pools(self, light: LightSide) -> tuple[Pool, ...]:
        """Bound one light side: one pool for each group of supplies, none if nothing can do."""
        design = self.choices.lit_by(light)
        groups = self.choices.supply_groups(design) if design else ()
        pools = tuple(self._pool(light, design, group) for group in groups if design)
        return pools if all(pool.powers for pool in pools) else ()

    def _pool(self, light: LightSide, design: Design, group: tuple[str, ...]) -> Pool:
        drawn = design.supply(group[0])
        rated_v = self.catalogue.strips[design.runs_of(drawn.name)[0].strip].rated_v
        columns: dict[str | None, list[Power]] = {}
        for power in self.choices.powers(drawn):
            if self._volts_fit(power, rated_v, design.use) and self._holds(power, design, group):
                columns.setdefault(power.converter, []).append(power)
        powers: list[Power] = []
        merits = [np.empty((4, 0))]
        for column in columns.values():
            best = self._column(design, group, column)
            powers += itertools.compress(column, best.possible)
            rows = np.stack((best.price, best.hours_h, best.fall, best.mass_kg))
            merits.append(rows[:, best.possible])
        return Pool(light, design, group, tuple(powers), *np.concatenate(merits, axis=1))

    def _holds(self, power: Power, design: Design, group: tuple[str, ...]) -> bool:
        """Whether what holds the packs of a group bears the weight of these."""
        pack, system = self.catalogue.packs[power.pack], design.system
        supplies = (replace(design.supply(name), pack_multiple=power.multiple) for name in group)
        found = (one for supply in supplies for one in hold_findings(supply, pack, system))
        return not any(finding.grade == "stop" for finding in found)

    def _volts_fit(self, power: Power, rated_v: float, use: Use) -> bool:
        """Whether volts and temperature allow a power at all."""
        key = (power.pack, power.converter, rated_v)
        if key not in self._known_to_fit:
            pack = self.catalogue.packs[power.pack]
            named = self.catalogue.converters[power.converter] if power.converter else None
            straight = named is None or named.kind == "boost"
            highest_v = pack.full_v if pack.output_v is None else pack.output_v
            fits = volts_fit(pack, named, rated_v) and pack.min_c <= use.temperature_c <= pack.max_c
            over = straight and highest_v > OVERVOLT_STOP_RATIO * rated_v
            self._known_to_fit[key] = fits and not over
        return self._known_to_fit[key]

    def _column(self, design: Design, group: tuple[str, ...], column: Sequence[Power]) -> _Best:
        """Add up what each supply of a group can be at best; the one that is worst decides."""
        best, hidden = _Best(len(column)), True
        light_lm: Array | float = 0.0
        powered = self.choices.powered(design, group, column[0])
        for name in group:
            supply = powered.supply(name)
            self._add_packs(best, supply, column)
            if supply.converter is None:
                light_lm = light_lm + self._add_straight(best, supply, powered, column)
                continue
            lit = light_answer(supply, powered, self.catalogue)
            best.price += _or_inf(lit.price)
            best.mass_kg += _or_inf(lit.mass_kg)
            best.fall = np.maximum(best.fall, lit.light_fall_ratio)
            dark_w = self._dark_w(supply, lit.circuit, column)
            load = _Steady(lit.stages, dark_w, lit.lets_go_v)
            lasts_h = self._steady_h(load, supply, powered.use, column)
            best.hours_h = np.minimum(best.hours_h, lasts_h)
            light_lm, hidden = light_lm + lit.light_lm, hidden and lit.hidden
            best.possible &= not lit.stops
        if len(group) < len(design.supplies):
            light_lm = math.inf
        self._hold_to_demands(best, light_lm, hidden)
        return best

    def _hold_to_demands(self, best: _Best, light_lm: Array | float, hidden: bool) -> None:
        asked = self.demands
        if asked.hours_h is not None:
            best.possible &= best.hours_h >= asked.hours_h
        best.possible &= best.hours_h > 0.0
        if asked.price is not None:
            best.possible &= best.price <= asked.price
        if asked.mass_kg is not None:
            best.possible &= best.mass_kg <= asked.mass_kg
        if asked.light_fall_ratio is not None:
            best.possible &= best.fall <= asked.light_fall_ratio
        if asked.light_lm is not None:
            best.possible &= light_lm >= asked.light_lm
        best.possible &= hidden or not asked.hidden

    def _add_packs(self, best: _Best, supply: Supply, column: Sequence[Power]) -> None:
        """Add packs and converters, and the least that a pack fuse and lead can cost."""
        packs = [self.catalogue.packs[power.pack] for power in column]
        times = np.array([power.multiple for power in column])
        fused = np.array([pack.output_v is None for pack in packs])
        lead_price, lead_kg = self._least_copper(supply.pack_wire)
        fuse_price, fuse_kg = self._least_fuse()
        best.price += ROUNDING * (
            times * [_or_inf(pack.price) for pack in packs]
            + fused * fuse_price
            + 2.0 * supply.pack_lead_m * lead_price
        )
        best.mass_kg += ROUNDING * (
            times * [_or_inf(pack.mass_kg) for pack in packs]
            + fused * fuse_kg
            + 2.0 * supply.pack_lead_m * lead_kg
        )

    def _least_copper(self, named: str | None) -> tuple[float, float]:
        """Price and mass of a metre of the wire named, or the least of those on offer."""
        wires = [wire for wire in self.catalogue.wires.values() if wire.construction == "stranded"]
        if named is not None:
            wires = [self.catalogue.wires[find_wire_name(named, self.catalogue)]]
        return (
            min(_or_inf(wire.price_per_m) for wire in wires),
            min(_or_inf(wire.mass_kg_per_m) for wire in wires),
        )

    def _least_fuse(self) -> tuple[float, float]:
        fuses = self.catalogue.fuses.values()
        return (
            min((_or_inf(fuse.price) for fuse in fuses), default=0.0),
            min((_or_inf(fuse.mass_kg) for fuse in fuses), default=0.0),
        )

    def _add_straight(
        self, best: _Best, supply: Supply, design: Design, column: Sequence[Power]
    ) -> Array:
        """Add the strips of a supply without a converter, whose wires hang on its pack.

        Returns at least as much light as they can give.
        """
        wired = wire_up(supply, design, self.catalogue)
        for cut_run in wired.runs:
            strip, length_m = cut_run.strip, cut_run.length_m
            best.price += ROUNDING * _or_inf(strip.price) * length_m / strip.reel_m
            best.mass_kg += ROUNDING * _or_inf(strip.mass_kg_per_m) * length_m
        for lead in (one.lead for one in wired.leads):
            price, mass_kg = self._least_copper(lead.wire)
            best.price += ROUNDING * price * (1 + wired.returns) * lead.length_m
            best.mass_kg += ROUNDING * mass_kg * (1 + wired.returns) * lead.length_m
        packs = [self.catalogue.packs[power.pack] for power in column]
        bounds = straight_bounds(supply, design, self.catalogue, packs)
        rows = np.array([self.row[power.pack] for power in column])
        multiple = np.array([float(power.multiple) for power in column])
        cells = self._cells(supply.health_ratio, design.use.temperature_c)
        dark_w = self._dark_w(supply, bounds.circuit, column)
        lasts_h = bounds.hours_h(cells, rows, multiple, dark_w, design.use)
        for place, pack in enumerate(packs):
            if pack.output_v is not None:
                # A bank holds its socket's volts to its end, so that its light does not fall.
                load = _Steady(bounds.stages(pack.output_v), dark_w[place], 0.0)
                lasts_h[place] = self._steady_h(load, supply, design.use, [column[place]])[0]
        best.hours_h = np.minimum(best.hours_h, lasts_h)
        at_v = np.array([pack.output_v or pack.nominal_v for pack in packs])
        best.fall = np.maximum(best.fall, bounds.fall_at(at_v))
        brightest_ratio = max(stage.least_w for stage in bounds.shares)
        return bounds.light_lm(at_v) * brightest_ratio

    def _steady_h(self, load: _Steady, supply: Supply, use: Use, column: Sequence[Power]) -> Array:
        """Hours that no pack of a column exceeds under loads that do not follow its volts."""
        rows = np.array([self.row[power.pack] for power in column])
        packs = [self.packs[row] for row in rows]
        times = np.array([power.multiple for power in column], dtype=float)
        # What the cells of a bank give comes out of its socket less the losses between.
        times *= [pack.output_efficiency or 1.0 for pack in packs]
        known = self._energies_at(supply.health_ratio, use.temperature_c)
        least_w = min(stage.least_w for stage in load.stages)
        most_w = max(stage.least_w for stage in load.stages)
        bank = np.array([pack.output_v is not None for pack in packs])
        floors = (known.at(rows, floor_v, least_w / times) for floor_v in (0.0, load.floor_v))
        cells_j = np.where(bank, *floors)
        # In the dark the cells are at rest, and give the same power at less current.
        dark_w = load.dark_w * known.least_share(rows, most_w / times)
        return longest_s(times * cells_j, load.stages, dark_w, use.evenings_a_week) / HOUR_S

    def _dark_w(self, supply: Supply, circuit: Circuit, column: Sequence[Power]) -> Array:
        """Power at the terminals between evenings; none where it may not flow."""
        packs = [self.catalogue.packs[power.pack] for power in column]
        volts = [pack.output_v or pack.nominal_v for pack in packs]
        known = {v: 0.0 if supply.switched_off else standby_w(circuit, v) for v in set(volts)}
        # A bank may switch itself off.
        return np.array(
            [0.0 if pack.auto_off_a else known[v] for v, pack in zip(volts, packs, strict=True)]
        )

    @lru_cache(maxsize=16)  # noqa: B019 - lives as long as one search
    def _energies_at(self, health_ratio: float, temperature_c: float) -> Energies:
        cells = [cells_of(pack, 1, health_ratio, temperature_c).used for pack in self.packs]
        return Energies(cells, [pack.nominal_v for pack in self.packs])

    @lru_cache(maxsize=16)  # noqa: B019 - lives as long as one search
    def _cells(self, health_ratio: float, temperature_c: float) -> Cells:
        packs = [cells_of(pack, 1, health_ratio, temperature_c).used for pack in self.packs]
        return Cells(packs)


def _or_inf(value: float | None) -> float:
    return math.inf if value is None else value
