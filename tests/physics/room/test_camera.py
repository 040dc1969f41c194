"""Laws of the pinhole camera: plane perspective, and solid angles that add up."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lightcalc.physics.room.camera import camera
from lightcalc.physics.room.scene import Eye

AHEAD = Eye("ahead", (0.0, 0.0, 1.0), (0.0, 5.0, 1.0))
metres = st.floats(-3.0, 3.0)
points = st.tuples(metres, metres, metres)


def test_what_is_looked_at_lands_in_the_middle() -> None:
    eye = Eye("sofa", (0.3, -2.0, 1.2), (0.5, 0.4, 0.2))
    x, y, depth = camera(eye).project([eye.looks_at])
    assert (x[0], y[0]) == pytest.approx((320.0, 240.0))
    assert depth[0] == pytest.approx(math.dist(eye.place, eye.looks_at))


def test_half_the_view_to_the_right_lands_on_the_right_rim() -> None:
    for degrees in (20.0, 50.0, 90.0):
        away = 3.0 * math.tan(math.radians(degrees / 2.0))
        view = camera(AHEAD, 640, 480, degrees)
        x, y, _ = view.project([(away, 3.0, 1.0), (0.0, 3.0, 1.0 + away * 0.75)])
        # The picture is three quarters as high as it is wide.
        assert x == pytest.approx([640.0, 320.0])
        assert y == pytest.approx([240.0, 0.0], abs=1e-9)


def test_twice_as_far_is_half_as_large() -> None:
    x, _, _ = camera(AHEAD).project([(0.5, 2.0, 1.0), (0.5, 4.0, 1.0)])
    assert x[0] - 320.0 == pytest.approx(2.0 * (x[1] - 320.0))


def test_what_is_higher_lands_higher_and_what_is_greater_in_x_further_right() -> None:
    x, y, _ = camera(AHEAD).project([(0.0, 2.0, 1.0), (0.1, 2.0, 1.1)])
    assert x[1] > x[0]
    assert y[1] < y[0]


@given(points, points, st.floats(0.01, 4.0))
def test_the_way_through_a_pixel_leads_back_to_the_point_that_landed_there(
    place: tuple[float, float, float], looks_at: tuple[float, float, float], reach: float
) -> None:
    assume(math.dist(place, looks_at) > 0.1)
    view = camera(Eye("any", place, looks_at))
    offset = reach * (view.forward + 0.3 * view.right - 0.2 * view.up)
    x, y, _ = view.project([view.place + offset])
    way = view.directions(x, y)[0]
    assert np.cross(way, offset) == pytest.approx(np.zeros(3), abs=1e-8 * view.focal_px)
    assert way @ offset > 0.0


@given(points, points)
def test_the_frame_is_square_and_upright(
    place: tuple[float, float, float], looks_at: tuple[float, float, float]
) -> None:
    assume(math.dist(place, looks_at) > 0.1)
    view = camera(Eye("any", place, looks_at))
    frame = np.array([view.right, view.up, view.forward])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-9)
    assert view.right[2] == 0.0
    assert view.up[2] >= -1e-9


def test_what_is_behind_lands_nowhere() -> None:
    assert np.isnan(camera(AHEAD).project([(0.1, -1.0, 1.0)]).x_px).all()


def test_the_pixels_fill_the_solid_angle_of_the_frame() -> None:
    # A rectangular pyramid of half angles a, b: 4 asin(sin a sin b), here by tangents
    # (A. Van Oosterom, J. Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125, from memory).
    view = camera(AHEAD, 160, 120, 50.0)
    a = math.tan(math.radians(25.0))
    b = 0.75 * a
    whole = 4.0 * math.asin(a * b / math.sqrt((1.0 + a * a) * (1.0 + b * b)))
    assert view.solid_angle_sr(*view.pixel_middles()).sum() == pytest.approx(whole, rel=1e-4)


def test_an_eye_straight_above_has_x_to_the_right() -> None:
    view = camera(Eye("above", (0.0, 0.0, 2.0), (0.0, 0.0, 0.0)))
    x, y, _ = view.project([(0.1, 0.0, 0.0), (0.0, 0.1, 0.0)])
    assert x[0] > 320.0
    assert y[1] < 240.0


def test_an_eye_that_looks_nowhere_is_refused() -> None:
    with pytest.raises(ValueError, match="its own place"):
        camera(Eye("lost", (0.0, 0.0, 1.0), (0.0, 0.0, 1.0)))
    with pytest.raises(ValueError, match="must be 1 to 150"):
        camera(AHEAD, view_deg=170.0)
