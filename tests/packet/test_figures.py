"""A figure on paper is the answer's own, and the words say the same as the raw value."""

import math
from dataclasses import replace

import pytest
from pieces import example

from lightcalc.answers.words import Shower
from lightcalc.packet.figures import Figures, fill
from lightcalc.packet.html import to_text


def test_a_figure_carries_its_path_and_raw_value():
    _, _, found = example("hall-bench")
    text = to_text(Figures(found).show("runs.1.cut_length_m"))
    assert (
        text
        == '<data class="whole" value="1.4" data-figure="runs.1.cut_length_m">1400\u00a0mm</data>'
    )


def test_what_has_no_end_or_is_not_there_is_said_so():
    _, _, found = example("hall-bench")
    box = replace(found.supplies[0], full_level_h=math.inf, years_until_worn_years=None)
    figures = Figures(replace(found, supplies=(box,)))
    assert "without end" in to_text(figures.show("supplies.0.full_level_h"))
    assert ">none<" in to_text(figures.show("supplies.0.years_until_worn_years"))


@pytest.mark.parametrize(
    ("days", "words"),
    [(1.2, "1 day"), (14.6, "15 days"), (900, "2.5 years"), (9e9, "10 years or more")],
)
def test_days_are_shown_as_long_as_they_mean_something(days, words):
    _, _, found = example("hall-bench")
    box = replace(found.supplies[0], days_until_flat_unlit_d=days)
    shown = to_text(Figures(replace(found, supplies=(box,))).show(
        "supplies.0.days_until_flat_unlit_d"
    ))  # fmt: skip
    assert words in shown.replace("\u00a0", " ")


def test_a_path_that_is_not_in_the_answer_is_a_mistake_of_the_program():
    _, _, found = example("hall-bench")
    with pytest.raises(AttributeError):
        Figures(found).show("runs.0.no_such_v")


def test_braces_that_name_nothing_stay_as_they_are():
    assert fill("a {B} c", str.upper) == ("a {B} c",)


def test_a_code_is_shown_in_words_and_stands_raw_beside_them():
    _, _, found = example("hall-bench")
    assert found.wires[0].decided_by == "mechanical minimum"
    text = to_text(Figures(found).show("wires.0.decided_by"))
    assert 'value="mechanical minimum"' in text
    assert ">strength<" in text


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_paper_and_screens_say_a_number_alike(system):
    _, _, found = example("hall-bench")
    show, figures = Shower(system), Figures(replace(found, units=system))
    pairs = {
        "supplies.0.hours_h": show.hours(found.supplies[0].hours_h),
        "runs.0.amps_a": show.amps(found.runs[0].amps_a),
        "runs.0.light_lm": show.light(found.runs[0].light_lm),
        "runs.0.light_fall_ratio": show.ratio(found.runs[0].light_fall_ratio),
        "heat.0.strip_c": show.temperature(found.heat[0].strip_c),
        "supplies.0.days_until_flat_unlit_d": show.long_time(
            found.supplies[0].days_until_flat_unlit_d
        ),
    }
    for path, words in pairs.items():
        assert f">{words}<".replace(" ", "\u00a0") in to_text(figures.show(path)).replace(
            " ", "\u00a0"
        )
