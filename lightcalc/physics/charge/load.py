"""What a pack feeds, as power against the volts at its terminals, and where the two meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_HIGHEST_V = 1e6


@dataclass(frozen=True)
class Load:
    """A table of power over pack-terminal volts, straight between its rows, level outside them.

    volts          ascending [V], shape (k,), or (..., k) where each load has rows of its own
    power_w        average power drawn at those volts [W], shape (..., k)
    peak_power_w   power during the on-time [W], shape (..., k); more than the average under PWM
    """

    volts: Floats
    power_w: Floats
    peak_power_w: Floats

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the batch; () for one load."""
        powers = (self.power_w.shape[:-1], self.peak_power_w.shape[:-1])
        return np.broadcast_shapes(self.volts.shape[:-1], *powers)


class Meeting(NamedTuple):
    """Where pack and load agree: terminal volts [V], average and on-time current [A]."""

    volts: Floats
    amps: Floats
    peak_amps: Floats


def constant_power(power_w: ArrayLike, peak_power_w: ArrayLike | None = None) -> Load:
    """Load that draws the same power at any volts, as everything behind a converter does.

    >>> constant_power(6.0).power_w
    array([6.])
    """
    average = np.asarray(power_w, dtype=float)
    peak = average if peak_power_w is None else np.asarray(peak_power_w, dtype=float)
    average, peak = np.broadcast_arrays(average, peak)
    return Load(np.array([1.0]), average[..., None], peak[..., None])


def constant_current(current_a: ArrayLike) -> Load:
    """Load that draws the same current at any volts from 0 V to 100 V.

    >>> constant_current(2.0).power_w
    array([  0., 200.])
    """
    volts = np.array([0.0, 100.0])
    power = np.asarray(current_a, dtype=float)[..., None] * volts
    return Load(volts, power, power)


class Crossing:
    """Solves E = V + R peak(V) / V for the greatest V at or above cut-off, for a whole batch.

    The power is straight between rows of the table, a + b V, so each row is a quadratic,
    V = ((E - R b) + sqrt((E - R b)^2 - 4 R a)) / 2, and the answer is exact. Where a load has two
    solutions the one with less current is taken, as it is reached from rest. Below `least_volts`
    of E the pack is at its cut-off or cannot feed this load; `stalls` says which.
    """

    def __init__(self, load: Load, ohms: Floats, cutoff_volts: Floats) -> None:
        self._ohms = ohms
        average = _lines(load.volts, load.power_w, ohms.size)
        peak = _lines(load.volts, load.peak_power_w, ohms.size)
        self._lows = _least_at_or_above(load.volts, peak, ohms, cutoff_volts)
        self._lines = np.stack((*average, *peak)).reshape(4, -1)
        self._average_w, self._peak_w = average[0][:, 0], peak[0][:, 0]
        # Of the rows of each pair the first one is at or below any volts that are asked for.
        self._first = np.arange(ohms.size) * self._lows.shape[1] - 1
        self._level = load.volts.size == 1
        self.least_volts = self._lows[:, 0]
        self.stalls = self.at(self.least_volts).volts > cutoff_volts * (1 + 1e-6)

    def at(self, source_volts: Floats) -> Meeting:
        """Meeting point of each pair; E below `least_volts` counts as `least_volts`."""
        source = np.maximum(source_volts, self.least_volts)
        if self._level:
            return self._at_level(source)
        flat = (self._lows <= source[:, None]).sum(axis=1)
        flat += self._first
        a, b, c, d = self._lines.take(flat, axis=1)
        half = source - self._ohms * d
        half *= 0.5
        root = half * half
        root -= self._ohms * c
        np.maximum(root, 0.0, out=root)
        volts = half + np.sqrt(root, out=root)
        return Meeting(volts, a / volts + b, c / volts + d)

    def _at_level(self, source: Floats) -> Meeting:
        """Find the same where power does not change with volts."""
        volts = source * 0.5
        root = volts * volts
        root -= self._ohms * self._peak_w
        np.maximum(root, 0.0, out=root)
        volts += np.sqrt(root, out=root)
        return Meeting(volts, self._average_w / volts, self._peak_w / volts)


def _lines(volts: Floats, power: Floats, size: int) -> tuple[Floats, Floats]:
    """Find intercepts and slopes of the power below, between and above the rows, (size, k + 1)."""
    count = volts.shape[-1]
    rows = np.broadcast_to(power.reshape(-1, count), (size, count))
    slope = np.zeros((size, count + 1))
    slope[:, 1:-1] = np.diff(rows, axis=1) / np.diff(volts)
    intercept = np.empty_like(slope)
    intercept[:, 0] = rows[:, 0]
    intercept[:, 1:] = rows - slope[:, 1:] * volts
    return intercept, slope


def _least_at_or_above(
    volts: Floats, peak: tuple[Floats, Floats], ohms: Floats, cutoff: Floats
) -> Floats:
    """Least E = V + R peak(V) / V from each row of the table upwards, above cut-off."""
    size = ohms.size
    edges = np.empty((size, volts.shape[-1] + 2))
    edges[:, 0], edges[:, -1] = cutoff, _HIGHEST_V
    edges[:, 1:-1] = np.maximum(volts, cutoff[:, None])
    low, high, r = edges[:, :-1], edges[:, 1:], ohms[:, None]
    intercept, slope = peak
    turn = np.clip(np.sqrt(np.maximum(r * intercept, 0.0)), low, high)
    least = np.where(high > low, turn + r * (intercept / turn + slope), np.inf)
    return np.minimum.accumulate(least[:, ::-1], axis=1)[:, ::-1].copy()
