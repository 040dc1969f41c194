"""The room's own light: view factors against closed forms, sums and slow casting."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.room.lightmap import Grid
from lightcalc.physics.room.rays import blocked, solids
from lightcalc.physics.room.room import room_lux, view_factor
from lightcalc.physics.room.scene import Box, Point, Scene

HERE = np.zeros((1, 3))


def grid(axis: int, sign: float) -> Grid:
    edges = np.array([-0.01, 0.01])
    return Grid("here", axis, sign, 0.0, edges, edges)


def test_a_wide_low_ceiling_fills_the_view() -> None:
    assert view_factor(HERE, 2, 1.0, (-500, -500, 0.1), (500, 500, 0.2)) == pytest.approx(1.0)


def test_a_disc_like_plate_matches_the_closed_form_of_a_disc() -> None:
    # A disc of radius r at height h fills r^2 / (r^2 + h^2); a small square the same by area.
    side = 0.02
    factor = view_factor(HERE, 2, 1.0, (-side / 2, -side / 2, 1.0), (side / 2, side / 2, 1.1))
    assert factor == pytest.approx(side**2 / np.pi, rel=1e-3)


def test_half_the_view_is_behind_a_tall_wall_at_the_foot() -> None:
    wall = view_factor(HERE, 2, 1.0, (1e-4, -1e4, -1.0), (1.0, 1e4, 1e4))
    assert wall == pytest.approx(0.5, abs=1e-3)


def test_the_walls_of_a_closed_box_fill_the_view_together() -> None:
    inside = np.array([[0.2, -0.1, 0.3]])
    walls: list[tuple[Point, Point]] = [
        ((1, -1, -1), (2, 1, 1)),
        ((-2, -1, -1), (-1, 1, 1)),
        ((-1, 1, -1), (1, 2, 1)),
        ((-1, -2, -1), (1, -1, 1)),
        ((-1, -1, 1), (1, 1, 2)),
        ((-1, -1, -2), (1, 1, -1)),
    ]
    for axis in range(3):
        for sign in (-1.0, 1.0):
            total = sum(view_factor(inside, axis, sign, low, high)[0] for low, high in walls)
            assert total == pytest.approx(1.0)


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(*[st.floats(-1.0, 1.0)] * 3),
    st.tuples(*[st.floats(0.05, 1.0)] * 3),
    st.sampled_from([0, 1, 2]),
    st.sampled_from([-1.0, 1.0]),
)
def test_a_view_factor_is_the_share_of_lines_that_strike_the_box(
    low: Point, sides: Point, axis: int, sign: float
) -> None:
    high = (low[0] + sides[0], low[1] + sides[1], low[2] + sides[2])
    if all(a <= 1e-6 and b >= -1e-6 for a, b in zip(low, high, strict=True)):
        return
    # Malley's way: even points on a disc, lifted to the half-sphere, have the cosine's weight.
    count = 20_000
    radius = np.sqrt((np.arange(count) + 0.5) / count)
    turn = np.arange(count) * np.pi * (3.0 - np.sqrt(5.0))
    up = sign * np.sqrt(1.0 - radius**2)
    ways = np.roll(np.stack([radius * np.cos(turn), radius * np.sin(turn), up], 1), axis - 2, 1)
    shapes = solids(Scene((Box("box", low, high),), (), ()))
    struck = blocked(shapes, (0.0, 0.0, 0.0), 20.0 * ways).mean()
    assert view_factor(HERE, axis, sign, low, high)[0] == pytest.approx(struck, abs=6e-3)


def test_a_flat_meter_in_the_open_shows_the_rooms_light() -> None:
    far = Scene((Box("far", (50, 50, 0), (51, 51, 1)),), (), (), room_lux=80.0)
    assert room_lux(far, grid(2, 1.0)) == pytest.approx(80.0, rel=1e-3)


def test_faces_that_look_elsewhere_get_less_but_some() -> None:
    scene = Scene((), (), (), room_lux=80.0)
    ways = [(axis, sign) for axis in (0, 1, 2) for sign in (-1.0, 1.0)]
    light = {way: float(room_lux(scene, grid(*way))[0, 0]) for way in ways}
    assert max(light.values()) == light[2, 1.0]
    assert min(light.values()) == light[2, -1.0] >= 30.0
    # So that the edge between any two faces can be seen.
    assert np.diff(sorted(light.values())).min() > 2.0


def test_light_is_lost_under_a_top_more_when_it_is_dark() -> None:
    def under(colour: float) -> float:
        top = Box("top", (-1, -0.3, 0.4), (1, 0.3, 0.43), (colour,) * 3)
        return float(room_lux(Scene((top,), (), (), room_lux=100.0), grid(2, 1.0))[0, 0])

    assert under(0.0) < under(0.4) < under(1.0) == pytest.approx(100.0)
