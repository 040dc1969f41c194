"""How sure an answer is: many builds of one design, each with parts as they may turn out.

The wires and fuses are those of the answer; what differs from build to build is listed by
`spread_inputs`. Every build goes through the physics of an answer, all of them at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import Built, build_supply
from lightcalc.answers.band.hours import BatchHours
from lightcalc.answers.band.inputs import (
    Factors,
    Input,
    dimensions_of,
    inputs_of,
)
from lightcalc.answers.band.packs import PackCases
from lightcalc.answers.band.results import Band, Chance, Ending, Share, Spread
from lightcalc.answers.band.strips import RunCases, StripCases
from lightcalc.answers.band.tolerances import common_share
from lightcalc.answers.band.work import builds_at_once, usual_samples
from lightcalc.answers.results import Answer
from lightcalc.answers.surroundings import brightest, dot_scene
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.dots.dots_batch import dot_multiples
from lightcalc.physics.sampling import chance_error, normal_scores, percentile, percentile_error
from lightcalc.physics.shares import SAMPLES_A_TERM, Shares, variance_shares

Array = NDArray[np.float64]
Watch = Callable[[int, int], None]
"""Is told how many builds are done, and of how many."""

SEED = 1
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
# A smaller share is not listed.
LEAST_SHARE = 0.01
# Dots this far below what an eye can see are all alike.
FAINTEST_DOTS = 1e-6
HOURS, PIECE_HOURS, PEAK, DAYS = "hours", "hours of the piece", "pack peak", "days until flat"
LIGHT, DIMMEST, FALL = "light", "dimmest light", "fall in light"
WARMTH, DOTS = "strip temperature", "dots"


@dataclass(frozen=True)
class Case:
    """A design with its catalogue, and what the answer says of it."""

    design: Design
    catalogue: Catalogue
    answer: Answer


@dataclass(frozen=True)
class Sampled:
    """One result in every build: what it is, of what, what the answer says, and (samples,)."""

    code: str
    of: str
    unit: str
    nominal: float
    values: Array


def spread(
    case: Case, *, samples: int | None = None, seed: int = SEED, watch: Watch | None = None
) -> Spread:
    """Say how sure the answer of a case is.

    Left out, `samples` are 10,000, or as many as take about a second. The same seed gives the same
    bands. `watch` is told how many are done. ValueError for less than one sample.
    """
    built = built_as_answered(case)
    if samples is None:
        samples = usual_samples(built)
    inputs = inputs_of(built, case.catalogue)
    dimensions = dimensions_of(inputs)
    scores = normal_scores(samples, len(dimensions), seed)
    builds = sampled(case, built, scores, watch)
    owners = [dimension.owner for dimension in dimensions]
    results = np.stack([_to_share_out(one) for one in builds.results], axis=1)
    shares = None
    if samples >= SAMPLES_A_TERM * (len(dimensions) + 1):
        shares = variance_shares(scores, owners, results)
    bands = tuple(
        _band(one, _shares(shares, number, inputs), _unexplained(shares, number))
        for number, one in enumerate(builds.results)
    )
    hours = next(band for band in bands if band.code == PIECE_HOURS)
    return Spread(
        samples_count=samples,
        common_share_ratio=common_share(),
        bands=bands,
        chances=tuple(_chances(case.design, builds.results)),
        endings=tuple(_endings(case.answer, builds.ended_by)),
        measure_first=hours.shares[0] if hours.shares else None,
    )


@dataclass(frozen=True)
class Builds:
    """Every headline in every build, and what ended each supply's charge, (samples,) each."""

    results: tuple[Sampled, ...]
    ended_by: tuple[NDArray[np.str_], ...]


def built_as_answered(case: Case) -> list[Built]:
    """Return every supply with the wires and fuses of the answer."""
    return [build_supply(supply, case.design, case.catalogue) for supply in case.design.supplies]


def sampled(case: Case, built: list[Built], scores: Array, watch: Watch | None = None) -> Builds:
    """Work out every build, `scores` (samples, dimensions) being its standard normal numbers.

    What they stand for, `inputs_of` and `dimensions_of` say.
    """
    inputs, parts = inputs_of(built, case.catalogue), []
    chunk = builds_at_once(built)
    for start in range(0, len(scores), chunk):
        if watch is not None:
            watch(start, len(scores))
        factors = Factors(inputs, scores[start : start + chunk])
        parts.append(_builds(case, built, factors))
    joined = zip(*(part.results for part in parts), strict=True)
    ended_by = zip(*(part.ended_by for part in parts), strict=True)
    return Builds(
        tuple(
            replace(same[0], values=np.concatenate([one.values for one in same])) for same in joined
        ),
        tuple(np.concatenate(same) for same in ended_by),
    )


def _builds(case: Case, built: list[Built], factors: Factors) -> Builds:
    answer = case.answer
    results: list[Sampled] = []
    lasting: list[BatchHours] = []
    for number, one in enumerate(built):
        strips = StripCases(number, one, case.design.use, factors)
        runs, packs = strips.runs_at_full(), PackCases(strips)
        hours = packs.hours()
        lasting.append(hours)
        results += _of_supply(answer, number, hours, packs.days_until_flat())
        for run, cases in enumerate(runs):
            results += _of_run(answer, one, run, cases)
            results += _of_dots(case, strips, run, cases.light_lm)
    least_h = np.min([hours.hours_h for hours in lasting], axis=0)
    nominal = min(supply.hours_h for supply in answer.supplies)
    piece = Sampled(PIECE_HOURS, answer.piece, "h", nominal, least_h)
    return Builds((piece, *results), tuple(hours.ended_by for hours in lasting))


def _of_supply(answer: Answer, number: int, hours: BatchHours, days: Array) -> Iterator[Sampled]:
    said = answer.supplies[number]
    name = said.supply
    yield Sampled(HOURS, name, "h", said.hours_h, hours.hours_h)
    yield Sampled(PEAK, name, "a", said.pack_peak_a, hours.pack_peak_a)
    yield Sampled(DAYS, name, "d", said.days_until_flat_unlit_d, days)


def _of_run(answer: Answer, built: Built, run: int, cases: RunCases) -> Iterator[Sampled]:
    name = built.wired.runs[run].run.name
    said = next(one for one in answer.runs if one.run == name)
    heat = next(one for one in answer.heat if one.run == name)
    yield Sampled(LIGHT, name, "lm", said.light_lm, cases.light_lm)
    yield Sampled(DIMMEST, name, "ratio", said.dimmest_light_ratio, cases.dimmest_light_ratio)
    yield Sampled(FALL, name, "ratio", said.light_fall_ratio, cases.light_fall_ratio)
    yield Sampled(WARMTH, name, "c", heat.strip_c, cases.strip_c)


def _of_dots(case: Case, strips: StripCases, run: int, light_lm: Array) -> Iterator[Sampled]:
    answer, use = case.answer, case.design.use
    cut_run = strips.wired.runs[run]
    said = next(one for one in answer.runs if one.run == cut_run.run.name)
    judged = [one for one in answer.dots if one.run == cut_run.run.name]
    level = brightest(cut_run.strip, use).level_ratio
    for surface, seen in enumerate(cut_run.run.seen):
        scene = dot_scene(cut_run, seen, said, use, case.catalogue)
        pitch_m = scene.pitch_m * strips.own("pitch", run)
        lumens = np.maximum(light_lm / cut_run.length_m * level * pitch_m, 1e-9)
        distance_m = seen.distance_m * strips.own("distance", run, surface)
        multiple = np.maximum(*dot_multiples(scene, distance_m, pitch_m, lumens))
        dots = judged[surface]
        nominal = max(dots.multiple_ratio, dots.straight_multiple_ratio or 0.0)
        yield Sampled(DOTS, f"{dots.run} on {dots.surface}", "ratio", nominal, multiple)


def _band(one: Sampled, shares: tuple[Share, ...], unexplained: float) -> Band:
    low, middle, high = (percentile(one.values, share) for share in (LOW, MIDDLE, HIGH))
    errors = [percentile_error(one.values, share) for share in (LOW, MIDDLE, HIGH)]
    return Band(
        code=one.code,
        of=one.of,
        unit=one.unit,
        nominal=one.nominal,
        low=low,
        middle=middle,
        high=high,
        low_error=errors[0],
        middle_error=errors[1],
        high_error=errors[2],
        shares=shares,
        unexplained_ratio=unexplained,
    )


def _to_share_out(one: Sampled) -> Array:
    """Values whose variance is shared out; of dots, which span many powers of ten, their logs."""
    if one.code == DOTS:
        return np.asarray(np.log(np.maximum(one.values, FAINTEST_DOTS)))
    return one.values


def _unexplained(shares: Shares | None, number: int) -> float:
    return 1.0 if shares is None else float(shares.unexplained[number])


def _shares(shares: Shares | None, number: int, inputs: tuple[Input, ...]) -> tuple[Share, ...]:
    """Shares of one result, the most important first."""
    if shares is None:
        return ()
    first, total = shares.first[number], shares.total[number]
    order = [int(k) for k in np.argsort(-total, kind="stable") if total[k] >= LEAST_SHARE]
    return tuple(
        Share(
            code=inputs[k].code,
            name=inputs[k].name,
            of=inputs[k].of,
            tolerance_ratio=None if inputs[k].in_kelvin else inputs[k].tolerance,
            tolerance_k=inputs[k].tolerance if inputs[k].in_kelvin else None,
            source=inputs[k].source,
            alone_ratio=float(first[k]),
            with_others_ratio=float(total[k]),
        )
        for k in order
    )


def _chances(design: Design, results: tuple[Sampled, ...]) -> Iterator[Chance]:
    """Say how many builds meet each thing that was asked."""
    for one in results:
        if one.code == PIECE_HOURS and design.ask.charge_s is not None:
            asked = design.ask.charge_s / 3600.0
            yield _chance("lasts", one, asked, one.values >= asked)
        if one.code == FALL:
            asked = design.ask.light_fall_ratio
            yield _chance("even light", one, asked, one.values <= asked)
        if one.code == DOTS:
            yield _chance("no dots", one, 1.0, one.values < 1.0)


def _chance(code: str, one: Sampled, asked: float, meets: NDArray[np.bool_]) -> Chance:
    share = float(meets.mean())
    return Chance(code, one.of, asked, one.unit, share, chance_error(share, meets.size))


def _endings(answer: Answer, ended_by: tuple[NDArray[np.str_], ...]) -> Iterator[Ending]:
    for said, words in zip(answer.supplies, ended_by, strict=True):
        kinds, counts = np.unique(words, return_counts=True)
        for place in np.argsort(-counts):
            yield Ending(said.supply, str(kinds[place]), float(counts[place] / words.size))
