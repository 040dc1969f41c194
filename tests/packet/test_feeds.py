"""Names of feeds."""

from dataclasses import replace

from pieces import example

from lightcalc.packet.feeds import is_between, letters, place_words


def test_no_two_letters_are_alike():
    found = letters(100)
    assert len(set(found)) == 100
    assert found[:2] == ["a", "b"]
    assert letters(0) == []


def test_feeds_are_at_the_start_at_the_end_or_between():
    _, _, found = example("display-cabinet")
    left, _, top = found.runs
    assert [place_words(feed, left, "metric") for feed in left.feeds] == [
        "at the start",
        "at the end",
    ]
    assert [place_words(feed, top, "metric") for feed in top.feeds] == ["at 350 mm"]
    assert is_between(top.feeds[0], top)
    assert not is_between(replace(top.feeds[0], at_m=top.cut_length_m), top)
