"""Bounds for strips straight on a pack, whose wires, volts and light all hang on that pack.

Leads are no thinner than the load and the least fuse ask for, and no thicker than the thickest on
offer. So at any volts the strips draw no less than through the one, and shine no more than through
the other. A charge that draws the least lasts longest; it counts until even the brightest strips
are down to half of the least light there could have been when it began.

    volts ──────────────.__                 at least this current at any volts
    half of the light ──────`──             the charge ends above this
               charge drawn  ─────────────▶
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.draw import duties
from lightcalc.answers.endurance import HALF
from lightcalc.answers.finder.alike import Batch, over_volts
from lightcalc.answers.finder.energy import Stage
from lightcalc.answers.finder.light_side import LightSides
from lightcalc.answers.finder.lines import above, below
from lightcalc.answers.finder.offers import NONE
from lightcalc.answers.finder.stock import Stock, least_rating_a
from lightcalc.answers.finder.thick import ThickWire
from lightcalc.answers.wiring import contact_ohm
from lightcalc.physics.circuit.fuse import CONTINUOUS_MARGIN
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.wire import hot_copper_ratio

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

VOLTS = 9
# What leads and volts may do to the fall along a run, by far.
FALL_SHARE, FALL_MARGIN = 0.9, 0.002
# What thin wire leaves of the current through thick wire, at least (judgement; volts may fall by a
# tenth).
LOAD_SHARE = 0.6
# Of a mix in which a colour is as good as off nothing is said.
LEAST_SHARE = 1e-3


@dataclass(frozen=True)
class Straight:
    """Supplies wired alike, of strips of the same volts, on some packs, all banks or none.

    `of` are places in the batch (n,), `rows` and `multiple` the packs (p,).
    """

    sides: LightSides
    batch: Batch
    thick: ThickWire
    of: Places
    stock: Stock
    rows: Places
    multiple: Array

    @cached_property
    def lead_a(self) -> Array:
        """Current in each lead through thick wire at the highest volts (n, p, leads)."""
        volts, which = np.unique(self.stock.source_v[self.rows], return_inverse=True)
        of = np.repeat(self.of, len(volts))
        found = self.thick.lead_a(of, np.tile(volts, len(self.of)))
        return np.asarray(found.reshape(len(self.of), len(volts), -1)[:, which])

    @cached_property
    def pack_a(self) -> Array:
        """Greatest current that wires at the pack are sized for (n, p)."""
        lead_a = self.lead_a[..., self.batch.first_leads]
        return np.asarray(lead_a.sum(axis=-1) + self.batch.idle_a)

    @cached_property
    def fits(self) -> Flags:
        """Fuses that might do beside the cells (p, fuses)."""
        return self._fuses(surely=False)

    def _fuses(self, *, surely: bool) -> Flags:
        supply, offer = self.batch.wireds[0].supply, (self.sides.wires, self.sides.fuses)
        return self.stock.fuses(self.rows, self.multiple, supply, offer, surely=surely)

    @cached_property
    def sure(self) -> Flags:
        """Whether the wires told are those of an answer, and not only the thinnest (n, p)."""
        fed = [path[0] for path in self.batch.paths]
        load_a = self.lead_a[..., fed].sum(axis=-1)
        found = least_rating_a(self._fuses(surely=True), load_a, self.sides.fuses, slack=1.000001)
        named = self.batch.wireds[0].supply.pack_fuse is not None
        return np.asarray(((found == self.rating_a) | named | self.bank) & ~self._tipped)

    @cached_property
    def bank(self) -> bool:
        """Whether the packs are banks, which need no fuse but one that is named."""
        return bool(self.stock.bank[self.rows[0]])

    @cached_property
    def rating_a(self) -> Array:
        """Least that wires at the pack must stand (n, p); infinite where no fuse will do."""
        fed = [path[0] for path in self.batch.paths]
        found = least_rating_a(self.fits, self.lead_a[..., fed].sum(axis=-1), self.sides.fuses)
        if self.batch.wireds[0].supply.pack_fuse is not None:
            found = np.broadcast_to(self.sides.fuses.rating_a[self.fits[0]], found.shape)
        return np.broadcast_to(self.stock.socket_a[self.rows], found.shape) if self.bank else found

    @cached_property
    def leads_rating_a(self) -> Array:
        """Least that leads must stand (n, p)."""
        if not self.bank:
            return self.rating_a
        return self.sides.after_limit(self.batch.wireds[0].supply, self.rating_a)

    @property
    def wires(self) -> tuple[Places, Places]:
        """Thinnest wire that each lead and the pack lead could have (n, p, leads), (n, p)."""
        return self._chosen[:2]

    @property
    def _tipped(self) -> Flags:
        return self._chosen[2]

    @cached_property
    def _chosen(self) -> tuple[Places, Places, Flags]:
        offer, shape = self.sides.wires, self.lead_a.shape
        of = np.repeat(self.of, len(self.rows))
        terminal_v = np.tile(self.stock.terminal_v[self.rows], len(self.of))[:, None]
        loop_m = (1.0 + 1.0 / self.batch.returns) * self.batch.leads_m[of]
        allowed_v = self.sides.ask.lead_drop_ratio * terminal_v
        leads, tipped = offer.choose(
            self.lead_a.reshape(len(of), -1),
            loop_m,
            allowed_v * self.batch.shares[of],
            self.leads_rating_a.ravel(),
            self.batch.named[of],
        )
        supply = self.batch.wireds[0].supply
        one = np.ones((len(of), 1))
        named = np.full((len(of), 1), offer.named([supply.pack_wire])[0])
        pack_a = self.pack_a.reshape(-1, 1)
        pack_m, rating_a = 2.0 * supply.pack_lead_m * one, self.rating_a.ravel()
        pack, tips = offer.choose(pack_a, pack_m, allowed_v, rating_a, named)
        tipped = (tipped.any(axis=1) | tips[:, 0]).reshape(shape[:2])
        return leads.reshape(shape), pack.reshape(shape[:2]), tipped

    @cached_property
    def possible(self) -> Flags:
        """Whether a pack might do (n, p)."""
        leads, pack = self.wires
        wired = np.all(leads != NONE, axis=-1) & (pack != NONE)
        wired &= self.sides.wires.stands(self.batch.named[self.of][:, None], self.leads_rating_a)
        return np.asarray(np.isfinite(self.rating_a) & wired)

    def cost(self, name: str) -> Array:
        """Least `price` or `mass_kg` of leads, pack lead and fuse (n, p)."""
        leads, pack = self.wires
        column, fuses = getattr(self.sides.wires, name), getattr(self.sides.fuses, name)
        free = self.sides.wires.offered
        # Of wires no thinner, the cheapest on offer.
        least = np.where(free, column, np.inf)
        least = np.where(free, np.minimum.accumulate(least[::-1])[::-1], column)
        named = self.batch.named[self.of][:, None] != NONE
        per_m = np.where(named, column[leads], least[leads])
        conductors_m = (1 + self.batch.returns) * self.batch.leads_m[self.of]
        supply = self.batch.wireds[0].supply
        pack_per_m = column[pack] if supply.pack_wire else least[pack]
        fuse = np.min(np.where(self.fits, fuses, np.inf), axis=-1, initial=np.inf)
        fuse = np.where(np.isfinite(fuse) & (not self.bank), fuse, 0.0)
        plugs = self.batch.plugs(name)[self.of][:, None]
        return np.asarray(
            np.sum(per_m * conductors_m[:, None], axis=-1)
            + plugs
            + 2.0 * supply.pack_lead_m * pack_per_m
            + fuse
        )

    @cached_property
    def _volts(self) -> Array:
        highs = self.stock.source_v[self.rows]
        lows = highs if self.bank else self.stock.cutoff_v[self.rows]
        return np.linspace(0.98 * lows.min(), 1.002 * highs.max(), VOLTS)

    @cached_property
    def _tables(self) -> tuple[Array, Array, Array]:
        """Least and most current and light, and fall, over the volts (2, n, volts)."""
        offer, batch, room_c = self.sides.wires, self.batch, self.sides.room_c
        leads, pack = self.wires
        length_m = batch.leads_m[self.of]
        fair = self.possible[..., None]
        most = np.where(fair, offer.ohm_per_m[leads], 0.0).max(axis=1)
        named = batch.named[self.of]
        thick = np.where(
            named == NONE, offer.ohm_per_m[offer.offered].min(), offer.ohm_per_m[named]
        )
        ratio = float(hot_copper_ratio(room_c))
        ohm = np.concatenate((most, thick)) * np.tile(length_m, (2, 1)) * ratio
        of, count = np.tile(self.of, 2), len(self.of)
        hot = batch.of_strips("max_c")[self.of]
        strip_c = np.concatenate((hot, np.full_like(hot, room_c)))
        supply = batch.wireds[0].supply
        series = 2.0 * contact_ohm(supply.connectors, self.sides.catalogue)
        pack_ohm = np.where(self.possible, offer.ohm_per_m[pack], 0.0).max(axis=1)
        worst = series + self._fuse_ohm + 2.0 * supply.pack_lead_m * ratio * pack_ohm
        before = np.concatenate((worst, np.full(count, series)))
        jumpers = batch.jumpers(of, ohm, converter=False)
        wiring = batch.network(of, ohm, strip_c, before, jumpers)
        found = solve(over_volts(wiring), np.broadcast_to(self._volts, (2 * count, VOLTS)))
        light_lm, fall = batch.light(of, found)
        shape = (2, count, VOLTS)
        amps = np.asarray(found.supply_a).reshape(shape)
        light_lm = light_lm.reshape(shape)
        # More volts never draw less, also where a bound dips beside a kink.
        least_a = np.minimum.accumulate(below(amps[0])[:, ::-1], axis=1)[:, ::-1]
        return (
            np.stack((least_a, above(amps[1]))),
            np.stack((below(light_lm[0]), above(light_lm[1]))),
            fall.reshape(shape),
        )

    @cached_property
    def least_fuse_a(self) -> Array:
        """Least rating of a fuse that carries the load (n,)."""
        fuses = self.sides.fuses
        fed = [path[0] for path in self.batch.paths]
        load_a = np.where(self.possible, self.lead_a[..., fed].sum(axis=-1), np.inf).min(axis=1)
        # Several feeds may share otherwise through thin wire than through thick.
        carries = LOAD_SHARE * CONTINUOUS_MARGIN * load_a[:, None] <= fuses.carries_a
        return np.asarray(np.min(np.where(carries & fuses.offered, fuses.rating_a, np.inf), axis=1))

    @property
    def named_fuse_ohm(self) -> float:
        """Ohms of the fuse that is named for after a bank; 0 where there is none."""
        name, fuses = self.batch.wireds[0].supply.fuse, self.sides.fuses
        return float(fuses.ohm[fuses.names.index(name)]) if name else 0.0

    @cached_property
    def _fuse_ohm(self) -> Array:
        """Most ohms of a fuse that carries the load (n,)."""
        fuses, supply = self.sides.fuses, self.batch.wireds[0].supply
        if self.bank:
            return np.full(len(self.of), self.named_fuse_ohm)
        if supply.pack_fuse:
            return np.full(len(self.of), fuses.ohm[fuses.names.index(supply.pack_fuse)])
        carries = fuses.rating_a >= self.least_fuse_a[:, None]
        return np.asarray(np.where(carries & fuses.offered, fuses.ohm, 0.0).max(axis=1))

    def _at(self, volts: Array, table: Array) -> Array:
        """Read a table (n, volts) at volts (n, ...)."""
        step = (volts - self._volts[0]) / (self._volts[1] - self._volts[0])
        low = np.clip(np.floor(step), 0, VOLTS - 2).astype(np.intp)
        share = np.clip(step - low, 0.0, 1.0)
        flat, shape = low.reshape(len(low), -1), low.shape
        left = np.take_along_axis(table, flat, axis=1).reshape(shape)
        right = np.take_along_axis(table, flat + 1, axis=1).reshape(shape)
        return np.asarray(left + share * (right - left))

    @cached_property
    def _duties(self) -> list[tuple[float, ...]]:
        channels = self.batch.wireds[0].runs[0].strip.channels
        return [duties(channels, stretch) for stretch in self.batch.use.stretches]

    @property
    def mixed(self) -> bool:
        """Whether colours are dimmed apart, so that light and current do not go with the whole."""
        return any(min(each) < max(each) for each in self._duties)

    def _least_near(self, volts: Array, table: Array) -> Array:
        """Return the lesser of the two values of a table that lie beside volts (n, p)."""
        step = (volts - self._volts[0]) / (self._volts[1] - self._volts[0])
        low = np.clip(np.floor(step), 0, VOLTS - 2).astype(np.intp)
        pair = (np.take_along_axis(table, low + side, axis=1) for side in (0, 1))
        return np.asarray(np.minimum(*pair))

    @cached_property
    def says_nothing(self) -> bool:
        """Whether a colour is as good as off, so that no least current is known."""
        return min(float(stage.least_w) for stage in self.shares) < LEAST_SHARE

    @cached_property
    def shares(self) -> tuple[Stage, ...]:
        """Share of full current in each stage, at least: that of the channel that is least on."""
        return tuple(
            Stage(min(each), stretch.duration_s)
            for each, stretch in zip(self._duties, self.batch.use.stretches, strict=True)
        )

    @cached_property
    def nominal_v(self) -> Array:
        """Volts at which light and its fall are told (n, p)."""
        volts = self.stock.terminal_v[self.rows]
        return np.broadcast_to(volts, (len(self.of), len(self.rows)))

    def least_a(self, light: Places, volts: Array) -> Array:
        """Return no more than lights (m,) draw at full level at volts (m, ...)."""
        return self._at(volts, self._tables[0][0][light])

    def nominal_a(self) -> Array:
        """Return no more than lights draw at full level at nominal volts (n, p)."""
        return self._at(self.nominal_v, self._tables[0][0])

    def light_lm(self) -> Array:
        """Return at least as much light as there is at full level (n, p)."""
        return self._at(self.nominal_v, self._tables[1][1])

    def fall(self) -> Array:
        """Return no more than the fall in light (n, p)."""
        # Where strips cease to hold their current the fall has a kink.
        fall = np.minimum(*(self._least_near(self.nominal_v, table) for table in self._tables[2]))
        return np.asarray(np.maximum(FALL_SHARE * fall - FALL_MARGIN, 0.0))

    def floor_v(self, light: Places, place: Places) -> Array:
        """Lowest volts at which there can still be half of the light that a charge begins with."""
        rows, multiple = self.rows[place], self.multiple[place]
        cutoff_v = self.stock.cutoff_v[rows]
        if self.mixed:
            return cutoff_v
        # Nothing lags behind yet when a charge begins.
        full_v, ohms = self.stock.used.open_circuit_volts(0.0)[rows], self.stock.used.ohms[rows]
        current_a, light_lm = (table[:, light] for table in self._tables[:2])
        most_a = self._at(full_v, current_a[1]) + self.batch.idle_a
        begins_v = full_v - ohms / multiple * most_a
        half_lm = 0.999 * HALF * self._at(begins_v, light_lm[0])
        passed = np.count_nonzero(light_lm[1] < half_lm[:, None], axis=1)
        return np.asarray(np.maximum(self._volts[np.maximum(passed - 1, 0)], cutoff_v))
