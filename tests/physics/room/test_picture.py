"""Pictures are luminances: closed forms of matt surfaces, mirrors and inserts."""

from dataclasses import replace

import numpy as np
import pytest

from lightcalc.physics.dots.sheet import sheet_from_shares, sheet_shares
from lightcalc.physics.room.camera import Camera, camera
from lightcalc.physics.room.glow import glow
from lightcalc.physics.room.picture import linear_picture, picture, stage
from lightcalc.physics.room.room import LIGHT_VECTOR
from lightcalc.physics.room.scene import Box, Eye, Floor, Insert, Row, Scene, Wall
from lightcalc.physics.room.tone import LUMINANCE_WEIGHTS

LUMENS = 40.0
TO_WALL = Eye("to wall", (0.0, -1.0, 1.0), (0.0, 1.0, 1.0))
# A box out of the way, so that the scene has a piece.
FAR_BOX = Box("far", (3.0, 0.0, 0.0), (3.1, 0.1, 0.1))
# A lamp that faces the wall one metre off, above the line of sight.
LAMP = Row("lamp", ((0.0, 0.0, 1.6),), (0.0, 1.0, 0.0), LUMENS, 1.0, 0.01, 0.002)
WALL = Scene((FAR_BOX,), (LAMP,), (TO_WALL,), wall=Wall(1.0, (0.6, 0.5, 0.4)), room_lux=0.0)
ON_FLOOR = Eye("on floor", (0.0, -1.0, 1.0), (0.0, 0.0, 0.0))
TOP = Box("top", (-0.5, -0.2, 0.40), (0.5, 0.2, 0.42), (0.4, 0.3, 0.2))
UNDER = tuple((float(x), 0.0, 0.4) for x in np.linspace(-0.45, 0.45, 40))
BENCH = Scene(
    (TOP,),
    (Row("under", UNDER, (0.0, 0.0, -1.0), 10.0, 1.0, 0.9 / 39, 0.003),),
    (ON_FLOOR,),
    floor=Floor((0.3, 0.25, 0.2), 0.05),
    wall=Wall(1.5),
)


def taken(scene: Scene, eye: Eye, size: tuple[int, int] = (160, 120)) -> tuple[np.ndarray, Camera]:
    view = camera(eye, *size)
    return linear_picture(stage(scene, glow(scene)), view), view


def at(image: np.ndarray, view: Camera, point: tuple[float, float, float]) -> np.ndarray:
    """Pixel in which a point lands."""
    landing = view.project([point])
    return np.asarray(image[int(landing.y_px[0]), int(landing.x_px[0])])


def test_a_matt_wall_has_reflectance_by_lux_over_pi() -> None:
    image, view = taken(WALL, TO_WALL)
    for point in ((0.0, 1.0, 1.6), (0.3, 1.0, 1.0), (-0.6, 1.0, 1.2)):
        square = point[0] ** 2 + 1.0 + (point[2] - 1.6) ** 2
        # One lamp: I0 cos / r^2 under the wall's own cosine, I0 = lumens / pi for m = 1.
        lux = LUMENS / np.pi / square**2
        expected = np.array(WALL.wall.colour) * lux / np.pi  # type: ignore[union-attr]
        # Cells of 4 cm and pixels of 1 cm are what is between.
        assert at(image, view, point) == pytest.approx(expected, rel=0.02)


def test_the_rooms_light_on_a_wall_is_that_of_its_turn() -> None:
    dark = replace(WALL, rows=(replace(LAMP, lumens=0.0),), room_lux=100.0)
    image, _ = taken(dark, TO_WALL)
    share = 1.0 - LIGHT_VECTOR[2] - LIGHT_VECTOR[1]  # faces the front, -y, not up
    expected = np.array((0.6, 0.5, 0.4)) * 100.0 * share / np.pi
    assert image[10, 80] == pytest.approx(expected, rel=5e-3)
    assert at(image, camera(TO_WALL, 160, 120), (0.0, 1.0, 1.0)) == pytest.approx(
        expected, rel=5e-3
    )


def test_lumens_are_lumens_whatever_the_colour_of_light() -> None:
    warm = replace(WALL, rows=(replace(LAMP, colour=(1.6, 1.0, 0.3)),), wall=Wall(1.0, (0.5,) * 3))
    plain = replace(warm, rows=(LAMP,))
    light = [taken(scene, TO_WALL)[0] @ LUMINANCE_WEIGHTS for scene in (warm, plain)]
    assert light[0] == pytest.approx(light[1], rel=1e-4)


def test_a_glossy_floor_adds_its_share_of_what_it_mirrors() -> None:
    eye = Eye("low", (0.0, -1.0, 0.5), (0.0, 0.0, 0.2))
    images = {
        gloss: taken(replace(WALL, floor=Floor((0.3, 0.3, 0.3), gloss)), eye)
        for gloss in (0.0, 0.2)
    }
    (plain, view), (glossy, _) = images[0.0], images[0.2]
    # The floor half way from the eye to its place on the wall, 0.5 m up: equal angles.
    added = at(glossy, view, (0.0, 0.0, 0.0)) - at(plain, view, (0.0, 0.0, 0.0))
    assert added == pytest.approx(0.2 * at(plain, view, (0.0, 1.0, 0.5)), rel=0.03)


def test_a_mirror_floor_shows_the_room_upside_down() -> None:
    eye = Eye("level", (0.0, -1.0, 0.3), (0.0, 1.0, 0.3))
    leg = Box("leg", (-0.3, 0.2, 0.0), (-0.2, 0.3, 0.9), (0.8, 0.2, 0.1))
    lit = replace(WALL, boxes=(leg,), floor=Floor((0.0, 0.0, 0.0), 1.0), room_lux=50.0)
    image, view = taken(lit, eye)
    for x, z in ((-0.22, 0.06), (-0.22, 0.11), (-0.28, 0.1)):
        real, mirrored = at(image, view, (x, 0.2, z)), at(image, view, (x, 0.2, -z))
        assert mirrored == pytest.approx(real, rel=0.05)


def test_behind_an_insert_the_straight_share_is_left() -> None:
    sheet = sheet_from_shares(0.02, straight=0.4, scattered=0.0)
    panel = Box("panel", (-0.5, -0.5, 0.4), (0.5, -0.48, 1.6))
    window = Insert("window", "panel", ((-0.4, 0.5), (0.4, 0.5), (0.4, 1.5), (-0.4, 1.5)), sheet)
    behind = replace(WALL, boxes=(panel,), inserts=(window,))
    through, _ = taken(behind, TO_WALL)
    bare, _ = taken(WALL, TO_WALL)
    expected = sheet_shares(sheet, 0.02).straight
    assert through[60, 80] / bare[60, 80] == pytest.approx(np.full(3, expected), rel=0.01)
    tinted = replace(behind, inserts=(replace(window, colour=(0.5, 1.0, 0.0)),))
    ratio = taken(tinted, TO_WALL)[0][60, 80] / bare[60, 80]
    assert ratio == pytest.approx(expected * np.array((0.5, 1.0, 0.0)), rel=0.01, abs=1e-9)


def test_an_insert_glows_with_the_share_it_scatters() -> None:
    sheet = sheet_from_shares(0.02, straight=0.0, scattered=0.5)
    window = Insert("window", "top", ((-0.3, -0.1), (0.3, -0.1), (0.3, 0.1), (-0.3, 0.1)), sheet)
    lamp = Row("below", ((0.0, 0.0, 0.1),), (0.0, 0.0, 1.0), LUMENS, 1.0, 0.01, 0.002)
    scene = replace(BENCH, rows=(lamp,), inserts=(window,), room_lux=0.0)
    above = Eye("above", (0.0, -0.01, 1.4), (0.0, 0.0, 0.42))
    image, view = taken(scene, above)
    lux = LUMENS / np.pi / 0.3**2  # the underside is 0.3 m above the lamp
    expected = sheet_shares(sheet, 0.02).scattered * lux / np.pi
    assert at(image, view, (0.0, 0.0, 0.42)) == pytest.approx(np.full(3, expected), rel=0.03)


def test_an_insert_mirrors_the_room_by_fresnels_law() -> None:
    # A board above a black sheet; 60 degrees to its normal n = 1.5 mirrors 0.0892: Fresnel's
    # equations worked out by hand, ((0.5 - 1.2247) / 1.7247)^2 and ((0.75 - 0.8165) / 1.5665)^2.
    black = sheet_from_shares(0.02, straight=0.0, scattered=0.0)
    window = Insert(
        "window", "top", ((-0.4, -0.15), (0.4, -0.15), (0.4, 0.15), (-0.4, 0.15)), black
    )
    down = 1.0 / np.tan(np.radians(60.0))
    eye = Eye("seated", (0.0, -1.0, 0.42 + down), (0.0, 0.0, 0.42))
    image, view = taken(replace(BENCH, inserts=(window,)), eye)
    above, _ = taken(BENCH, Eye("level", (0.0, 0.0, 0.42), (0.0, 1.5, 0.42 + 1.5 * down)))
    got = at(image, view, (0.0, 0.0, 0.42))
    # The sheet itself sends nothing back, so that the mirror image is all there is.
    assert sheet_shares(black, 0.02).reflected == pytest.approx(0.04)
    assert got == pytest.approx(0.0892 * above[60, 80], rel=0.02)


def test_more_light_never_darkens_a_pixel() -> None:
    bright = replace(BENCH, rows=(replace(BENCH.rows[0], lumens=20.0),), room_lux=80.0)
    one, two = (taken(scene, ON_FLOOR)[0] for scene in (BENCH, bright))
    assert (two >= one).all()
    veiled = [picture(stage(scene, glow(scene)), ON_FLOOR, 160, 120) for scene in (BENCH, bright)]
    assert (veiled[1] >= veiled[0] - 1e-3).all()


def test_light_adds_up() -> None:
    dark_room = replace(BENCH, room_lux=0.0)
    no_leds = replace(BENCH, rows=(replace(BENCH.rows[0], lumens=0.0),))
    leds, room, both = (taken(scene, ON_FLOOR)[0] for scene in (dark_room, no_leds, BENCH))
    # Which pixels count as edges differs, so compare where all looks agree.
    parts = leds.astype(np.float64) + room
    close = np.abs(both / parts - 1.0) < 1e-4
    assert close.mean() > 0.95


def test_nothing_looks_as_light_as_a_grey_room() -> None:
    up = Eye("up", (0.0, -1.0, 1.0), (0.0, -0.9, 3.0))
    image, _ = taken(replace(BENCH, wall=None, room_lux=60.0), up)
    assert image == pytest.approx(np.full(image.shape, 0.5 * 60.0 / np.pi), rel=1e-4)


def test_edges_have_the_mean_of_what_lies_in_a_pixel() -> None:
    board = Box("board", (-0.3, 0.5, 0.3), (0.07, 0.6, 1.7), (0.0, 0.0, 0.0))
    scene = replace(WALL, boxes=(board,), room_lux=50.0)
    slanted = Eye("slanted", (0.6, -1.2, 1.6), (0.0, 1.0, 0.8))
    coarse = taken(scene, slanted)[0] @ LUMINANCE_WEIGHTS
    fine = taken(scene, slanted, (640, 480))[0] @ LUMINANCE_WEIGHTS
    mean = fine.reshape(120, 4, 160, 4).mean(axis=(1, 3))
    spread = np.ptp(fine.reshape(120, 4, 160, 4).swapaxes(1, 2).reshape(120, 160, 16), axis=2)
    edges = spread > 0.3 * fine.max()
    off = np.abs(coarse - mean)[edges] / spread[edges]
    assert edges.sum() > 100
    # One look a pixel would be off by up to a half, and a quarter on the mean.
    assert off.mean() < 0.1
    assert off.max() < 0.35


def test_a_picture_is_the_linear_one_with_the_eyes_veil() -> None:
    ready = stage(BENCH, glow(BENCH))
    veiled = picture(ready, ON_FLOOR, 160, 120)
    plain = linear_picture(ready, camera(ON_FLOOR, 160, 120))
    assert veiled.shape == plain.shape == (120, 160, 3)
    assert veiled.dtype == np.float32
    assert veiled.min() > plain.min()


def test_a_glow_of_another_scene_is_refused() -> None:
    with pytest.raises(ValueError, match="boxes' faces"):
        stage(BENCH, glow(BENCH, faces=False))
