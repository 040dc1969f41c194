"""What a run does to its surroundings: dots on the surfaces it lights, warmth where it is stuck."""

from __future__ import annotations

from lightcalc.answers.bought import sheet_of
from lightcalc.answers.results import DotsAnswer, HeatAnswer, RunAnswer
from lightcalc.answers.wiring import CutRun
from lightcalc.design.piece import Seen, Use
from lightcalc.parts.kinds import Catalogue, Sheet
from lightcalc.physics.diffusion import beam_exponent
from lightcalc.physics.dots import (
    DotScene,
    DotVerdict,
    judge_dots,
    reflecting_surface,
    sheet_surface,
)
from lightcalc.physics.heat import sheds_w_per_m, strip_rise_k
from lightcalc.tables.mountings import heat_limits, mountings


def dots_answers(
    cut_run: CutRun, run: RunAnswer, level_ratio: float, use: Use, catalogue: Catalogue
) -> tuple[DotsAnswer, ...]:
    """Judge the LEDs of a run on every surface the maker named, at the evening's highest level."""
    return tuple(
        _as_answer(
            run.run, seen, judge_dots(_scene(cut_run, seen, run, level_ratio, use, catalogue))
        )
        for seen in cut_run.run.seen
    )


def _scene(
    cut_run: CutRun,
    seen: Seen,
    run: RunAnswer,
    level_ratio: float,
    use: Use,
    catalogue: Catalogue,
) -> DotScene:
    strip = cut_run.strip
    surface = reflecting_surface(seen.reflectance_ratio)
    if seen.sheet is not None:
        part: Sheet = catalogue.sheets[seen.sheet]
        thickness_m = seen.thickness_m or part.reference_thickness_m
        surface = sheet_surface(sheet_of(part), thickness_m)
    light_lm_per_m = run.light_lm / cut_run.length_m * level_ratio
    return DotScene(
        pitch_m=strip.pitch_m,
        lumens_per_emitter=max(light_lm_per_m * strip.pitch_m, 1e-9),
        beam_exponent=beam_exponent(strip.beam_deg),
        distance_m=seen.distance_m,
        surface=surface,
        viewer_distance_m=seen.viewer_distance_m,
        row_length_m=cut_run.length_m,
        room_illuminance_lux=use.room_lux,
        emitter_side_m=strip.led_width_m,
    )


def _as_answer(run: str, seen: Seen, verdict: DotVerdict) -> DotsAnswer:
    return DotsAnswer(
        run=run,
        surface=seen.surface,
        distance_m=seen.distance_m,
        viewer_distance_m=seen.viewer_distance_m,
        contrast_ratio=verdict.contrast_ratio,
        threshold_ratio=min(verdict.threshold_ratio, 1.0),
        multiple_ratio=verdict.multiple,
        verdict=str(verdict.verdict),
        hiding_distance_m=verdict.hiding_distance_m,
        straight_multiple_ratio=verdict.straight_multiple if seen.sheet else None,
        remedy=str(verdict.remedy),
    )


def heat_answer(cut_run: CutRun, use: Use) -> HeatAnswer:
    """Work out how warm a run gets at full level, and what that warms with it."""
    strip, run = cut_run.strip, cut_run.run
    mounting = mountings()[run.mounting]
    heat = strip.power_w_per_m * strip.heat_share
    rise_k = float(strip_rise_k(heat, mounting, strip.width_m, use.temperature_c))
    limits = {thing: heat_limits()[thing] for thing in mounting.touches}
    limits["strip"] = min(limits.get("strip", strip.max_c), strip.max_c)
    limited_by = min(limits, key=lambda thing: limits[thing])
    limit_c = limits[limited_by]
    allowed = sheds_w_per_m(limit_c - use.temperature_c, mounting, strip.width_m, use.temperature_c)
    return HeatAnswer(
        run=run.name,
        mounting=run.mounting,
        heat_w_per_m=heat,
        shed_w_per_m=float(allowed),
        rise_k=rise_k,
        strip_c=use.temperature_c + rise_k,
        limit_c=limit_c,
        limited_by=limited_by,
    )
