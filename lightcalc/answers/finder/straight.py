"""Bounds for strips straight on a pack, whose wires, volts and light all hang on that pack.

Leads are no thinner than the load and the least fuse ask for, and no thicker than the thickest on
offer. So at any volts the strips draw no less than through the one, and shine no more than through
the other. A charge that draws the least lasts longest; it counts until even the brightest strips
are down to half of the least light there could have been when it began.

    rest volts ──────────────.__            at most this light, until q_end
    most current ------------. .._          at least this current
                                    `.
               charge drawn  ─────────────▶
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.draw import duties
from lightcalc.answers.endurance import HALF
from lightcalc.answers.finder.alike import Batch
from lightcalc.answers.finder.energy import SLACK, Stage, longest_s
from lightcalc.answers.finder.light_side import LightSides
from lightcalc.answers.finder.offers import NONE
from lightcalc.answers.finder.stock import Stock, least_rating_a
from lightcalc.physics.discharge import Discharge, discharge
from lightcalc.physics.ladder import solve
from lightcalc.physics.load import Load
from lightcalc.physics.pack import Pack
from lightcalc.physics.wire import hot_copper_ratio

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

VOLTS = 17
# Straight lines between those volts may say too much current by this (checked by the tests).
CURRENT_SHARE = 0.99
# What leads and volts may do to the fall along a run, by far.
FALL_SHARE, FALL_MARGIN = 0.9, 0.002
# Of a mix in which a colour is as good as off nothing is said.
LEAST_SHARE = 1e-3


@dataclass(frozen=True)
class Straight:
    """Supplies wired alike, of strips of the same volts, on each of some packs.

    `of` are places in the batch (n,), `rows` and `multiple` the packs (p,).
    """

    sides: LightSides
    batch: Batch
    of: Places
    stock: Stock
    rows: Places
    multiple: Array

    @cached_property
    def lead_a(self) -> Array:
        """Current in each lead through thick wire at the highest volts (n, p, leads)."""
        volts, which = np.unique(self.stock.source_v[self.rows], return_inverse=True)
        of = np.repeat(self.of, len(volts))
        found = self.sides.thick_a(self.batch, of, np.tile(volts, len(self.of)))
        return found.reshape(len(self.of), len(volts), -1)[:, which]

    @cached_property
    def pack_a(self) -> Array:
        """Greatest current that wires at the pack are sized for (n, p)."""
        return self.lead_a[..., self.batch.first_leads].sum(axis=-1) + self.batch.idle_a

    @cached_property
    def _fits(self) -> Flags:
        supply = self.batch.wireds[0].supply
        return self.stock.fuses(
            self.rows, self.multiple, supply, self.sides.wires, self.sides.fuses
        )

    @cached_property
    def rating_a(self) -> Array:
        """Least that wires must stand (n, p); infinite where no fuse will do."""
        fed = [path[0] for path in self.batch.paths]
        found = least_rating_a(self._fits, self.lead_a[..., fed].sum(axis=-1), self.sides.fuses)
        if self.batch.wireds[0].supply.pack_fuse is not None:
            found = np.broadcast_to(self.sides.fuses.rating_a[self._fits[0]], found.shape)
        bank = self.stock.bank[self.rows]
        return np.where(bank, self.stock.socket_a[self.rows], found)

    @cached_property
    def _wires(self) -> tuple[Places, Places]:
        """Thinnest wire that each lead and the pack lead could have (n, p, leads), (n, p)."""
        offer, shape = self.sides.wires, self.lead_a.shape
        of = np.repeat(self.of, len(self.rows))
        terminal_v = np.tile(self.stock.terminal_v[self.rows], len(self.of))[:, None]
        rating_a = self.rating_a.ravel()
        loop_m = (1.0 + 1.0 / self.batch.returns) * self.batch.leads_m[of]
        allowed_v = 1.001 * self.sides.ask.lead_drop_ratio * terminal_v
        leads, _ = offer.choose(
            0.999999 * self.lead_a.reshape(len(of), -1),
            loop_m,
            allowed_v * self.batch.shares[of],
            rating_a,
            self.batch.named[of],
        )
        supply = self.batch.wireds[0].supply
        one = np.ones((len(of), 1))
        named = np.full((len(of), 1), offer.named([supply.pack_wire])[0])
        pack_a = 0.999999 * self.pack_a.reshape(-1, 1)
        pack, _ = offer.choose(pack_a, 2.0 * supply.pack_lead_m * one, allowed_v, rating_a, named)
        return leads.reshape(shape), pack.reshape(shape[:2])

    @cached_property
    def possible(self) -> Flags:
        """Whether a pack might do (n, p)."""
        leads, pack = self._wires
        return np.isfinite(self.rating_a) & np.all(leads != NONE, axis=-1) & (pack != NONE)

    def cost(self, name: str) -> Array:
        """Least `price` or `mass_kg` of leads, pack lead and fuse (n, p)."""
        leads, pack = self._wires
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
        bank = self.stock.bank[self.rows]
        fuse = np.min(np.where(self._fits, fuses, np.inf), axis=-1, initial=np.inf)
        fuse = np.where(np.isfinite(fuse) & ~bank, fuse, 0.0)
        return np.asarray(
            np.sum(per_m * conductors_m[:, None], axis=-1)
            + 2.0 * supply.pack_lead_m * pack_per_m
            + fuse
        )

    @cached_property
    def _volts(self) -> Array:
        bare = ~self.stock.bank[self.rows]
        lows = [*self.stock.cutoff_v[self.rows][bare], *self.stock.source_v[self.rows][~bare]]
        return np.linspace(0.98 * min(lows), 1.002 * self.stock.source_v[self.rows].max(), VOLTS)

    @cached_property
    def _tables(self) -> tuple[Array, Array, Array]:
        """Current, light and fall over the volts (2, n, volts): through most ohms and least."""
        offer, batch, room_c = self.sides.wires, self.batch, self.sides.room_c
        leads, pack = self._wires
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
        plugs = self.sides.catalogue.connectors
        series = sum(2.0 * plugs[name].resistance_ohm for name in supply.connectors)
        pack_ohm = np.where(self.possible, offer.ohm_per_m[pack], 0.0).max(axis=1)
        worst = series + self._fuse_ohm + 2.0 * supply.pack_lead_m * ratio * pack_ohm
        wiring = batch.network(of, ohm, strip_c, np.concatenate((worst, np.full(count, series))))
        wiring = wiring.with_numbers(lambda value: value[:, None] if np.ndim(value) else value)
        found = solve(wiring, np.broadcast_to(self._volts, (2 * count, VOLTS)))
        light_lm, fall = batch.light(of, found)
        shape = (2, count, VOLTS)
        return found.supply_a.reshape(shape), light_lm.reshape(shape), fall.reshape(shape)

    @cached_property
    def _fuse_ohm(self) -> Array:
        """Most ohms of a fuse that carries the load (n,)."""
        fuses = self.sides.fuses
        least = np.where(self.possible, self.rating_a, np.inf).min(axis=1)
        if self.stock.bank[self.rows].any():
            least = np.zeros_like(least)
        return np.where(fuses.rating_a >= least[:, None], fuses.ohm, 0.0).max(axis=1)

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
    def _mixed(self) -> bool:
        """Whether colours are dimmed apart, so that light and current do not go with the whole."""
        return any(min(each) < max(each) for each in self._duties)

    @cached_property
    def _shares(self) -> tuple[Stage, ...]:
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

    def light_lm(self) -> Array:
        """Return at least as much light as there is at full level (n, p)."""
        return self._at(self.nominal_v, self._tables[1][1])

    def fall(self) -> Array:
        """Return no more than the fall in light (n, p)."""
        fall = np.minimum(*(self._at(self.nominal_v, table) for table in self._tables[2]))
        return np.asarray(np.maximum(FALL_SHARE * fall - FALL_MARGIN, 0.0))

    def steady_w(self) -> tuple[Stage, ...]:
        """Least power of each stage at the volts of a bank's socket (n, p)."""
        full_w = CURRENT_SHARE * self.nominal_v * self._at(self.nominal_v, self._tables[0][0])
        return tuple(Stage(one.least_w * full_w, one.duration_s) for one in self._shares)

    def hours_h(self, light: Places, place: Places, dark_w: Array) -> Array:
        """Return hours that no charge exceeds: lights and packs (m,) of these, both paired."""
        if min(float(stage.least_w) for stage in self._shares) < LEAST_SHARE:
            return np.full(len(light), np.inf)
        amps, light_lm, _ = (table[:, light] for table in self._tables)
        amps = np.stack((CURRENT_SHARE * amps[0], amps[1] / CURRENT_SHARE))
        cells = self.stock.cells(self.rows[place], self.multiple[place])
        gentle, hard = self._marches(cells, amps)
        began_lm = self._at(hard.volts[:, 0], light_lm[0])
        if self._mixed:
            began_lm = 0.0 * began_lm
        lit = self._at(gentle.volts, light_lm[1]) >= 0.999 * HALF * began_lm[:, None]
        # One step more, since the light goes out between two.
        lit[:, 1:] |= lit[:, :-1].copy()
        spent = np.diff(gentle.charge_coulomb, axis=1) * lit[:, 1:]
        dimmest_v = self._dimmest_v(light_lm[1], HALF * began_lm, cells.cutoff_volts)
        low_v = np.array(
            [
                np.interp(at, drawn, volts, right=0.0)
                for at, drawn, volts in zip(
                    gentle.charge_coulomb, hard.charge_coulomb, hard.volts, strict=True
                )
            ]
        )
        least_a = np.maximum(self._at(np.maximum(low_v, dimmest_v[:, None]), amps[0]), 1e-9)
        full_level_s = np.sum(spent / np.minimum(least_a[:, 1:], least_a[:, :-1]), axis=1)
        most_a = self._at(self.stock.full_v[self.rows[place]], amps[1])
        dark = dark_w / self.stock.full_v[self.rows[place]] / most_a
        evenings = self.batch.use.evenings_a_week
        return SLACK * longest_s(full_level_s, self._shares, dark, evenings) / 3600.0

    def _marches(self, cells: Pack, amps: Array) -> tuple[Discharge, Discharge]:
        """Discharge at the gentlest stage through most ohms, and at full level through least."""
        least = min(float(stage.least_w) for stage in self._shares)
        peak_w = np.moveaxis(amps * self._volts, 0, 1)
        mean_w = peak_w * np.array([least, 1.0])[:, None]
        column = Pack(**{name: value[:, None] for name, value in vars(cells).items()})
        found = discharge(column, Load(self._volts, mean_w, peak_w))
        names = ("time_s", "charge_coulomb", "volts", "amps", "peak_amps", "pack_heat_w")
        gentle, hard = (
            Discharge(**{name: getattr(found, name)[:, k] for name in names}, totals=found.totals)
            for k in (0, 1)
        )
        return gentle, hard

    def _dimmest_v(self, light_lm: Array, half_lm: Array, cutoff_v: Array) -> Array:
        """Lowest volts at which there can still be half of the light (m,)."""
        below = np.count_nonzero(light_lm < half_lm[:, None], axis=1)
        return np.maximum(self._volts[np.maximum(below - 1, 0)], cutoff_v)
