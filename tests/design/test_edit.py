"""One value of a design's text changes; all else stays as it was typed."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.design.edit import (
    NoSuchPlace,
    place_of,
    raw,
    value_at,
    with_entry,
    with_value,
    without_entry,
)

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parents[2] / "catalog_examples").glob("*.toml")
    if path.name != "catalogue.toml" and "readings" not in path.name
)


def places(tables, above=()):
    """Yield the place of every plain value."""
    pairs = tables.items() if isinstance(tables, dict) else enumerate(tables)
    for step, value in pairs:
        if isinstance(value, dict) or (
            isinstance(value, list) and value and isinstance(value[0], dict)
        ):
            yield from places(value, (*above, step))
        else:
            yield (*above, step)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_value_of_an_example_can_be_changed_alone(path):
    text = path.read_text(encoding="utf-8")
    before = tomllib.loads(text)
    for place in places(before):
        after = tomllib.loads(with_value(text, place, "changed"))
        assert value_at(after, place) == "changed"
        expected = with_value(text, place, value_at(before, place))
        assert tomllib.loads(expected) == before


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_comments_stay(path):
    text = path.read_text(encoding="utf-8")
    comments = [line for line in text.splitlines() if line.startswith("#")]
    changed = with_value(text, ("runs", 0, "length"), "1 m")
    assert [line for line in changed.splitlines() if line.startswith("#")] == comments
    assert comments


@given(typed=st.text(st.characters(blacklist_categories=("Cs",)), max_size=40))
@settings(deadline=None)
def test_whatever_is_typed_reads_back_as_typed(typed):
    text = with_value('[[runs]]\nname = "a"\n', ("runs", 0, "length"), typed)
    assert tomllib.loads(text)["runs"][0] == {"name": "a", "length": typed}


def test_tables_that_are_not_there_yet_are_added():
    assert raw(with_value("", ("ask", "light_fall"), "5 %")) == {"ask": {"light_fall": "5 %"}}


def test_taking_out_what_is_not_there_changes_nothing():
    text = '[piece]\nname = "bench"\n'
    assert with_value(text, ("ask", "light_fall"), None) == text
    assert with_value(text, ("piece", "height"), None) == text


def test_an_entry_added_and_taken_out_again_leaves_the_same_tables():
    text = EXAMPLES[0].read_text(encoding="utf-8")
    before = raw(text)
    for place in (("runs",), ("supplies",), ("trunks",), ("use", "evening"), ("runs", 0, "seen")):
        count = len(value_at(before, place) or [])
        added = with_entry(text, place, {"name": "x"})
        assert len(value_at(raw(added), place)) == count + 1
        assert raw(without_entry(added, (*place, count))) == before


def test_a_place_that_is_not_there_is_said_to_be_none():
    with pytest.raises(NoSuchPlace):
        with_value('[[runs]]\nname = "a"\n', ("runs", 3, "length"), "1 m")
    with pytest.raises(NoSuchPlace):
        without_entry('[[runs]]\nname = "a"\n', ("runs", 3))
    with pytest.raises(NoSuchPlace):
        raw("no toml [")


@pytest.mark.parametrize("text", ["use = 3", "use = 'a'", "[[use]]"])
def test_no_value_goes_where_something_else_than_a_table_stands(text):
    for change in (
        lambda: with_value(text, ("use", "room"), "50 lx"),
        lambda: with_value(text, ("use", "room"), None),
        lambda: with_value(text, ("use", "evening", 0, "level"), "x"),
        lambda: with_entry(text, ("use", "evening"), {"level": "50 %"}),
    ):
        with pytest.raises(NoSuchPlace):
            change()


def test_places_are_named_as_the_reader_names_them():
    tables = {"runs": [{"name": "front rail", "feeds": [{"at": "start"}]}, {"name": ""}]}
    assert place_of(tables, ("runs", 0, "feeds", 0, "at")) == "runs.front rail.feeds.1.at"
    assert place_of(tables, ("runs", 1, "length")) == "runs.2.length"
