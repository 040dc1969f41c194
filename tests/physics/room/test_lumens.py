from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import Sheet, sheet_shares
from lightcalc.physics.room.direct import light_map, lighting
from lightcalc.physics.room.grids import face_grids, floor_grid, outline, wall_grid
from lightcalc.physics.room.lumens import Lumens, lumens_account
from lightcalc.physics.room.scene import Box, Insert, Point, Row, Scene, Wall

DOWN: Point = (0.0, 0.0, -1.0)
UP: Point = (0.0, 0.0, 1.0)
RESIN = Sheet(1.5, absorption_per_m=10.0, scattering_per_m=100.0)


def row(first: Point, axis: int, count: int, facing: Point = DOWN, exponent: float = 1.0) -> Row:
    pitch = 1 / 60
    places = tuple(
        (first[0] + pitch * k * (axis == 0), first[1] + pitch * k * (axis == 1), first[2])
        for k in range(count)
    )
    return Row("row", places, facing, 20.0, exponent, pitch, 0.004)


def account(scene: Scene, rays: int = 16_384) -> Lumens:
    return lumens_account(scene, lighting(scene), rays)


def table() -> Scene:
    """A table with legs, rails and a shelf under two rows, before a wall."""
    legs = tuple(
        Box(f"leg {x} {y}", (x, y, 0.0), (x + 0.06, y + 0.06, 0.4))
        for x in (0.04, 1.50)
        for y in (0.04, 0.70)
    )
    top = Box("top", (0.0, 0.0, 0.40), (1.6, 0.8, 0.44))
    shelf = Box("shelf", (0.1, 0.2, 0.10), (1.5, 0.6, 0.12))
    rail = Box("rail", (0.10, 0.08, 0.34), (1.50, 0.10, 0.40))
    rows = (row((0.12, 0.03, 0.38), 0, 82), row((0.2, 0.4, 0.38), 0, 72))
    return Scene((top, *legs, shelf, rail), rows, (), wall=Wall(1.1))


def test_lumens_on_maps_and_lumens_that_leave_are_those_emitted_within_a_hundredth() -> None:
    # The maps sum what cells receive, the account counts rays: two ways that share no sum.
    scene = table()
    prepared, shape = lighting(scene), outline(scene)
    wall = wall_grid(shape)
    assert wall is not None
    floor_lm = light_map(prepared, floor_grid(shape)).lumens
    wall_lm = light_map(prepared, wall).lumens
    faces_lm = {box.name: 0.0 for box in scene.boxes}
    for grid in face_grids(scene, shape):
        faces_lm[grid.name.rsplit(" ", 2)[0]] += light_map(prepared, grid).lumens
    counted = account(scene)
    emitted = 20.0 * (82 + 72)
    assert counted.emitted == pytest.approx(emitted)
    landed = floor_lm + wall_lm + sum(faces_lm.values())
    assert landed + counted.left == pytest.approx(emitted, rel=0.01)
    assert floor_lm == pytest.approx(counted.floor, abs=0.01 * emitted)
    assert wall_lm == pytest.approx(counted.wall, abs=0.01 * emitted)
    assert faces_lm == pytest.approx(counted.boxes, abs=0.01 * emitted)


@settings(max_examples=30, deadline=None)
@given(
    x=st.floats(-0.3, 0.9),
    y=st.floats(-0.5, 0.5),
    height=st.floats(0.1, 0.35),
    exponent=st.floats(1.0, 10.0),
    axis=st.integers(0, 1),
)
def test_floor_map_under_any_box_agrees_with_the_account(
    x: float, y: float, height: float, exponent: float, axis: int
) -> None:
    leds = row((0.1, 0.0, 0.5), axis, 40, exponent=exponent)
    scene = Scene((Box("a", (x, y, height - 0.05), (x + 0.3, y + 0.4, height)),), (leds,), ())
    counted = account(scene)
    found = light_map(lighting(scene), floor_grid(outline(scene)))
    assert counted.accounted == pytest.approx(800.0, rel=1e-9)
    assert found.lumens == pytest.approx(counted.floor, abs=8.0)


@given(a=st.floats(0.2, 3.0), b=st.floats(0.2, 3.0))
def test_plate_catches_its_view_factor(a: float, b: float) -> None:
    # J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors, B-3 (from memory).
    x, y = math.hypot(1.0, a), math.hypot(1.0, b)
    factor = (a / x * math.atan(b / x) + b / y * math.atan(a / y)) / (2.0 * math.pi)
    plate = Box("plate", (0.0, 0.0, 3.0), (a, b, 3.001))
    counted = account(Scene((plate,), (row((0.0, 0.0, 2.0), 0, 1, UP),), ()))
    assert counted.boxes["plate"] == pytest.approx(20.0 * factor, abs=0.003 * 20.0)
    assert counted.left == pytest.approx(20.0 * (1.0 - factor), abs=0.003 * 20.0)


@given(height=st.floats(0.1, 1.0), away=st.floats(0.1, 1.0), exponent=st.floats(0.0, 30.0))
def test_everything_sent_down_lands(height: float, away: float, exponent: float) -> None:
    leds = row((0.0, 0.0, height), 0, 10, exponent=exponent)
    counted = account(Scene((), (leds,), (), wall=Wall(away)), rays=1000)
    assert counted.floor + counted.wall == pytest.approx(200.0)
    assert counted.left == 0.0


def test_half_of_a_lamp_that_faces_along_the_floor_lands_on_it() -> None:
    counted = account(Scene((), (row((0.0, 0.0, 1.0), 0, 10, (0.0, -1.0, 0.0)),), ()))
    assert counted.floor == pytest.approx(100.0, abs=0.6)
    assert counted.left == pytest.approx(100.0, abs=0.6)


def insert_scene(thickness: float, sheet: Sheet) -> Scene:
    """A row far below a plate that is all insert but for a rim."""
    plate = Box("plate", (-9.0, -9.0, 0.5), (9.0, 9.0, 0.5 + thickness))
    outline = ((-8.0, -8.0), (8.0, -8.0), (8.0, 8.0), (-8.0, 8.0))
    narrow = row((0.0, 0.0, 0.3), 0, 10, UP, exponent=400.0)
    return Scene((plate,), (narrow,), (), (Insert("pane", "plate", outline, sheet),))


def test_insert_shares_out_light_near_its_normal_as_its_sheet_does() -> None:
    counted = account(insert_scene(0.01, RESIN))
    shares = sheet_shares(RESIN, 0.01)
    (pane,) = counted.inserts
    expected = [
        200.0 * x for x in (shares.scattered, shares.reflected, shares.absorbed, shares.straight)
    ]
    found = [pane.scattered, pane.reflected, pane.absorbed, pane.straight]
    assert found == pytest.approx(expected, rel=0.01, abs=0.1)
    assert counted.left == pytest.approx(pane.straight, rel=0.001)
    assert counted.accounted == pytest.approx(200.0, rel=1e-9)


def test_light_through_two_panes_is_counted_once() -> None:
    first = insert_scene(0.01, RESIN)
    above = replace(first.boxes[0], name="above", low=(-9.0, -9.0, 1.0), high=(9.0, 9.0, 1.01))
    second = replace(first.inserts[0], name="second", host="above")
    scene = replace(first, boxes=(*first.boxes, above), inserts=(*first.inserts, second))
    counted = account(scene)
    assert counted.accounted == pytest.approx(200.0, rel=1e-9)
    one, other = counted.inserts
    assert counted.left == pytest.approx(other.straight, rel=1e-9)
    stays = other.scattered + other.reflected + other.absorbed
    assert one.straight == pytest.approx(stays + other.straight, rel=1e-9)


def test_light_that_strikes_the_side_of_a_deep_hole_stays_in_the_wood() -> None:
    host = Box("host", (-1.0, -1.0, 0.5), (1.0, 1.0, 0.6))
    clear = Sheet(1.0, 0.0, 0.0)
    hole = ((-0.06, -0.06), (0.06, -0.06), (0.06, 0.06), (-0.06, 0.06))
    scene = Scene(
        (host,), (row((0.0, 0.0, 0.4), 0, 1, UP),), (), (Insert("hole", "host", hole, clear),)
    )
    counted = account(scene)
    # Through the far opening only: a square of 0.12 m at 0.2 m, four corners of it (B-3 above).
    a = 0.06 / 0.2
    x = math.hypot(1.0, a)
    factor = 4.0 * 2.0 * (a / x * math.atan(a / x)) / (2.0 * math.pi)
    top_factor = math.sin(math.atan(1.0 / 0.1)) ** 2  # the plate itself, about
    assert counted.left == pytest.approx(20.0 * (factor + 1.0 - top_factor), abs=0.2)
    assert counted.accounted == pytest.approx(20.0, rel=1e-9)


def test_rays_leave_in_the_beam_they_are_meant_to() -> None:
    # Share of cos^m within the angle t of the axis: 1 - cos^(m+1) t.
    for exponent in (0.0, 1.0, 5.0):
        plate = Box("plate", (-9.0, -9.0, 2.0), (9.0, 9.0, 2.1))
        reach = np.tan(np.radians(40.0)) * 0.5
        disc = [
            (reach * math.cos(t), reach * math.sin(t)) for t in np.linspace(0, 2 * np.pi, 65)[:-1]
        ]
        pane = Insert("pane", "plate", tuple(disc), RESIN)
        lamp = row((0.0, 0.0, 1.5), 0, 1, UP, exponent)
        (found,) = account(Scene((plate,), (lamp,), (), (pane,))).inserts
        entered = found.scattered + found.reflected + found.absorbed + found.straight
        expected = 20.0 * (1.0 - math.cos(math.radians(40.0)) ** (exponent + 1.0))
        assert entered == pytest.approx(expected, abs=0.1)
