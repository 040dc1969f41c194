"""What supplies that are alike but for their runs cost, weigh, give and last at best.

Lines are light sides of one supply, then those of the next; they are worked out together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import converter_of
from lightcalc.answers.draw import duties
from lightcalc.answers.finder.alike import Batch, alike
from lightcalc.answers.finder.energy import Stage
from lightcalc.answers.finder.light_side import Lit, joined
from lightcalc.answers.finder.on_pack import OnBanks, OnPacks
from lightcalc.answers.finder.pool import Look, Pool
from lightcalc.answers.finder.steady import Steady
from lightcalc.answers.finder.stock import least_rating_a
from lightcalc.answers.finder.straight import Straight
from lightcalc.answers.finder.thick import ThickWire
from lightcalc.answers.findings.service import hold_findings
from lightcalc.answers.wiring import contact_ohm, wire_up
from lightcalc.design.piece import Use
from lightcalc.physics.circuit.converter import Converter, input_current_a, loss_w, lowest_input_v
from lightcalc.physics.circuit.pwm import time_slices
from lightcalc.physics.circuit.wire import hot_copper_ratio

if TYPE_CHECKING:
    from lightcalc.answers.finder.bounds import Bounds

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]
# A sum in another order may come out less by this, and must still be a bound.
ROUNDING = 1.0 - 1e-9
# A converter a little over its limit sags by less than is told.
AT_LIMIT = 1.0 + 1e-4


class _Limit(NamedTuple):
    """What strips of some rated volts can be behind, in evenings of one kind."""

    rated_v: float
    limit_a: float
    output_v: float
    use: Use
    channels: tuple[str, ...]


class OfSupply:
    """Adds what supplies of a group, alike but for their runs, are at best."""

    def __init__(self, bounds: Bounds, pool: Pool, names: Sequence[str]) -> None:
        self.bounds, self.sides, self.pool = bounds, bounds.sides, pool
        self.supply, self.names = pool.designs[0].supply(names[0]), tuple(names)
        self.stock = bounds.stock(self.supply.health_ratio)
        row = {part.name: number for number, part in enumerate(bounds.parts)}
        self.rows = np.array([row[power.pack] for power in pool.powers])
        self.multiple = np.array([float(power.multiple) for power in pool.powers])
        self.wireds = [
            wire_up(design.supply(name), design, bounds.catalogue)
            for name in names
            for design in pool.designs
        ]
        self.sources: list[_Source] = []
        self._fitting: dict[tuple[str | None, float], tuple[Places, float]] = {}
        self._known_limits: dict[float, dict[tuple[float, float], list[tuple[str, Places]]]] = {}
        shape = (len(self.wireds), len(pool.powers))
        self.which, self.found = np.zeros(shape, dtype=np.intp), np.zeros(shape, dtype=bool)

    def add(self) -> None:
        """Add it to the pool."""
        self._add_powers()
        uses = [design.use for design in self.pool.designs] * len(self.names)
        behind: dict[_Limit, list[Lit]] = {}
        for places in alike(self.wireds, uses):
            wireds = tuple(self.wireds[k] for k in places)
            batch, lines = Batch(wireds, uses[places[0]], self.sides.wires), np.array(places)
            asked = list(self._asked_v(batch))
            if any(volts for _, volts in asked):
                thick = ThickWire(batch, asked)
                for limit, lit in self._lit(batch, thick):
                    behind.setdefault(limit, []).append(replace(lit, of=lines[lit.of]))
                self._add_straight(batch, lines, thick)
        for limit, lits in behind.items():
            lit = joined(lits)
            self._add_behind(limit, lit.cases(np.argsort(lit.of)))
        self._add_hours()
        self.pool.possible &= self.found.reshape(-1, *self.pool.possible.shape).all(axis=0)

    def _put(
        self, how: np.ufunc, total: Array, lines: Places, powers: Places, values: Array
    ) -> None:
        """Put values of lines (n,) on powers (p,) together with what is in the pool."""
        if len(self.names) == 1:
            block = np.ix_(lines, powers)
            total[block] = how(total[block], values)
            return
        values = np.broadcast_to(values, (len(lines), len(powers)))
        for supply in range(len(self.names)):
            mine = lines // len(total) == supply
            block = np.ix_(lines[mine] % len(total), powers)
            total[block] = how(total[block], values[mine])

    def _add_powers(self) -> None:
        """Add packs, converters, controller and plugs; refuse packs that nothing holds."""
        pool, supply, parts = self.pool, self.supply, self.bounds.catalogue
        fixed = [parts.connectors[name] for name in supply.connectors]
        if supply.controller:
            fixed.append(parts.controllers[supply.controller])  # type: ignore[arg-type]
        for name, total in (("price", pool.price), ("mass_kg", pool.mass_kg)):
            converters: dict[str | None, float] = {None: 0.0}
            for part in parts.converters.values():
                converters[part.name] = _or_inf(getattr(part, name))
            packs = getattr(self.stock, name)[self.rows] * self.multiple
            bought = np.array([converters[power.converter] for power in pool.powers])
            each = packs + bought + sum(_or_inf(getattr(part, name)) for part in fixed)
            np.add(total, len(self.names) * each, total)
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

    def _columns(self, converter: str | None, rated_v: float) -> tuple[Places, float]:
        """Powers with a converter that fit these volts, and what it is set to."""
        key = converter, rated_v
        if key not in self._fitting:
            drawn = self.supply
            set_v = drawn.output_v if converter == drawn.converter else None
            if "strip" in self.bounds.choices.find.open:
                set_v = None
            fitting = [
                place
                for place, power in enumerate(self.pool.powers)
                if power.converter == converter and self.bounds.volts_fit(power, rated_v, set_v)
            ]
            places = np.array(fitting, dtype=np.intp)
            self._fitting[key] = places, rated_v if set_v is None else set_v
        return self._fitting[key]

    def _asked_v(self, batch: Batch) -> Iterator[tuple[Places, list[float]]]:
        """Every volts that light sides may be held at, behind converters or straight on packs."""
        for rated_v, of in batch.by_rated_v:
            bare, _ = self._columns(None, rated_v)
            volts = self.stock.source_v[self.rows[bare]].tolist()
            for name in dict.fromkeys(power.converter for power in self.pool.powers):
                powers, output_v = self._columns(name, rated_v)
                if name is not None and powers.size:
                    volts.append(output_v)
            yield of, volts

    def _limits(self, rated_v: float) -> dict[tuple[float, float], list[tuple[str, Places]]]:
        """Sort converters and their powers by limit [A] and output [V]."""
        if rated_v not in self._known_limits:
            found: dict[tuple[float, float], list[tuple[str, Places]]] = {}
            for name in dict.fromkeys(power.converter for power in self.pool.powers):
                powers, output_v = self._columns(name, rated_v)
                if name is not None and powers.size:
                    limit_a = self.bounds.catalogue.converters[name].output_max_a
                    found.setdefault((limit_a, output_v), []).append((name, powers))
            self._known_limits[rated_v] = found
        return self._known_limits[rated_v]

    def _lit(self, batch: Batch, thick: ThickWire) -> Iterator[tuple[_Limit, Lit]]:
        """Light up a batch behind every limit that fits."""
        asked = [
            (rated_v, *limit, of)
            for rated_v, of in batch.by_rated_v
            for limit in self._limits(rated_v)
        ]
        if not asked:
            return
        counts = [len(of) for *_, of in asked]
        limits_a, volts = (np.repeat([one[k] for one in asked], counts) for k in (1, 2))
        every = np.concatenate([of for *_, of in asked])
        lit, stop = self.sides.behind(batch, every, limits_a, volts, thick), 0
        channels = batch.wireds[0].runs[0].strip.channels
        for (rated_v, limit_a, output_v, _), count in zip(asked, counts, strict=True):
            some, stop = slice(stop, stop + count), stop + count
            yield _Limit(rated_v, limit_a, output_v, batch.use, channels), lit.cases(some)

    def _add_behind(self, limit: _Limit, lit: Lit) -> None:
        """Add light sides behind every converter of a limit."""
        for name, powers in self._limits(limit.rated_v)[limit.limit_a, limit.output_v]:
            converter = converter_of(self.bounds.catalogue.converters[name], limit.output_v)
            self._add_column(limit, lit, converter, powers)

    def _add_column(self, limit: _Limit, lit: Lit, converter: Converter, powers: Places) -> None:
        pool = self.pool
        output_w = np.minimum(lit.lead_a[:, None], converter.limit_a) * converter.output_v
        drop = 1.0 - self.sides.ask.lead_drop_ratio
        input_v = np.maximum(
            self.stock.lowest_v[self.rows[powers]] * drop, lowest_input_v(converter)
        )
        pack_a = np.asarray(input_current_a(converter, output_w, input_v))
        price, mass_kg, possible = self._pack_side(pack_a, powers)
        for how, total, values in (
            (np.add, pool.price, lit.price[:, None] + price),
            (np.add, pool.mass_kg, lit.mass_kg[:, None] + mass_kg),
            (np.maximum, pool.fall, lit.fall[:, None]),
            (np.add, pool.light_lm, lit.light_lm[:, None]),
        ):
            self._put(how, total, lit.of, powers, values)
        fits = lit.possible & (lit.full_a <= converter.limit_a * AT_LIMIT)
        self.found[np.ix_(lit.of, powers)] = fits[:, None] & possible
        self._add_source(self._load(limit, lit, converter, powers), lit.of, powers)

    def _pack_side(self, pack_a: Array, powers: Places) -> tuple[Array, Array, Flags]:
        """Least price and mass of pack lead and fuse for currents (n, p), and what may do."""
        supply, wires, fuses = self.supply, self.sides.wires, self.sides.fuses
        rows, multiple = self.rows[powers], self.multiple[powers]
        fits = self.stock.fuses(rows, multiple, supply, (wires, fuses))
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

    def _load(self, limit: _Limit, lit: Lit, converter: Converter, powers: Places) -> Steady:
        """Least power at the pack: that of the converter at its lowest input."""
        drawn_w = {}
        for on, watts in lit.lamps_w.items():
            lost_w = np.asarray(loss_w(converter, watts, converter.input_min_v))
            drawn_w[on] = (watts + lost_w)[:, None]
        stages, peaks_w = [], []
        for stretch in limit.use.stretches:
            parts = time_slices(duties(limit.channels, stretch))
            mean_w = np.sum([part.share * drawn_w[part.on] for part in parts], axis=0)
            stages.append(Stage(mean_w, stretch.duration_s))
            peaks_w.append(np.max([drawn_w[part.on] for part in parts], axis=0))
        rows, multiple = self.rows[powers], self.multiple[powers]
        idle_w = np.repeat(lit.standby_a[:, None] * converter.output_v, len(powers), axis=1)
        dark_w = idle_w + np.asarray(loss_w(converter, idle_w, self.stock.terminal_v[rows]))
        return Steady(
            limit.use,
            self.stock,
            rows,
            multiple,
            tuple(stages),
            tuple(peaks_w),
            drawn_w[(True,) * len(limit.channels)],
            self._unless_off(dark_w, powers),
            lowest_input_v(converter),
            self._lead_ohm,
        )

    @cached_property
    def _lead_ohm(self) -> float:
        """Least ohms from the terminals to a converter, its fuse left out."""
        wires, supply = self.sides.wires, self.supply
        (named,) = wires.named([supply.pack_wire])
        per_m = wires.ohm_per_m[wires.offered].min() if named < 0 else wires.ohm_per_m[named]
        ratio = float(hot_copper_ratio(self.sides.room_c))
        plug_ohm = 2.0 * contact_ohm(supply.connectors, self.bounds.catalogue)
        return float(2.0 * supply.pack_lead_m * per_m * ratio) + plug_ohm

    def _add_source(self, load: Steady | OnPacks | OnBanks, lines: Places, powers: Places) -> None:
        self.which[np.ix_(lines, powers)] = len(self.sources)
        self.sources.append(_Source(load, lines, powers))

    def _unless_off(self, dark_w: Array, powers: Places) -> Array:
        """Nothing is drawn when it is switched off, or the bank may be (lights, powers)."""
        rows = self.rows[powers]
        asleep = ROUNDING * dark_w / self.stock.terminal_v[rows] < self.stock.sleeps_a[rows]
        return np.where(self.supply.switched_off | asleep, 0.0, dark_w)

    def _add_straight(self, batch: Batch, lines: Places, thick: ThickWire) -> None:
        """Add light sides straight on every pack that fits: on bare cells, and on banks."""
        for rated_v, of in batch.by_rated_v:
            fitting, _ = self._columns(None, rated_v)
            bank = self.stock.bank[self.rows[fitting]]
            for powers, load in ((fitting[~bank], OnPacks), (fitting[bank], OnBanks)):
                if powers.size:
                    rows, multiple = self.rows[powers], self.multiple[powers]
                    straight = Straight(self.sides, batch, thick, of, self.stock, rows, multiple)
                    dark_w = self._add_on_packs(straight, lines[of], powers)
                    self._add_source(load(straight, dark_w), lines[of], powers)

    def _add_on_packs(self, straight: Straight, lines: Places, powers: Places) -> Array:
        """Add what is known without running them down; return what they draw in the dark."""
        pool, batch = self.pool, straight.batch
        length_m = batch.of_runs("length_m")
        strips = batch.of_strips("price") * length_m / batch.of_strips("reel_m")
        strips_kg = batch.of_strips("mass_kg_per_m") * length_m
        for total, own, name in (
            (pool.price, strips, "price"),
            (pool.mass_kg, strips_kg, "mass_kg"),
        ):
            sum_of = own.sum(axis=1)[straight.of][:, None] + straight.cost(name)
            self._put(np.add, total, lines, powers, sum_of)
        light_lm = straight.light_lm() * batch.light_ratio[straight.of][:, None]
        self._put(np.maximum, pool.fall, lines, powers, straight.fall())
        self._put(np.add, pool.light_lm, lines, powers, light_lm)
        possible = straight.possible.copy()
        for name in self.supply.connectors:
            most_a = self.bounds.catalogue.connectors[name].max_amps
            possible &= ROUNDING * straight.pack_a <= most_a
        self.found[np.ix_(lines, powers)] = possible
        idle_a = batch.standby_a[straight.of][:, None]
        return self._unless_off(idle_a * self.stock.terminal_v[self.rows[powers]], powers)

    def _add_hours(self) -> None:
        """Bound the hours of every source, quickly."""
        energies = self.bounds.energies(self.supply.health_ratio)
        for one in self.sources:
            hours_h, carried = one.load.quickly(energies)
            self.found[np.ix_(one.lines, one.powers)] &= carried
            self._put(np.minimum, self.pool.hours_h, one.lines, one.powers, hours_h)

    def straight(self, power: Places) -> Flags:
        """Say which powers are packs with nothing between them and the strips."""
        return np.array([self.pool.powers[k].converter is None for k in power.tolist()], dtype=bool)

    def source(self, light: Places, power: Places) -> Places:
        """Return numbers, the same for what is looked at in one go, of paired lights and powers."""
        return self.which[light, power]

    def looks(self, light: Places, power: Places) -> Iterator[Look]:
        """Look more closely at lights on powers (m,), both paired."""
        for supply in range(len(self.names)):
            yield from self._looks(light, power, supply * len(self.pool.lights))

    def _looks(self, light: Places, power: Places, before: int) -> Iterator[Look]:
        """Look at one supply, whose lines come after so many others."""
        pool, which = self.pool, self.which[light + before, power]
        for number in np.unique(which):
            some, source = which == number, self.sources[number]
            pair = light[some], power[some]
            at = np.searchsorted(source.lines, pair[0] + before)
            place = np.searchsorted(source.powers, pair[1])
            found = source.load.closely(at, place)
            pool.fall[pair] = np.maximum(pool.fall[pair], found.fall)
            pool.possible[pair] &= found.possible
            if found.loads is not None:
                yield Look(pool, *pair, source.load.use, found.loads)


class _Source(NamedTuple):
    """A load with the lines and powers of the pool that it stands for."""

    load: Steady | OnPacks | OnBanks
    lines: Places
    powers: Places


def _or_inf(value: float | None) -> float:
    return np.inf if value is None else value
