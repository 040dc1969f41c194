"""SI values shown as makers write them."""

import math
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lightcalc.units import read, show, show_at_least, show_range
from lightcalc.units.scales import kinds

PLAIN_KINDS = sorted(set(kinds()) - {"time", "temperature", "temperature_difference"})


@pytest.mark.parametrize(
    ("value", "kind", "metric", "inch"),
    [
        (1.6, "length", "1.6 m", "5 ft 3 in"),
        (0.9996, "length", "1 m", "3 ft 3 3/8 in"),
        (0.0095250, "length", "9.53 mm", "3/8 in"),
        (0.0020833, "length", "2.08 mm", "0.082 in"),
        (8.4667e-3, "length", "8.47 mm", "11/32 in"),
        (13.0e-3, "length", "13 mm", "1/2 in"),
        (20.5 * 0.0254, "length", "521 mm", "20 1/2 in"),
        (0.0, "length", "0 mm", "0 in"),
        (35.9375 * 0.0254, "length", "913 mm", "35 15/16 in"),
        (36 * 0.0254, "length", "914 mm", "3 ft"),
        (36.0625 * 0.0254, "length", "916 mm", "3 ft 1/16 in"),
        (-1.6002, "length", "-1.6 m", "-5 ft 3 in"),
        (14.4, "power_per_length", "14.4 W/m", "4.39 W/ft"),
        (18_720.0, "charge", "5.2 Ah", "5.2 Ah"),
        (2_880.0, "charge", "800 mAh", "800 mAh"),
        (0.25, "mass", "250 g", "8.82 oz"),
        (1.25, "mass", "1.25 kg", "2.76 lb"),
        (0.0123, "current", "12.3 mA", "12.3 mA"),
        (0.99999, "current", "1 A", "1 A"),
        (20.0, "temperature", "20 °C", "68 °F"),
        (-40.0, "temperature", "-40 °C", "-40 °F"),
        (15.0, "temperature_difference", "15 °C", "27 °F"),
        (0.027, "ratio", "2.7 %", "2.7 %"),
        (0.75e-6, "area", "0.75 mm²", "0.00116 in²"),
        (120.0, "angle", "120°", "120°"),
        (30.0, "time", "30 s", "30 s"),
        (150.0, "time", "2.5 min", "2.5 min"),
        (9_000.0, "time", "2 h 30 min", "2 h 30 min"),
        (3_599.9, "time", "1 h", "1 h"),
        (51_732.0, "time", "14 h 20 min", "14 h 20 min"),
        (45.3 * 86_400, "time", "45.3 days", "45.3 days"),
        (1000 * 86_400, "time", "2.74 years", "2.74 years"),
    ],
)
def test_a_value_is_shown_in_the_units_of_the_system(value, kind, metric, inch):
    assert show(value, kind) == metric
    assert show(value, kind, "inch") == inch


@given(
    magnitude=st.floats(1e-4, 1e4),
    kind=st.sampled_from(PLAIN_KINDS),
    digits=st.integers(2, 6),
)
def test_a_shown_value_reads_back_within_its_digits(magnitude, kind, digits):
    again = read(show(magnitude, kind, "metric", digits), kind)
    assert again == pytest.approx(magnitude, rel=0.501 * 10.0 ** (1 - digits))


@given(metres=st.floats(0.001, 100.0))
def test_a_length_in_inches_reads_back_within_half_a_sixteenth(metres):
    again = read(show(metres, "length", "inch"), "length")
    assert abs(again - metres) <= 0.0254 / 32 * (1 + 1e-9)


@given(inches=st.floats(0.25, 0.99))
def test_a_length_below_an_inch_is_on_a_mark_of_a_rule(inches):
    shown = show(inches * 0.0254, "length", "inch")
    assert re.fullmatch(r"1 in|\d+/(2|4|8|16|32) in", shown)
    assert abs(read(shown, "length") / 0.0254 - inches) <= 1 / 64 + 1e-9


@given(inches=st.floats(0.01, 0.99), digits=st.sampled_from([3, 4]))
def test_a_length_for_which_a_rule_is_too_coarse_keeps_its_digits(inches, digits):
    if digits == 3:
        inches *= 0.25
    again = read(show(inches * 0.0254, "length", "inch", digits), "length") / 0.0254
    assert abs(again - inches) <= 0.00051


@given(seconds=st.floats(1.0, 1e9))
def test_a_time_reads_back_within_one_per_cent_or_half_a_minute(seconds):
    tolerance = max(0.01 * seconds, 30.0 if seconds >= 600 else 0.0)
    assert abs(read(show(seconds, "time"), "time") - seconds) <= tolerance * 1.0001


@given(celsius=st.floats(-60.0, 200.0), system=st.sampled_from(["metric", "inch"]))
def test_a_temperature_reads_back_within_its_digits(celsius, system):
    assume(abs(celsius) > 0.1)
    again = read(show(celsius, "temperature", system, 4), "temperature")
    assert again == pytest.approx(celsius, rel=1e-3, abs=0.03)


@given(value=st.floats(1e-6, 1e6), kind=st.sampled_from(sorted(kinds())))
def test_no_number_ends_in_trailing_noise(value, kind):
    for number in re.findall(r"[0-9]+\.[0-9]+", show(value, kind)):
        assert not number.endswith(("0", "."))


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_only_finite_values_are_shown(value):
    with pytest.raises(ValueError, match="finite"):
        show(value, "length")


@pytest.mark.parametrize(
    ("low", "high", "kind", "system", "expected"),
    [
        (1.2, 1.6, "length", "metric", "1.2 to 1.6 m"),
        (0.05, 1.6, "length", "metric", "50 mm to 1.6 m"),
        (1.6, 1.6000001, "length", "metric", "1.6 m"),
        (1.5, 1.6, "length", "inch", "4 ft 11 1/16 in to 5 ft 3 in"),
        (7_800.0, 9_000.0, "time", "metric", "2 h 10 min to 2 h 30 min"),
        (-5.0, 8.0, "temperature", "metric", "-5 to 8 °C"),
        (0.1, 0.2, "ratio", "metric", "10 to 20 %"),
        (20.0, 120.0, "angle", "metric", "20° to 120°"),
    ],
)
def test_a_band_names_its_unit_once_where_it_can(low, high, kind, system, expected):
    assert show_range(low, high, kind, system) == expected


@given(st.floats(0.0005, 3.0))
def test_a_length_that_must_not_be_less_is_a_sixteenth_more_at_most(length_m):
    told = show_at_least(length_m, "inch")
    assert "." not in told
    assert length_m - 1e-6 <= read(told, "length") < length_m + 0.0254 / 16 + 1e-6
