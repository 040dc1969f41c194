"""Contrast of the dots against distance, and what an eye can see of it."""

import math
from dataclasses import replace

import pytest
from to_draw import DOTS, INCH, METRIC, trace

from lightcalc.screens.charts import distance_chart


def test_lines_are_contrast_and_threshold():
    made = distance_chart(DOTS, METRIC)
    dots, eye = trace(made, "the dots"), trace(made, "what an eye can just see")
    assert dots.x == eye.x == pytest.approx([5.0, 10.0, 20.0, 40.0, 400.0])
    # Nothing at all has no place on a logarithmic axis.
    assert dots.y == (0.9, 0.3, 0.02, 0.0001, None)
    assert eye.y == DOTS.threshold_ratio
    assert made.figure.layout.xaxis.type == made.figure.layout.yaxis.type == "log"
    assert eye.line.dash != dots.line.dash


def test_the_distance_drawn_and_the_hiding_one_are_marked():
    made = distance_chart(DOTS, METRIC)
    assert trace(made, "as drawn: 400 mm").x == pytest.approx([400.0] * 2)
    assert trace(made, "hidden from here on: 25 mm").x == pytest.approx([25.0] * 2)
    assert "too little to see; 25 mm would do" in made.says
    near = distance_chart(replace(DOTS, drawn_distance_m=0.01, drawn_contrast_ratio=0.3), METRIC)
    assert "is 30 %, which shows; from 25 mm on" in near.says


@pytest.mark.parametrize(("hiding", "says"), [(None, "no distance hides"), (0.0, "no distance.")])
def test_where_no_distance_hides_none_is_marked(hiding, says):
    made = distance_chart(replace(DOTS, hiding_distance_m=hiding), METRIC)
    assert says in made.says
    assert not [one for one in made.figure.data if one.name.startswith("hidden")]


def test_the_threshold_is_always_in_the_picture():
    for scale in (1e-3, 1.0, 50.0):
        eye = tuple(min(1.0, scale * t) for t in DOTS.threshold_ratio)
        low, high = distance_chart(
            replace(DOTS, threshold_ratio=eye), METRIC
        ).figure.layout.yaxis.range
        assert low < math.log10(min(eye)) <= math.log10(max(eye)) < high


def test_leds_seen_through_a_sheet_are_marked_though_its_light_is_even():
    through = replace(DOTS, verdicts=("plain", "plain", "plain", "plain", "faint"))
    made = distance_chart(through, METRIC)
    assert trace(made, "LEDs seen straight through").x == pytest.approx([40.0, 400.0])
    assert not [one for one in distance_chart(DOTS, METRIC).figure.data if "through" in one.name]


def test_inches_have_the_fractions_of_a_tape():
    # 5 mm is 0.197 in and 400 mm is 15.7 in (25.4 mm an inch, NIST SP 811).
    axis = distance_chart(DOTS, INCH).figure.layout.xaxis
    assert axis.ticktext == ("1/4", "1/2", "1", "2", "4", "8")
    assert axis.tickvals == (0.25, 0.5, 1.0, 2.0, 4.0, 8.0)
    assert axis.title.text.endswith("(in)")
    far = replace(DOTS, distance_m=(*DOTS.distance_m[:-1], 3.0))
    assert distance_chart(far, INCH).figure.layout.xaxis.ticktext[-2:] == ("4 ft", "8 ft")
