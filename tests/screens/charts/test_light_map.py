"""The light on floor and wall, on the map where it is in the room."""

from dataclasses import replace

import numpy as np
import pytest
from to_draw import INCH, METRIC, looked, trace

from lightcalc.physics.room.lightmap import LightMap
from lightcalc.screens.charts import floor_map, wall_map

# The international foot: NIST Special Publication 811, appendix B. A footcandle is a lumen a ft2.
INCH_M, FOOTCANDLE_LX = 0.0254, 1.0 / 0.3048**2


@pytest.mark.parametrize(("draw", "of"), [(floor_map, "floor"), (wall_map, "wall")])
def test_every_cell_holds_the_light_of_its_place(draw, of):
    light = getattr(looked().light, of)
    made = draw(looked(), METRIC)
    heat = made.figure.data[0]
    z = np.array(heat.z)
    assert z.shape == (len(heat.y) - 1, len(heat.x) - 1)
    assert z.max() == pytest.approx(light.lux.max())
    x, y = (np.convolve(edges, [0.5, 0.5], "valid") for edges in (heat.x, heat.y))
    for i in (0, len(x) // 2, len(x) - 1):
        for j in (0, len(y) // 2, len(y) - 1):
            place = np.zeros((1, 3))
            place[0, list(light.grid.plane_axes)] = x[i], y[j]
            assert z[j, i] == pytest.approx(float(light.at(place).sum()), rel=1e-6)
    assert len(made.rows) == z.size


def test_an_inch_design_has_inches_and_footcandles():
    metric, inch = floor_map(looked(), METRIC), floor_map(looked(), INCH)
    heat, lux = inch.figure.data[0], metric.figure.data[0]
    assert heat.x == pytest.approx([m / INCH_M for m in lux.x])
    assert np.array(heat.z) == pytest.approx(np.array(lux.z) / FOOTCANDLE_LX)
    assert inch.columns == ("from the left (in)", "from the front (in)", "light (fc)")


def test_the_map_reaches_round_the_piece_and_not_through_the_wall():
    made = floor_map(looked(), METRIC)
    scene, heat = looked().scene, made.figure.data[0]
    assert heat.x[0] < 0.0
    assert heat.x[-1] > 1.5
    assert heat.x[-1] - heat.x[0] < 3.5
    assert heat.y[-1] <= scene.wall.y_m + 0.05


def test_blocks_inlays_and_leds_are_drawn_where_they_are():
    scene = looked().scene
    made = floor_map(looked(), METRIC)
    outline = trace(made, "the piece")
    corners = set(zip(outline.x, outline.y, strict=True)) - {(None, None)}
    for box in scene.boxes:
        for x in (box.low[0], box.high[0]):
            for y in (box.low[1], box.high[1]):
                assert any(abs(x - u) < 1e-6 and abs(y - v) < 1e-6 for u, v in corners)
    for u, v in scene.inserts[0].corners:
        assert any(abs(u - x) < 1e-6 and abs(v - y) < 1e-6 for x, y in corners)
    leds = [one for one in made.figure.data if one.name == "LEDs"]
    assert len(leds) == len(scene.rows)
    for drawn, row in zip(leds, scene.rows, strict=True):
        assert (drawn.x[0], drawn.y[0]) == pytest.approx(row.places[0][:2])
        assert (drawn.x[-1], drawn.y[-1]) == pytest.approx(row.places[-1][:2])


def test_a_length_is_as_long_up_as_across():
    layout = floor_map(looked(), METRIC).figure.layout
    assert layout.yaxis.scaleanchor == "x"


def test_without_a_wall_there_is_no_map_of_it():
    seen = looked()
    assert wall_map(replace(seen, light=replace(seen.light, wall=None)), METRIC) is None


def test_a_dark_floor_is_a_map_of_nothing():
    seen = looked()
    floor = seen.light.floor
    dark = LightMap(floor.grid, np.zeros_like(floor.lux_by_row))
    made = floor_map(replace(seen, light=replace(seen.light, floor=dark)), METRIC)
    assert "0 lx" in made.says
    assert np.array(made.figure.data[0].z).max() == 0.0


def test_a_place_before_the_front_is_told_without_a_minus_and_with_what_the_light_is():
    seen = looked()
    floor = seen.light.floor
    lux = np.zeros_like(floor.lux_by_row)
    middles_m = floor.grid.middles_m()
    cell = np.unravel_index(int(middles_m[..., :2].sum(axis=-1).argmin()), lux.shape[1:])
    lux[(0, *cell)] = 100.0
    made = floor_map(
        replace(seen, light=replace(seen.light, floor=LightMap(floor.grid, lux))), METRIC
    )
    assert "to the left of the piece and" in made.says
    assert "before the front" in made.says
    assert " -" not in made.says
    assert "wood, wall and floor send on" in made.says
