"""A closer look at strips straight on some packs: each with its wires, warmth and volts.

What is not told here is which of a few fuses sits at the pack. Its ohms lie between two bounds; a
supply with fewer ohms before it does at some volts what one with more does at a little more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import warm_c
from lightcalc.answers.endurance import HALF
from lightcalc.answers.finder.alike import over_volts
from lightcalc.answers.finder.energy import Energies, Stage
from lightcalc.answers.finder.fading import Fading, longest_s
from lightcalc.answers.finder.lines import above, below, read
from lightcalc.answers.finder.longest import Close, Loads
from lightcalc.answers.finder.steady import ROUNDING, Steady, steady_loads
from lightcalc.answers.finder.stock import least_rating_a
from lightcalc.answers.finder.straight import FALL_MARGIN, Straight
from lightcalc.answers.sizing import SHARING_ROUNDS
from lightcalc.answers.wiring import contact_ohm
from lightcalc.design.piece import Use
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.wire import hot_copper_ratio

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

VOLTS = 17


@dataclass(frozen=True)
class _Tables:
    """Lights on packs over volts, both (m, k), through the most ohms there could be.

    With the fewest ohms the strips see at most `more_v` (m,) more.
    """

    volts: Array
    amps: Array
    light_lm: Array
    more_v: Array


@dataclass(frozen=True)
class _OnStraight:
    """Light sides straight on packs, and what they draw in the dark (n, p)."""

    straight: Straight
    dark_w: Array

    @property
    def use(self) -> Use:
        """The evenings they are used in."""
        return self.straight.batch.use


class OnPacks(_OnStraight):
    """Light sides straight on bare packs, with whose volts they fade."""

    def quickly(self, energies: Energies) -> tuple[Array, Flags]:  # noqa: ARG002
        """Return hours that no charge exceeds, and whether packs may bear it (n, p)."""
        straight = self.straight
        hours_h = np.full(straight.possible.shape, np.inf)
        light, place = np.nonzero(straight.possible)
        if straight.says_nothing or not light.size:
            return hours_h, straight.possible
        rows, multiple = straight.rows[place], straight.multiple[place]
        load = Fading(
            straight.stock.cells(rows, multiple),
            lambda volts: straight.least_a(light, volts),
            straight.floor_v(light, place),
            self.dark_w[light, place],
            straight.stock.leak_a[rows] * multiple,
        )
        found_s = longest_s(load, straight.shares, self.use.evenings_a_week)
        hours_h[light, place] = found_s / 3600.0
        return hours_h, straight.possible

    def closely(self, light: Places, place: Places) -> Close:
        """Wire lights to packs (m,), both paired."""
        straight, case = self.straight, _Case.made(self.straight, light, place)
        # Below the volts at which the light is half at most nothing need be known.
        low_v = 0.98 * straight.floor_v(light, place)
        width_v = 1.01 * straight.stock.full_v[straight.rows[place]] - low_v
        volts = low_v[:, None] + np.linspace(0.0, 1.0, VOLTS) * width_v[:, None]
        found = solve(over_volts(case.wiring), np.concatenate((volts, case.told_v), axis=1))
        light_lm, fall = straight.batch.light(case.side, found)
        amps = np.asarray(found.supply_a)
        tables = _Tables(volts, amps[:, :VOLTS], light_lm[:, :VOLTS], case.more_v)
        loads = _loads(straight, light, place, tables, self.dark_w[light, place])
        known = None if straight.says_nothing else loads
        return Close(case.fall(fall[:, VOLTS:]), case.cool, known)


class OnBanks(_OnStraight):
    """Light sides straight on banks, whose sockets hold their volts to the end."""

    def quickly(self, energies: Energies) -> tuple[Array, Flags]:
        """Return hours that no charge exceeds, and whether banks may bear it (n, p)."""
        straight = self.straight
        full_w = self._full_w(straight.nominal_a(), straight.rows)
        stages = self._stages(full_w, straight.rows)
        steady = Steady(
            use=self.use,
            stock=straight.stock,
            rows=straight.rows,
            multiple=straight.multiple,
            stages=stages,
            peaks_w=(full_w,) * len(stages),
            full_w=full_w,
            dark_w=self.dark_w,
            floor_v=0.0,
        )
        return steady.quickly(energies)

    def closely(self, light: Places, place: Places) -> Close:
        """Wire lights to banks (m,), both paired."""
        straight, case = self.straight, _Case.made(self.straight, light, place)
        rows, multiple = straight.rows[place], straight.multiple[place]
        found = solve(over_volts(case.wiring), case.told_v)
        _, fall = straight.batch.light(case.side, found)
        full_w = ROUNDING * self._full_w(np.asarray(found.supply_a)[:, 0], rows)
        pairs = [(np.asarray(stage.least_w), full_w) for stage in self._stages(full_w, rows)]
        dark_w = self.dark_w[light, place]
        loads = steady_loads(straight.stock, rows, multiple, pairs, dark_w=dark_w)
        return Close(case.fall(fall), case.cool, None if straight.says_nothing else loads)

    def _full_w(self, amps: Array, rows: Places) -> Array:
        """Power at full level where strips draw so much (..., m)."""
        return self.straight.stock.terminal_v[rows] * (amps + self.straight.batch.idle_a)

    def _stages(self, full_w: Array, rows: Places) -> tuple[Stage, ...]:
        """Return the least power of each stage, from that at full level (..., m)."""
        idle_w = self.straight.batch.idle_a * self.straight.stock.terminal_v[rows]
        return tuple(
            Stage(idle_w + one.least_w * (full_w - idle_w), one.duration_s)
            for one in self.straight.shares
        )


@dataclass(frozen=True)
class _Case:
    """Lights wired to packs (m,), through the most ohms there could be.

    `side` are places in the batch. With the fewest ohms the strips see at most `more_v` more. The
    fall in light is told at `told_v` (m, 2), and surely so where `sure`.
    """

    side: Places
    wiring: Network
    more_v: Array
    told_v: Array
    sure: Flags
    cool: Flags

    @staticmethod
    def made(straight: Straight, light: Places, place: Places) -> _Case:
        """Wire lights to packs (m,), both paired."""
        batch, sides, stock = straight.batch, straight.sides, straight.stock
        of, rows = straight.of[light], straight.rows[place]
        wires, load_a = _wires(straight, light, place)
        heat = [
            [sides.warmth.of(run, volts) for run in batch.wireds[k].runs]
            for k, volts in zip(of.tolist(), stock.source_v[rows].tolist(), strict=True)
        ]
        ohm = sides.wires.ohm(wires, batch.leads_m[of], sides.room_c)
        least_ohm, most_ohm = _series_ohm(straight, light, place, load_a)
        jumpers = batch.jumpers(of, ohm, converter=False)
        more_v = (most_ohm - least_ohm) * straight.pack_a[light, place]
        nominal_v = stock.terminal_v[rows]
        strip_c = np.array([warm_c(row) for row in heat])
        return _Case(
            side=of,
            wiring=batch.network(of, ohm, strip_c, most_ohm, jumpers),
            more_v=more_v,
            told_v=np.stack((nominal_v, nominal_v + more_v), axis=1),
            sure=straight.sure[light, place],
            cool=np.array([all(one.strip_c <= one.limit_c for one in row) for row in heat]),
        )

    def fall(self, told: Array) -> Array:
        """Return no more than the fall in light (m,), told at both volts (m, 2)."""
        least = np.maximum(told.min(axis=1) - FALL_MARGIN, 0.0)
        return np.where(self.sure, least, 0.0)


def _loads(
    straight: Straight, light: Places, place: Places, tables: _Tables, dark_w: Array
) -> Loads:
    """Return the least that lights draw on packs, until their light is half at most."""
    stock, idle_a = straight.stock, straight.batch.idle_a
    rows, multiple, volts = straight.rows[place], straight.multiple[place], tables.volts
    floor_v = stock.cutoff_v[rows]
    if not straight.mixed:
        # Nothing lags behind yet when a charge begins.
        begins_v = stock.used.open_circuit_volts(0.0)[rows]
        most_a = read(volts, above(tables.amps), begins_v + tables.more_v)
        begins_v = begins_v - stock.used.ohms[rows] / multiple * (most_a + idle_a)
        half_lm = 0.999 * HALF * read(volts, below(tables.light_lm), begins_v)
        half_v = _volts_of(volts, above(tables.light_lm), half_lm) - tables.more_v
        floor_v = np.where(straight.sure[light, place], np.maximum(half_v, floor_v), floor_v)
    full_w = (below(tables.amps) + idle_a) * volts
    shares = np.array([[float(stage.least_w)] for stage in straight.shares])
    peak_w = np.broadcast_to(full_w[:, None], (len(rows), len(shares), VOLTS))
    return Loads(
        cells=stock.cells(rows, multiple),
        volts=volts,
        mean_w=shares * peak_w + (1.0 - shares) * (idle_a * volts)[:, None],
        peak_w=peak_w,
        floor_v=floor_v,
        most_a=stock.max_amps[rows] * multiple,
        dark_w=dark_w,
        leak_a=stock.leak_a[rows] * multiple,
    )


def _wires(straight: Straight, light: Places, place: Places) -> tuple[Places, Array]:
    """Choose the wire of each lead (m, leads); also return what flows into all feeds at least."""
    batch, offer = straight.batch, straight.sides.wires
    of, rows = straight.of[light], straight.rows[place]
    wires, most_a = straight.wires[0][light, place], straight.lead_a[light, place]
    volts, rating_a = straight.stock.source_v[rows], straight.leads_rating_a[light, place]
    if batch.apart and offer.thin(wires).all():
        return wires, straight.least_a(light, volts)
    allowed_v = straight.sides.ask.lead_drop_ratio * straight.stock.terminal_v[rows][:, None]
    loop_m = (1.0 + 1.0 / batch.returns) * batch.leads_m[of]
    for _ in range(SHARING_ROUNDS):
        lead_a = batch.amps(of, wires, volts)
        more = np.any(lead_a > 1.01 * most_a, axis=1)
        if not more.any():
            break
        most_a = np.where(more[:, None], np.maximum(most_a, lead_a), most_a)
        again, _ = offer.choose(
            most_a, loop_m, allowed_v * batch.shares[of], rating_a, batch.named[of]
        )
        wires = np.where(more[:, None], again, wires)
    return wires, lead_a[:, [path[0] for path in batch.paths]].sum(axis=1)


def _series_ohm(
    straight: Straight, light: Places, place: Places, load_a: Array
) -> tuple[Array, Array]:
    """Fewest and most ohms before the leads (m,): pack lead, plugs and fuse."""
    supply, sides = straight.batch.wireds[0].supply, straight.sides
    plug_ohm = 2.0 * contact_ohm(supply.connectors, sides.catalogue)
    per_m = sides.wires.ohm_per_m[straight.wires[1][light, place]]
    ratio = float(hot_copper_ratio(sides.room_c))
    lead_ohm = plug_ohm + 2.0 * supply.pack_lead_m * per_m * ratio
    if straight.bank:
        return (lead_ohm + straight.named_fuse_ohm,) * 2
    # The load through the wires chosen is less than through thick ones, so is the fuse.
    fits, fuses = straight.fits[place], sides.fuses
    most_a = straight.rating_a[light, place]
    least_a = np.minimum(least_rating_a(fits, load_a, fuses), most_a)
    if supply.pack_fuse is not None:
        least_a, most_a = 0.0 * most_a, np.full_like(most_a, np.inf)
    may = fits & (fuses.rating_a <= most_a[:, None]) & (fuses.rating_a >= least_a[:, None])
    least = np.min(np.where(may, fuses.ohm, np.inf), axis=1)
    most = np.max(np.where(may, fuses.ohm, 0.0), axis=1)
    return lead_ohm + np.where(np.isfinite(least), least, 0.0), lead_ohm + most


def _volts_of(volts: Array, table: Array, values: Array) -> Array:
    """Lowest volts at which a rising table (m, k) may reach values (m,)."""
    passed = np.count_nonzero(table < values[:, None], axis=1)
    after = np.clip(passed, 1, table.shape[1] - 1)
    rows = np.arange(len(table))
    low, high = table[rows, after - 1], table[rows, after]
    share = np.clip((values - low) / np.maximum(high - low, 1e-12), 0.0, 1.0)
    return np.asarray(
        volts[rows, after - 1] + share * (volts[rows, after] - volts[rows, after - 1])
    )
