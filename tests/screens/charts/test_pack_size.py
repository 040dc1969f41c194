"""Hours against the size of a pack, build by build."""

from dataclasses import replace

import pytest
from to_draw import METRIC, PACKS, trace

from lightcalc.screens.charts import pack_size_chart


def test_each_build_is_a_line_of_its_own():
    made = pack_size_chart(PACKS, METRIC)
    for curve in PACKS:
        drawn = trace(made, curve.build)
        assert drawn.x == curve.capacity_ah
        assert drawn.y == curve.hours_h
    assert len({trace(made, curve.build).line.dash for curve in PACKS}) == 3
    assert len(made.rows) == 12


def test_the_pack_named_is_marked_on_every_line():
    made = pack_size_chart(PACKS, METRIC)
    marked = [one for one in made.figure.data if one.mode == "markers"]
    assert [one.x for one in marked] == [(6.8,)] * 3
    assert [one.y[0] for one in marked] == pytest.approx([8.0, 16.0, 16.8])
    assert trace(made, "the pack named, 6.8 Ah").x == (6.8, 6.8)
    assert "one shared pack 8 h; two packs 16 h" in made.says


def test_hours_asked_are_a_line():
    assert trace(pack_size_chart(PACKS, METRIC), "asked: 6 h").y == (6.0, 6.0)


def test_a_build_that_gives_no_light_says_so():
    dark = replace(PACKS[1], hours_h=(0.0,) * 4, named_hours_h=0.0)
    made = pack_size_chart([PACKS[0], dark], METRIC)
    assert "two packs no light" in made.says
    assert trace(made, "two packs").hovertext[0].endswith("no light")


def test_builds_without_any_light_leave_an_axis():
    dark = [replace(c, hours_h=(0.0,) * 4, named_hours_h=0.0, asked_h=None) for c in PACKS]
    low, high = pack_size_chart(dark, METRIC).figure.layout.yaxis.range
    assert low == 0.0 < high


def test_hours_stay_hours_however_many():
    long = replace(PACKS[0], hours_h=(16.0, 32.0, 64.0, 128.0), named_hours_h=64.0)
    made = pack_size_chart([long], METRIC)
    assert "one shared pack 64 h." in made.says
    assert "days" not in " ".join(made.figure.data[0].hovertext)
