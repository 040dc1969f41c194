"""What a run does to its surroundings: dots on the surfaces it lights, warmth where it is stuck."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from lightcalc.answers.bought import cut_unit, sheet_of
from lightcalc.answers.draw import duties
from lightcalc.answers.results import DotsAnswer, HeatAnswer, RunAnswer
from lightcalc.answers.wiring import CutRun
from lightcalc.design.piece import Seen, Use
from lightcalc.parts.kinds import Catalogue, Sheet, Strip
from lightcalc.physics.circuit.strip import channel_current, idle_current
from lightcalc.physics.dots.diffusion import beam_exponent
from lightcalc.physics.dots.dots import (
    DotScene,
    reflecting_surface,
    sheet_surface,
)
from lightcalc.physics.dots.hiding_distance import DotVerdict, judge_dots
from lightcalc.physics.heat import sheds_w_per_m, strip_rise_k
from lightcalc.tables.mountings import heat_limits, mountings


def dots_answers(
    cut_run: CutRun, run: RunAnswer, use: Use, catalogue: Catalogue
) -> tuple[DotsAnswer, ...]:
    """Judge the LEDs of a run on every surface the maker named, when the evening is brightest."""
    scenes = ((seen, dot_scene(cut_run, seen, run, use, catalogue)) for seen in cut_run.run.seen)
    return tuple(_as_answer(run.run, seen, _judged(scene)) for seen, scene in scenes)


@lru_cache(maxsize=512)
def _judged(scene: DotScene) -> DotVerdict:
    """Judge one row; a search comes back to the same row with other packs."""
    return judge_dots(scene)


class Brightest(NamedTuple):
    """A strip in the brightest stretch of its evening.

    `duties` are the shares of the time its channels are on, `level_ratio` their mean, and
    `pitch_m` is that of the LEDs lit then.
    """

    duties: tuple[float, ...]
    level_ratio: float
    pitch_m: float


def brightest(strip: Strip, use: Use) -> Brightest:
    """Find the stretch of the evening in which a strip gives most light."""
    most = max((duties(strip.channels, stretch) for stretch in use.stretches), key=sum)
    pitch_m = strip.pitch_m if min(most) > 0.0 else strip.channel_pitch_m
    return Brightest(most, sum(most) / len(most), pitch_m)


def dot_scene(
    cut_run: CutRun, seen: Seen, run: RunAnswer, use: Use, catalogue: Catalogue
) -> DotScene:
    """Describe one surface and the run that lights it, when the evening is brightest."""
    strip = cut_run.strip
    _, level_ratio, pitch_m = brightest(strip, use)
    surface = reflecting_surface(seen.reflectance_ratio)
    if seen.sheet is not None:
        part: Sheet = catalogue.sheets[seen.sheet]
        thickness_m = seen.thickness_m or part.reference_thickness_m
        surface = sheet_surface(sheet_of(part), thickness_m)
    light_lm_per_m = run.light_lm / cut_run.length_m * level_ratio
    return DotScene(
        pitch_m=pitch_m,
        lumens_per_emitter=max(light_lm_per_m * pitch_m, 1e-9),
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


def unit_heat_w_per_m(strip: Strip, volts: float) -> float:
    """Heat of a cut unit at full level and these volts; above rated volts it is more than rated.

    The share of the power that is heat holds at rated volts. Light goes with the current of the
    LEDs alone, so that what a resistor or regulator takes besides is heat.
    """
    unit, at = cut_unit(strip), np.array(volts)
    found = [channel_current(channel, unit.holds_current, at)[0] for channel in unit.channels]
    rated_a = [channel.rated_a for channel in unit.channels]
    light = sum(amps / rated for amps, rated in zip(found, rated_a, strict=True)) / len(found)
    amps_a = sum(found) + idle_current(unit, at)[0]
    light_w_per_m = strip.power_w_per_m * (1.0 - strip.heat_share) * float(light)
    return max(volts * float(amps_a) / strip.cut_unit_m - light_w_per_m, 0.0)


def rises_with_volts(strip: Strip) -> float:
    """Per cent by which a strip's power rises for each per cent of volts, at its rated volts."""
    unit, at = cut_unit(strip), np.array(strip.rated_v)
    amps, siemens = 0.0, 0.0
    for channel in unit.channels:
        found = channel_current(channel, unit.holds_current, at)
        amps, siemens = amps + float(found[0]), siemens + float(found[1])
    return 1.0 + strip.rated_v * siemens / (amps + float(idle_current(unit, at)[0]))


@lru_cache(maxsize=512)
def heat_answer(cut_run: CutRun, highest_v: float, use: Use) -> HeatAnswer:
    """Work out how warm a run gets at full level and the highest volts, and what it warms."""
    strip, run = cut_run.strip, cut_run.run
    mounting = mountings()[run.mounting]
    heat = unit_heat_w_per_m(strip, highest_v)
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
