"""A hand's lines to an eye, held against an integral by hand and a loop over single lines."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import Sheet
from lightcalc.physics.room.rays import blocked, solids
from lightcalc.physics.room.remote import HAND_SIDE_M, POINTS_A_SIDE, remote_line
from lightcalc.physics.room.scene import Box, Insert, Scene, Wall

SCREEN = Box("screen", (-5.0, 0.0, -5.0), (5.0, 0.01, 5.0))
BEHIND = (0.0, 1.0, 1.0)
HAND = (0.0, -1.0, 1.0)
length = st.integers(-1000, 1000).map(lambda mm: mm / 1000.0)


def scene(*boxes, **more):
    return Scene(boxes, (), (), **more)


def test_in_an_empty_room_every_line_is_free():
    found = remote_line(scene(), HAND, BEHIND)
    assert (found.free_share, found.middle_free, found.stopped_by) == (1.0, True, ())


def test_nothing_passes_a_screen_that_hides_all():
    found = remote_line(scene(SCREEN), HAND, BEHIND)
    assert (found.free_share, found.middle_free) == (0.0, False)
    assert found.stopped_by == (("screen", 1.0),)


def test_an_eye_on_a_face_sees_the_side_that_the_face_looks_to():
    for y, free in ((0.0, 1.0), (0.01, 0.0)):
        assert remote_line(scene(SCREEN), HAND, (0.0, y, 1.0)).free_share == free


@pytest.mark.parametrize("edge_mm", [-97, -31, 4, 44, 83])
def test_the_share_over_an_edge_is_that_of_the_hand_above_its_line(edge_mm):
    # A thin screen halfway between hand and eye with its top edge at a height e over the eye's:
    # lines pass from places higher than (2 - d) e over the eye, d being how far behind its middle
    # a place of the hand is (similar triangles); on the mean over d that is 2 e.
    edge = edge_mm / 1000.0 / 2.0
    half = Box("half", (-5.0, 0.0, 0.0), (5.0, 1e-5, 1.0 + edge))
    found = remote_line(scene(half), HAND, BEHIND)
    wanted = 0.5 - 2.0 * edge / HAND_SIDE_M
    # Rows of points are a seventh of the hand apart, so that each is right to half of that.
    assert found.free_share == pytest.approx(wanted, abs=0.5 / POINTS_A_SIDE + 1e-4)
    assert found.middle_free == (edge < 0.0)
    assert found.free_share + sum(share for _, share in found.stopped_by) == pytest.approx(1.0)


def test_what_is_met_first_from_the_hand_is_what_hides_it():
    second = Box("door", (-5.0, 0.5, -5.0), (5.0, 0.51, 5.0))
    assert remote_line(scene(second, SCREEN), HAND, BEHIND).stopped_by == (("screen", 1.0),)
    back = remote_line(scene(second, SCREEN), BEHIND, HAND)
    assert back.stopped_by == (("door", 1.0),)


def test_a_line_through_a_sheet_is_stopped_by_it_by_name():
    clear = Sheet(1.5, absorption_per_m=0.0, scattering_per_m=0.0)
    corners = ((-1.0, 0.0), (1.0, 0.0), (1.0, 2.0), (-1.0, 2.0))
    window = Insert("window", "screen", corners, clear)
    found = remote_line(scene(SCREEN, inserts=(window,)), HAND, BEHIND)
    assert (found.free_share, found.stopped_by) == (0.0, (("window", 1.0),))


def test_a_hand_is_above_the_floor_and_in_front_of_the_wall_and_not_in_wood():
    low = remote_line(scene(), (0.0, -1.0, 0.01), (0.0, 1.0, 0.5))
    assert low.free_share == 1.0
    walled = remote_line(scene(wall=Wall(0.0)), (0.0, -0.01, 1.0), (0.5, -0.5, 1.0))
    assert walled.free_share == 1.0
    post = Box("post", (-0.5, -1.0, 0.0), (0.5, -0.9, 2.0))
    # Beside the post's face half of the cube is in the wood; of the rest all is seen.
    assert remote_line(scene(post), (0.0, -1.001, 1.0), (0.0, -3.0, 1.0)).free_share == 1.0
    buried = Box("stump", (-1.0, -2.0, 0.0), (1.0, 0.0, 2.0))
    assert remote_line(scene(buried), HAND, BEHIND).free_share == 0.0


@settings(max_examples=60)
@given(st.lists(st.tuples(length, length, length), min_size=2, max_size=4))
def test_the_share_is_that_of_single_lines_one_by_one(corners):
    boxes = tuple(
        Box(f"box {n}", (x, y, z + 1.5), (x + 0.3, y + 0.1, z + 1.9))
        for n, (x, y, z) in enumerate(corners)
    )
    hand, eye = (0.0, -3.0, 1.4), (0.1, 3.0, 1.6)
    found = remote_line(scene(*boxes), hand, eye)
    shapes, count = solids(scene(*boxes)), 0
    steps = [HAND_SIDE_M * ((n + 0.5) / POINTS_A_SIDE - 0.5) for n in range(POINTS_A_SIDE)]
    for dx in steps:
        for dy in steps:
            for dz in steps:
                start = (hand[0] + dx, hand[1] + dy, hand[2] + dz)
                count += not bool(blocked(shapes, np.array(start), np.array(eye)))
    assert found.free_share == pytest.approx(count / POINTS_A_SIDE**3)
    assert math.fsum([found.free_share, *(share for _, share in found.stopped_by)]) == (
        pytest.approx(1.0)
    )
