"""The LEDs' own images: their light on the eye is what physics says, however small they are."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import sheet_from_shares, sheet_shares
from lightcalc.physics.room.camera import Camera, camera
from lightcalc.physics.room.led_images import led_images, light_colour
from lightcalc.physics.room.rays import solids
from lightcalc.physics.room.scene import Box, Eye, Floor, Insert, Row, Scene
from lightcalc.physics.room.tone import LUMINANCE_WEIGHTS

AHEAD = Eye("ahead", (0.0, -2.0, 1.0), (0.0, 0.0, 1.0))
LUMENS = 12.0


def led(side_m: float = 0.002, exponent: float = 1.0, x: float = 0.0, z: float = 1.0) -> Row:
    """One LED that faces the viewer, straight ahead when x is 0 and z is 1."""
    return Row("led", ((x, 0.0, z),), (0.0, -1.0, 0.0), LUMENS, exponent, 0.01, side_m)


def seen(scene: Scene, eye: Eye = AHEAD) -> tuple[np.ndarray, Camera]:
    view = camera(eye)
    return led_images(scene, solids(scene), view) @ LUMINANCE_WEIGHTS, view


def lux_on_eye(image: np.ndarray, view: Camera) -> float:
    """Sum of luminance times solid angle."""
    return float((image.ravel() * view.solid_angle_sr(*view.pixel_middles())).sum())


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0005, 0.1), st.floats(0.0, 30.0), st.floats(-0.4, 0.4), st.floats(0.7, 1.3))
def test_an_leds_light_on_the_eye_is_kept(side_m: float, m: float, x: float, z: float) -> None:
    image, view = seen(Scene((), (led(side_m, m, x, z),), (AHEAD,)))
    # I = I0 cos^m, I0 = lumens (m + 1) / (2 pi); E = I / r^2.
    step = np.array((x, 2.0, z - 1.0))
    cosine = 2.0 / np.linalg.norm(step)
    expected = LUMENS * (m + 1.0) / (2.0 * np.pi) * cosine**m / (step @ step)
    # A large square is nearer at one rim than at the other.
    assert lux_on_eye(image, view) == pytest.approx(expected, rel=1e-4 + 20.0 * side_m**2)


def test_an_led_lands_where_it_is() -> None:
    image, view = seen(Scene((), (led(x=0.2, z=1.1),), (AHEAD,)))
    y, x = np.indices(image.shape) + 0.5
    place = view.project([(0.2, 0.0, 1.1)])
    assert (image * x).sum() / image.sum() == pytest.approx(place.x_px[0], abs=1e-2)
    assert (image * y).sum() / image.sum() == pytest.approx(place.y_px[0], abs=1e-2)


def test_a_large_square_has_the_luminance_of_its_face_and_its_size() -> None:
    side = 0.04
    image, view = seen(Scene((), (led(side),), (AHEAD,)))
    luminance = LUMENS / np.pi / side**2  # a Lambertian face: flux / (pi area)
    assert image[240, 320] == pytest.approx(luminance, rel=0.02)
    assert (image > luminance / 2.0).sum() == pytest.approx(
        (side / 2.0 * view.focal_px) ** 2, rel=0.06
    )


def test_what_is_hidden_or_turned_away_is_dark() -> None:
    screen = Box("screen", (-0.5, -1.0, 0.0), (0.5, -0.9, 2.0))
    assert not seen(Scene((screen,), (led(),), (AHEAD,)))[0].any()
    away = replace(led(), facing=(0.0, 1.0, 0.0))
    assert not seen(Scene((), (away,), (AHEAD,)))[0].any()


def test_a_mirrored_led_is_fainter_by_the_gloss_over_the_folded_way() -> None:
    down = replace(led(z=0.4), facing=(0.0, 0.0, -1.0))
    down_there = Eye("down there", AHEAD.place, (0.0, -0.5, 0.0))
    image, view = seen(Scene((), (down,), (AHEAD,), floor=Floor(gloss=0.08)), down_there)
    square = 2.0**2 + 1.4**2  # as if from its image below the floor, 0.4 m deep
    cosine = 1.4 / np.sqrt(square)
    expected = 0.08 * LUMENS / np.pi * cosine / square
    assert lux_on_eye(image, view) == pytest.approx(expected, rel=1e-3)
    row, column = np.unravel_index(image.argmax(), image.shape)
    place = view.project([(0.0, 0.0, -0.4)])
    assert (column + 0.5, row + 0.5) == pytest.approx((place.x_px[0], place.y_px[0]), abs=1.0)
    matt = Scene((), (down,), (AHEAD,), floor=Floor(gloss=0.0))
    assert not seen(matt, down_there)[0].any()


def test_an_led_and_its_image_lie_evenly_about_the_floor() -> None:
    # An eye that looks along the floor sees its own horizon in the middle of the picture.
    low = Eye("low", (0.0, -2.0, 0.3), (0.0, 0.0, 0.3))
    image, _ = seen(Scene((), (led(z=0.2),), (low,), floor=Floor(gloss=1.0)), low)
    rows = np.flatnonzero(image.sum(axis=1))
    direct, mirrored = rows[rows < 340], rows[rows > 340]
    # 0.1 m and 0.5 m below the eye, 2 m off, at the focal length of the view.
    focal_px = camera(low).focal_px
    assert direct.mean() + 0.5 == pytest.approx(240.0 + 0.05 * focal_px, abs=1.0)
    assert mirrored.mean() + 0.5 == pytest.approx(240.0 + 0.25 * focal_px, abs=1.0)


def test_through_an_insert_the_straight_share_is_left() -> None:
    sheet = sheet_from_shares(0.02, straight=0.3, scattered=0.4)
    panel = Box("panel", (-0.5, -1.0, 0.2), (0.5, -0.98, 1.8))
    window = Insert("window", "panel", ((-0.4, 0.4), (0.4, 0.4), (0.4, 1.6), (-0.4, 1.6)), sheet)
    bare, _ = seen(Scene((), (led(),), (AHEAD,)))
    through, _ = seen(Scene((panel,), (led(),), (AHEAD,), (window,)))
    assert through.sum() / bare.sum() == pytest.approx(sheet_shares(sheet, 0.02).straight, rel=1e-3)
    tinted = replace(window, colour=(0.5, 0.5, 0.5))
    half, _ = seen(Scene((panel,), (led(),), (AHEAD,), (tinted,)))
    assert half == pytest.approx(through / 2.0)


def test_a_strip_of_2_mm_pitch_looks_like_a_line_and_one_of_33_mm_like_dots() -> None:
    def ripple(pitch_m: float) -> float:
        x = np.arange(-0.5, 0.5, pitch_m)
        row = replace(led(0.0015), places=tuple((float(a), 0.0, 1.0) for a in x))
        columns = seen(Scene((), (row,), (AHEAD,)))[0].sum(axis=0)[200:440]
        return float((columns.max() - columns.min()) / columns.mean())

    assert ripple(0.002) < 0.6  # 1.5 LEDs a pixel, before the eye's own blur
    assert ripple(1.0 / 30.0) > 5.0


def test_tinted_light_keeps_its_lumens() -> None:
    for colour in ((1.0, 0.8, 0.5), (0.0, 0.0, 3.0), (2.0, 2.0, 2.0)):
        tinted = light_colour(replace(led(), colour=colour))
        assert tinted @ LUMINANCE_WEIGHTS == pytest.approx(1.0)
    with pytest.raises(ValueError, match="black light"):
        light_colour(replace(led(), colour=(0.0, 0.0, 0.0)))


def test_more_leds_never_darken() -> None:
    one = led(x=-0.1)
    other = led(x=0.1)
    alone, _ = seen(Scene((), (one,), (AHEAD,)))
    both, _ = seen(Scene((), (one, other), (AHEAD,)))
    assert (both >= alone).all()
    assert both.sum() > 1.9 * alone.sum()


def test_what_lies_past_the_rim_or_behind_adds_nothing() -> None:
    beside = led(x=5.0)
    behind = replace(led(), places=((0.0, -3.0, 1.0),), facing=(0.0, 1.0, 0.0))
    assert not seen(Scene((), (beside, behind), (AHEAD,)))[0].any()
