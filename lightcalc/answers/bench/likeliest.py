r"""The likeliest numbers behind some readings, when numbers and meters have normal spreads.

    y = h(n) + e,    n ~ normal(mean, sd),    e ~ normal(0, noise)

Gauss-Newton steps from several starts at once, and at each end the model taken as straight: the
spread of the numbers, and the probability of the readings with the numbers averaged out [1]_ [2]_.

References
----------
.. [1] A. Tarantola, "Inverse problem theory", SIAM 2005, chapter 3: least squares with prior
   spreads, Gauss-Newton.
.. [2] D. J. C. MacKay, "Bayesian interpolation", Neural Computation 4 (1992) 415-447: evidence of
   a hypothesis by a Gaussian around its likeliest numbers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEPS = 6
SETTLED = 0.1
"""Largest change in a step that counts as settled, in deviations before the readings."""

FARTHEST = 4.5
"""No step goes farther than this from what was believed before, in deviations."""


@dataclass(frozen=True)
class Straight:
    """A model taken as straight around some points, one a row.

    shown (points, readings); slopes (points, readings, numbers).
    """

    shown: Array
    slopes: Array


@dataclass(frozen=True)
class Spreads:
    """What is believed before the readings.

    mean, sd (points, numbers); noise_sd (points, readings), infinite for what is left out.
    """

    mean: Array
    sd: Array
    noise_sd: Array


@dataclass(frozen=True)
class Peak:
    """Where one start ended.

    log_density   of the readings, numbers averaged out
    mean, spread  of the numbers, (numbers,) and (numbers, numbers)
    shown         by the model there, (readings,)
    misfit        chi-square: readings over noise and numbers over their spread
    """

    log_density: float
    mean: Array
    spread: Array
    shown: Array
    misfit: float


def density_and_gain(rest: Array, slopes: Array, sd: Array, noise_sd: Array) -> tuple[Array, Array]:
    """Straight model at its mean: log density of `rest`, and how the numbers follow it.

    Parameters: `rest` (benches, readings) measured less shown; `slopes` (readings, numbers); `sd`
    (numbers,); `noise_sd` (readings,), infinite for readings that count for nothing. Returns
    (benches,) and (numbers, readings).

    >>> one = np.ones((1, 1))
    >>> log, gain = density_and_gain(np.zeros((1, 1)), one, one[0], one[0])
    >>> float(gain[0, 0]), round(float(log[0]), 4)  # half of what is left; -0.5 ln(2 pi 2)
    (0.5, -1.2655)
    """
    counts = np.isfinite(noise_sd)
    wide = slopes[counts] * sd
    covariance = wide @ wide.T + np.diag(noise_sd[counts] ** 2)
    factor = np.linalg.cholesky(covariance)
    scaled = np.linalg.solve(factor, rest[:, counts].T)
    size = 2.0 * np.log(np.diag(factor)).sum() + len(factor) * np.log(2.0 * np.pi)
    log = -0.5 * (size + (scaled**2).sum(axis=0))
    gain = np.zeros(slopes.T.shape)
    gain[:, counts] = np.linalg.solve(covariance, wide * sd).T
    return np.asarray(log), gain


def likeliest(
    straight: Callable[[NDArray[np.intp], Array], Straight],
    measured: Array,
    before: Spreads,
    starts: Array,
) -> list[Peak]:
    """Find the likeliest numbers from each start (points, numbers).

    `straight(which, numbers)` takes the model as straight around the numbers of some points, whose
    indices are `which`; `measured` (points, readings).
    """
    far = FARTHEST * before.sd
    point = before.mean + np.clip(starts - before.mean, -far, far)
    trial, cost = point.copy(), np.full(len(starts), np.inf)
    shown = np.zeros(measured.shape)
    slopes = np.zeros((*measured.shape, starts.shape[1]))
    moving = np.arange(len(starts))
    for _ in range(STEPS):
        found = straight(moving, trial[moving])
        now = _cost(found.shown, measured[moving], trial[moving], before, moving)
        better = now < cost[moving]
        kept, stuck = moving[better], moving[~better]
        point[kept], cost[kept] = trial[kept], now[better]
        shown[kept], slopes[kept] = found.shown[better], found.slopes[better]
        trial[stuck] = 0.5 * (point[stuck] + trial[stuck])
        for n in kept:
            aim = _aim(n, point, Straight(shown, slopes), measured, before)[0]
            trial[n] = before.mean[n] + np.clip(aim - before.mean[n], -far[n], far[n])
        change = np.abs(trial[moving] - point[moving]) / before.sd[moving]
        moving = moving[change.max(axis=1) > SETTLED]
        if not moving.size:
            break
    ends = Straight(shown, slopes)
    return [_peak(n, point, ends, measured, before) for n in range(len(starts))]


def _cost(
    shown: Array, measured: Array, numbers: Array, before: Spreads, which: NDArray[np.intp]
) -> Array:
    readings = ((measured - shown) / before.noise_sd[which]) ** 2
    spread = ((numbers - before.mean[which]) / before.sd[which]) ** 2
    return np.asarray(readings.sum(axis=1) + spread.sum(axis=1))


def _aim(
    n: int, point: Array, ends: Straight, measured: Array, before: Spreads
) -> tuple[Array, Array, float]:
    """Best numbers of the straight model around a point, its gain, and the log density."""
    mean, sd, slopes = before.mean[n], before.sd[n], ends.slopes[n]
    rest = measured[n] - ends.shown[n] - slopes @ (mean - point[n])
    log, gain = density_and_gain(rest[None], slopes, sd, before.noise_sd[n])
    return mean + gain @ rest, gain, float(log[0])


def _peak(n: int, point: Array, ends: Straight, measured: Array, before: Spreads) -> Peak:
    aim, gain, log = _aim(n, point, ends, measured, before)
    slopes, sd = ends.slopes[n], before.sd[n]
    # Readings of nothing at all would aim where the model has no answer.
    mean = before.mean[n] + np.clip(aim - before.mean[n], -FARTHEST * sd, FARTHEST * sd)
    spread = np.diag(sd**2) - gain @ slopes * sd**2
    shown = ends.shown[n] + slopes @ (mean - point[n])
    misfit = ((measured[n] - shown) / before.noise_sd[n]) ** 2
    from_mean = ((mean - before.mean[n]) / sd) ** 2
    return Peak(log, mean, spread, shown, float(misfit.sum() + from_mean.sum()))
