"""From where on dots no longer show, and that the verdict agrees."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from dot_scenes import OPAL, TINTED, WALL, quick, scenes
from hypothesis import assume, given

from lightcalc.physics.dots.dots import (
    DotScene,
    Remedy,
    Visibility,
    reflecting_surface,
    sheet_surface,
    visibility,
)
from lightcalc.physics.dots.hiding_distance import judge_dots
from lightcalc.physics.dots.sheet import sheet_from_shares


@quick
@given(scenes)
def test_the_verdict_agrees_with_the_hiding_distance(scene: DotScene) -> None:
    scene = replace(scene, surface=replace(scene.surface, straight=0.0))
    hiding = judge_dots(scene).hiding_distance_m
    assert hiding is not None
    assume(hiding > 0.0)
    beyond = judge_dots(replace(scene, distance_m=hiding * (1 + 1e-6)))
    inside = judge_dots(replace(scene, distance_m=hiding * (1 - 1e-6)))
    assert beyond.verdict is Visibility.HIDDEN
    assert inside.verdict is not Visibility.HIDDEN
    assert judge_dots(scene).verdict is (
        Visibility.HIDDEN if scene.distance_m > hiding else visibility(judge_dots(scene).multiple)
    )


@quick
@given(scenes)
def test_the_verdict_agrees_with_the_hiding_viewer_distance(scene: DotScene) -> None:
    far = judge_dots(scene).hiding_viewer_distance_m
    assume(far > 0.0)
    beyond = judge_dots(replace(scene, viewer_distance_m=far * (1 + 1e-6)))
    inside = judge_dots(replace(scene, viewer_distance_m=far * (1 - 1e-5)))
    assert beyond.verdict is Visibility.HIDDEN
    assert inside.verdict is not Visibility.HIDDEN


@quick
@given(scenes)
def test_the_figures_of_a_verdict_hang_together(scene: DotScene) -> None:
    seen = judge_dots(scene)
    assert 0.0 <= seen.contrast_ratio <= 1.0
    worst = max(seen.multiple, seen.straight_multiple)
    assert seen.verdict is visibility(worst)
    assert (seen.remedy is Remedy.NONE_NEEDED) == (worst < 1.0)
    if seen.multiple > 0.0:
        assert seen.contrast_ratio / seen.threshold_ratio == pytest.approx(seen.multiple)
    if seen.verdict is Visibility.HIDDEN:
        assert seen.hiding_distance_m is not None
        assert seen.hiding_distance_m <= scene.distance_m
    if seen.straight_multiple >= 1.0:
        assert seen.hiding_distance_m is None
        assert seen.remedy is Remedy.SCATTERING_LAYER


@pytest.mark.parametrize("distance", [0.005, 0.05, 0.3, 1.0])
def test_a_sheet_that_can_be_seen_through_shows_every_led_at_any_distance(distance: float) -> None:
    seen = judge_dots(replace(WALL, surface=TINTED, distance_m=distance))
    assert seen.verdict is Visibility.PLAIN
    assert seen.straight_multiple > 10.0
    assert seen.straight_luminance_ratio > 100.0
    assert seen.hiding_distance_m is None
    assert seen.remedy is Remedy.SCATTERING_LAYER


def test_an_opal_sheet_hides_at_a_distance_and_a_thicker_one_sooner() -> None:
    thick = sheet_surface(sheet_from_shares(0.003, straight=0.0, scattered=0.5), 0.010)
    thin_mm, thick_mm = (
        judge_dots(replace(WALL, surface=s)).hiding_distance_m for s in (OPAL, thick)
    )
    assert thin_mm is not None
    assert thick_mm is not None
    assert 0.0 < thick_mm < thin_mm


def test_from_across_a_hall_nobody_tells_a_fine_row_apart() -> None:
    # 1 minute of arc, the usual limit of sight, is 57 m for a pitch of 16.7 mm.
    seen = judge_dots(replace(WALL, distance_m=0.002, viewer_distance_m=80.0))
    assert seen.verdict is Visibility.HIDDEN
    assert seen.threshold_ratio == math.inf or seen.threshold_ratio > seen.contrast_ratio
    assert 20.0 < seen.hiding_viewer_distance_m < 60.0


def test_a_black_surface_shows_nothing_at_any_distance():
    found = judge_dots(replace(WALL, surface=reflecting_surface(0.0)))
    assert (found.multiple, found.verdict, found.hiding_distance_m) == (0.0, "hidden", 0.0)
