"""Whether dots show: what must hold whatever the scene."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.diffusion import row_contrast
from lightcalc.physics.dots.dots import (
    DotScene,
    Remedy,
    Surface,
    Visibility,
    judge_dots,
    reflecting_surface,
    sheet_surface,
    visibility,
)
from lightcalc.physics.dots.lobes import even_lobe, sheet_lobes
from lightcalc.physics.dots.sheet import sheet_from_shares
from lightcalc.physics.dots.vision import contrast_threshold

WALL = DotScene(
    pitch_m=1 / 60,
    lumens_per_emitter=12.0,
    beam_exponent=1.0,
    distance_m=1 / 60,
    surface=reflecting_surface(0.7),
    viewer_distance_m=1.0,
    row_length_m=1.0,
)
TINTED = sheet_surface(sheet_from_shares(0.003, straight=0.4, scattered=0.02), 0.003)
OPAL = sheet_surface(sheet_from_shares(0.003, straight=0.0, scattered=0.5), 0.003)

# Straight, scattered, at 3 mm: a light haze, a tint, a frost, a milk.
SHEETS = [sheet_from_shares(0.003, *pair) for pair in [(0.86, 0.02), (0.28, 0.02), (0.3, 0.5)]]
SHEETS.append(sheet_from_shares(0.003, straight=0.0005, scattered=0.55))
lobes = st.sampled_from(
    [(even_lobe(0.3),), *(sheet_lobes(sheet, t) for sheet in SHEETS for t in (0.002, 0.01))]
)
surfaces = st.one_of(
    st.floats(0.02, 0.95).map(reflecting_surface),
    st.builds(
        Surface,
        lobes=lobes,
        straight=st.sampled_from([0.0, 1e-9, 1e-6, 1e-3, 0.1]),
        room_reflectance=st.floats(0.02, 0.9),
    ),
)
scenes = st.builds(
    DotScene,
    pitch_m=st.floats(0.002, 0.1),
    lumens_per_emitter=st.floats(0.05, 100.0),
    beam_exponent=st.one_of(st.just(1.0), st.floats(0.5, 20.0)),
    distance_m=st.floats(0.001, 0.3),
    surface=surfaces,
    viewer_distance_m=st.floats(0.2, 10.0),
    row_length_m=st.floats(0.1, 5.0),
    room_illuminance_lux=st.one_of(st.just(0.0), st.floats(1.0, 2000.0)),
)
quick = settings(max_examples=60, deadline=None)


def test_one_pitch_away_a_lambertian_row_shows_about_ten_times_too_much() -> None:
    # 2.7 % left (Poisson, z = p, m = 1), a dark room, seen from 1 m on a bright surface.
    seen = judge_dots(WALL)
    assert seen.contrast_ratio == pytest.approx(row_contrast(1.0, 1.0, 1.0))
    assert 8.0 < seen.multiple < 25.0
    assert seen.verdict is Visibility.PLAIN
    assert seen.remedy is Remedy.MORE_DISTANCE


def test_the_threshold_of_a_single_wave_is_bartens() -> None:
    # At 1.3 pitches the second wave is under a thousandth of the first.
    scene = replace(WALL, distance_m=1.3 * WALL.pitch_m)
    seen = judge_dots(scene)
    u = 1 / math.degrees(2 * math.atan(WALL.pitch_m / 2))
    field = math.degrees(2 * math.atan(0.5))
    expected = float(contrast_threshold(u, seen.surface_luminance_cd_m2, field))
    assert seen.threshold_ratio == pytest.approx(expected, rel=1e-3)


def test_the_glow_is_as_bright_as_a_matt_surface_under_that_light() -> None:
    # Endless Lambertian row: E = lumens / (2 p z) per the line source; L = rho E / pi.
    seen = judge_dots(replace(WALL, row_length_m=1000.0))
    lux = 12.0 / (2 * WALL.pitch_m * WALL.distance_m)
    assert seen.surface_luminance_cd_m2 == pytest.approx(0.7 * lux / math.pi, rel=1e-4)


def test_the_room_adds_its_own_luminance_and_thins_the_pattern() -> None:
    dark, lit = judge_dots(WALL), judge_dots(replace(WALL, room_illuminance_lux=10_000.0))
    assert lit.room_luminance_cd_m2 == pytest.approx(0.7 * 10_000.0 / math.pi)
    dilution = dark.surface_luminance_cd_m2 / (
        dark.surface_luminance_cd_m2 + lit.room_luminance_cd_m2
    )
    assert lit.contrast_ratio == pytest.approx(dark.contrast_ratio * dilution, rel=1e-3)


@quick
@given(scenes, st.floats(1.05, 20.0))
def test_more_room_light_never_shows_more(scene: DotScene, factor: float) -> None:
    brighter = replace(scene, room_illuminance_lux=scene.room_illuminance_lux * factor + 5.0)
    before, after = judge_dots(scene), judge_dots(brighter)
    # Beyond about 50 cycles per degree in dim light, the closing pupil sharpens the eye faster
    # than the room thins the pattern; nothing can be seen there either way.
    unseen = 0.5
    assert after.multiple <= max(before.multiple * (1 + 1e-9), unseen)
    assert after.straight_multiple <= max(before.straight_multiple * (1 + 1e-9), unseen)
    assert after.contrast_ratio <= before.contrast_ratio * (1 + 1e-9)


@quick
@given(scenes, st.floats(1.02, 5.0))
def test_more_distance_evens_the_glow(scene: DotScene, factor: float) -> None:
    far = judge_dots(replace(scene, distance_m=scene.distance_m * factor))
    near = judge_dots(scene)
    assert far.multiple <= near.multiple
    assert far.contrast_ratio <= near.contrast_ratio + 1e-6


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


def test_an_led_seen_through_a_sheet_is_as_bright_as_its_intensity_over_its_area() -> None:
    # Luminance = intensity / projected area, I0 = lumens / pi for a Lambertian emitter.
    seen = judge_dots(replace(WALL, surface=TINTED))
    image = TINTED.straight * 12.0 / math.pi / 0.003**2
    assert seen.straight_luminance_ratio * seen.surface_luminance_cd_m2 == pytest.approx(image)


def test_an_opal_sheet_hides_at_a_distance_and_a_thicker_one_sooner() -> None:
    thick = sheet_surface(sheet_from_shares(0.003, straight=0.0, scattered=0.5), 0.010)
    thin_mm, thick_mm = (
        judge_dots(replace(WALL, surface=s)).hiding_distance_m for s in (OPAL, thick)
    )
    assert thin_mm is not None
    assert thick_mm is not None
    assert 0.0 < thick_mm < thin_mm


def test_one_part_in_a_thousand_straight_still_shows_the_leds() -> None:
    # Chips of half a million cd/m2 behind a glow of a few thousand: a haze of 99.8 % is not 100 %.
    hazy = Surface(lobes=(even_lobe(0.5),), straight=0.001, room_reflectance=0.4)
    seen = judge_dots(replace(WALL, surface=hazy, distance_m=0.05))
    assert seen.multiple < 1.0
    assert seen.straight_multiple > 1.0


def test_a_continuous_strip_shows_no_dots_even_bare() -> None:
    strip = replace(
        WALL, pitch_m=0.002, lumens_per_emitter=1.4, emitter_side_m=0.002, surface=TINTED
    )
    seen = judge_dots(replace(strip, distance_m=0.02))
    assert seen.verdict is Visibility.HIDDEN
    assert seen.straight_multiple == pytest.approx(0.0, abs=1e-9)


def test_from_across_a_hall_nobody_tells_a_fine_row_apart() -> None:
    # 1 minute of arc, the usual limit of sight, is 57 m for a pitch of 16.7 mm.
    seen = judge_dots(replace(WALL, distance_m=0.002, viewer_distance_m=80.0))
    assert seen.verdict is Visibility.HIDDEN
    assert seen.threshold_ratio == math.inf or seen.threshold_ratio > seen.contrast_ratio
    assert 20.0 < seen.hiding_viewer_distance_m < 60.0


def test_dots_wider_than_the_field_are_still_judged() -> None:
    seen = judge_dots(replace(WALL, pitch_m=0.5, distance_m=0.1, viewer_distance_m=0.2))
    assert np.isfinite(seen.multiple)
    assert seen.verdict is Visibility.PLAIN


@pytest.mark.parametrize(
    "change",
    [
        {"pitch_m": 0.0},
        {"distance_m": -0.1},
        {"lumens_per_emitter": 0.0},
        {"viewer_distance_m": math.nan},
        {"row_length_m": 0.0},
        {"room_illuminance_lux": -1.0},
    ],
)
def test_scenes_that_cannot_be_are_refused(change: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"must be|above zero"):
        judge_dots(replace(WALL, **change))


def test_a_reflectance_above_one_is_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        reflecting_surface(1.2)


def test_leds_seen_through_a_sheet_stand_behind_it() -> None:
    # At 60 cycles per degree the pitch is 1/60 degree: from 57.3 m for 16.7 mm, eye to LED.
    through = replace(WALL, surface=TINTED, viewer_distance_m=30.0)
    assert judge_dots(replace(through, distance_m=20.0)).straight_multiple > 0.0
    assert judge_dots(replace(through, distance_m=28.0)).straight_multiple == 0.0


def test_a_black_surface_shows_nothing_at_any_distance():
    found = judge_dots(replace(WALL, surface=reflecting_surface(0.0)))
    assert (found.multiple, found.verdict, found.hiding_distance_m) == (0.0, "hidden", 0.0)
