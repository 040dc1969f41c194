"""Readings from the built piece: do they agree, what is wrong, and what the parts really are.

design + catalogue + readings ──▶ prediction and band of each reading
                              ──▶ the likeliest fault, and what would tell it from the next
                              ──▶ figures refitted, with what they could not be told by
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench.advice import Advice
from lightcalc.answers.bench.built import built_supplies
from lightcalc.answers.bench.faults import NO_FAULT, Fault, faults_of, words_of
from lightcalc.answers.bench.figures import figure_answers, total
from lightcalc.answers.bench.model import BenchModel
from lightcalc.answers.bench.parameters import parameters_of
from lightcalc.answers.bench.readings import reading_answers
from lightcalc.answers.bench.refit import RIVAL_SHARE, Believed, Refit, Refitter
from lightcalc.answers.bench.results import BenchAnswer, FaultAnswer, ReadingAnswer
from lightcalc.answers.bench.rows import design_lines, row_changes
from lightcalc.design.piece import Design
from lightcalc.design.readings import Readings
from lightcalc.parts.kinds import Catalogue

Array = NDArray[np.float64]

NAMED_BELOW = 0.5
"""A fault is named when no fault at all has less than this probability."""

MOST_LEFT_OUT = 12
"""Readings that are left out in turn to find the odd one; those most off come first."""

UNEXPLAINED_DEVIATIONS = 3.3
"""A misfit that one bench in 2000 has by chance, in deviations of its spread."""


def bench(design: Design, catalogue: Catalogue, readings: Readings) -> BenchAnswer:
    """Compare readings with what was predicted, find the likely fault, and refit the parts."""
    model = BenchModel(built_supplies(design, catalogue))
    refitter = refitter_for(model, catalogue, readings)
    values = np.array([reading.value for reading in readings.readings])
    (refit,) = refitter.refit(values[None])
    verdict = verdict_of(refit, len(values))
    advice = Advice(refitter, refit)
    faults = _fault_answers(refitter, refit, verdict)
    rivals = refit.rivals if faults else ()
    apart, deviations = advice.tells_apart(*rivals[:2]) if len(rivals) > 1 else ("", None)
    next_reading = advice.splits(refit.believed if verdict == "unexplained" else rivals)
    answers = reading_answers(refitter, refit, readings, len(design.supplies) == 1)
    odd = answers[_odd_one(refitter, values, answers)].place if verdict == "unexplained" else ""
    figures = figure_answers(refitter, refit, advice, trusted=verdict != "unexplained")
    return BenchAnswer(
        piece=design.piece.name,
        units=design.system,
        verdict=verdict,
        no_fault_ratio=float(refit.probability[0]),
        readings=answers,
        faults=faults,
        tell_apart=apart,
        tell_apart_deviations_ratio=deviations,
        odd_one=odd,
        next_reading=next_reading,
        figures=figures,
        lines=design_lines(model, figures),
        rows=row_changes(model, catalogue, figures),
    )


def refitter_for(model: BenchModel, catalogue: Catalogue, readings: Readings) -> Refitter:
    """Return what refits the parts of a design from readings at these places."""
    meters = [reading.meter for reading in readings.readings]
    parameters = parameters_of(model, catalogue)
    return Refitter(model, parameters, faults_of(model), readings.probes, meters)


def verdict_of(refit: Refit, count: int) -> str:
    """Say whether so many readings show a fault, none, or what nothing considered explains."""
    if _deviations(refit.best.peak.misfit, count) > UNEXPLAINED_DEVIATIONS:
        return "unexplained"
    return NO_FAULT if refit.probability[0] >= NAMED_BELOW else "fault"


def _odd_one(refitter: Refitter, values: Array, answers: Sequence[ReadingAnswer]) -> int:
    """Return the reading without which the others make most sense.

    Each is left out in turn. Best is what is then explained, by no fault if that will do, and
    then what fits best. The one that the refit of all misses most need not be it: a fault made
    up to suit one wrong reading spoils the right ones beside it.
    """
    if len(values) < 2:
        return 0
    off = [max(abs(one.off_ratio), abs(one.beside_ratio)) for one in answers]
    likely = sorted(range(len(values)), key=lambda place: -off[place])[:MOST_LEFT_OUT]
    left_out = np.arange(len(values)) == np.array(likely)[:, None]
    refits = refitter.refit(np.broadcast_to(values, left_out.shape), left_out)
    sense: dict[int, tuple[bool, float, float]] = {}
    for place, refit in zip(likely, refits, strict=True):
        explained = verdict_of(refit, len(values) - 1) != "unexplained"
        no_fault = float(refit.probability[0]) if explained else 0.0
        sense[place] = (explained, round(no_fault, 2), -refit.best.peak.misfit)
    return max(sense, key=lambda place: sense[place])


def named_fault(refitter: Refitter, refit: Refit) -> Fault:
    """Return the fault that is named: the likeliest one, or no fault."""
    if refit.probability[0] >= NAMED_BELOW:
        return refitter.faults[0]
    return refitter.faults[int(np.argmax(refit.probability[1:])) + 1]


def _deviations(chi_square: float, count: int) -> float:
    """How far a chi-square of `count` readings is above its mean, in deviations.

    The cube root of a chi-square is nearly normal: E. B. Wilson and M. M. Hilferty, "The
    distribution of chi-square", PNAS 17 (1931) 684-688.

    >>> round(_deviations(18.307, 10), 2)  # the 95th percentile of 10 (tables): 1.645
    1.65
    """
    spread = 2.0 / (9.0 * count)
    return float(((chi_square / count) ** (1.0 / 3.0) - (1.0 - spread)) / spread**0.5)


def _fault_answers(refitter: Refitter, refit: Refit, verdict: str) -> tuple[FaultAnswer, ...]:
    if verdict == "unexplained":
        return ()
    least = RIVAL_SHARE
    if verdict == "fault":
        least *= max(refit.probability[1:])
    return tuple(
        _fault_answer(refitter, believed)
        for believed in refit.believed
        if believed.fault != 0 and believed.probability >= least
    )


def _fault_answer(refitter: Refitter, believed: Believed) -> FaultAnswer:
    fault = refitter.faults[believed.fault]
    entry = words_of(fault.code)
    unit = "" if entry["magnitude"] == "none" else entry["magnitude"]
    middle = low = high = None
    if unit:
        mean, sd = total(refitter, believed, fault)
        middle, low, high = (float(np.exp(mean + step * sd)) for step in (0.0, -1.96, 1.96))
    return FaultAnswer(
        code=fault.code,
        place=fault.place,
        detail=fault.detail,
        says=entry["says"],
        remedy=entry["remedy"],
        probability_ratio=believed.probability,
        unit=unit,
        magnitude_of=entry.get("magnitude_of", ""),
        magnitude=middle,
        magnitude_low=low,
        magnitude_high=high,
    )
