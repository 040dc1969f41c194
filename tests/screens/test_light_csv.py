"""A map of light as a table that a spreadsheet reads."""

import csv
import io

import numpy as np
import pytest

from lightcalc.physics.room.lightmap import Grid, LightMap
from lightcalc.screens.light_csv import light_csv


@pytest.mark.parametrize(("axis", "names"), [(2, "xy"), (1, "xz"), (0, "yz")])
def test_every_cell_is_a_line_with_its_middle_and_its_light(axis, names):
    grid = Grid("any", axis, 1.0, 0.0, np.array([0.0, 0.5, 2.0]), np.array([0.0, 1.0, 1.5, 3.0]))
    lux = np.arange(12.0).reshape(2, 2, 3)
    first, *lines = csv.reader(io.StringIO(light_csv(LightMap(grid, lux))))
    assert first == [f"{names[0]} (m)", f"{names[1]} (m)", "light (lx)"]
    assert len(lines) == 6
    for (u, v, light), (k, cell) in zip(lines, enumerate(lux.sum(axis=0).ravel()), strict=True):
        assert float(u) == pytest.approx(grid.u_m[k // 3])
        assert float(v) == pytest.approx(grid.v_m[k % 3])
        assert float(light) == pytest.approx(cell)
