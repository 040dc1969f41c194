"""Fits the curve, resistance and lag of a pack so that its catalogue figures come out again.

All volts here are those of one cell, all ohms those of one cell at the pack's current. With
s the share of charge drawn and I the amps, one cell holds at steady current

    V(s, I) = E(s + I lag(I) / C) - I R0,    E(s) = T(start + width s) + shift,
    lag(I) = lag + rise I

where T is the usual curve of the chemistry. The figures to meet:

    E(0) = full volts                                   rested, fully charged
    V(1, slow amps) = cut-off volts                     the slow capacity
    mean over s of V(s, slow amps) = mean volts         energy over charge
    E(1/2) - V(1/2, amps) = amps * resistance           the stated resistance
    V(fast capacity / C, fast amps) = cut-off volts     the fast capacity, when stated
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.charge.open_circuit import STEP, even_curve
from lightcalc.tables.chemistries import Chemistry

Floats = NDArray[np.float64]

LAG_SHARES = (0.4954, 0.1676, 0.3370)
LAG_TIMES = (0.7430, 0.2513, 0.0549)
"""How the lag builds up after a step of current: three exponentials, as shares of the whole lag
and as times in units of the lag. From the exact series for a sphere of even diffusivity under a
steady flux (J. Crank, The Mathematics of Diffusion, 1975, section 6.3.4: roots of tan b = b,
b = 4.4934, 7.7253, ...; shares 10/b^2, times 15/b^2); the third stands for the rest of the series
and keeps its first moment."""

_BISECTIONS = 26
_ROUNDS = 5


@dataclass(frozen=True)
class Figures:
    """Catalogue figures of one cell; arrays of one shape.

    Lag is NaN where the fast pair is to tell it. Resistance is taken at the fast current.
    """

    full_volts: Floats
    cutoff_volts: Floats
    mean_volts: Floats
    capacity_coulomb: Floats
    slow_amps: Floats
    ohms: Floats
    lag_s: Floats
    fast_share: Floats
    fast_amps: Floats


@dataclass(frozen=True)
class Fit:
    """What was found: shift [V], start and width [-], ohms at once, lag [s] and its rise [s/A]."""

    shift_volts: Floats
    start: Floats
    width: Floats
    ohms: Floats
    lag_s: Floats
    lag_rise_s_per_a: Floats


class _Curve:
    """The usual curve T, its inverse and its running integral."""

    def __init__(self, kind: Chemistry) -> None:
        self.x, self.v = even_curve(kind)
        self.rising, self.falling_x = self.v[::-1], self.x[::-1]
        self.area = np.concatenate(([0.0], np.cumsum((self.v[1:] + self.v[:-1]) / 2) * STEP))

    def volts(self, x: Floats) -> Floats:
        return np.interp(x, self.x, self.v)

    def drawn(self, v: Floats) -> Floats:
        return np.interp(v, self.rising, self.falling_x)

    def mean(self, a: Floats, b: Floats) -> Floats:
        span = np.interp(b, self.x, self.area) - np.interp(a, self.x, self.area)
        return np.asarray(span / (b - a))


def built_up(seconds: Floats, lag_s: Floats) -> Floats:
    """Share of the steady lag reached `seconds` after the current starts.

    >>> float(built_up(np.array(3600.0), np.array(60.0)).round(3))
    1.0
    """
    ratio = seconds / np.maximum(lag_s, 1e-9)
    left = sum(w * np.exp(-ratio / t) for w, t in zip(LAG_SHARES, LAG_TIMES, strict=True))
    return np.asarray(1.0 - left)


def usual_mean_volts(kind: Chemistry, full: Floats, cutoff: Floats) -> Floats:
    """Mean volts of the usual curve of one cell between `full` and `cutoff` [V].

    >>> from lightcalc.tables.chemistries import chemistry
    >>> round(float(usual_mean_volts(chemistry("lithium-ion"), np.array(4.2), np.array(2.5))), 2)
    3.74
    """
    curve = _Curve(kind)
    return curve.mean(curve.drawn(full), curve.drawn(cutoff))


def fit(kind: Chemistry, figures: Figures) -> Fit:
    """Meet the figures; where they contradict each other the slow ones win."""
    curve = _Curve(kind)
    f = figures
    ohms = f.ohms.copy()
    fast_lag = np.where(np.isnan(f.lag_s), 0.0, f.lag_s)
    if kind.rate_law == "peukert":
        place = _place_curve(curve, kind.mean_volts_reach, f, ohms, 0.0 * ohms)
        return Fit(*place, ohms, 0.0 * ohms, 0.0 * ohms)
    even = partial(_even_part, kind.lag_even_s)
    place = _place_curve(curve, kind.mean_volts_reach, f, ohms, 0.0 * ohms)
    for _ in range(_ROUNDS):
        ohms, fast_lag = _split_drop(curve, f, place, even)
        lag, rise = even(fast_lag, f.fast_amps)
        place = _place_curve(curve, kind.mean_volts_reach, f, ohms, lag + rise * f.slow_amps)
    return Fit(*place, ohms, lag, rise)


def _even_part(even_s: float, fast_lag: Floats, fast_amps: Floats) -> tuple[Floats, Floats]:
    """Lag at little current, and its rise with current, from the lag at the fast current."""
    lag = np.minimum(fast_lag, even_s)
    return lag, (fast_lag - lag) / fast_amps


def _place_curve(
    curve: _Curve, reach: float, f: Figures, ohms: Floats, lag_s: Floats
) -> tuple[Floats, Floats, Floats]:
    lift = f.slow_amps * ohms
    lead = f.slow_amps * lag_s / f.capacity_coulomb

    def ends(shift: Floats) -> tuple[Floats, Floats]:
        start = curve.drawn(f.full_volts - shift)
        end = curve.drawn(f.cutoff_volts + lift - shift)
        return start, np.maximum(end - start, 0.05) / (1.0 + lead)

    low, high = np.full_like(ohms, -reach), np.full_like(ohms, reach)
    for _ in range(_BISECTIONS):
        shift = (low + high) / 2
        start, width = ends(shift)
        mean = curve.mean(start + width * lead, start + width * (1 + lead)) + shift - lift
        short = mean < f.mean_volts
        low, high = np.where(short, shift, low), np.where(short, high, shift)
    shift = (low + high) / 2
    return (shift, *ends(shift))


def _split_drop(
    curve: _Curve,
    f: Figures,
    place: tuple[Floats, Floats, Floats],
    even: Callable[[Floats, Floats], tuple[Floats, Floats]],
) -> tuple[Floats, Floats]:
    """Split the stated resistance into what acts at once and what the lag adds."""
    shift, start, width = place
    half = curve.volts(start + width / 2)
    seconds = f.fast_share * f.capacity_coulomb / f.fast_amps
    half_seconds = f.capacity_coulomb / f.fast_amps / 2

    def lag_for(ohms: Floats) -> Floats:
        end = (curve.drawn(f.cutoff_volts + f.fast_amps * ohms - shift) - start) / width
        needed = np.maximum(end - f.fast_share, 0.0) * f.capacity_coulomb / f.fast_amps
        lag = needed
        for _ in range(3):
            lag = needed / np.maximum(built_up(seconds, lag), 0.05)
        return np.where(np.isnan(f.lag_s), lag, f.lag_s)

    low, high = 0.02 * f.ohms, f.ohms.copy()
    for _ in range(_BISECTIONS):
        ohms = (low + high) / 2
        lag, rise = even(lag_for(ohms), f.fast_amps)
        lag += rise * f.fast_amps
        ahead = f.fast_amps * lag / f.capacity_coulomb * built_up(half_seconds, lag)
        sag = half - curve.volts(start + width * (0.5 + ahead))
        short = ohms * f.fast_amps + sag < f.ohms * f.fast_amps
        low, high = np.where(short, ohms, low), np.where(short, high, ohms)
    ohms = (low + high) / 2
    return ohms, lag_for(ohms)
