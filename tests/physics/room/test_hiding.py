"""The smallest change that hides a run: it hides, a millimetre less does not, and by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import Sheet
from lightcalc.physics.room.hiding import (
    HostFace,
    hidden,
    host_face,
    lipped,
    mounted,
    mounting_hides,
    set_back,
    smallest_lip,
    smallest_set_back,
    turned,
    turning_hides,
)
from lightcalc.physics.room.scene import Box, Eye, Insert, Point, Row, Scene
from lightcalc.physics.room.sightline import Way, sightlines

SIDE_M = 0.002
DOWN = (0.0, 0.0, -1.0)
TOP = Box("top", (0.0, 0.0, 0.40), (1.0, 0.6, 0.43))
seeds = st.integers(0, 2**32 - 1)


def row_at(y: float, z: float = 0.40, facing: Point = DOWN) -> Row:
    places = tuple((0.1 + 0.1 * number, y, z) for number in range(9))
    return Row("run", places, facing, 10.0, 1.0, 0.1, SIDE_M)


def eye_at(y: float, z: float, x: float = 0.5) -> Eye:
    return Eye("eye", (x, y, z), (0.5, 0.3, 0.4))


def some_furniture(random: Random) -> Scene:
    """A top on legs, maybe with a rail or a shelf, a run under it and an eye about the room."""
    boxes = [
        Box(f"leg {x} {y}", (x, y, 0.0), (x + 0.05, y + 0.05, 0.4))
        for x in (0.05, 0.9)
        for y in (0.05, 0.5)
    ]
    if random.random() < 0.6:
        y = random.uniform(0.0, 0.5)
        boxes.append(Box("rail", (0.05, y, random.uniform(0.25, 0.39)), (0.95, y + 0.02, 0.4)))
    if random.random() < 0.6:
        low = random.uniform(0.02, 0.3)
        boxes.append(Box("shelf", (0.1, random.uniform(0.0, 0.2), low), (0.9, 0.5, low + 0.02)))
    eye = eye_at(random.uniform(-2.5, -0.5), random.uniform(0.05, 1.8), random.uniform(-1.0, 2.0))
    square = ((0.2, 0.2), (0.8, 0.2), (0.8, 0.5), (0.2, 0.5))
    window = Insert("window", "top", square, Sheet(1.5, 10.0, 10.0))
    row = row_at(random.uniform(0.006, 0.3))
    return Scene((TOP, *boxes), (row,), (eye,), (window,))


def millimetres(random: Random, below_m: float) -> list[float]:
    """The last whole millimetre below an amount and some others."""
    last = round(below_m * 1000.0) - 1
    return [last / 1000.0, *(random.randint(0, last) / 1000.0 for _ in range(8))]


def meets_a_box(scene: Scene, amount_m: float) -> bool:
    """Whether an LED a hair under the top has by then been pushed into a box."""
    slid = np.linspace(0.0, amount_m, 1 + round(amount_m * 1000.0))
    return any(
        box.low[0] < x < box.high[0]
        and box.low[2] < z - 1e-4 < box.high[2]
        and ((box.low[1] + 2e-6 < y + slid) & (y + slid < box.high[1] - 2e-6)).any()
        for box in scene.boxes
        for x, y, z in scene.rows[0].places
    )


@settings(max_examples=150, deadline=None)
@given(seeds, st.sampled_from([(Way.DIRECT,), (Way.MIRRORED,), tuple(Way)]))
def test_the_least_set_back_hides_and_no_lesser_one_does(seed: int, ways: tuple[Way, ...]) -> None:
    random = Random(seed)
    scene = some_furniture(random)
    amount = smallest_set_back(scene, "run", "eye", ways, limit_m=0.2)
    if amount is None:
        for tried in millimetres(random, 0.2):
            shown = not hidden(set_back(scene, "run", "eye", tried), "run", "eye", ways)
            assert shown or meets_a_box(scene, tried)
        return
    assert hidden(set_back(scene, "run", "eye", amount), "run", "eye", ways)
    if amount > 0.0:
        assert not meets_a_box(scene, amount)
        for less in millimetres(random, amount):
            assert not hidden(set_back(scene, "run", "eye", less), "run", "eye", ways)


@settings(max_examples=150, deadline=None)
@given(seeds, st.sampled_from([(Way.DIRECT,), (Way.MIRRORED,), tuple(Way)]))
def test_the_least_lip_hides_and_no_shallower_one_does(seed: int, ways: tuple[Way, ...]) -> None:
    random = Random(seed)
    scene = some_furniture(random)
    depth = smallest_lip(scene, "run", "eye", ways)
    if depth is None:
        assert not hidden(lipped(scene, "run", "eye", 0.1), "run", "eye", ways)
        return
    if depth == 0.0:
        assert hidden(scene, "run", "eye", ways)
        return
    assert hidden(lipped(scene, "run", "eye", depth), "run", "eye", ways)
    assert hidden(lipped(scene, "run", "eye", depth + 0.05), "run", "eye", ways)
    shallower = [less for less in millimetres(random, depth) if less > 0.0]
    for less in shallower:
        assert not hidden(lipped(scene, "run", "eye", less), "run", "eye", ways)


@settings(max_examples=100, deadline=None)
@given(seeds)
def test_hidden_means_that_no_sightline_is_listed(seed: int) -> None:
    scene = some_furniture(Random(seed))
    listed = sightlines(scene)
    for way in Way:
        assert hidden(scene, "run", "eye", [way]) == (way not in {s.way for s in listed})
    assert hidden(scene, "run", "eye") == (not listed)


@given(st.floats(0.01, 0.2), st.floats(0.05, 0.39), st.floats(-3.0, -0.5))
def test_a_lip_is_as_deep_as_similar_triangles_say(
    run_y: float, eye_z: float, eye_y: float
) -> None:
    # From the far edge of the LEDs' bright squares the line to the eye sinks evenly; it must
    # meet the lip where it sinks least, at the lip's inner face, 3 mm from the edge.
    scene = Scene((TOP,), (row_at(run_y),), (eye_at(eye_y, eye_z),))
    far = run_y + SIDE_M / 2.0
    needed = (far - 0.003) * (0.40 - eye_z) / (far - eye_y)
    depth = smallest_lip(scene, "run", "eye", [Way.DIRECT])
    if needed > 0.1:
        assert depth is None or needed == pytest.approx(0.1, abs=1e-5)
    else:
        assert depth == pytest.approx(math.ceil(needed * 1000.0) / 1000.0, abs=1e-9) or (
            needed * 1000.0 == pytest.approx(round(needed * 1000.0), abs=0.01)
        )


@given(st.floats(0.30, 0.36), st.floats(0.05, 0.15))
def test_a_run_goes_back_until_a_bar_in_front_hides_it_as_similar_triangles_say(
    bar_z: float, eye_z: float
) -> None:
    # A bar along the front, with a gap over it. The line from the near edge of the squares must
    # have sunk to the bar's upper edge at the bar's front, y = 0:
    # 0.40 - y (0.40 - eye_z) / (y + 2) = bar_z.
    bar = Box("bar", (0.0, 0.0, 0.05), (1.0, 0.02, bar_z))
    scene = Scene((TOP, bar), (row_at(0.05),), (eye_at(-2.0, eye_z),))
    gap = 0.40 - bar_z
    needed = 2.0 * gap / (0.40 - eye_z - gap) + SIDE_M / 2.0 - 0.05
    amount = smallest_set_back(scene, "run", "eye", [Way.DIRECT], limit_m=2.0)
    room = 0.6 - 0.05
    if needed > room:
        assert amount is None or needed == pytest.approx(room, abs=1e-5)
    else:
        expected = max(math.ceil(needed * 1000.0), 0) / 1000.0
        assert amount == pytest.approx(expected, abs=1e-9) or (
            needed * 1000.0 == pytest.approx(round(needed * 1000.0), abs=0.01)
        )


def test_nothing_hides_a_run_from_an_eye_on_the_floor_beneath_it() -> None:
    scene = Scene((TOP,), (row_at(0.3),), (eye_at(0.3, 0.05),))
    assert smallest_set_back(scene, "run", "eye") is None
    assert smallest_lip(scene, "run", "eye") is None


def test_a_run_that_is_hidden_needs_no_change() -> None:
    scene = Scene((TOP,), (row_at(0.05),), (eye_at(-2.0, 1.1),))
    assert smallest_set_back(scene, "run", "eye", [Way.DIRECT]) == 0.0
    assert smallest_lip(scene, "run", "eye", [Way.DIRECT]) == 0.0


def test_a_run_is_set_back_no_further_than_a_rail_behind_it() -> None:
    eye = eye_at(-2.0, 0.1)
    bar = Box("bar", (0.0, 0.0, 0.05), (1.0, 0.02, 0.37))
    open_scene = Scene((TOP, bar), (row_at(0.05),), (eye,))
    amount = smallest_set_back(open_scene, "run", "eye", [Way.DIRECT])
    assert amount is not None
    for gap, expected in ((0.001, None), (-0.001, amount)):
        y = 0.05 + amount - gap
        rail = Box("rail", (0.0, y, 0.3), (1.0, y + 0.02, 0.4))
        closed = replace(open_scene, boxes=(*open_scene.boxes, rail))
        assert smallest_set_back(closed, "run", "eye", [Way.DIRECT]) == expected


def test_a_run_at_the_edge_leaves_no_room_for_a_lip() -> None:
    scene = Scene((TOP,), (row_at(0.003),), (eye_at(-2.0, 0.2),))
    assert smallest_lip(scene, "run", "eye") is None
    with pytest.raises(ValueError, match="leaves no room for a lip at the edge of top"):
        lipped(scene, "run", "eye", 0.02)


def test_a_lip_stands_at_the_edge_nearest_to_the_eye() -> None:
    for eye_y, low_y in ((-2.0, 0.0), (3.0, 0.6 - 0.003)):
        scene = Scene((TOP,), (row_at(0.3),), (eye_at(eye_y, 0.2),))
        lip = lipped(scene, "run", "eye", 0.02).boxes[-1]
        assert lip.low == pytest.approx((0.0, low_y, 0.38))
        assert lip.high == pytest.approx((1.0, low_y + 0.003, 0.40))


def test_no_lip_is_found_that_would_close_the_gap_to_the_floor() -> None:
    # A face 50 mm above the floor, seen over the floor by an eye 1.1 m up. From the near edge
    # of the squares, at y, the line meets the floor at s = y - (y + 2) 0.05 / 1.15 and rises
    # from there. For y = 0.099, s = 7.7 mm, and at the lip's outer face, y = 0, the line is
    # 1.1 s / (2 + s) = 4.2 mm up, so that a lip of 46 mm hides it. For y = 0.0925 it meets the
    # floor right below the lip and is less than 0.9 mm up on either side of it.
    low = Box("low top", (0.0, 0.0, 0.05), (1.0, 0.6, 0.43))
    for near_y, expected in ((0.099, 0.046), (0.0925, None)):
        run = row_at(near_y + SIDE_M / 2.0, 0.05)
        scene = Scene((low,), (run,), (eye_at(-2.0, 1.1),))
        assert smallest_lip(scene, "run", "eye", [Way.MIRRORED]) == expected


def test_turned_inward_a_run_is_hidden_from_the_front_and_shows_at_the_back() -> None:
    front, back = eye_at(-2.0, 0.2), replace(eye_at(3.0, 0.2), name="back")
    scene = Scene((TOP,), (row_at(0.05),), (front, back))
    assert not hidden(scene, "run", "eye")
    assert turning_hides(scene, "run", "eye")
    assert turned(scene, "run", "eye").rows[0].facing == (0.0, 1.0, 0.0)
    assert not hidden(turned(scene, "run", "eye"), "run", "back", [Way.DIRECT])


def test_behind_a_rail_a_run_is_hidden_and_in_front_of_it_is_not() -> None:
    rail = Box("rail", (0.0, 0.05, 0.30), (1.0, 0.07, 0.40))
    scene = Scene((TOP, rail), (row_at(0.03),), (eye_at(-2.0, 0.3),))
    behind = row_at(0.07, 0.35, (0.0, 1.0, 0.0))
    in_front = row_at(0.05, 0.35, (0.0, -1.0, 0.0))
    assert mounting_hides(scene, behind, "eye")
    assert not mounting_hides(scene, in_front, "eye")
    assert mounted(scene, behind).rows == (behind,)


def test_the_host_face_is_the_one_the_leds_are_stuck_to() -> None:
    rail = Box("rail", (0.0, 0.05, 0.30), (1.0, 0.07, 0.40))
    scene = Scene((TOP, rail), (row_at(0.08),), (eye_at(-2.0, 0.3),))
    assert host_face(scene, "run", "eye") == HostFace(TOP, (2, -1), (1, 1), 0.40, 0.0, 0.6)
    side = mounted(scene, row_at(0.07, 0.35, (0.0, 1.0, 0.0)))
    assert host_face(side, "run", "eye") == HostFace(rail, (1, 1), (2, 1), 0.07, 0.30, 0.40)
    # Turned to face along it, the run is still on the underside of the top.
    assert host_face(turned(scene, "run", "eye"), "run", "eye").box == TOP


def test_names_and_places_that_are_not_there_are_told() -> None:
    scene = Scene((TOP,), (row_at(0.05, 0.2),), (eye_at(-2.0, 0.3),))
    with pytest.raises(ValueError, match="Row run lies on no face"):
        host_face(scene, "run", "eye")
    with pytest.raises(ValueError, match="no row left"):
        hidden(scene, "left", "eye")
    with pytest.raises(ValueError, match="no eye cat"):
        hidden(scene, "run", "cat")
    with pytest.raises(ValueError, match="no row run"):
        mounted(replace(scene, rows=()), row_at(0.05))


def test_a_change_leaves_all_else_as_it_was() -> None:
    scene = some_furniture(Random(1))
    moved = set_back(scene, "run", "eye", 0.05)
    assert replace(moved, rows=scene.rows) == scene
    steps = np.subtract(moved.rows[0].places, scene.rows[0].places)
    assert steps == pytest.approx(np.tile((0.0, 0.05, 0.0), (9, 1)))
    assert lipped(scene, "run", "eye", 0.05).boxes[:-1] == scene.boxes
