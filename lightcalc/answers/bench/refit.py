r"""Refit a piece's parts to what was measured, and weigh what may be wrong with it.

Parameters x (logarithms of factors, `bench_parameters`), the scale error g of each meter and the
magnitude z of a fault all have normal spreads before anything is measured. A reading shows

    y = h(x, z) (1 + g) + e

with h the whole nonlinear model and e the meter's fixed part. For each fault the most likely
(x, g, z) is found, with its spread and the probability of the readings given that fault
(`likeliest`). The probabilities of all faults, and of none, weigh the refit: where two faults
explain the readings alike, the spread of each figure allows for both.

Before that, every fault is tried in a coarse way: the spread of its magnitude is cut into
overlapping pieces, each with a straight model of its own. That leaves a few to be refined.

Slopes are taken as secants over a fifth of a standard deviation. All benches that have the same
design and probes are refitted in one go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.band.tolerances import DEVIATIONS_IN_A_TOLERANCE
from lightcalc.answers.bench.faults import Fault
from lightcalc.answers.bench.likeliest import Peak, Spreads, Straight, density_and_gain, likeliest
from lightcalc.answers.bench.model import BenchModel
from lightcalc.answers.bench.parameters import Parameter, knob_matrix
from lightcalc.design.readings import Accuracy, Probe, Quantity

Array = NDArray[np.float64]
Scale = tuple[Quantity, float]
"""A meter's scale: what it measures, and the share it may be off."""

SECANT = 0.2
PIECES, REACH = 7, 2.2
"""Pieces a magnitude's spread is cut into, and how many deviations they reach to each side."""

OVERLAP = 0.6
"""Deviation of a piece in parts of the distance to the next."""

LEAST_NOISE_SHARE, TINY = 1e-4, 1e-6
"""Whatever is said of a meter, no reading is taken for better than this."""

WITHIN_LOG = 7.0
"""A fault whose coarse probability is e^-7 of the best one's is not refined."""

MOST_REFINED = 5
RIVAL_SHARE = 0.1
"""A fault of at least this share of the likeliest one's probability is not told from it."""


@dataclass(frozen=True)
class Believed:
    """One fault, by its number, its probability, and the numbers that then fit best.

    The numbers are the parameters, the scale errors of the meters, and the magnitude.
    """

    fault: int
    probability: float
    peak: Peak


@dataclass(frozen=True)
class Refit:
    """What one bench's readings say: every fault worth a thought, likeliest first.

    probability (faults,) of all of them.
    """

    probability: Array
    believed: tuple[Believed, ...]

    @property
    def best(self) -> Believed:
        """The likeliest."""
        return self.believed[0]

    @property
    def rivals(self) -> tuple[Believed, ...]:
        """The likeliest and those that the readings do not tell from it."""
        least = RIVAL_SHARE * self.best.probability
        return tuple(one for one in self.believed if one.probability >= least)


class Refitter:
    """Refits benches of one design measured at the same probes with the same meters."""

    def __init__(
        self,
        model: BenchModel,
        parameters: tuple[Parameter, ...],
        faults: tuple[Fault, ...],
        probes: Sequence[Probe],
        meters: Sequence[Accuracy],
    ) -> None:
        self.model, self.parameters, self.faults = model, parameters, faults
        self.probes = tuple(probes)
        self.matrix = knob_matrix(model, parameters)
        self.drawn = model.predict(model.as_drawn, self.probes)[0]
        self.meters, self.noise_sd = tuple(meters), _noise(self.probes, meters, self.drawn)
        self.scales, self.has_scale = _scales(self.probes, meters)
        sds = [parameter.sd for parameter in parameters]
        scale_sd = [share / DEVIATIONS_IN_A_TOLERANCE for _, share in self.scales]
        # A fault with no magnitude keeps that number, which then changes nothing.
        self.sd = np.array([*sds, *scale_sd, 1.0])

    @property
    def size(self) -> int:
        """How many numbers are found: parameters, scales of meters, a magnitude."""
        return len(self.sd)

    def prior(self, fault: Fault) -> tuple[Array, Array]:
        """Mean and deviation of every number before anything is measured, under a fault."""
        mean, sd = np.zeros(self.size), self.sd.copy()
        mean[-1], sd[-1] = fault.mean, fault.sd or 1.0
        return mean, sd

    def cases(self, faults: Sequence[Fault], numbers: Array) -> Array:
        """Return the knobs (points, knobs) of points (points, numbers), each with its fault."""
        knobs = numbers[:, : len(self.parameters)] @ self.matrix
        for row, fault in enumerate(faults):
            fault.turn(knobs[row : row + 1], numbers[row, -1:])
        return np.asarray(knobs)

    def shown(self, faults: Sequence[Fault], numbers: Array) -> Array:
        """Return what meters show at each point, their scale errors included."""
        found = self.model.predict(self.cases(faults, numbers), self.probes)
        return np.asarray(found * self._scaled(numbers))

    def _scaled(self, numbers: Array) -> Array:
        return 1.0 + numbers[:, len(self.parameters) : -1] @ self.has_scale.T

    def straight(self, faults: Sequence[Fault], numbers: Array) -> Straight:
        """Take the model as straight around each point, all secants in one batch."""
        moved = [*range(len(self.parameters)), self.size - 1]
        points = len(numbers)
        steps = np.stack([SECANT * self.prior(fault)[1] for fault in faults])
        batch = np.repeat(numbers[:, None], 1 + len(moved), axis=1)
        for row, number in enumerate(moved, start=1):
            batch[:, row, number] += steps[:, number]
        each = [fault for fault in faults for _ in range(1 + len(moved))]
        flat = self.cases(each, batch.reshape(-1, self.size))
        found = self.model.predict(flat, self.probes).reshape(points, 1 + len(moved), -1)
        scales = self._scaled(numbers)
        slopes = np.zeros((points, len(self.probes), self.size))
        for row, number in enumerate(moved, start=1):
            rise = (found[:, row] - found[:, 0]) / steps[:, number, None]
            slopes[:, :, number] = rise * scales
        slopes[:, :, len(self.parameters) : -1] = found[:, 0, :, None] * self.has_scale
        return Straight(found[:, 0] * scales, slopes)

    @cached_property
    def _pieces(self) -> _Pieces:
        """Every fault's magnitude cut into pieces, and the model straight in each."""
        owners, weights, points, sds = [], [], [], []
        for number, fault in enumerate(self.faults):
            mean, sd = self.prior(fault)
            places = np.linspace(-REACH, REACH, PIECES) if fault.sd else np.zeros(1)
            density = np.exp(-0.5 * places**2)
            for place, weight in zip(places, density / density.sum(), strict=True):
                owners.append(number)
                weights.append(weight)
                points.append([*mean[:-1], mean[-1] + place * sd[-1]])
                narrow = OVERLAP * 2.0 * REACH / (PIECES - 1) if fault.sd else 1.0
                sds.append([*sd[:-1], narrow * sd[-1]])
        at = np.array(points)
        straight = self.straight([self.faults[owner] for owner in owners], at)
        return _Pieces(np.array(owners), np.array(weights), at, np.array(sds), straight)

    def coarse(self, values: Array, noise_sd: Array) -> tuple[Array, Array]:
        """Try every fault on benches (benches, readings), all with the same noise (readings,).

        Returns the logarithm of the probability of the readings with each fault (benches,
        faults), and the numbers that then fit best (benches, faults, numbers).
        """
        pieces, count = self._pieces, len(values)
        logs = np.empty((count, len(pieces.owner)))
        numbers = np.empty((count, len(pieces.owner), self.size))
        for piece, shown in enumerate(pieces.straight.shown):
            rest, slopes = values - shown, pieces.straight.slopes[piece]
            log, gain = density_and_gain(rest, slopes, pieces.sd[piece], noise_sd)
            logs[:, piece] = np.log(pieces.weight[piece]) + log
            numbers[:, piece] = pieces.at[piece] + rest @ gain.T
        found = np.full((count, len(self.faults)), -np.inf)
        best = np.empty((count, len(self.faults), self.size))
        for number in range(len(self.faults)):
            own = np.flatnonzero(pieces.owner == number)
            found[:, number] = np.logaddexp.reduce(logs[:, own], axis=1)
            best[:, number] = numbers[np.arange(count), own[logs[:, own].argmax(axis=1)]]
        return found, best

    def refit(self, values: Array, left_out: NDArray[np.bool_] | None = None) -> list[Refit]:
        """Refit benches, their readings in rows (benches, readings), less those left out."""
        out = np.zeros(values.shape, dtype=bool) if left_out is None else left_out
        noise_sd = np.where(out, np.inf, self.noise_sd)
        logs = np.empty((len(values), len(self.faults)))
        best = np.empty((*logs.shape, self.size))
        for same in np.unique(out, axis=0):
            rows = np.flatnonzero((out == same).all(axis=1))
            logs[rows], best[rows] = self.coarse(values[rows], noise_sd[rows[0]])
        logs += np.log([fault.prior for fault in self.faults])
        bench, chosen = np.nonzero(self._worth_refining(logs))
        faults = [self.faults[number] for number in chosen]
        priors = [self.prior(fault) for fault in faults]
        means, sds = (np.stack([prior[n] for prior in priors]) for n in (0, 1))
        peaks = likeliest(
            lambda which, numbers: self.straight([faults[n] for n in which], numbers),
            values[bench],
            Spreads(means, sds, noise_sd[bench]),
            best[bench, chosen],
        )
        for place, peak in enumerate(peaks):
            prior = np.log(self.faults[chosen[place]].prior)
            logs[bench[place], chosen[place]] = peak.log_density + prior
        logs -= np.logaddexp.reduce(logs, axis=1, keepdims=True)
        found: list[list[Believed]] = [[] for _ in values]
        for own, number, peak in zip(bench, chosen, peaks, strict=True):
            found[own].append(Believed(int(number), float(np.exp(logs[own, number])), peak))
        return [
            Refit(np.exp(row), tuple(sorted(some, key=lambda one: -one.probability)))
            for row, some in zip(logs, found, strict=True)
        ]

    def _worth_refining(self, logs: Array) -> NDArray[np.bool_]:
        """Choose no fault, and of the others the few that are near the likeliest."""
        rank = np.argsort(np.argsort(-logs, axis=1), axis=1)
        near = logs > logs.max(axis=1, keepdims=True) - WITHIN_LOG
        chosen = (rank < MOST_REFINED) & near
        chosen[:, 0] = True
        return np.asarray(chosen)


@dataclass(frozen=True)
class _Pieces:
    """Pieces of the faults' magnitudes: whose, how likely, where, how wide, and the model there."""

    owner: NDArray[np.intp]
    weight: Array
    at: Array
    sd: Array
    straight: Straight


def _noise(probes: Sequence[Probe], meters: Sequence[Accuracy], drawn: Array) -> Array:
    """Deviation of each reading that no other shares: the fixed part of its meter.

    A time has no meter: its share differs from reading to reading too.
    """
    fixed = np.array([meter.fixed for meter in meters])
    shares = np.array([meter.share for meter in meters])
    timed = np.array([probe.quantity == "time" for probe in probes])
    noise = np.where(timed, fixed + shares * np.abs(drawn), fixed)
    return np.maximum(noise / DEVIATIONS_IN_A_TOLERANCE, LEAST_NOISE_SHARE * np.abs(drawn) + TINY)


def _scales(probes: Sequence[Probe], meters: Sequence[Accuracy]) -> tuple[tuple[Scale, ...], Array]:
    """Gather the scales of the meters: the share one may be off is the same in all its readings.

    Returns them and which reading has which, (readings, scales).
    """
    each = [(probe.quantity, meter.share) for probe, meter in zip(probes, meters, strict=True)]
    scales = sorted({one for one in each if one[0] != "time" and one[1] > 0.0})
    has = [[float(one == scale) for scale in scales] for one in each]
    return tuple(scales), np.array(has).reshape(len(each), len(scales))
