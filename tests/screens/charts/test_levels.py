"""Hours against level, with the range, the levels used and the hours asked."""

from dataclasses import replace

import pytest
from to_draw import LEVELS, METRIC, trace

from lightcalc.screens.charts import level_chart


def test_line_and_band_are_those_of_the_curve():
    made = level_chart(LEVELS, METRIC)
    hours, high = trace(made, "hours"), trace(made, "likely range")
    low = made.figure.data[0]
    assert hours.x == low.x == high.x == pytest.approx([5.0, 20.0, 60.0, 100.0])
    assert (low.y, hours.y, high.y) == (LEVELS.hours_low_h, LEVELS.hours_h, LEVELS.hours_high_h)
    assert high.fill == "tonexty"


def test_levels_used_are_marked_and_labelled():
    made = level_chart(LEVELS, METRIC)
    used = trace(made, "levels you use")
    assert used.x == pytest.approx([60.0, 100.0])
    assert used.y == (11.0, 7.0)
    assert [note.text for note in made.figure.layout.annotations] == ["11 h", "7 h"]
    assert "11 h at 60 % (likely 9 h 30 min to 13 h)" in made.says


def test_the_hours_asked_are_a_line_where_they_were_asked():
    assert trace(level_chart(LEVELS, METRIC), "asked").y == (6.0, 6.0)
    unasked = level_chart(replace(LEVELS, asked_h=None), METRIC)
    assert not [one for one in unasked.figure.data if one.name and "asked" in one.name]


def test_hours_start_at_nothing_and_what_is_used_is_in_the_picture():
    for asked_h in (6.0, 60.0, None):
        low, high = level_chart(replace(LEVELS, asked_h=asked_h), METRIC).figure.layout.yaxis.range
        assert low == 0.0
        assert high > max(34.0, asked_h or 0.0)
    # The hundred hours of a glimmer do not press the rest flat.
    assert level_chart(LEVELS, METRIC).figure.layout.yaxis.range[1] < 50.0
    dim = level_chart(replace(LEVELS, levels_used_ratio=(0.05,)), METRIC)
    assert dim.figure.layout.yaxis.range[1] > 120.0


def test_hours_that_a_bank_cannot_give_are_crossed_out():
    made = level_chart(replace(LEVELS, stays_on=(False, True, True, True)), METRIC)
    assert trace(made, "hours").y == (None, 30.0, 11.0, 7.0)
    off = trace(made, "the bank switches itself off")
    assert (off.x, off.y) == ((5.0,), (100.0,))
    assert [row[4] for row in made.rows] == ["no", "yes", "yes", "yes"]


def test_a_mix_of_channels_is_named():
    made = level_chart(replace(LEVELS, mix=(("warm", 1.0), ("cool", 0.2))), METRIC)
    assert "in the mix of warm 100 %, cool 20 %" in made.says
