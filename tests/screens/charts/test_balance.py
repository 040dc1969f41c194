"""Where the power goes: nothing is lost on the way to the chart."""

from dataclasses import asdict, replace

import pytest
from to_draw import METRIC, answered

from lightcalc.screens.charts import balance_chart


@pytest.mark.parametrize("design", ["hall-bench", "display-cabinet", "bedside-shelf"])
def test_bars_add_up_to_what_the_cells_give(design):
    supply = answered(design).supplies[0]
    made = balance_chart(supply, METRIC)
    (bars,) = made.figure.data
    assert sum(bars.x) == pytest.approx(supply.balance.cells_w)
    assert list(bars.x) == sorted(bars.x, reverse=True)
    assert sum(row[2] for row in made.rows) == pytest.approx(100.0)
    parts = [w for name, w in asdict(supply.balance).items() if name != "cells_w" and w > 0.0]
    assert sorted(bars.x) == pytest.approx(sorted(parts))


def test_light_stands_apart_from_heat_without_colour_too():
    supply = answered().supplies[0]
    made = balance_chart(supply, METRIC)
    (bars,) = made.figure.data
    at = made.figure.layout.yaxis.ticktext.index("light")
    shapes = bars.marker.pattern.shape
    assert bars.x[at] == supply.balance.strip_light_w
    assert [k for k, shape in enumerate(shapes) if shape == ""] == [at]


def test_a_supply_without_a_charge_says_so():
    supply = answered().supplies[0]
    nothing = replace(supply.balance, **dict.fromkeys(asdict(supply.balance), 0.0))
    made = balance_chart(replace(supply, balance=nothing), METRIC)
    assert made.rows == ()
    assert "no light" in made.says
