"""A charge evening after evening: two panels on one axis of time."""

from dataclasses import replace

import pytest
from to_draw import EVENING, METRIC, trace

from lightcalc.screens.charts import evening_chart


def test_both_panels_hold_the_numbers_of_the_curve():
    made = evening_chart(EVENING, METRIC)
    light, volts = trace(made, "light"), trace(made, "volts of the pack")
    assert light.x == volts.x == EVENING.time_h
    assert light.y == pytest.approx([100.0 * share for share in EVENING.light_ratio])
    assert volts.y == EVENING.pack_v
    assert (light.yaxis, volts.yaxis) == (None, "y2")
    upper, lower = made.figure.layout.yaxis.domain, made.figure.layout.yaxis2.domain
    assert lower[1] < upper[0]
    assert [row[0] for row in made.rows] == list(EVENING.time_h)
    assert [row[4] for row in made.rows] == list(EVENING.pack_a)


def test_ends_of_evenings_and_the_cut_off_are_drawn():
    made = evening_chart(replace(EVENING, evening_ends_h=(1.5, 3.0)), METRIC)
    upper, lower = (one for one in made.figure.data if one.legendgroup == "ends")
    assert upper.x == lower.x == (1.5, 1.5, None, 3.0, 3.0, None)
    assert trace(made, "cut-off").y == (12.0, 12.0)
    words = [note.text for note in made.figure.layout.annotations]
    assert words == ["cut-off 12 V", "1", "2"]
    assert "2 whole evenings" in made.says


def test_pack_volts_are_not_blown_up():
    flat = replace(EVENING, pack_v=(12.8,) * 6, cutoff_v=12.7)
    low, high = evening_chart(flat, METRIC).figure.layout.yaxis2.range
    assert (high - low) / high > 0.1
    assert evening_chart(flat, METRIC).figure.layout.yaxis.range[0] == 0.0


def test_a_supply_without_light_says_so():
    dark = replace(
        EVENING,
        time_h=(0.0,),
        level_ratio=(0.0,),
        light_ratio=(0.0,),
        pack_v=(16.0,),
        pack_a=(0.0,),
        evening_ends_h=(),
    )
    made = evening_chart(dark, METRIC)
    assert made.says == "A charge of box gives no light."
    assert made.figure.layout.xaxis.range[1] > 0.0


def test_numbers_of_evenings_never_crowd():
    for count in (1, 7, 30):
        ends = tuple(4.5 * (n + 1) / count for n in range(count))
        made = evening_chart(replace(EVENING, evening_ends_h=ends), METRIC)
        numbers = [int(n.text) for n in made.figure.layout.annotations if n.text.isdigit()]
        assert len(numbers) <= 8
        assert numbers == sorted(numbers)
        assert {ends[n - 1] for n in numbers} <= set(ends)


def test_evenings_of_which_only_some_are_drawn_are_not_counted():
    ends = tuple(0.04 * (n + 1) for n in range(100))
    made = evening_chart(replace(EVENING, evening_ends_h=ends), METRIC)
    assert "100" not in made.says
    assert len(made.figure.layout.annotations) == 1
