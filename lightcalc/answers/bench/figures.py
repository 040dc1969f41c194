"""The figures of a piece's parts as readings leave them, every fault worth a thought weighed in."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench.advice import Advice
from lightcalc.answers.bench.faults import Fault
from lightcalc.answers.bench.refit import Believed, Refit, Refitter
from lightcalc.answers.bench.results import FigureAnswer

Array = NDArray[np.float64]

LEARNED_BELOW = 0.6
"""A figure is learned when its range is narrowed to less than this share of the stated one."""

MOVED_DEVIATIONS = 2.0
"""Or when it is found this far from what is stated, whatever its range: a pack below its label."""

HELPS_BELOW = 0.9
"""A further reading is worth naming when it narrows a figure's range to this share of it."""

WIDENED = 1.1
"""By how much the spread of a figure is taken wider than the straight model has it.

Straight around the likeliest point, the model leaves out how it bends, and faults that are not
likely enough to be rivals; its ranges held 94.3 of 100 figures, and 94.5 of those learned. Found on
1920 simulated benches (seeds 7, 8 and 9; the acceptance test has another): 1.1 holds 95.2 and 96.4.
"""

WIDE = 1.96
"""Deviations to each side that hold 95 of 100 (normal distribution)."""

UNITS = {
    "power_per_length": ("W/m", 1.0),
    "resistance_per_length": ("ohm/m", 1.0),
    "voltage": ("V", 1.0),
    "resistance": ("ohm", 1.0),
    "charge": ("Ah", 3600.0),
    "ratio": ("ratio", 1.0),
}


def weights_of(figure: int, refitter: Refitter, fault: Fault) -> Array:
    """Return which numbers add up to a figure: its parameter, and a fault's magnitude in it."""
    weights = np.zeros(refitter.size)
    weights[figure] = 1.0
    parameter = refitter.parameters[figure]
    if fault.part == (parameter.code, parameter.owner):
        weights[-1] = 1.0
    return weights


def total(refitter: Refitter, believed: Believed, fault: Fault) -> tuple[float, float]:
    """Mean and deviation of the logarithm of a fault's magnitude.

    When a part itself is wrong, the magnitude counts from its label, its tolerance in it.
    """
    weights = np.zeros(refitter.size)
    weights[-1] = 1.0
    for number, parameter in enumerate(refitter.parameters):
        if fault.part == (parameter.code, parameter.owner):
            weights[number] = 1.0
    peak = believed.peak
    return float(weights @ peak.mean), math.sqrt(float(weights @ peak.spread @ weights))


def figure_found(figure: int, refitter: Refitter, refit: Refit) -> tuple[float, float]:
    """Mean and deviation of the logarithm of a figure over that stated.

    Means and spreads under the likeliest fault and its rivals are weighed by their probability.
    """
    shares = np.array([believed.probability for believed in refit.rivals])
    shares = shares / shares.sum()
    means, variances = np.empty(len(shares)), np.empty(len(shares))
    for n, believed in enumerate(refit.rivals):
        weights = weights_of(figure, refitter, refitter.faults[believed.fault])
        means[n] = weights @ believed.peak.mean
        variances[n] = weights @ believed.peak.spread @ weights
    mean = float(shares @ means)
    sd = math.sqrt(float(shares @ (variances + (means - mean) ** 2)))
    return mean, _widened(sd, refitter.parameters[figure].sd)


def _widened(sd: float, stated_sd: float) -> float:
    """Widen a spread (`WIDENED`), but not beyond what is stated."""
    return max(sd, min(WIDENED * sd, stated_sd))


def figure_answers(
    refitter: Refitter, refit: Refit, advice: Advice, *, trusted: bool
) -> tuple[FigureAnswer, ...]:
    """Say what was and was not learned; nothing from readings that are not to be trusted."""
    return tuple(
        _figure_answer(number, refitter, refit, advice, trusted=trusted)
        for number in range(len(refitter.parameters))
    )


def _figure_answer(
    number: int, refitter: Refitter, refit: Refit, advice: Advice, *, trusted: bool
) -> FigureAnswer:
    parameter = refitter.parameters[number]
    mean, sd = figure_found(number, refitter, refit) if trusted else (0.0, parameter.sd)
    narrowed = sd / parameter.sd
    moved = abs(mean) > MOVED_DEVIATIONS * max(parameter.sd, sd)
    learned = trusted and (narrowed <= LEARNED_BELOW or moved)
    taught_by, taught_sd = ("", sd) if learned else advice.teaches(number)
    helps = taught_sd <= HELPS_BELOW * sd
    taught_sd = _widened(taught_sd, parameter.sd)
    unit, size = UNITS[parameter.kind]
    stated = parameter.value / size

    def at(log: float) -> float:
        return stated * math.exp(log)

    return FigureAnswer(
        code=parameter.code,
        owner=parameter.owner,
        part=parameter.part,
        kind=parameter.kind,
        unit=unit,
        stated=stated,
        stated_low=at(-WIDE * parameter.sd),
        stated_high=at(WIDE * parameter.sd),
        found=at(mean),
        found_low=at(mean - WIDE * sd),
        found_high=at(mean + WIDE * sd),
        narrowed_ratio=narrowed,
        learned=learned,
        taught_by=taught_by if helps else "",
        taught_ratio=taught_sd / parameter.sd if helps else None,
    )
