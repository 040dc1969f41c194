from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.room.grids import even_edges_m, face_grids, floor_grid, outline, wall_grid
from lightcalc.physics.room.lightmap import Grid, LightMap
from lightcalc.physics.room.scene import Box, Row, Scene, Wall

TOP = Box("top", (0.0, 0.0, 0.40), (1.2, 0.6, 0.43))
LEDS = tuple((0.1 + 0.02 * k, 0.05, 0.39) for k in range(50))
ROW = Row("front", LEDS, (0.0, 0.0, -1.0), 20.0, 1.0, 0.02, 0.004)


def test_floor_has_cells_round_the_piece_and_reaches_far_beyond() -> None:
    grid = floor_grid(outline(Scene((TOP,), (ROW,), ())), margin_m=1.0)
    sizes = np.diff(grid.u_edges_m)
    inner = (grid.u_m > -1.0) & (grid.u_m < 2.2)
    assert 3000 < inner.sum() * ((grid.v_m > -1.0) & (grid.v_m < 1.6)).sum() < 7000
    assert sizes[inner].max() < 0.06
    assert grid.u_edges_m[0] <= -10.0 + 1e-9
    assert grid.v_edges_m[-1] >= 10.6 - 1e-9


def test_floor_ends_at_the_wall_and_the_wall_at_the_floor() -> None:
    shape = outline(Scene((TOP,), (ROW,), (), wall=Wall(0.9)))
    wall = wall_grid(shape)
    assert floor_grid(shape).v_edges_m[-1] == 0.9
    assert wall is not None
    assert (wall.at_m, wall.sign, wall.v_edges_m[0]) == (0.9, -1.0, 0.0)
    assert wall_grid(outline(Scene((TOP,), (ROW,), ()))) is None


def test_cells_end_where_a_rail_cuts_a_row_off() -> None:
    rail = Box("rail", (0.0, 0.08, 0.30), (1.2, 0.10, 0.40))
    grid = floor_grid(outline(Scene((TOP, rail), (ROW,), ())))
    # By similar triangles from the row at y = 0.05, z = 0.39 over the edges at y = 0.08 that are
    # z = 0.30 high: the lower one casts the shadow's near end.
    shadow = 0.05 + (0.08 - 0.05) * 0.39 / (0.39 - 0.30)
    assert np.abs(grid.v_edges_m - shadow).min() < 1e-9


@given(
    x=st.floats(-3.0, 3.0),
    side=st.floats(0.05, 1.0),
    height=st.floats(0.02, 1.0),
    wall_y=st.floats(1.3, 3.0),
)
def test_edges_of_every_grid_rise(x: float, side: float, height: float, wall_y: float) -> None:
    rail = Box("rail", (x, 0.1, height / 2.0), (x + side, 0.13, height))
    scene = Scene((TOP, rail), (ROW,), (), wall=Wall(wall_y))
    shape = outline(scene)
    wall = wall_grid(shape)
    assert wall is not None
    for grid in (floor_grid(shape), wall, *face_grids(scene, shape)):
        assert np.diff(grid.u_edges_m).min() > 0.0
        assert np.diff(grid.v_edges_m).min() > 0.0


def test_faces_cover_their_boxes() -> None:
    scene = Scene((TOP,), (ROW,), ())
    grids = face_grids(scene, outline(scene))
    assert [grid.name for grid in grids][:3] == ["top low x", "top high x", "top low y"]
    assert sum(grid.areas_m2.sum() for grid in grids) == pytest.approx(
        2.0 * (1.2 * 0.6 + 1.2 * 0.03 + 0.6 * 0.03)
    )
    assert {grid.normal for grid in grids} >= {(0.0, 0.0, -1.0), (0.0, 0.0, 1.0)}


@given(low=st.floats(-2.0, 2.0), length=st.floats(0.001, 5.0), side=st.floats(0.001, 1.0))
def test_even_cells_are_no_larger_than_asked_for(low: float, length: float, side: float) -> None:
    edges = even_edges_m(low, low + length, side, 10_000)
    assert np.diff(edges).max() <= side * (1.0 + 1e-6)
    assert (edges[0], edges[-1]) == (low, low + length)


@given(seed=st.integers(0, 1000))
def test_map_gives_back_any_flat_slope_between_its_cells(seed: int) -> None:
    random = np.random.default_rng(seed)
    edges = [np.cumsum(random.uniform(0.1, 1.0, 8)) for _ in range(2)]
    grid = Grid("floor", 2, 1.0, 0.0, edges[0], edges[1])
    slope = grid.middles_m() @ np.array([2.0, -3.0, 0.0]) + 40.0
    within = [random.uniform(middles[0], middles[-1], 20) for middles in (grid.u_m, grid.v_m)]
    places = np.stack([*within, np.zeros(20)], axis=1)
    light = LightMap(grid, slope[None])
    assert light.at(places)[0] == pytest.approx(places @ np.array([2.0, -3.0, 0.0]) + 40.0)
    assert light.plus(light).lux == pytest.approx(2.0 * slope)
    assert light.at(places + np.array([100.0, 0.0, 0.0])).max() == 0.0


def test_empty_scene_is_refused() -> None:
    with pytest.raises(ValueError, match="neither boxes nor LEDs"):
        outline(Scene((), (), ()))
