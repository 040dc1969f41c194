"""What each wire would do to the light, as bars from thin to thick."""

from dataclasses import replace

import pytest
from to_draw import METRIC, WIRES, trace

from lightcalc.screens.charts import wire_chart


def panel(made, axis):
    """Return the bars of one panel, row by row."""
    bars = {
        row: length
        for one in made.figure.data
        if one.type == "bar" and one.xaxis == axis
        for row, length in zip(one.y, one.x, strict=True)
    }
    return [bars[row] for row in sorted(bars)]


def test_every_wire_is_a_bar_once_in_each_panel():
    made = wire_chart(WIRES, METRIC)
    assert panel(made, None) == pytest.approx([12.0, 7.0, 5.3, 4.6])
    assert panel(made, "x2") == pytest.approx([2.0, 1.2, 0.8, 0.5])
    assert made.figure.layout.xaxis.range[0] == made.figure.layout.xaxis2.range[0] == 0.0
    assert made.figure.layout.xaxis.domain[1] < made.figure.layout.xaxis2.domain[0]


def test_the_chosen_and_the_too_thin_look_different_without_colour():
    made = wire_chart(WIRES, METRIC)
    assert trace(made, "chosen").y == (2,)
    assert trace(made, "too thin").y == (0,)
    assert trace(made, "thick enough").y == (1, 3)
    shapes = {one.marker.pattern.shape for one in made.figure.data if one.type == "bar"}
    assert len(shapes) == 3
    ticks = made.figure.layout.yaxis.ticktext
    assert ticks == ("✕ 24 AWG", "22 AWG", "● 20 AWG", "0.75 mm2")
    assert trace(made, "too thin").text == ("12 %",)


def test_what_was_asked_for_is_drawn_in_both_panels():
    made = wire_chart(WIRES, METRIC)
    fall, drop = (one for one in made.figure.data if one.name == "asked at most")
    assert fall.x == pytest.approx([10.0, 10.0])
    assert (drop.xaxis, drop.x) == ("x2", pytest.approx((3.0, 3.0)))


def test_it_says_what_was_chosen_and_what_would_do():
    says = wire_chart(WIRES, METRIC).says
    assert "With 20 AWG, as chosen, the light of front rail falls by 5.3 %" in says
    assert "give 92 % of their rating; with 24 AWG they would give 85 %" in says
    assert "The thinnest that will do is 22 AWG" in says
    every = wire_chart(replace(WIRES, suits=(True,) * 4), METRIC).says
    assert "The thinnest, 24 AWG, will do." in every


def test_a_chosen_wire_that_is_too_thin_is_marked_so():
    none = wire_chart(replace(WIRES, suits=(False,) * 4), METRIC)
    assert "No wire is thick enough." in none.says
    assert all(tick.startswith("✕") for tick in none.figure.layout.yaxis.ticktext)
    assert none.rows[2][-1] == "chosen, too thin"


def test_leads_of_several_sizes_are_told_as_they_are():
    mixed = replace(WIRES, lead_sizes=("20 AWG", "0.75 mm2", "20 AWG"))
    assert (
        "With 20 AWG all the way (its leads are 20 AWG, 0.75 mm2)" in wire_chart(mixed, METRIC).says
    )


def test_two_wires_of_one_name_stay_two():
    twice = replace(WIRES, sizes=("22 AWG", "22 AWG", "20 AWG", "20 AWG"))
    made = wire_chart(twice, METRIC)
    assert len(panel(made, None)) == len(panel(made, "x2")) == 4
    assert len(made.rows) == 4
