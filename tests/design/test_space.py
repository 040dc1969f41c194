"""A line that a run lies on, side by side, and blocks as they stand."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.design.space import FACINGS, STAND_OFF_M, Block, Mount, stood_off

coordinates = st.floats(-5.0, 5.0).map(lambda metres: round(metres, 3))
corners = st.lists(st.tuples(coordinates, coordinates, coordinates), min_size=2, max_size=8)


@given(corners)
def test_a_line_is_as_long_as_its_sides_and_has_none_of_no_length(path):
    mount = Mount("m", tuple(path), "down")
    assert all(side.length_m > 0.0 for side in mount.sides())
    steps = [math.dist(a, b) for a, b in pairwise(path)]
    assert mount.length_m == pytest.approx(math.fsum(steps), abs=1e-12)


@given(corners, st.floats(0.0, 30.0))
def test_a_place_along_a_side_lies_between_its_corners(path, along_m):
    for side in Mount("m", tuple(path), "down").sides():
        place = side.at(along_m)
        reach = min(along_m, side.length_m)
        assert math.dist(side.start_m, place) == pytest.approx(reach, abs=1e-9)
        assert math.dist(place, side.end_m) == pytest.approx(side.length_m - reach, abs=1e-9)
        assert math.hypot(*side.direction) == pytest.approx(1.0)


@given(corners, st.floats(0.0, 30.0), st.floats(0.0, 30.0))
def test_places_along_a_line_are_no_farther_apart_than_along_it(path, one_m, other_m):
    mount = Mount("m", tuple(path), "down")
    one, other = mount.at(one_m), mount.at(other_m)
    assert math.dist(one, other) <= abs(one_m - other_m) + 1e-9
    assert mount.at(0.0) == pytest.approx(path[0])
    assert mount.at(mount.length_m + 1.0) == pytest.approx(path[-1])


@pytest.mark.parametrize("faces", FACINGS)
def test_leds_stand_off_the_way_they_face(faces):
    step = [b - a for a, b in zip((1.0, 2.0, 3.0), stood_off((1.0, 2.0, 3.0), faces), strict=True)]
    assert step == pytest.approx([STAND_OFF_M * part for part in FACINGS[faces]])


def test_a_block_has_a_far_corner_and_one_thin_way_or_several():
    top = Block("top", (0.1, 0.0, 0.41), (1.5, 0.4, 0.04), "oak")
    assert top.far_m == pytest.approx((1.6, 0.4, 0.45))
    assert top.thin_axes == (2,)
    assert Block("post", (0, 0, 0), (0.05, 0.05, 0.7), "oak").thin_axes == (0, 1)
    assert Block("cube", (0, 0, 0), (0.1, 0.1, 0.1), "oak").thin_axes == (0, 1, 2)
