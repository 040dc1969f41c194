"""The chart of a search has a marker for each design, where its price and hours are."""

from dataclasses import replace

import pytest
from to_draw import INCH, METRIC, searched, trace

from lightcalc.answers.finder.results import Merits
from lightcalc.screens.charts import frontier_chart


def search_of(*pairs, packs=1, asked=()):
    """Return a search that found designs of such prices and hours."""
    found = searched()
    return replace(
        found,
        asked=asked,
        found=tuple(
            replace(
                found.found[0],
                rank=rank,
                packs=("1 x a pack",) * packs,
                merits=Merits(price, hours_h, 0.05, 1.0, 1000.0, True),
            )
            for rank, (price, hours_h) in enumerate(pairs, start=1)
        ),
    )


def markers(chart):
    """Return price and hours of each marker of what was found, whatever its trace."""
    return sorted(
        (price, hours)
        for one in chart.figure.data
        if one.mode == "markers+text"
        for price, hours in zip(one.x, one.y, strict=True)
    )


def labels(chart):
    return [
        (text, position)
        for one in chart.figure.data
        if one.mode == "markers+text"
        for text, position in zip(one.text, one.textposition, strict=True)
        if text
    ]


@pytest.mark.parametrize("show", [METRIC, INCH], ids=lambda show: show.system)
def test_each_design_has_its_marker_and_so_has_the_one_drawn(show):
    search = searched()
    chart = frontier_chart(search, show)
    merits = [found.merits for found in search.found]
    assert markers(chart) == sorted((one.price, one.hours_h) for one in merits)
    drawn = trace(chart, "your design")
    assert (*drawn.x, *drawn.y) == (search.drawn.merits.price, search.drawn.merits.hours_h)


def test_all_markers_lie_within_the_axes():
    search = searched()
    chart = frontier_chart(search, METRIC)
    (low, high), (bottom, top) = chart.figure.layout.xaxis.range, chart.figure.layout.yaxis.range
    assert low == bottom == 0.0
    for price, hours in markers(chart):
        assert price < high
        assert hours < top


def test_designs_of_one_pack_and_of_two_are_told_apart():
    names = {one.name for one in frontier_chart(searched(), METRIC).figure.data}
    assert {"one pack", "two packs"} <= names
    (three,) = labels(frontier_chart(search_of((100.0, 8.0), packs=3), METRIC))
    assert three[0] == "1"
    assert trace(frontier_chart(search_of((100.0, 8.0), packs=3), METRIC), "3 packs")


def test_every_design_is_named_on_one_label():
    search = searched()
    named = [text for text, _ in labels(frontier_chart(search, METRIC))]
    ranks = sorted(int(rank) for text in named for rank in text.split(", "))
    assert ranks == [found.rank for found in search.found]


def test_neighbours_share_the_label_of_the_highest():
    chart = frontier_chart(search_of((100.0, 8.0), (101.0, 8.1), (200.0, 16.0)), METRIC)
    assert sorted(labels(chart)) == [("1, 2", "top center"), ("3", "top center")]


def test_a_label_that_would_stand_on_a_marker_stands_beneath_its_own():
    chart = frontier_chart(search_of((100.0, 8.0), (100.0, 9.5), (200.0, 16.0)), METRIC)
    assert dict(labels(chart))["1"] == "bottom center"


def test_hours_that_are_asked_are_drawn_as_a_limit():
    asked = tuple(one for one in searched().asked if one.demand == "hours")
    chart = frontier_chart(search_of((100.0, 8.0), asked=asked), METRIC)
    assert set(trace(chart, "asked: 6 h").y) == {6.0}
    names = [one.name for one in frontier_chart(search_of((100.0, 8.0)), METRIC).figure.data]
    assert not any("asked" in name for name in names)


def test_a_design_of_unknown_price_is_in_the_numbers_and_has_no_marker():
    search = search_of((100.0, 8.0), (None, 9.0))
    chart = frontier_chart(search, METRIC)
    assert markers(chart) == [(100.0, 8.0)]
    assert [row[1] for row in chart.rows] == [100.0, ""]
    unpriced = frontier_chart(search_of((None, 9.0)), METRIC)
    assert unpriced.says == "No design that was found has a known price."
    assert not markers(unpriced)


def test_it_says_which_is_cheapest_and_which_lasts_longest():
    says = frontier_chart(search_of((100.0, 8.0), (90.0, 6.0)), METRIC).says
    assert says == "Cheapest is number 2, 90 EUR and 6 h; longest lasts number 1, 100 EUR and 8 h."
    one = frontier_chart(search_of((90.0, 6.0)), METRIC).says
    assert one == "Cheapest is number 1, 90 EUR and 6 h; it lasts longest too."


def test_the_numbers_are_those_of_the_search():
    search = searched()
    for row, found in zip(frontier_chart(search, METRIC).rows, search.found, strict=True):
        merits = found.merits
        assert row[:6] == (
            str(found.rank),
            merits.price,
            merits.hours_h,
            merits.light_fall_ratio,
            merits.mass_kg,
            merits.light_lm,
        )
