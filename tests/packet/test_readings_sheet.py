"""There is a box for every reading that the bench can compare, beside what the answer expects."""

from itertools import chain

import pytest
from pieces import example
from sheets import EXAMPLES, figures, of_class, parse

from lightcalc.packet.build_sheet import build_sheet


def rows(root, check):
    (found,) = of_class(root, check)
    (body,) = found.iter("tbody")
    return list(body)


def paths(row):
    return [one.get("data-figure") for one in figures(row)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_volts_and_amps_of_every_feed_and_far_end_have_their_box(name):
    made, catalogue, found = example(name)
    lit = rows(parse(build_sheet(made, catalogue, found)), "lit")
    written = list(chain.from_iterable(paths(row) for row in lit))
    for n, run in enumerate(found.runs):
        assert f"runs.{n}.dimmest_v" in written
        assert f"runs.{n}.amps_a" in written
        for m, feed in enumerate(run.feeds):
            for k, _ in enumerate(feed.channels):
                assert f"runs.{n}.feeds.{m}.channels.{k}.volts_v" in written
                assert f"runs.{n}.feeds.{m}.channels.{k}.amps_a" in written
    for row in lit:
        assert [one.text for one in of_class(row, "box")] == ["V", "A"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_lead_is_checked_for_polarity_and_every_channel_for_shorts(name):
    made, catalogue, found = example(name)
    root = parse(build_sheet(made, catalogue, found))
    assert len(rows(root, "polarity")) == len(found.wires)
    channels = sum(len(catalogue.strips[run.strip].channels) for run in made.runs)
    assert len(rows(root, "resistance")) == channels
    assert len(rows(root, "pack")) == len(made.supplies)


def test_warmth_is_written_in_the_units_of_the_design():
    boxes = [
        of_class(rows(parse(build_sheet(*example(name))), "heat")[0], "box")[0].text
        for name in ("hall-bench", "bedside-shelf")
    ]
    assert boxes == ["\u00b0C", "\u00b0F"]
