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
from lightcalc.answers.finder.lines import above, below, read
from lightcalc.answers.finder.longest import Loads
from lightcalc.answers.finder.stock import least_rating_a
from lightcalc.answers.finder.straight import FALL_MARGIN, Straight
from lightcalc.answers.sizing import SHARING_ROUNDS
from lightcalc.answers.wiring import contact_ohm
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.wire import hot_copper_ratio

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

VOLTS = 13


@dataclass(frozen=True)
class OnPacks:
    """Lights on packs (m,) at best: fall in light, loads, and whether strips stay cool."""

    fall: Array
    loads: Loads
    possible: Flags


@dataclass(frozen=True)
class _Tables:
    """Lights on packs over volts, both (m, k), through the most ohms there could be.

    With the fewest ohms the strips see at most `more_v` (m,) more.
    """

    volts: Array
    amps: Array
    light_lm: Array
    more_v: Array


def look_at(straight: Straight, light: Places, place: Places, dark_w: Array) -> OnPacks:
    """Work out lights on packs (m,), both paired, of a batch."""
    batch, sides, stock = straight.batch, straight.sides, straight.stock
    of, rows = straight.of[light], straight.rows[place]
    wires, load_a = _wires(straight, light, place)
    heat = [
        [sides.warmth.of(run, volts) for run in batch.wireds[k].runs]
        for k, volts in zip(of.tolist(), stock.full_v[rows].tolist(), strict=True)
    ]
    cool = np.array([all(one.strip_c <= one.limit_c for one in row) for row in heat])
    strip_c = np.array([warm_c(row) for row in heat])
    ohm = sides.wires.ohm(wires, batch.leads_m[of], sides.room_c)
    least_ohm, most_ohm = _series_ohm(straight, light, place, load_a)
    # Below the volts at which the light is half at most nothing need be known.
    low_v = 0.98 * straight.floor_v(light, place)
    width_v = 1.01 * stock.full_v[rows] - low_v
    volts = low_v[:, None] + np.linspace(0.0, 1.0, VOLTS) * width_v[:, None]
    more_v = (most_ohm - least_ohm) * straight.pack_a[light, place]
    nominal_v = stock.terminal_v[rows]
    told_v = np.stack((nominal_v, nominal_v + more_v), axis=1)
    jumpers = batch.jumpers(of, ohm, converter=False)
    wiring = over_volts(batch.network(of, ohm, strip_c, most_ohm, jumpers))
    found = solve(wiring, np.concatenate((volts, told_v), axis=1))
    light_lm, fall = batch.light(of, found)
    tables = _Tables(volts, np.asarray(found.supply_a)[:, :VOLTS], light_lm[:, :VOLTS], more_v)
    least_fall = np.maximum(fall[:, VOLTS:].min(axis=1) - FALL_MARGIN, 0.0)
    sure = straight.sure[light, place]
    loads = _loads(straight, light, place, tables, dark_w)
    return OnPacks(np.where(sure, least_fall, 0.0), loads, cool)


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
    volts, rating_a = straight.stock.full_v[rows], straight.rating_a[light, place]
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
