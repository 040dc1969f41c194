"""Runs where they lie."""

import math

import pytest
from designs import some
from hypothesis import given
from pieces import demo, example, pieces

from lightcalc.design.space import Mount
from lightcalc.packet.laid import cut_sides, extent, laid_runs


@some
@given(pieces())
def test_a_laid_run_is_as_long_as_after_cutting_and_its_feeds_are_on_it(piece):
    made, _, found = piece
    laid = laid_runs(made, found)
    assert [one.run.name for one in laid] == [run.name for run in made.runs if run.mounts]
    for one in laid:
        assert sum(side.length_m for side in one.sides) == pytest.approx(one.answer.cut_length_m)
        assert one.corners[0] == one.run.mounts[0].path_m[0]
        for feed, place in zip(one.answer.feeds, one.feeds, strict=True):
            along_m = 0.0
            off_m = math.inf
            for side in one.sides:
                share_m = min(max(feed.at_m - along_m, 0.0), side.length_m)
                if along_m - 1e-9 <= feed.at_m <= along_m + side.length_m + 1e-9:
                    off_m = min(off_m, math.dist(side.at(share_m), place))
                along_m += side.length_m
            assert off_m < 1e-9


def test_the_last_side_goes_on_straight_where_the_line_is_measured_too_short():
    line = Mount("a", ((0.0, 0.0, 0.4), (0.5, 0.0, 0.4), (0.5, 0.499, 0.4)), "down")
    sides = cut_sides(line, 1.0)
    assert sides[-1].end_m == pytest.approx((0.5, 0.5, 0.4))
    assert cut_sides(line, 0.3)[0].end_m == pytest.approx((0.3, 0.0, 0.4))
    assert len(cut_sides(line, 0.3)) == 1


def test_runs_without_a_place_are_not_laid():
    made, _, found = example("display-cabinet")
    assert laid_runs(made, found) == ()


def test_runs_keep_the_number_of_their_place_in_the_design():
    made, _, found = demo()
    laid = laid_runs(made, found)
    assert [(one.number, one.run.name) for one in laid] == [(1, "front rail"), (2, "back rail")]
    assert laid[0].turns_m == ()


def test_extent_is_the_least_and_the_most_of_each_length():
    assert extent([(0.0, 5.0, 2.0), (3.0, -1.0, 9.0)]) == ((0.0, -1.0, 2.0), (3.0, 5.0, 9.0))
