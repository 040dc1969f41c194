"""A run's line follows its length in the text, in the units it was typed in; nothing else does."""

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc import units
from lightcalc.design.edit import value_at, with_value
from lightcalc.design.stretch import with_run_length, written_like

DEMO = Path(__file__).parents[2] / "catalog_examples" / "hall-bench.toml"
LENGTH = ("runs", 0, "length")
PATH = ("runs", 0, "mounts", 0, "path")
SHELF = """units = "inch"
[[runs]]
name = "upper shelf"
length = "50 1/2 in"  # less the grooves
[[runs.mounts]]
path = [  # along the front
    ["1 3/4 in", "1/2 in", "19 in"],
    ["52 1/4 in", "1/2 in", "19 in"],  # to the end
]
[[runs.mounts]]
path = [["1 3/4 in", "2 1/2\\"", "19 in"], ["4 ft 4 1/4 in", "2.5 in", "1'7\\""]]
"""


def ends(text):
    return [mount["path"][-1] for mount in tomllib.loads(text)["runs"][0]["mounts"]]


def test_the_far_end_of_each_straight_line_follows_in_its_own_units():
    longer = with_run_length(SHELF, LENGTH, "8 ft")
    assert ends(longer) == [["97 3/4 in", "1/2 in", "19 in"], ["8 ft 1 3/4 in", "2.5 in", "1'7\""]]
    back = with_run_length(longer, LENGTH, "50 1/2 in")
    assert back == SHELF


def test_a_line_keeps_its_way_and_gets_the_length_of_its_run():
    for unit in ("mm", "cm", "m", "in", '"', "ft"):
        start = [written_like(place_m, f"1 {unit}") for place_m in (0.2, 0.3, 0.4)]
        end = [written_like(place_m, f"1 {unit}") for place_m in (0.5, 0.7, 0.4)]
        text = with_value(with_value(SHELF, LENGTH, "500 mm"), PATH, [start, end])
        path = value_at(tomllib.loads(with_run_length(text, LENGTH, "1 m")), PATH)
        a, b = ([units.read(typed, "length") for typed in place] for place in path)
        assert math.dist(a, b) == pytest.approx(1.0, rel=1e-4), unit
        assert b == pytest.approx([0.8, 1.1, 0.4], rel=1e-4), unit


@pytest.mark.parametrize(
    ("typed", "path"),
    [
        (
            "8 ft",
            [["0 in", "0 in", "9 in"], ["30 in", "0 in", "9 in"], ["50 1/2 in", "0 in", "9 in"]],
        ),
        ("8 ft", [["0 in", "0 in", "9 in"], ["30 in", "0 in", "9 in"]]),
        ("52 in", [["0 in", "0 in", "9 in"], ["53 in", "0 in", "9 in"]]),
        ("40 in", [["0 in", "0 in", "9 in"], ["53 in", "0 in", "9 in"]]),
        ("long", [["0 in", "0 in", "9 in"], ["50 1/2 in", "0 in", "9 in"]]),
        (None, [["0 in", "0 in", "9 in"], ["50 1/2 in", "0 in", "9 in"]]),
        ("8 ft", [["0 in", "0 in", "9 in"], ["far", "0 in", "9 in"]]),
        ("8 ft", [["0 in", "0 in", "9 in"], 4]),
        ("8 ft", [["1 in", "0 in", "9 in"], ["1 in", "0 in", "9 in"]]),
        ("8 ft", "a line"),
    ],
    ids=[
        "corners",
        "shorter",
        "still room",
        "room",
        "unread",
        "none",
        "no place",
        "odd",
        "nil",
        "text",
    ],
)
def test_a_line_that_need_not_or_cannot_follow_stays_as_it_is(typed, path):
    text = with_value(SHELF, PATH, path)
    after = with_run_length(text, LENGTH, typed)
    assert value_at(tomllib.loads(after), PATH) == path


def test_a_line_as_long_as_what_is_cut_of_the_strip_follows_too():
    text = with_value(SHELF, PATH, [["0 in", "0 in", "9 in"], ["50 in", "0 in", "9 in"]])
    assert ends(with_run_length(text, LENGTH, "60 in"))[0][0] == "50 in"
    assert (
        ends(with_run_length(text, LENGTH, "60 in", units.read("1 in", "length")))[0][0] == "60 in"
    )


def test_after_a_length_that_was_no_length_the_line_follows_still():
    text = with_run_length(with_run_length(SHELF, LENGTH, "abc"), LENGTH, "8 ft")
    assert ends(text)[0][0] == "97 3/4 in"


def test_nothing_else_of_a_design_is_touched():
    text = DEMO.read_text(encoding="utf-8")
    pairs = zip(text.splitlines(), with_run_length(text, LENGTH, "1.5 m").splitlines(), strict=True)
    changed = [one for one, other in pairs if one != other]
    assert all(line.lstrip().startswith(("length", "path")) for line in changed)
    assert len(changed) == 3


@given(
    st.floats(-10.0, 10.0).map(lambda metres: round(metres, 4)),
    st.sampled_from(["2 m", "900 mm", "12cm", "3 1/2 in", '20"', "2 ft 3 in", "2' 3\"", "5 ft"]),
)
def test_what_is_written_reads_as_the_length(length_m, typed):
    read_m = units.read(written_like(length_m, typed), "length")
    assert read_m == pytest.approx(length_m, rel=1e-5, abs=5e-6)
