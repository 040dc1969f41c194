"""One discharge of a pack into a load, from full to its end, marched over the charge drawn."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.physics.charge.load import Crossing, Load
from lightcalc.physics.charge.open_circuit import RestVolts
from lightcalc.physics.charge.pack import Pack
from lightcalc.physics.charge.pack_fit import LAG_SHARES, LAG_TIMES
from lightcalc.physics.charge.rate import StateRate

Floats = NDArray[np.float64]


class Ending(StrEnum):
    """What ends a discharge."""

    CUTOFF = "cut-off volts reached"
    STALL = "pack cannot deliver this power"
    TRIP = "protection trips"
    FLAT = "charge exhausted"
    IDLE = "load stops drawing"


ENDINGS = tuple(Ending)


@dataclass(frozen=True)
class Endurance:
    """Totals of a discharge, over the batch (...).

    duration_s, charge_coulomb     how long it lasts and what it draws
    energy_j, heat_j               into the load, and lost inside the pack
    open_circuit_j                 what the pack gives up: charge at its open-circuit volts
    ending                         index into ENDINGS
    """

    duration_s: Floats
    charge_coulomb: Floats
    energy_j: Floats
    heat_j: Floats
    open_circuit_j: Floats
    ending: NDArray[np.intp]

    @property
    def ended_by(self) -> Ending:
        """What ended a single discharge; for a batch read ENDINGS[i] of `ending`."""
        return ENDINGS[int(self.ending)]


@dataclass(frozen=True)
class Discharge:
    """A discharge as curves of shape (..., n) over the batch, and its totals.

    From the end on the curves stay level. `pack_heat_w` is open-circuit power minus terminal power.
    """

    time_s: Floats
    charge_coulomb: Floats
    volts: Floats
    amps: Floats
    peak_amps: Floats
    pack_heat_w: Floats
    totals: Endurance

    @property
    def duration_s(self) -> Floats:
        """Time from full to the end [s]."""
        return self.totals.duration_s

    @property
    def ended_by(self) -> Ending:
        """What ended a single discharge."""
        return self.totals.ended_by


class _Point(NamedTuple):
    """One point of the march: volts behind the resistance and at rest, and what the load draws."""

    source: Floats
    rest: Floats
    volts: Floats
    amps: Floats
    peak: Floats
    gear: Floats

    def of(self, cases: NDArray[np.intp]) -> _Point:
        """Pick some of the cases."""
        return _Point(*(values[cases] for values in self))

    def put(self, cases: NDArray[np.intp], point: _Point) -> None:
        """Write some of the cases in the place of what is here."""
        for values, some in zip(self, point, strict=True):
            values[cases] = some


def _between(was: _Point, new: _Point, share: Floats) -> _Point:
    """Point a share of the way on; power rather than current is taken as straight."""

    def along(a: Floats, b: Floats) -> Floats:
        return np.asarray(a + share * (b - a))

    volts = along(was.volts, new.volts)
    amps = along(was.volts * was.amps, new.volts * new.amps) / volts
    peak = along(was.volts * was.peak, new.volts * new.peak) / volts
    source, rest = along(was.source, new.source), along(was.rest, new.rest)
    return _Point(source, rest, volts, amps, peak, along(was.gear, new.gear))


def _at_end(point: _Point, end: _Point, reached: NDArray[np.bool_]) -> _Point:
    """Point as it is, or with what flows at the least volts where those were reached."""
    flows = {
        name: np.where(reached, getattr(end, name), getattr(point, name))
        for name in ("volts", "amps", "peak", "gear")
    }
    return point._replace(**flows)


GRID = np.concatenate(
    (
        np.linspace(0.0, 0.02, 9)[:-1],
        np.linspace(0.02, 0.8, 105)[:-1],
        np.linspace(0.8, 1.06, 105),
    )
)
QUICK_GRID = np.concatenate(
    (
        np.linspace(0.0, 0.02, 5)[:-1],
        np.linspace(0.02, 0.8, 41)[:-1],
        np.linspace(0.8, 1.06, 36),
    )
)
"""For very large batches: hours within 0.1 % of those of GRID, for packs that last an hour."""
_LEAST_RATE_PER_S = 1.0 / (20 * 365.25 * 86400)
# Of a load that draws nothing, so that time stays a number.
_LEAST_A = 1e-290
_LAG_SHARES = np.array(LAG_SHARES)[:, None]
_LAG_RATES = -1.0 / np.array(LAG_TIMES)[:, None]
_CHUNK = 8192


class _March:
    """A flat batch of pack-load pairs walking down the same grid of state of charge."""

    def __init__(self, pack: Pack, load: Load, max_amps: Floats) -> None:
        self.pack, self.max_amps = pack, max_amps
        self.at_rest = RestVolts(
            pack.curve,
            pack.curve_start,
            pack.curve_width,
            pack.cells,
            pack.curve_shift_volts,
        )
        self.crossing = Crossing(load, pack.ohms, pack.cutoff_volts)
        self.rate = StateRate(pack)
        size = pack.ohms.size
        self.behind = np.zeros((len(LAG_TIMES), size))
        self.lags = bool(pack.lag_s.any() or pack.lag_rise_s_per_a.any())
        self.idle_a = pack.capacity_coulomb * _LEAST_RATE_PER_S
        self.ending = np.full(size, ENDINGS.index(Ending.FLAT))
        self.alive = np.ones(size, dtype=bool)
        self.totals = np.zeros((4, size))
        self.now = self._point(0.0)
        self.amps_before = self.now.amps
        self.paces = self._paces(self.now)
        self._stop_before_start()

    def _point(self, state: float) -> _Point:
        if self.lags:
            both = np.empty((2, self.alive.size))
            both[0] = state
            self.behind.sum(axis=0, out=both[1])
            both[1] += state
            rest, source = self.at_rest.at(both)
        else:
            rest = source = self.at_rest.at(state)
        volts, amps, peak = self.crossing.at(source)
        return _Point(source, rest, volts, amps, peak, self.rate.at(amps))

    def _stop_before_start(self) -> None:
        self._mark(self.now.source <= self.crossing.least_volts, self._cutoff_or_stall())
        self._mark(self.now.peak > self.max_amps, ENDINGS.index(Ending.TRIP))
        self._mark(self.now.amps < self.idle_a, ENDINGS.index(Ending.IDLE))

    def _cutoff_or_stall(self) -> NDArray[np.intp]:
        stall, cutoff = ENDINGS.index(Ending.STALL), ENDINGS.index(Ending.CUTOFF)
        return np.where(self.crossing.stalls, stall, cutoff)

    def _mark(self, ended: NDArray[np.bool_], ending: ArrayLike) -> None:
        ended = self.alive & ended
        if ended.any():
            self.ending = np.where(ended, ending, self.ending)
            self.alive = self.alive & ~ended

    def step(self, state: float, width: float) -> None:
        """Walk on to the next grid point, or to the end that lies before it."""
        was, alive = self.now, self.alive
        self._let_lag_build(was, width)
        new = self._point(state)
        below = alive & (new.source < self.crossing.least_volts)
        over = alive & (new.peak > self.max_amps)
        walked = alive * width
        ends = np.flatnonzero(below | over)
        if ends.size:
            share = self._share_walked(was, new, below, over)[ends]
            walked[ends] *= share
            last = _between(was.of(ends), new.of(ends), share)
            reached = self.ending[ends] != ENDINGS.index(Ending.TRIP)
            new.put(ends, _at_end(last, new.of(ends), reached))
        self._mark(new.amps < self.idle_a, ENDINGS.index(Ending.IDLE))
        self._add(new, walked)
        self.now, self.amps_before = new, was.amps

    def _let_lag_build(self, was: _Point, width: float) -> None:
        if not self.lags:
            return
        pack = self.pack
        # The current halfway through the step, foreseen from the step before.
        amps = 1.5 * was.amps
        amps -= 0.5 * self.amps_before
        np.maximum(amps, 0.5 * was.amps, out=amps)
        lag = pack.lag_rise_s_per_a * amps
        lag += pack.lag_s
        whole = amps * lag
        whole /= pack.capacity_coulomb
        amps *= was.gear
        amps += 1e-30
        amps *= np.maximum(lag, 1e-9, out=lag)
        lags = width * pack.capacity_coulomb / amps
        goal = _LAG_SHARES * whole
        left = _LAG_RATES * lags
        self.behind -= goal
        self.behind *= np.exp(left, out=left)
        self.behind += goal

    def _share_walked(
        self, was: _Point, new: _Point, below: NDArray[np.bool_], over: NDArray[np.bool_]
    ) -> Floats:
        with np.errstate(invalid="ignore", divide="ignore"):
            to_end = (was.source - self.crossing.least_volts) / (was.source - new.source)
            to_trip = (self.max_amps - was.peak) / (new.peak - was.peak)
        to_end = np.where(below, np.clip(to_end, 0.0, 1.0), 1.0)
        to_trip = np.where(over, np.clip(to_trip, 0.0, 1.0), 1.0)
        trips = over & (to_trip < to_end)
        self._mark(trips, ENDINGS.index(Ending.TRIP))
        self._mark(below & ~trips, self._cutoff_or_stall())
        return np.minimum(to_end, to_trip)

    def _add(self, new: _Point, width: Floats) -> None:
        """Add time, charge, energy and open-circuit energy, by trapezoids over the state."""
        paces, part = self._paces(new), width * self.pack.capacity_coulomb
        part *= 0.5
        self.paces += paces
        self.paces *= part
        self.totals += self.paces
        self.paces = paces

    def _paces(self, point: _Point) -> Floats:
        """Growth of each total with the state, over the capacity."""
        paces = np.empty((4, point.amps.size))
        seconds, charge, energy, rest = paces
        np.divide(1.0, point.gear, out=charge)
        np.multiply(charge, point.volts, out=energy)
        np.multiply(charge, point.rest, out=rest)
        np.divide(charge, np.maximum(point.amps, _LEAST_A), out=seconds)
        return paces

    def endurance(self) -> Endurance:
        """Totals so far."""
        seconds, charge, energy, rest = self.totals
        return Endurance(seconds, charge, energy, rest - energy, rest, self.ending)


def discharge(
    pack: Pack, load: Load, max_amps: ArrayLike | None = None, *, grid: Floats = GRID
) -> Discharge:
    """Discharge one pack, or a batch of pack-load pairs, with its curves.

    `grid` holds the states of charge to stop at, GRID or QUICK_GRID.
    """
    pack, load, limit, shape = _flat(pack, load, max_amps)
    march = _March(pack, load, limit)
    rows = np.empty((6, grid.size, limit.size))
    _record(march, rows[:, 0])
    for i in range(1, grid.size):
        ended = ~march.alive
        march.step(grid[i], grid[i] - grid[i - 1])
        _record(march, rows[:, i])
        rows[:, i, ended] = rows[:, i - 1, ended]
        if not march.alive.any():
            rows[:, i + 1 :] = rows[:, i, None]
            break
    curves = [np.ascontiguousarray(row.T).reshape(*shape, grid.size) for row in rows]
    seconds, charge, volts, amps, peak, heat = curves
    totals = _shaped(march.endurance(), shape)
    return Discharge(seconds, charge, volts, amps, peak, heat, totals)


def endurance(pack: Pack, load: Load, max_amps: ArrayLike | None = None) -> Endurance:
    """Totals of the same discharge without its curves, for large batches."""
    pack, load, limit, shape = _flat(pack, load, max_amps)
    parts = []
    for start in range(0, limit.size, _CHUNK):
        some = slice(start, start + _CHUNK)
        march = _March(_rows(pack, some), _load_rows(load, some), limit[some])
        for i in range(1, GRID.size):
            march.step(GRID[i], GRID[i] - GRID[i - 1])
            if not march.alive.any():
                break
        parts.append(march.endurance())
    names = [field.name for field in fields(Endurance)]
    whole = {name: np.concatenate([getattr(part, name) for part in parts]) for name in names}
    return _shaped(Endurance(**whole), shape)


def _record(march: _March, rows: Floats) -> None:
    point = march.now
    rows[0], rows[1] = march.totals[0], march.totals[1]
    rows[2], rows[3], rows[4] = point.volts, point.amps, point.peak
    rows[5] = (point.rest - point.volts) * point.amps


def _flat(
    pack: Pack, load: Load, max_amps: ArrayLike | None
) -> tuple[Pack, Load, Floats, tuple[int, ...]]:
    limit = np.asarray(np.inf if max_amps is None else max_amps, dtype=float)
    shape = np.broadcast_shapes(pack.shape, load.shape, limit.shape)
    count = load.volts.shape[-1]

    def each(rows: Floats) -> Floats:
        return np.broadcast_to(rows, (*shape, count)).reshape(-1, count)

    volts = load.volts if load.volts.ndim == 1 else each(load.volts)
    table = Load(volts, each(load.power_w), each(load.peak_power_w))
    flat = {
        field.name: np.broadcast_to(getattr(pack, field.name), shape).ravel()
        for field in fields(Pack)
    }
    limits = np.broadcast_to(limit, shape).ravel()
    return Pack(**flat), table, limits, shape


def _rows(pack: Pack, some: slice) -> Pack:
    return replace(pack, **{f.name: getattr(pack, f.name)[some] for f in fields(Pack)})


def _load_rows(load: Load, some: slice) -> Load:
    volts = load.volts if load.volts.ndim == 1 else load.volts[some]
    return Load(volts, load.power_w[some], load.peak_power_w[some])


def _shaped(totals: Endurance, shape: tuple[int, ...]) -> Endurance:
    return Endurance(*(getattr(totals, f.name).reshape(shape) for f in fields(Endurance)))
