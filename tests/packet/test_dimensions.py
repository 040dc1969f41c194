"""Lengths on lanes, and how they are shown."""

from itertools import combinations

import pytest
from drawn import colliding, named, parse, points
from hypothesis import given
from hypothesis import strategies as st

from lightcalc import units
from lightcalc.packet.dimensions import Length, Ruler, distinct, lanes, measure, reach_mm
from lightcalc.packet.paper import Paper

places = st.integers(0, 3000).map(lambda mm: mm / 1000.0)
some_lengths = st.lists(st.builds(Length, places, places, st.just("rail")), max_size=12)
scales = st.sampled_from([1000.0, 100.0, 50.0, 20.0])
systems = st.sampled_from(["metric", "inch"])


@given(st.integers(0, 400_000))
def test_metric_lengths_are_shown_to_a_tenth_of_a_millimetre(tenths):
    text = measure(tenths / 10_000.0, "metric")
    assert text.endswith(" mm")
    assert units.read(text, "length") == pytest.approx(tenths / 10_000.0, abs=1e-9)


@given(st.floats(0.0, 40.0))
def test_inch_lengths_are_shown_to_a_sixteenth(length_m):
    shown = measure(length_m, "inch")
    # Feet, inches and fractions of a rule; never a decimal.
    assert "." not in shown
    shown_m = units.read(shown, "length")
    assert shown_m == pytest.approx(length_m, abs=0.0254 / 32 * 1.0001)


@given(some_lengths, scales, systems)
def test_every_length_is_on_one_lane_and_none_is_lost(lengths, mm_per_m, system):
    laned = [length for lane in lanes(lengths, mm_per_m, system) for length in lane]
    assert sorted(map(str, laned)) == sorted(map(str, distinct(lengths)))
    ends = {tuple(sorted((one.start_m, one.end_m))) for one in lengths if one.length_m > 1e-4}
    assert {tuple(sorted((one.start_m, one.end_m))) for one in laned} == ends


@given(some_lengths, scales, systems, st.booleans())
def test_lengths_on_a_lane_leave_each_other_room(lengths, mm_per_m, system, upright):
    paper = Paper()
    drawn = lanes(lengths, mm_per_m, system)
    sign = -mm_per_m if upright else mm_per_m
    Ruler(paper, 0.0, 0.0, sign, upright, system).draw(drawn)
    root = parse(paper.drawing("a", "b"))
    assert not colliding(root)
    spans = [points(one) for one in named(root, "span")]
    axis = 1 if upright else 0
    for one, other in combinations(spans, 2):
        if one[0][1 - axis] == other[0][1 - axis]:
            (a, b), (c, d) = (sorted(p[axis] for p in line) for line in (one, other))
            assert b <= c + 0.002 or d <= a + 0.002
    if drawn:
        reach = reach_mm(drawn, mm_per_m, system)
        assert reach >= max(length.end_m for lane in drawn for length in lane) * mm_per_m - 1.3


def test_a_chain_of_lengths_shares_a_lane():
    chain = [Length(0.0, 0.5, "a"), Length(0.5, 1.0, "b"), Length(1.0, 1.6, "c")]
    assert len(lanes(chain, 100.0, "metric")) == 1
    overlapping = [*chain, Length(0.0, 1.6, "all")]
    assert [len(lane) for lane in lanes(overlapping, 100.0, "metric")] == [3, 1]


def test_the_same_length_is_drawn_once():
    twice = [Length(0.1, 0.5, "front rail"), Length(0.5, 0.1, "back rail"), Length(0.2, 0.2, "nil")]
    assert distinct(twice) == (twice[0],)
