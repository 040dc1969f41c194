"""Whether dots show: what must hold whatever the scene."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from dot_scenes import TINTED, WALL, quick, scenes
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.dots.diffusion import row_contrast
from lightcalc.physics.dots.dots import (
    DotScene,
    Remedy,
    Surface,
    Visibility,
    reflecting_surface,
    see_dots,
)
from lightcalc.physics.dots.lobes import even_lobe
from lightcalc.physics.dots.vision import contrast_threshold


def test_one_pitch_away_a_lambertian_row_shows_about_ten_times_too_much() -> None:
    # 2.7 % left (Poisson, z = p, m = 1), a dark room, seen from 1 m on a bright surface.
    seen = see_dots(WALL)
    assert seen.contrast_ratio == pytest.approx(row_contrast(1.0, 1.0, 1.0))
    assert 8.0 < seen.multiple < 25.0
    assert seen.verdict is Visibility.PLAIN
    assert seen.remedy is Remedy.MORE_DISTANCE


def test_the_threshold_of_a_single_wave_is_bartens() -> None:
    # At 1.3 pitches the second wave is under a thousandth of the first.
    scene = replace(WALL, distance_m=1.3 * WALL.pitch_m)
    seen = see_dots(scene)
    u = 1 / math.degrees(2 * math.atan(WALL.pitch_m / 2))
    field = math.degrees(2 * math.atan(0.5))
    expected = float(contrast_threshold(u, seen.surface_luminance_cd_m2, field))
    assert seen.threshold_ratio == pytest.approx(expected, rel=1e-3)


def test_the_glow_is_as_bright_as_a_matt_surface_under_that_light() -> None:
    # Endless Lambertian row: E = lumens / (2 p z) per the line source; L = rho E / pi.
    seen = see_dots(replace(WALL, row_length_m=1000.0))
    lux = 12.0 / (2 * WALL.pitch_m * WALL.distance_m)
    assert seen.surface_luminance_cd_m2 == pytest.approx(0.7 * lux / math.pi, rel=1e-4)


def test_the_room_adds_its_own_luminance_and_thins_the_pattern() -> None:
    dark, lit = see_dots(WALL), see_dots(replace(WALL, room_illuminance_lux=10_000.0))
    assert lit.room_luminance_cd_m2 == pytest.approx(0.7 * 10_000.0 / math.pi)
    dilution = dark.surface_luminance_cd_m2 / (
        dark.surface_luminance_cd_m2 + lit.room_luminance_cd_m2
    )
    assert lit.contrast_ratio == pytest.approx(dark.contrast_ratio * dilution, rel=1e-3)


@quick
@given(scenes, st.floats(1.05, 20.0))
def test_more_room_light_never_shows_more(scene: DotScene, factor: float) -> None:
    brighter = replace(scene, room_illuminance_lux=scene.room_illuminance_lux * factor + 5.0)
    before, after = see_dots(scene), see_dots(brighter)
    # Beyond about 50 cycles per degree in dim light, the closing pupil sharpens the eye faster
    # than the room thins the pattern; nothing can be seen there either way.
    unseen = 0.5
    assert after.multiple <= max(before.multiple * (1 + 1e-9), unseen)
    assert after.straight_multiple <= max(before.straight_multiple * (1 + 1e-9), unseen)
    assert after.contrast_ratio <= before.contrast_ratio * (1 + 1e-9)


@quick
@given(scenes, st.floats(1.02, 5.0))
def test_more_distance_evens_the_glow(scene: DotScene, factor: float) -> None:
    far = see_dots(replace(scene, distance_m=scene.distance_m * factor))
    near = see_dots(scene)
    assert far.multiple <= near.multiple
    assert far.contrast_ratio <= near.contrast_ratio + 1e-6


def test_an_led_seen_through_a_sheet_is_as_bright_as_its_intensity_over_its_area() -> None:
    # Luminance = intensity / projected area, I0 = lumens / pi for a Lambertian emitter.
    seen = see_dots(replace(WALL, surface=TINTED))
    image = TINTED.straight * 12.0 / math.pi / 0.003**2
    assert seen.straight_luminance_ratio * seen.surface_luminance_cd_m2 == pytest.approx(image)


def test_one_part_in_a_thousand_straight_still_shows_the_leds() -> None:
    # Chips of half a million cd/m2 behind a glow of a few thousand: a haze of 99.8 % is not 100 %.
    hazy = Surface(lobes=(even_lobe(0.5),), straight=0.001, room_reflectance=0.4)
    seen = see_dots(replace(WALL, surface=hazy, distance_m=0.05))
    assert seen.multiple < 1.0
    assert seen.straight_multiple > 1.0


def test_a_continuous_strip_shows_no_dots_even_bare() -> None:
    strip = replace(
        WALL, pitch_m=0.002, lumens_per_emitter=1.4, emitter_side_m=0.002, surface=TINTED
    )
    seen = see_dots(replace(strip, distance_m=0.02))
    assert seen.verdict is Visibility.HIDDEN
    assert seen.straight_multiple == pytest.approx(0.0, abs=1e-9)


def test_dots_wider_than_the_field_are_still_judged() -> None:
    seen = see_dots(replace(WALL, pitch_m=0.5, distance_m=0.1, viewer_distance_m=0.2))
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
        see_dots(replace(WALL, **change))


def test_a_reflectance_above_one_is_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        reflecting_surface(1.2)


def test_leds_seen_through_a_sheet_stand_behind_it() -> None:
    # At 60 cycles per degree the pitch is 1/60 degree: from 57.3 m for 16.7 mm, eye to LED.
    through = replace(WALL, surface=TINTED, viewer_distance_m=30.0)
    assert see_dots(replace(through, distance_m=20.0)).straight_multiple > 0.0
    assert see_dots(replace(through, distance_m=28.0)).straight_multiple == 0.0
