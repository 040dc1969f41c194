"""Fasteners hold more the more there is of them, and say where their figures are from."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.tables.fasteners import fasteners


def test_every_figure_says_where_it_is_from():
    assert {one.basis for one in fasteners().values()} <= {
        "from memory",
        "measured",
        "stands on it",
    }


@given(st.floats(1e-5, 0.1), st.floats(1.01, 5.0))
def test_more_hook_and_loop_holds_more_but_not_in_proportion(area_m2, times):
    # What peels grows with the edge, by the root of the area; what is pulled with the area.
    tape = fasteners()["hook and loop"]
    less, more = tape.holds_n(area_m2), tape.holds_n(times * area_m2)
    assert less * math.sqrt(times) * (1 - 1e-9) <= more <= less * times * (1 + 1e-9)


@given(st.floats(0.01, 100.0))
def test_the_area_asked_for_holds_the_force(force_n):
    tape = fasteners()["hook and loop"]
    assert tape.holds_n(tape.least_area_m2(force_n)) == pytest.approx(force_n)


def test_a_pack_that_stands_on_a_shelf_does_not_fall():
    assert fasteners()["shelf"].holds_n() == math.inf


@pytest.mark.parametrize("name", ["clips", "screws"])
def test_counted_fasteners_hold_in_proportion(name):
    one = fasteners()[name]
    assert one.holds_n(count=3) == pytest.approx(3 * one.each_n)
