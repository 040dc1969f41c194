"""The designs of a search as columns, with the best that each could be.

A pool holds one group of supplies that change together: its rows are light sides, its columns
what the group may run from. Everything behind a converter is known but for what its pack changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import converter_of
from lightcalc.answers.draw import duties
from lightcalc.answers.finder.alike import Batch, alike
from lightcalc.answers.finder.choices import Choices, LightSide, Power
from lightcalc.answers.finder.demands import Demands
from lightcalc.answers.finder.energy import Energies, Stage, longest_s
from lightcalc.answers.finder.light_side import LightSides, Lit
from lightcalc.answers.finder.stock import Stock, least_rating_a
from lightcalc.answers.finder.straight import Straight
from lightcalc.answers.findings_power import OVERVOLT_STOP_RATIO
from lightcalc.answers.findings_service import hold_findings
from lightcalc.answers.surroundings import brightest
from lightcalc.answers.wiring import wire_up
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.check_supply import volts_fit
from lightcalc.design.piece import Design
from lightcalc.physics.converter import Converter, input_current_a, loss_w, lowest_input_v
from lightcalc.physics.pwm import time_slices
from lightcalc.problems import Problems

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]
HOUR_S = 3600.0
# A sum in another order may come out less by this, and must still be a bound.
ROUNDING = 1.0 - 1e-9
# A converter a little over its limit sags by less than is told.
AT_LIMIT = 1.0 + 1e-4


@dataclass
class Pool:
    """One group of supplies in every light side of a build: merits (lights, powers) at best."""

    lights: tuple[LightSide, ...]
    designs: tuple[Design, ...]
    group: tuple[str, ...]
    powers: tuple[Power, ...]
    price: Array
    hours_h: Array
    fall: Array
    mass_kg: Array
    light_lm: Array
    possible: Flags


@dataclass(frozen=True)
class Steady:
    """Loads that do not follow the volts of their pack: lights (n,) on some powers (p,).

    `stages` and `full_w` are drawn at the terminals, `crest` times the mean in the gentlest
    stage's pulse, down to `floor_v` of a bare pack.
    """

    lights: Places
    powers: Places
    stages: tuple[Stage, ...]
    full_w: Array
    dark_w: Array
    floor_v: float

    @property
    def least_w(self) -> Array:
        """Power of the gentlest stage."""
        return np.asarray(np.min([stage.least_w for stage in self.stages], axis=0))


class _Case(NamedTuple):
    """Light sides behind one converter: some of those worked out."""

    lit: Lit
    some: slice
    converter: Converter


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
            sound = [(light, lit) for light, lit in pairs if lit and self._sound(lit)]
            if sound:
                yield self._build(sound)

    def _sound(self, design: Design) -> bool:
        """Whether a light side can be built at all, whatever powers it."""
        for supply in design.supplies:
            strips = [self.catalogue.strips[run.strip] for run in design.runs_of(supply.name)]
            if len({(strip.rated_v, len(strip.channels)) for strip in strips}) > 1:
                return False
            powers = self.choices.powers(supply)
            fitting = (power for power in powers if self._volts_fit(power, strips[0].rated_v))
            power = next(fitting, None)
            if power is None:
                return False
            design = self.choices.powered(design, (supply.name,), power)
        problems = Problems("")
        check_against_catalogue(design, self.catalogue, problems)
        return not problems.found

    def _build(self, sound: Sequence[tuple[LightSide, Design]]) -> tuple[Pool, ...]:
        lights, designs = zip(*sound, strict=True)
        pools = []
        for group in self.choices.supply_groups(designs[0]):
            powers = self.choices.powers(designs[0].supply(group[0]))
            shape = (len(lights), len(powers))
            zero, every = np.zeros(shape), np.full(shape, np.inf)
            pool = Pool(lights, designs, group, powers, zero, every, zero.copy(), zero.copy(),
                        zero.copy(), np.ones(shape, dtype=bool))  # fmt: skip
            for name in group:
                _OfSupply(self, pool, name).add()
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


class _OfSupply:
    """Adds what one supply of a group costs, weighs, gives and lasts at best."""

    def __init__(self, bounds: Bounds, pool: Pool, name: str) -> None:
        self.bounds, self.sides, self.pool = bounds, bounds.sides, pool
        self.supply = pool.designs[0].supply(name)
        self.stock = bounds.stock(self.supply.health_ratio)
        row = {part.name: number for number, part in enumerate(bounds.parts)}
        self.rows = np.array([row[power.pack] for power in pool.powers])
        self.multiple = np.array([float(power.multiple) for power in pool.powers])
        self.wireds = [wire_up(design.supply(name), design, bounds.catalogue)
                       for design in pool.designs]  # fmt: skip
        self.steady: list[Steady] = []
        self.best_h = np.zeros_like(pool.hours_h)
        self.found = np.zeros_like(pool.possible)

    def add(self) -> None:
        """Add it to the pool."""
        self._add_powers()
        for places in alike(self.wireds, [design.use for design in self.pool.designs]):
            wireds, use = tuple(self.wireds[k] for k in places), self.pool.designs[places[0]].use
            batch = Batch(wireds, use, self.sides.wires)
            lights = np.array(places)
            self._add_behind(batch, lights)
            self._add_straight(batch, lights)
        self._add_steady_hours()
        self.pool.possible &= self.found
        self.pool.hours_h = np.minimum(self.pool.hours_h, self.best_h)

    def _add_powers(self) -> None:
        """Add packs, converters, controller and plugs; refuse packs that nothing holds."""
        pool, supply, parts = self.pool, self.supply, self.bounds.catalogue
        fixed = [parts.connectors[name] for name in supply.connectors]
        if supply.controller:
            fixed.append(parts.controllers[supply.controller])  # type: ignore[arg-type]
        for name, total in (("price", pool.price), ("mass_kg", pool.mass_kg)):
            converters = {None: 0.0}
            for part in parts.converters.values():
                converters[part.name] = _or_inf(getattr(part, name))
            packs = getattr(self.stock, name)[self.rows] * self.multiple
            bought = np.array([converters[power.converter] for power in pool.powers])
            np.add(
                total, packs + bought + sum(_or_inf(getattr(part, name)) for part in fixed), total
            )
        source_v = self.stock.source_v[self.rows]
        for name in supply.connectors:
            pool.possible &= source_v <= parts.connectors[name].max_v
        pool.possible &= self._held()

    def _held(self) -> Flags:
        """Whether what holds the packs bears their weight (powers,)."""
        design, known = self.pool.designs[0], {}
        for power in self.pool.powers:
            key = power.pack, power.multiple
            if key not in known:
                supply = replace(self.supply, pack_multiple=power.multiple)
                pack = self.bounds.catalogue.packs[power.pack]
                found = hold_findings(supply, pack, design.system)
                known[key] = not any(finding.grade == "stop" for finding in found)
        return np.array([known[power.pack, power.multiple] for power in self.pool.powers])

    def _light_ratio(self, batch: Batch, of: Places) -> Array:
        """Return the share of full light in the brightest part of the evening (n, 1)."""
        strips = [[run.strip for run in batch.wireds[k].runs] for k in of]
        most = [max(brightest(strip, batch.use).level_ratio for strip in row) for row in strips]
        return np.array(most)[:, None]

    def _columns(self, converter: str | None, rated_v: float) -> tuple[Places, float]:
        """Powers with a converter that fit these volts, and what it is set to."""
        powers = self.pool.powers
        drawn = self.supply
        set_v = drawn.output_v if converter == drawn.converter else None
        if "strip" in self.bounds.choices.find.open:
            set_v = None
        fitting = [
            place
            for place, power in enumerate(powers)
            if power.converter == converter and self.bounds.volts_fit(power, rated_v, set_v)
        ]
        return np.array(fitting, dtype=np.intp), rated_v if set_v is None else set_v

    def _add_behind(self, batch: Batch, lights: Places) -> None:
        """Add light sides behind every converter that fits; those of one limit are the same."""
        rated = np.array([wired.rated_v for wired in batch.wireds])
        asked: dict[tuple[float, float, float], list[tuple[str, Places]]] = {}
        for name in dict.fromkeys(power.converter for power in self.pool.powers):
            for rated_v in np.unique(rated).tolist():
                powers, output_v = self._columns(name, rated_v)
                if name is not None and powers.size:
                    limit_a = self.bounds.catalogue.converters[name].output_max_a
                    asked.setdefault((rated_v, limit_a, output_v), []).append((name, powers))
        if not asked:
            return
        cases = [np.flatnonzero(rated == rated_v) for rated_v, _, _ in asked]
        counts = [len(case) for case in cases]
        limits, volts = (np.repeat([key[k] for key in asked], counts) for k in (1, 2))
        lit = self.sides.behind(batch, np.concatenate(cases), limits, volts)
        stop = 0
        for (key, named), count in zip(asked.items(), counts, strict=True):
            some, stop = slice(stop, stop + count), stop + count
            for name, powers in named:
                part = converter_of(self.bounds.catalogue.converters[name], key[2])
                self._add_column(batch, lights, _Case(lit, some, part), powers)

    def _add_column(self, batch: Batch, lights: Places, case: _Case, powers: Places) -> None:
        lit, some, converter = case
        lights, pool = lights[lit.of[some]], self.pool
        block = np.ix_(lights, powers)
        lead_a = (lit.lead_a[some] + batch.idle_a)[:, None]
        output_w = np.minimum(lead_a, converter.limit_a) * converter.output_v
        drop = 1.0 - self.sides.ask.lead_drop_ratio
        input_v = np.maximum(
            self.stock.lowest_v[self.rows[powers]] * drop, lowest_input_v(converter)
        )
        pack_a = np.asarray(input_current_a(converter, output_w, input_v))
        price, mass_kg, possible = self._pack_side(pack_a, powers)
        pool.price[block] = (pool.price[block] + lit.price[some][:, None] + price) * ROUNDING
        pool.mass_kg[block] = (
            pool.mass_kg[block] + lit.mass_kg[some][:, None] + mass_kg
        ) * ROUNDING
        pool.fall[block] = np.maximum(pool.fall[block], lit.fall[some][:, None])
        ratio = self._light_ratio(batch, lit.of[some])
        pool.light_lm[block] += lit.light_lm[some][:, None] * ratio
        fits = lit.possible[some] & (lit.full_a[some] <= converter.limit_a * AT_LIMIT)
        self.found[block] = fits[:, None] & possible
        self.steady.append(self._load(batch, lights, case, powers))

    def _pack_side(self, pack_a: Array, powers: Places) -> tuple[Array, Array, Flags]:
        """Least price and mass of pack lead and fuse for currents (n, p), and what may do."""
        supply, wires, fuses = self.supply, self.sides.wires, self.sides.fuses
        rows, multiple = self.rows[powers], self.multiple[powers]
        fits = self.stock.fuses(rows, multiple, supply, wires, fuses)
        rating_a = least_rating_a(fits, pack_a, fuses)
        bank = self.stock.bank[rows]
        possible = np.isfinite(rating_a) | bank
        if supply.pack_fuse is not None:
            rating_a = pack_a
        stands_a = np.where(bank, self.stock.socket_a[rows], rating_a)
        (named,) = wires.named([supply.pack_wire])
        costs = []
        for name in ("price", "mass_kg"):
            copper = wires.least(name, np.maximum(stands_a, pack_a))
            if named >= 0:
                copper = np.full_like(pack_a, getattr(wires, name)[named])
            fuse = np.min(np.where(fits, getattr(fuses, name), np.inf), axis=-1)
            fuse = np.where(bank | np.isinf(fuse), 0.0, fuse)
            costs.append(2.0 * supply.pack_lead_m * copper + fuse)
        if named < 0:
            possible = possible & np.isfinite(wires.least("area_m2", stands_a))
        for name in supply.connectors:
            possible = possible & (
                ROUNDING * pack_a <= self.bounds.catalogue.connectors[name].max_amps
            )
        return costs[0], costs[1], possible

    def _load(self, batch: Batch, lights: Places, case: _Case, powers: Places) -> Steady:
        """Least power at the pack: that of the converter at its lowest input, no lead before it."""
        lit, some, converter = case
        lamps_w = {on: watts[some] for on, watts in lit.lamps_w.items()}
        drawn_w = {
            on: watts + np.asarray(loss_w(converter, watts, converter.input_min_v))
            for on, watts in lamps_w.items()
        }
        channels = batch.wireds[0].runs[0].strip.channels
        stages = []
        for stretch in batch.use.stretches:
            parts = time_slices(duties(channels, stretch))
            mean_w = np.sum([part.share * drawn_w[part.on] for part in parts], axis=0)
            stages.append(Stage(mean_w[:, None], stretch.duration_s))
        idle_w = self._standby_w(batch, lit.of[some], converter.output_v)
        terminal_v = self.stock.terminal_v[self.rows[powers]]
        dark_w = idle_w[:, None] + np.asarray(
            loss_w(
                converter, np.broadcast_to(idle_w[:, None], (len(lights), len(powers))), terminal_v
            )
        )
        full_w = drawn_w[(True,) * len(channels)][:, None]
        dark_w = self._unless_off(dark_w, powers)
        return Steady(lights, powers, tuple(stages), full_w, dark_w, lowest_input_v(converter))

    def _standby_w(self, batch: Batch, of: Places, volts: Array | float) -> Array:
        """Drawn between evenings by controller and pixels."""
        idle_a = np.full(len(batch.wireds), batch.idle_a)
        if batch.wireds[0].runs[0].strip.kind == "pixel":
            idle_a += np.sum(batch.of_strips("idle_a") * batch.of_runs("units"), axis=1)
        return np.asarray(idle_a[of] * volts)

    def _unless_off(self, dark_w: Array, powers: Places) -> Array:
        """Nothing is drawn when it is switched off, or the bank may be (lights, powers)."""
        off = self.supply.switched_off | self.stock.sleeps[self.rows[powers]]
        return np.where(off, 0.0, dark_w)

    def _add_straight(self, batch: Batch, lights: Places) -> None:
        """Add light sides straight on every pack that fits."""
        rated = np.array([wired.rated_v for wired in batch.wireds])
        for rated_v in np.unique(rated).tolist():
            powers, _ = self._columns(None, rated_v)
            of = np.flatnonzero(rated == rated_v)
            if powers.size:
                rows, multiple = self.rows[powers], self.multiple[powers]
                straight = Straight(self.sides, batch, of, self.stock, rows, multiple)
                self._add_on_packs(straight, lights[of], powers)

    def _add_on_packs(self, straight: Straight, lights: Places, powers: Places) -> None:
        pool, batch, block = self.pool, straight.batch, np.ix_(lights, powers)
        length_m = batch.of_runs("length_m")
        strips = batch.of_strips("price") * length_m / batch.of_strips("reel_m")
        strips_kg = batch.of_strips("mass_kg_per_m") * length_m
        for total, own, name in (
            (pool.price, strips, "price"),
            (pool.mass_kg, strips_kg, "mass_kg"),
        ):
            sum_of = own.sum(axis=1)[straight.of][:, None] + straight.cost(name)
            total[block] = (total[block] + sum_of) * ROUNDING
        pool.fall[block] = np.maximum(pool.fall[block], straight.fall())
        pool.light_lm[block] += straight.light_lm() * self._light_ratio(batch, straight.of)
        possible = straight.possible.copy()
        for name in self.supply.connectors:
            most_a = self.bounds.catalogue.connectors[name].max_amps
            possible &= ROUNDING * straight.pack_a <= most_a
        self.found[block] = possible
        idle_w = self._standby_w(batch, straight.of, 1.0)[:, None]
        dark_w = self._unless_off(idle_w * self.stock.terminal_v[self.rows[powers]], powers)
        bank = self.stock.bank[self.rows[powers]]
        self._add_bare(straight, lights, powers, dark_w)
        if bank.any():
            stages = tuple(
                Stage(np.asarray(one.least_w)[:, bank], one.duration_s)
                for one in straight.steady_w()
            )
            full_w = np.max([stage.least_w for stage in stages], axis=0)
            self.steady.append(Steady(lights, powers[bank], stages, full_w, dark_w[:, bank], 0.0))

    def _add_bare(self, straight: Straight, lights: Places, powers: Places, dark_w: Array) -> None:
        """Add hours on bare packs, of those that may still do."""
        worth = self.found[np.ix_(lights, powers)] & ~self.stock.bank[self.rows[powers]]
        light, place = np.nonzero(worth)
        for start in range(0, len(light), 2048):
            some = slice(start, start + 2048)
            pair = light[some], place[some]
            self.best_h[lights[pair[0]], powers[pair[1]]] = straight.hours_h(*pair, dark_w[pair])

    def _add_steady_hours(self) -> None:
        """Bound the hours of every load that does not follow its pack's volts."""
        live = [one for one in self.steady if self.found[np.ix_(one.lights, one.powers)].any()]
        if not live:
            return
        least = [np.broadcast_to(one.least_w, one.dark_w.shape) for one in live]
        lowest_w = min(float(watts.min()) for watts in least)
        highest_w = max(float(np.max(one.full_w)) for one in live)
        energies = Energies(
            [self.stock.used],
            lowest_w / self.multiple.max(),
            highest_w / self.stock.efficiency.min(),
        )
        for one in live:
            self._bound(one, energies)

    def _bound(self, one: Steady, energies: Energies) -> None:
        block, rows = np.ix_(one.lights, one.powers), self.rows[one.powers]
        # What the cells of a bank give comes out of its socket less the losses between.
        times = self.multiple[one.powers] * self.stock.efficiency[rows]
        bank = self.stock.bank[rows]
        each_w = one.least_w / times
        cells_j = np.where(
            bank, energies.at(rows, 0.0, each_w), energies.at(rows, one.floor_v, each_w)
        )
        # In the dark the cells are at rest, and give the same power at less current.
        dark_w = one.dark_w * energies.least_share(rows, each_w)
        evenings = self.bounds.choices.design.use.evenings_a_week
        self.best_h[block] = longest_s(times * cells_j, one.stages, dark_w, evenings) / HOUR_S
        full_w = one.full_w / times
        peak_a = np.where(
            bank, energies.peak_a(rows, 0.0, full_w), energies.peak_a(rows, one.floor_v, full_w)
        )
        socket_a = one.full_w / self.stock.terminal_v[rows]
        fits = (peak_a <= self.stock.max_amps[rows]) & (
            ROUNDING * socket_a <= self.stock.socket_a[rows]
        )
        self.found[block] &= fits


def _or_inf(value: float | None) -> float:
    return np.inf if value is None else value
