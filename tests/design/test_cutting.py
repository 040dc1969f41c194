"""A run is cut to whole cut units; feeds are soldered to the pads between them."""

import math

from hypothesis import given
from hypothesis import strategies as st

from lightcalc.design.cutting import cut_units, nearest_pad
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.screens.options import examples_folder

STRIPS = [*read_catalogue(examples_folder()).strips.values()]


@given(st.sampled_from(STRIPS), st.floats(0.001, 20.0))
def test_no_more_than_what_was_asked_is_cut_and_less_than_a_unit_is_left(strip, length_m):
    units = cut_units(length_m, strip)
    rest = length_m / strip.cut_unit_m - units
    assert units == 1 or rest > -1e-5
    assert rest < 1.0


@given(st.sampled_from(STRIPS), st.integers(1, 300))
def test_a_whole_number_of_units_is_cut_whole_in_spite_of_rounding(strip, units):
    assert cut_units(units * strip.cut_unit_m, strip) == units
    assert cut_units(units * strip.cut_unit_m * (1 - 1e-9), strip) == units


@given(st.sampled_from(STRIPS), st.integers(1, 300), st.floats(0.0, 1.0))
def test_no_pad_is_nearer_than_the_nearest(strip, units, share):
    at_m = share * units * strip.cut_unit_m
    pad = nearest_pad(at_m, units, strip)
    assert 0 <= pad <= units
    nearest_m = min(abs(at_m - n * strip.cut_unit_m) for n in range(units + 1))
    assert math.isclose(abs(at_m - pad * strip.cut_unit_m), nearest_m, abs_tol=1e-9)
