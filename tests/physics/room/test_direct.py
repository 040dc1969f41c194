from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.diffusion import Array, axial_intensity_cd, row_illuminance_lux
from lightcalc.physics.dots.sheet import Sheet
from lightcalc.physics.room.direct import light_map, lighting
from lightcalc.physics.room.lightmap import Grid
from lightcalc.physics.room.rays import blocked, solids
from lightcalc.physics.room.scene import Box, Insert, Point, Row, Scene
from lightcalc.physics.room.sightline import slanted_straight_share

DOWN: Point = (0.0, 0.0, -1.0)
TOP = Box("top", (0.0, 0.0, 0.40), (1.2, 0.6, 0.43))
LEGS = tuple(
    Box(f"leg {x} {y}", (x, y, 0.0), (x + 0.05, y + 0.05, 0.4))
    for x in (0.04, 1.11)
    for y in (0.04, 0.51)
)


def row(places: Array, *, lumens: float = 20.0, exponent: float = 1.0, facing: Point = DOWN) -> Row:
    """Point LEDs, so that a line to one is either stopped or not."""
    pitch = float(np.linalg.norm(places[1] - places[0])) if len(places) > 1 else 0.01
    points = tuple((float(x), float(y), float(z)) for x, y, z in places)
    return Row("row", points, facing, lumens, exponent, pitch, 0.0)


def line(first: Point, step: Point, count: int) -> Array:
    return np.array(first) + np.outer(np.arange(float(count)), step)


def floor(x: tuple[float, float], y: tuple[float, float], cells: tuple[int, int]) -> Grid:
    u, v = (np.linspace(*ends, n + 1) for ends, n in zip((x, y), cells, strict=True))
    return Grid("floor", 2, 1.0, 0.0, u, v)


def lux(scene: Scene, grid: Grid, *, exact: bool = False) -> Array:
    return light_map(lighting(scene), grid, exact=exact).lux


def summed(scene: Scene, grid: Grid) -> Array:
    """Sum over every LED and every line, in the plainest way."""
    shapes, places, total = solids(scene), grid.middles_m(), np.zeros(grid.areas_m2.shape)
    for leds in scene.rows:
        for led in leds.places:
            away = places - np.array(led)
            distance = np.linalg.norm(away, axis=-1)
            ahead = np.maximum(away @ np.array(leds.facing) / distance, 0.0)
            onto = np.maximum(-(away @ np.array(grid.normal)) / distance, 0.0)
            intensity = axial_intensity_cd(leds.lumens, leds.exponent) * ahead**leds.exponent
            seen = ~blocked(shapes, places, np.array(led))
            total += seen * intensity * onto / distance**2
    return total


@given(height=st.floats(0.05, 2.0), exponent=st.floats(0.0, 60.0))
def test_one_led_lays_the_inverse_square_with_two_cosines(height: float, exponent: float) -> None:
    # I0 z^(m+1) / r^(m+3), the point source of any handbook of lighting.
    scene = Scene((), (row(np.array([[0.0, 0.0, height]]), exponent=exponent),), ())
    grid = floor((-1.0, 1.0), (-0.5, 0.7), (9, 7))
    r = np.linalg.norm(grid.middles_m() - [0.0, 0.0, height], axis=-1)
    expected = axial_intensity_cd(20.0, exponent) * (height / r) ** (exponent + 1.0) / r**2
    assert lux(scene, grid) == pytest.approx(expected, rel=1e-12, abs=1e-300)


@given(
    height=st.floats(0.02, 1.0),
    exponent=st.floats(0.0, 30.0),
    aside=st.floats(-0.5, 0.5),
    count=st.integers(1, 200),
)
def test_row_agrees_with_the_sum_over_its_leds(
    height: float, exponent: float, aside: float, count: int
) -> None:
    scene = Scene(
        (), (row(line((0.1, 0.0, height), (0.015, 0.0, 0.0), count), exponent=exponent),), ()
    )
    grid = floor((-0.5, 3.5), (aside, aside + 0.01), (40, 1))
    expected = row_illuminance_lux(
        grid.u_m - 0.1, height, 0.015, 20.0, exponent, count=count, y_m=aside + 0.005
    )
    assert lux(scene, grid, exact=True)[:, 0] == pytest.approx(expected, rel=1e-9)
    assert lux(scene, grid)[:, 0] == pytest.approx(expected, rel=2e-4, abs=2e-6 * expected.max())


def test_long_row_agrees_with_the_endless_one() -> None:
    scene = Scene((), (row(line((-20.0, 0.0, 0.02), (0.02, 0.0, 0.0), 2001)),), ())
    grid = floor((0.0, 0.04), (-0.001, 0.001), (20, 1))
    endless = row_illuminance_lux(grid.u_m, 0.02, 0.02, 20.0, 1.0)
    assert lux(scene, grid, exact=True)[:, 0] == pytest.approx(endless, rel=1e-6)


coordinate = st.floats(-0.5, 1.5)


@st.composite
def boxes(draw: st.DrawFn) -> tuple[Box, ...]:
    found = []
    for index in range(draw(st.integers(1, 5))):
        low = np.array([draw(coordinate), draw(coordinate), draw(st.floats(0.0, 0.7))])
        side = np.array([draw(st.floats(0.01, 0.7)) for _ in range(3)])
        found.append(Box(f"{index}", tuple(low.tolist()), tuple((low + side).tolist())))
    return tuple(found)


@st.composite
def rows(draw: st.DrawFn) -> Row:
    axis, step = draw(st.integers(0, 2)), draw(st.sampled_from((0.017, -0.017)))
    first: Point = (draw(coordinate), draw(coordinate), draw(st.floats(0.9, 1.2)))
    count = draw(st.integers(1, 60 if axis < 2 else 30))
    # LEDs of a strip face across it.
    across: tuple[Point, ...] = (
        ((0.0, 0.6, -0.8), (0.0, -1.0, 0.0), DOWN),
        ((-0.6, 0.0, -0.8), (1.0, 0.0, 0.0), DOWN),
        ((0.6, 0.8, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0)),
    )[axis]
    facing = draw(st.sampled_from(across))
    steps: Point = tuple(step * (k == axis) for k in range(3))
    exponent = draw(st.floats(0.5, 3.0))
    return row(line(first, steps, count), facing=facing, exponent=exponent)


@settings(max_examples=100, deadline=None)
@given(boxes=boxes(), leds=rows())
def test_shadows_agree_with_lines_to_every_led(boxes: tuple[Box, ...], leds: Row) -> None:
    scene, bare = Scene(boxes, (leds,), ()), Scene((), (leds,), ())
    # Odd bounds, so that no line runs just along a face.
    grid = floor((-0.71234, 1.81235), (-0.61236, 1.91237), (17, 13))
    expected, open_light = summed(scene, grid), lux(bare, grid)
    assert lux(scene, grid, exact=True) == pytest.approx(expected, rel=1e-9, abs=1e-12)
    assert (np.abs(lux(scene, grid) - expected) <= 0.01 * open_light + 1e-12).all()


@pytest.mark.parametrize("exponent", [1.0, 12.0])
def test_merged_leds_cast_the_shadows_of_a_table_within_a_hundredth(exponent: float) -> None:
    leds = (
        row(line((0.1, 0.03, 0.395), (0.01, 0.0, 0.0), 100), exponent=exponent),
        row(line((0.03, 0.1, 0.395), (0.0, 0.01, 0.0), 40), exponent=exponent),
    )
    scene, bare = Scene((TOP, *LEGS), leds, ()), Scene((), leds, ())
    grid = floor((-0.91234, 2.11236), (-0.90123, 1.51237), (50, 40))
    difference = np.abs(lux(scene, grid) - summed(scene, grid)) / lux(bare, grid)
    assert difference.max() < 0.01
    assert difference.mean() < 0.001


def test_curved_and_slanting_rows_cast_shadows_too() -> None:
    turn = np.linspace(0.0, 1.5, 40)
    arc = np.stack([0.6 + 0.4 * np.cos(turn), 0.1 + 0.4 * np.sin(turn), np.full(40, 0.39)], axis=1)
    slant = line((0.1, 0.1, 0.39), (0.012, 0.005, 0.0), 50)
    scene = Scene((TOP, *LEGS), (row(arc), row(slant)), ())
    grid = floor((-0.31, 1.52), (-0.33, 0.94), (13, 11))
    bare = lux(replace(scene, boxes=()), grid)
    assert lux(scene, grid, exact=True) == pytest.approx(summed(scene, grid), rel=1e-9, abs=1e-9)
    difference = np.abs(lux(scene, grid) - summed(scene, grid)) / bare
    assert difference.max() < 0.1
    assert difference.mean() < 0.01


def test_rows_that_turn_a_corner_keep_all_their_leds() -> None:
    corner = np.concatenate(
        [line((0.0, 0.0, 0.4), (0.02, 0.0, 0.0), 30), line((0.6, 0.02, 0.4), (0.0, 0.02, 0.0), 25)]
    )
    scene = Scene((), (row(corner),), ())
    grid = floor((-0.5, 1.1), (-0.5, 1.0), (12, 12))
    assert lux(scene, grid) == pytest.approx(summed(scene, grid), rel=2e-4)


def test_led_half_behind_an_edge_gives_half_its_light() -> None:
    wide = replace(row(np.array([[0.0, 0.0, 1.0]])), side_m=0.004, pitch_m=0.02)
    screen = Box("screen", (-1.0, -1.0, 0.5), (0.0, 1.0, 0.51))
    grid = floor((-1e-6, 1e-6), (-0.3, 0.3), (1, 5))
    lit, bare = lux(Scene((screen,), (wide,), ()), grid), lux(Scene((), (wide,), ()), grid)
    assert lit == pytest.approx(bare / 2.0, rel=1e-3)


SHEET = Sheet(1.5, absorption_per_m=20.0, scattering_per_m=10.0)
SHELF = Box("shelf", (0.0, 0.0, 0.2), (1.0, 0.5, 0.21))
HOLE = ((0.3, 0.1), (0.7, 0.1), (0.7, 0.4), (0.3, 0.4))


def test_insert_lets_its_straight_share_through_and_the_box_around_it_none() -> None:
    place = (0.5, 0.25, 0.6)
    scene = Scene((SHELF,), (row(np.array([place])),), (), (Insert("pane", "shelf", HOLE, SHEET),))
    grid = floor((0.0, 1.0), (0.0, 0.5), (41, 37))
    to_led = np.array(place) - grid.middles_m()
    crosses = [grid.middles_m() + z / 0.6 * to_led for z in (0.2, 0.21)]
    inside = np.logical_and.reduce(
        [(at[..., k] > HOLE[0][k]) & (at[..., k] < HOLE[2][k]) for at in crosses for k in (0, 1)]
    )
    cosine = to_led[..., 2] / np.linalg.norm(to_led, axis=-1)
    open_light = lux(Scene((), scene.rows, ()), grid)
    expected = inside * open_light * slanted_straight_share(SHEET, 0.01, cosine)
    assert 100 < inside.sum() < inside.size - 100
    assert lux(scene, grid) == pytest.approx(expected, rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(boxes=boxes(), leds=rows())
def test_another_box_brightens_nothing(boxes: tuple[Box, ...], leds: Row) -> None:
    grid = floor((-0.71234, 1.81235), (-0.61236, 1.91237), (17, 13))
    with_all = lux(Scene(boxes, (leds,), ()), grid, exact=True)
    with_fewer = lux(Scene(boxes[1:], (leds,), ()), grid, exact=True)
    assert (with_all <= with_fewer * (1.0 + 1e-12)).all()


def test_light_of_rows_adds_up_and_follows_their_lumens() -> None:
    one = row(line((0.1, 0.03, 0.395), (0.02, 0.0, 0.0), 50))
    other = row(line((0.03, 0.1, 0.395), (0.0, 0.02, 0.0), 20), lumens=5.0)
    grid = floor((-0.5, 1.7), (-0.5, 1.1), (20, 15))
    scene = Scene((TOP, *LEGS), (one, other), ())
    both = light_map(lighting(scene), grid)
    for index, leds in enumerate(scene.rows):
        alone = lux(replace(scene, rows=(leds,)), grid)
        assert both.lux_by_row[index] == pytest.approx(alone, rel=1e-12)
    assert both.lux == pytest.approx(both.lux_by_row.sum(axis=0), rel=1e-12)
    brighter = lux(replace(scene, rows=(replace(one, lumens=60.0), other)), grid)
    assert brighter == pytest.approx(3.0 * both.lux_by_row[0] + both.lux_by_row[1], rel=1e-12)


def test_symmetric_piece_has_a_symmetric_glow() -> None:
    legs = tuple(
        Box(f"{x} {y}", (x, y, 0.0), (x + 0.05, y + 0.05, 0.4))
        for x in (0.05, 1.10)
        for y in (0.05, 0.5)
    )
    leds = tuple(row(line((0.11, y, 0.395), (0.02, 0.0, 0.0), 50)) for y in (0.03, 0.57))
    scene = Scene((TOP, *legs), leds, ())
    for exact, within in ((True, 1e-6), (False, 1e-3)):
        light = lux(scene, floor((-0.5, 1.7), (-0.5, 1.1), (40, 30)), exact=exact)
        assert light == pytest.approx(light[:, ::-1], rel=within)
        assert light == pytest.approx(light[::-1], rel=within)


@given(a=st.floats(0.2, 5.0), b=st.floats(0.2, 5.0))
def test_lumens_on_a_rectangle_follow_its_view_factor(a: float, b: float) -> None:
    # Small Lambertian element above the corner of a parallel rectangle: J. R. Howell, A Catalog
    # of Radiation Heat Transfer Configuration Factors, B-3 (from memory).
    x, y = math.hypot(1.0, a), math.hypot(1.0, b)
    factor = (a / x * math.atan(b / x) + b / y * math.atan(a / y)) / (2.0 * math.pi)
    scene = Scene((), (row(np.array([[0.0, 0.0, 1.0]])),), ())
    found = light_map(lighting(scene), floor((0.0, a), (0.0, b), (80, 80)))
    assert found.lumens == pytest.approx(20.0 * factor, rel=1e-3)


def test_led_that_touches_the_floor_breaks_nothing() -> None:
    upright = row(line((0.0, 0.0, 0.0), (0.0, 0.0, 0.02), 20), facing=(0.0, -1.0, 0.0))
    light = lux(Scene((), (upright,), ()), floor((-0.5, 0.5), (-0.5, 0.5), (5, 5)))
    assert np.isfinite(light).all()
    assert light[2, 1] > light[2, 0] > 0.0


def test_faces_turned_from_the_leds_stay_dark() -> None:
    scene = Scene((), (row(line((0.0, 0.0, 0.4), (0.02, 0.0, 0.0), 20)),), ())
    edges = np.linspace(-1.0, 1.0, 9)
    assert lux(scene, Grid("above, facing down", 2, -1.0, 0.6, edges, edges)).max() == 0.0
    assert lux(scene, Grid("below, facing down", 2, -1.0, 0.2, edges, edges)).max() == 0.0
    assert lux(scene, Grid("below, facing up", 2, 1.0, 0.2, edges, edges)).min() > 0.0


@pytest.mark.parametrize(
    ("wrong", "says"),
    [({"lumens": -1.0}, "lumens"), ({"facing": (0.0, 0.0, 0.0)}, "faces nowhere")],
)
def test_rows_that_cannot_shine_are_refused(wrong: dict[str, object], says: str) -> None:
    sound = row(np.array([[0.0, 0.0, 1.0]]))
    with pytest.raises(ValueError, match=says):
        lighting(Scene((), (replace(sound, **wrong),), ()))
