"""What each wire would do to the light, as bars from thin to thick."""

from dataclasses import replace

import pytest
from to_draw import METRIC, WIRES, trace

from lightcalc.screens.charts import wire_chart


def test_every_wire_is_a_bar_once():
    made = wire_chart(WIRES, METRIC)
    bars = {
        row: fall
        for one in made.figure.data
        if one.type == "bar"
        for row, fall in zip(one.y, one.x, strict=True)
    }
    assert sorted(bars) == [0, 1, 2, 3]
    assert [bars[row] for row in range(4)] == pytest.approx([12.0, 7.0, 5.3, 4.6])
    assert made.figure.layout.yaxis.ticktext == WIRES.sizes
    assert made.figure.layout.xaxis.range[0] == 0.0


def test_the_chosen_and_the_too_thin_look_different_without_colour():
    made = wire_chart(WIRES, METRIC)
    assert trace(made, "chosen").y == (2,)
    assert trace(made, "too thin").y == (0,)
    assert trace(made, "thick enough").y == (1, 3)
    shapes = {one.marker.pattern.shape for one in made.figure.data if one.type == "bar"}
    assert len(shapes) == 3
    assert trace(made, "chosen").text == ("5.3 %, chosen",)
    assert trace(made, "too thin").text == ("12 %, too thin",)


def test_the_fall_asked_for_is_drawn():
    assert trace(wire_chart(WIRES, METRIC), "asked: 10 % at most").x == pytest.approx([10.0, 10.0])


def test_it_says_what_was_chosen_and_what_would_do():
    says = wire_chart(WIRES, METRIC).says
    assert "With 20 AWG, as chosen, the light of front rail falls by 5.3 %" in says
    assert "The thinnest that will do is 22 AWG." in says
    none = wire_chart(replace(WIRES, suits=(False,) * 4), METRIC)
    assert "None will do." in none.says
    assert trace(none, "chosen").text == ("5.3 %, chosen, too thin",)


def test_leads_of_several_sizes_are_told_as_they_are():
    mixed = replace(WIRES, lead_sizes=("20 AWG", "0.75 mm2", "20 AWG"))
    assert (
        "With 20 AWG all the way (its leads are 20 AWG, 0.75 mm2)" in wire_chart(mixed, METRIC).says
    )


def test_two_wires_of_one_name_stay_two():
    twice = replace(WIRES, sizes=("22 AWG", "22 AWG", "20 AWG", "20 AWG"))
    made = wire_chart(twice, METRIC)
    assert sum(len(one.y) for one in made.figure.data if one.type == "bar") == 4
    assert len(made.rows) == 4
