"""Quantities as makers write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.units import UnitProblem, read
from lightcalc.units.scales import kinds

INCH = 0.0254  # exact, international yard and pound agreement of 1959


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1.6 m", 1.6),
        ("1.6m", 1.6),
        ("160 cm", 1.6),
        ("1,600 mm", 1.6),
        ("1 600 mm", 1.6),
        ("1e3 mm", 1.0),
        ("5 ft 3 in", 63 * INCH),
        ("5ft3in", 63 * INCH),
        ("5'3\"", 63 * INCH),
        ("5'-3\"", 63 * INCH),
        ("5′ 3″", 63 * INCH),
        ("5’ 3”", 63 * INCH),
        ("5' 3''", 63 * INCH),
        ("5 feet 3 inches", 63 * INCH),
        ("5' 3 1/2\"", 63.5 * INCH),
        ("3/8 in", 0.375 * INCH),
        ("63 1/2 in", 63.5 * INCH),
        ("63-1/2 in", 63.5 * INCH),
        ("63½ in", 63.5 * INCH),
        ("63 ½ in", 63.5 * INCH),
        ("½ in", 0.5 * INCH),
        ("¾″", 0.75 * INCH),
        (".5 in", 0.5 * INCH),
        ("-2 m", -2.0),
        ("−2 m", -2.0),
        ("+2 M", 2.0),
        ("1\u00a0600 mm", 1.6),
        ("-0 m", 0.0),
    ],
)
def test_a_length_reads_as_the_trade_writes_it(text, metres):
    assert read(text, "length") == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("10,000 mAh", "charge", 36_000.0),
        ("10 000 mAh", "charge", 36_000.0),
        ("1,000,000 mah", "charge", 3.6e6),
        ("5.2 Ah", "charge", 18_720.0),
        ("14.4 W/m", "power_per_length", 14.4),
        ("4.4 W/ft", "power_per_length", 4.4 / 0.3048),
        ("80 %", "ratio", 0.8),
        ("80%", "ratio", 0.8),
        ("2 h 30 min", "time", 9000.0),
        ("2h30min", "time", 9000.0),
        ("90 min", "time", 5400.0),
        ("3 days", "time", 259_200.0),
        ("-5 degC", "temperature", -5.0),
        ("20 °C", "temperature", 20.0),
        ("20 ºC", "temperature", 20.0),
        ("20 ℃", "temperature", 20.0),
        ("68 F", "temperature", 20.0),
        ("32 °F", "temperature", 0.0),
        ("27 °F", "temperature_difference", 15.0),
        ("50 µA", "current", 50e-6),
        ("50 μA", "current", 50e-6),
        ("0.1 Ω/m", "resistance_per_length", 0.1),
        ("40 per m2", "per_area", 40.0),
        ("5 ft²", "area", 5 * 0.3048**2),
        ("300 cd/m²", "luminance", 300.0),
        ("120°", "angle", 120.0),
    ],
)
def test_a_quantity_reads_to_si(text, kind, si):
    assert read(text, kind) == pytest.approx(si, rel=1e-12)


def test_a_decimal_comma_is_refused_with_both_ways_to_write_it():
    with pytest.raises(UnitProblem) as told:
        read("1,6 m", "length")
    assert '"1.6 m"' in str(told.value)
    assert '"16 m"' in str(told.value)


def test_a_bare_number_is_told_which_unit_it_lacks():
    with pytest.raises(UnitProblem) as told:
        read("1.6", "length")
    assert str(told.value) == 'found "1.6"; a length needs a unit, such as 1.6 m or 5 ft 3 in.'


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (True, "found true"),
        (5, "found 5 with no unit"),
        (1.6, "found 1.6 with no unit"),
        (math.nan, "with no unit"),
        (10**400, "with no unit"),
        (None, "found nothing"),
        ([1], "found a list"),
        ({}, "found a table"),
        ("", "empty"),
        ("   ", "empty"),
        ("m", "a number and its unit"),
        ("+", "a number and its unit"),
        ("x" * 65, "65 characters"),
        ("nan m", "not a finite number"),
        ("-inf m", "not a finite number"),
        ("1e400 m", "too large"),
        ("1e30 m", "too large"),
        ("1e-400 m", "too small"),
        ("1e-30 m", "too small"),
        ("5 V", "measures a voltage"),
        ("5 bananas", "not a known unit"),
        ("0,750 m", "comma"),
        ("10,00 m", "comma"),
        ("1.600,5 m", "comma"),
        ("5 ft 15 in", "larger unit"),
        ("5.5 ft 3 in", "larger unit"),
        ("3 in 5 ft", "larger unit"),
        ("5'3", "needs a unit"),
        ("1/0 in", "fraction"),
        ("1 7/3 in", "fraction"),
        ("--5 m", "a number and its unit"),
        ("5-6 m", "a number and its unit"),
        ("5 ft -3 in", "a number and its unit"),
        ("1 2 m", "a number and its unit"),
        ("٥ m", "a number and its unit"),
        ("2**9 m", "a number and its unit"),
        ("__import__('os')", "a number and its unit"),
    ],
)
def test_what_is_no_length_is_refused_in_a_sentence(value, says):
    with pytest.raises(UnitProblem, match=says) as told:
        read(value, "length")
    assert str(told.value).startswith("found ")
    assert str(told.value).endswith(".")


def test_nothing_is_colder_than_absolute_zero():
    with pytest.raises(UnitProblem, match="colder"):
        read("-460 degF", "temperature")


def test_signs_that_steer_a_terminal_are_not_repeated():
    with pytest.raises(UnitProblem) as told:
        read("5\x1b[31m m", "length")
    assert str(told.value).isprintable()


@given(
    text=st.one_of(
        st.text(max_size=70), st.text("0123456789 .,'\"/-+eE½mftincVWhA%°C", max_size=20)
    ),
    kind=st.sampled_from(sorted(kinds())),
)
def test_any_text_gives_a_finite_number_or_a_sentence(text, kind):
    sentence = ""
    value = 0.0
    try:
        value = read(text, kind)
    except UnitProblem as problem:
        sentence = str(problem)
    assert math.isfinite(value)
    assert sentence.isprintable()


@given(
    feet=st.integers(0, 300),
    inches=st.integers(0, 11),
    sixteenths=st.integers(0, 15),
    written=st.sampled_from(["{f} ft {i} {s}/16 in", "{f}' {i}-{s}/16\"", "{f}'-{i} {s}/16″"]),
)
def test_feet_inches_and_sixteenths_add_up(feet, inches, sixteenths, written):
    text = written.format(f=feet, i=inches, s=sixteenths)
    expected = (feet * 12 + inches + sixteenths / 16) * INCH
    assert read(text, "length") == pytest.approx(expected, rel=1e-12)


@given(st.integers(1000, 999_999_999))
def test_thousands_read_alike_with_commas_spaces_or_nothing(number):
    plain = read(f"{number} mAh", "charge")
    assert read(f"{number:,} mAh", "charge") == plain
    assert read(f"{number:,} mAh".replace(",", " "), "charge") == plain


@pytest.mark.parametrize(
    ("pointed", "plain", "kind"),
    [
        ("71 7/8in.", "71 7/8 in", "length"),
        ("5 ft. 3 in.", "5 ft 3 in", "length"),
        ("5ft.3in.", "5 ft 3 in", "length"),
        ("2 hrs. 30 min.", "2 h 30 min", "time"),
        ("12 oz.", "12 oz", "mass"),
    ],
)
def test_a_short_form_may_end_in_a_point(pointed, plain, kind):
    assert read(pointed, kind) == read(plain, kind)


@pytest.mark.parametrize("text", ["5 .in", "5 i.n", "5 in..", "5 m.", "5. in. ."])
def test_a_point_anywhere_else_is_refused(text):
    with pytest.raises(UnitProblem):
        read(text, "length")
