"""One table's fields: each reading notes its mistake with place, what was found and the fix."""

import datetime
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.design.fields import (
    LONGEST_TEXT,
    MOST_ENTRIES,
    MOST_UNKNOWN_KEYS,
    SHARE,
    Limits,
    Section,
    clean,
    label,
    shown,
    suggest,
)
from lightcalc.problems import Problems

METRES = Limits(0.001, 100.0)

ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.just(10**400)
    | st.floats()
    | st.text()
    | st.dates()
    | st.times(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


def section(**table):
    return Section(table, "runs.front", Problems("bench.toml"))


def told(read):
    return [str(problem) for problem in read.problems.found]


@pytest.mark.parametrize(
    ("written", "metres"),
    [("1.6 m", 1.6), ("5 ft 3 in", 1.6002), ("3/8 in", 0.009525), ("63 1/2 in", 1.6129)],
)
def test_quantities_are_read_as_people_write_them(written, metres):
    # An inch is 25.4 mm exactly (NIST SP 811, appendix B).
    read = section(length=written)
    assert read.quantity("length", "length", "1.6 m", METRES) == pytest.approx(metres, rel=1e-12)
    assert told(read) == []


def test_a_number_with_no_unit_is_told_how_to_be_written():
    for bare in ("1.6", 1.6):
        read = section(length=bare)
        assert math.isnan(read.quantity("length", "length", "1.6 m", METRES))
        (sentence,) = told(read)
        assert sentence.startswith("bench.toml: runs.front.length: found ")
        assert "unit" in sentence
        assert "such as 1.6 m or 5 ft 3 in." in sentence


def test_limits_are_part_of_what_may_be_written():
    for at_the_edge in ("1 mm", "100 m"):
        read = section(length=at_the_edge)
        read.quantity("length", "length", "1.6 m", METRES)
        assert told(read) == []
    for beyond in ("0 m", "-1 m", "0.99 mm", "100.1 m", "1e9 m"):
        read = section(length=beyond)
        assert math.isnan(read.quantity("length", "length", "1.6 m", METRES))
        assert told(read) == [
            f'bench.toml: runs.front.length: found "{beyond}"; it must be from 1 mm to 100 m.'
        ]


def test_a_limit_in_other_units_is_met_in_spite_of_rounding():
    # 39.37 in are 0.999998 m; 1 yd is 0.9144 m, and neither is a power of two.
    limits = Limits(0.9144, 0.9144)
    assert limits.allow(36 * 0.0254)
    assert limits.allow(3 * 0.3048)
    assert not limits.allow(0.9144 * (1 + 1e-6))
    assert not limits.allow(0.9144 * (1 - 1e-6))


def test_a_missing_field_is_told_with_a_line_to_copy():
    read = section()
    read.quantity("length", "length", "1.6 m", METRES)
    read.text("name", "front rail")
    assert told(read) == [
        'bench.toml: runs.front.length: is missing; write it like this: length = "1.6 m"',
        'bench.toml: runs.front.name: is missing; write it like this: name = "front rail"',
    ]


def test_a_field_with_a_default_may_be_left_out():
    read = section()
    assert read.quantity("viewer", "length", "1.5 m", METRES, default=1.5) == 1.5
    assert read.quantity("output", "voltage", "12 V", METRES, default=None) is None
    assert read.text("notes", "oak", default="") == ""
    assert read.optional_text("wire", "20 AWG") is None
    assert read.texts("near", "resin") == ()
    assert read.flag("off") is False
    assert read.count("packs", Limits(1, 16), 1) == 1
    assert read.choice("units", ("metric", "inch"), "metric") == "metric"
    assert told(read) == []


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (True, "found true; write a whole number and no quotes, such as 1."),
        ("2", 'found "2"; write a whole number and no quotes, such as 1.'),
        (1.5, "found 1.5; write a whole number, such as 1."),
        (0, "found 0; it must be from 1 to 16."),
        (17, "found 17; it must be from 1 to 16."),
        (math.nan, "found nan; it must be from 1 to 16."),
        (math.inf, "found inf; it must be from 1 to 16."),
        (10**400, "found a number with far too many digits; it must be from 1 to 16."),
        ([], "found a list; write a whole number and no quotes, such as 1."),
    ],
)
def test_a_count_is_a_whole_number_within_its_limits(value, sentence):
    read = section(packs=value)
    assert read.count("packs", Limits(1, 16), 1) == 1
    assert told(read) == [f"bench.toml: runs.front.packs: {sentence}"]


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (5, 'found 5; write a text in quotes, such as "oak".'),
        ({"a": 1}, 'found a table; write a text in quotes, such as "oak".'),
        (datetime.date(2020, 1, 1), 'found a date or time; write a text in quotes, such as "oak".'),
        (" \n ", 'found an empty text; write it like this: name = "oak"'),
        ("x" * 501, f"has 501 characters; at most {LONGEST_TEXT} are read."),
        ("a\x1b[2J", "has signs that cannot be shown; write it again by hand."),
    ],
)
def test_a_text_is_a_text(value, sentence):
    read = section(name=value)
    assert read.text("name", "oak") == ""
    assert told(read) == [f"bench.toml: runs.front.name: {sentence}"]


def test_a_text_over_several_lines_becomes_one():
    assert section(notes=" oak,\n  oiled\t").text("notes", "oak", default="") == "oak, oiled"


def test_a_choice_may_be_in_other_capitals_but_not_empty_or_unknown():
    read = section(units="Metric")
    assert read.choice("units", ("metric", "inch"), "inch") == "metric"
    assert told(read) == []
    for wrong, hint in [("", "an empty text"), ("metrc", 'did you mean "metric"?'), (1, "found 1")]:
        read = section(units=wrong)
        assert read.choice("units", ("metric", "inch"), "inch") == "inch"
        assert len(told(read)) == 1
        assert hint in told(read)[0]


def test_true_and_false_take_no_quotes():
    read = section(off="true", on=True)
    assert read.flag("off") is False
    assert read.flag("on") is True
    assert told(read) == [
        'bench.toml: runs.front.off: found "true"; write true or false, with no quotes.'
    ]


def test_a_list_of_texts_names_its_odd_entry():
    read = section(near=["resin", 5, ""], far="resin", many=["x"] * (MOST_ENTRIES + 1))
    assert read.texts("near", "wood") == ("resin",)
    assert read.texts("far", "wood") == ()
    assert read.texts("many", "wood") == ()
    assert [sentence.partition("front.")[2] for sentence in told(read)] == [
        'near: found 5; write a text in quotes, such as "wood".',
        "near: found an empty text in the list; fill it in or take it out.",
        'far: found "resin"; write a list of texts, such as ["wood"].',
        f"many: has {MOST_ENTRIES + 1} entries; at most {MOST_ENTRIES} are read.",
    ]


def test_tables_and_lists_of_tables_are_told_apart():
    read = section(use=[], feeds={"at": "start"}, seen=[{}, 3], trunks=[{}] * (MOST_ENTRIES + 1))
    assert not read.section("use", "[use]").present
    assert read.sections("feeds", "feeds = [{ }]") == []
    assert read.sections("seen", "[[seen]]") == []
    assert read.sections("trunks", "[[trunks]]") == []
    assert [sentence.partition("front.")[2] for sentence in told(read)] == [
        "use: found a list; write it like this: [use]",
        "feeds: found a table; write each one like this: feeds = [{ }]",
        "seen: found 3 in the list; write each one like this: [[seen]]",
        f"trunks: has {MOST_ENTRIES + 1} entries; at most {MOST_ENTRIES} are read.",
    ]


def test_what_is_required_and_absent_is_one_mistake():
    read = section()
    assert read.section("piece", "[piece]", required=True).present is False
    assert read.sections("feeds", "feeds = [{ }]", required=True) == []
    assert len(told(read)) == 2


def test_entries_are_told_by_name_else_by_number():
    named, unnamed, odd = section(runs=[{"name": " front "}, {}, {"name": 3}]).sections("runs", "")
    assert named.place("length") == "runs.front.runs.front.length"
    assert unnamed.place("length") == "runs.front.runs.2.length"
    assert odd.place("length") == "runs.front.runs.3.length"
    assert label("a\nb\x07" + "x" * 100, 1) == "a b" + "x" * 57 + "..."


def test_unknown_keys_are_told_with_the_nearest_known_one():
    read = section(lenght="1 m", colour="red")
    read.quantity("length", "length", "1.6 m", METRES, default=None)
    read.optional_text("wire", "20 AWG")
    read.close()
    assert told(read) == [
        'bench.toml: runs.front.lenght: is not a known key; did you mean "length"?',
        "bench.toml: runs.front.colour: is not a known key; allowed are: length, wire.",
    ]


def test_a_flood_of_unknown_keys_is_summed_up():
    read = section(**{f"key{number}": 1 for number in range(1000)})
    read.close()
    assert len(told(read)) == MOST_UNKNOWN_KEYS + 1
    assert "has 980 more keys that are not known." in told(read)[-1]


def test_a_long_list_of_names_is_cut_short():
    names = [f"part-{letter * 9}" for letter in "abcdefghijklmnop"]
    assert suggest("zzz", names).endswith(" and 4 more.")
    assert suggest("zzz", []) == "there is none to choose from."


@given(ANYTHING)
def test_whatever_stands_in_a_field_is_told_on_one_short_line(value):
    text = shown(value)
    assert text.isprintable()
    assert len(text) < 80
    if isinstance(value, str):
        assert clean(value).isprintable()


@given(ANYTHING)
def test_no_value_whatever_makes_a_reading_fail(value):
    read = section(key=value)
    read.quantity("key", "length", "1.6 m", METRES)
    read.quantity("key", "ratio", "60 %", SHARE, default=None, hint=" Or leave it.")
    read.count("key", Limits(1, 16), 1)
    read.count("key", Limits(0.02, 7), 1, whole=False)
    read.text("key", "oak")
    read.optional_text("key", "oak")
    read.choice("key", ("metric", "inch"), "inch")
    read.flag("key")
    read.texts("key", "oak")
    read.section("key", "[key]").close()
    for entry in read.sections("key", "[[key]]"):
        entry.close()
    for sentence in told(read):
        assert sentence.isprintable(), sentence
