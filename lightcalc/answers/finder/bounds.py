"""Bounds for every design of a search: pools of what may still be worth answering."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from lightcalc.answers.finder.choices import Choices, LightSide, Power
from lightcalc.answers.finder.demands import Demands
from lightcalc.answers.finder.energy import Energies
from lightcalc.answers.finder.light_side import LightSides
from lightcalc.answers.finder.of_supply import ROUNDING, OfSupply
from lightcalc.answers.finder.pool import Pool
from lightcalc.answers.finder.stock import Stock
from lightcalc.answers.findings.power import OVERVOLT_STOP_RATIO
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.check_supply import keys_fit, volts_fit
from lightcalc.design.piece import Design, Supply
from lightcalc.design.space import Space
from lightcalc.problems import Problems

# Powers most asked for of a pack, in parts of what the strips are rated for.
LOW_W, HIGH_W = 0.5, 1.5


class Bounds:
    """Bounds for every design of a search."""

    def __init__(self, choices: Choices, demands: Demands) -> None:
        self.choices, self.demands = choices, demands
        self.catalogue = choices.catalogue
        self.sides = LightSides(choices.design, choices.catalogue)
        self.parts = tuple(self.catalogue.packs.values())
        self._fits: dict[tuple[object, ...], bool] = {}

    def pools(self) -> Iterator[tuple[Pool, ...]]:
        """Bound every build: one pool for each group of its supplies."""
        for build in self.choices.builds:
            lights = [light for light in self.choices.light_sides if light.build == build]
            pairs = [(light, self.choices.lit_by(light)) for light in lights]
            tried = [(light, lit, self._powered(lit)) for light, lit in pairs if lit]
            sound = [(light, lit, powered) for light, lit, powered in tried if powered]
            if sound:
                yield self._build(sound)

    def _powered(self, design: Design) -> Design | None:
        """Return a light side run from the first that fits each supply; None if none can be."""
        for supply in design.supplies:
            strips = [self.catalogue.strips[run.strip] for run in design.runs_of(supply.name)]
            if len({(strip.rated_v, len(strip.channels)) for strip in strips}) > 1:
                return None
            tried = (
                self.choices.powered(design, (supply.name,), power)
                for power in self.choices.powers(supply)
                if self._volts_fit(power, strips[0].rated_v)
            )
            fitting = (one for one in tried if self._keys_fit(one.supply(supply.name)))
            found = next(fitting, None)
            if found is None:
                return None
            design = found
        # Whatever does not fit in space is found when a design is answered.
        flat = tuple(replace(run, mounts=()) for run in design.runs)
        problems = Problems("")
        check_against_catalogue(replace(design, runs=flat, space=Space()), self.catalogue, problems)
        return None if problems.found else design

    def _keys_fit(self, supply: Supply) -> bool:
        """Whether there is a place for every fuse that a supply names."""
        return keys_fit(supply, self.catalogue.packs[supply.pack])

    def _build(self, sound: Sequence[tuple[LightSide, Design, Design]]) -> tuple[Pool, ...]:
        lights, designs, powered = zip(*sound, strict=True)
        pools = []
        for group in self.choices.supply_groups(designs[0]):
            powers = self.choices.powers(designs[0].supply(group[0]))
            shape = (len(lights), len(powers))
            zero, every = np.zeros(shape), np.full(shape, np.inf)
            pool = Pool(lights, designs, powered, group, powers, zero, every, zero.copy(),
                        zero.copy(), zero.copy(), np.ones(shape, dtype=bool))  # fmt: skip
            twins: dict[Supply, list[str]] = {}
            for name in group:
                twins.setdefault(replace(designs[0].supply(name), name=""), []).append(name)
            for names in twins.values():
                supply = OfSupply(self, pool, names)
                supply.add()
                pool.supplies.append(supply)
            # Sums in another order may come out a little less.
            pool.price *= ROUNDING
            pool.mass_kg *= ROUNDING
            self._hold_to_demands(pool)
            pools.append(pool)
        return tuple(pools)

    def _hold_to_demands(self, pool: Pool) -> None:
        asked, possible = self.demands, pool.possible
        possible &= pool.hours_h > 0.0
        if asked.hours_h is not None:
            possible &= pool.hours_h >= asked.hours_h
        if asked.price is not None:
            possible &= pool.price <= asked.price
        if asked.mass_kg is not None:
            possible &= pool.mass_kg <= asked.mass_kg
        if asked.light_fall_ratio is not None:
            possible &= pool.fall <= asked.light_fall_ratio
        if asked.light_lm is not None and len(pool.group) == len(pool.designs[0].supplies):
            possible &= pool.light_lm * (1.0 + 1e-9) >= asked.light_lm

    def volts_fit(self, power: Power, rated_v: float, output_v: float | None) -> bool:
        """Whether volts and temperature allow a power for strips of these volts."""
        if power.converter and output_v is not None:
            part = self.catalogue.converters[power.converter]
            if not part.output_min_v - 1e-9 <= output_v <= part.output_max_v + 1e-9:
                return False
        return self._volts_fit(power, rated_v)

    def _volts_fit(self, power: Power, rated_v: float) -> bool:
        pack = self.catalogue.packs[power.pack]
        if not pack.min_c <= self.sides.room_c <= pack.max_c:
            return False
        key = (pack.full_v, pack.cutoff_v, pack.output_v, power.converter, rated_v)
        if key not in self._fits:
            named = self.catalogue.converters[power.converter] if power.converter else None
            straight = named is None or named.kind == "boost"
            over = straight and (pack.output_v or pack.full_v) > OVERVOLT_STOP_RATIO * rated_v
            self._fits[key] = volts_fit(pack, named, rated_v) and not over
        return self._fits[key]

    @lru_cache(maxsize=16)  # noqa: B019 - lives as long as one search
    def stock(self, health_ratio: float) -> Stock:
        """Return every pack at one age."""
        return Stock(self.parts, health_ratio, self.sides.room_c)

    @lru_cache(maxsize=16)  # noqa: B019 - lives as long as one search
    def energies(self, health_ratio: float) -> Energies:
        """Return what every pack of one age gives, at about the powers of this search."""
        design, strips = self.choices.design, self.catalogue.strips
        names = {name for group in self.choices.strips for name in group}
        per_m = [strips[name].power_w_per_m for name in names]
        lengths_m = [run.length_m for run in design.runs]
        levels = [stretch.level_ratio for stretch in design.use.stretches]
        lowest_w = LOW_W * min(per_m) * min(lengths_m) * min(levels) / design.find.most_packs
        highest_w = HIGH_W * max(per_m) * sum(lengths_m)
        return Energies([self.stock(health_ratio).used], lowest_w, highest_w)
