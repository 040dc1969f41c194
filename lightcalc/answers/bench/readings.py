"""Each reading beside its prediction, and beside what the other readings lead one to expect."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.band.tolerances import DEVIATIONS_IN_A_TOLERANCE
from lightcalc.answers.bench.refit import Refit, Refitter
from lightcalc.answers.bench.results import ReadingAnswer, ReadingVerdict
from lightcalc.answers.bench.words import words_for
from lightcalc.design.readings import Quantity, Readings

Array = NDArray[np.float64]

SHOWN_IN: dict[Quantity, tuple[str, float]] = {
    "voltage": ("V", 1.0),
    "current": ("A", 1.0),
    "time": ("h", 3600.0),
}
BESIDE_EDGE = 1.5
"""How far a reading may lie from what the others lead one to expect, before that is said."""


def reading_answers(
    refitter: Refitter, refit: Refit, readings: Readings, only_supply: bool
) -> tuple[ReadingAnswer, ...]:
    """Say of each reading what was predicted, in what band, and whether it agrees."""
    none, count = refitter.faults[0], len(refitter.parameters)
    mean, sd = refitter.prior(none)
    straight = refitter.straight([none], mean[None])
    predicted, wide = straight.shown[0], straight.slopes[0] * sd
    values = np.array([reading.value for reading in readings.readings])
    band = DEVIATIONS_IN_A_TOLERANCE * np.sqrt((wide[:, :count] ** 2).sum(axis=1))
    scales = (wide[:, count:-1] ** 2).sum(axis=1)
    meter = DEVIATIONS_IN_A_TOLERANCE * np.sqrt(scales + refitter.noise_sd**2)
    off = (values - predicted) / np.hypot(band, meter)
    beside, alone = _beside(values - predicted, wide, refitter.noise_sd)
    found = []
    for n, reading in enumerate(readings.readings):
        unit, size = SHOWN_IN[reading.probe.quantity]
        found.append(
            ReadingAnswer(
                place=reading.name or words_for(reading.probe, only_supply),
                kind=reading.probe.quantity,
                unit=unit,
                measured=reading.value / size,
                meter=float(meter[n]) / size,
                predicted=float(predicted[n]) / size,
                low=float(predicted[n] - band[n]) / size,
                high=float(predicted[n] + band[n]) / size,
                refitted=float(refit.best.peak.shown[n]) / size,
                off_ratio=float(off[n]),
                beside=float(values[n] - alone[n]) / size,
                beside_ratio=float(beside[n]),
                verdict=_verdict(float(off[n]), float(beside[n])),
            )
        )
    return tuple(found)


def _beside(rest: Array, wide: Array, noise_sd: Array) -> tuple[Array, Array]:
    """Each reading less what all others lead one to expect: over twice its deviation then, and so.

    With P the inverse of the covariance of all readings, (P rest) / sqrt(diag P) is the first, in
    deviations, and (P rest) / diag P the second: S. Sundararajan and S. S. Keerthi, "Predictive
    approaches for choosing hyperparameters in Gaussian processes", Neural Computation 13 (2001)
    1103-1118, from the inverse of a partitioned matrix.
    """
    inverse = np.linalg.inv(wide @ wide.T + np.diag(noise_sd**2))
    alone = (inverse @ rest) / np.diag(inverse)
    return alone * np.sqrt(np.diag(inverse)) / DEVIATIONS_IN_A_TOLERANCE, alone


def _verdict(off: float, beside: float) -> ReadingVerdict:
    if abs(off) > 1.0:
        return "too high" if off > 0.0 else "too low"
    if abs(beside) > BESIDE_EDGE:
        return "high beside others" if beside > 0.0 else "low beside others"
    return "agrees"
