"""Figures as labels give them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.units import UnitProblem, read_capacity, read_light, read_pitch


@given(count=st.integers(1, 2000), length_mm=st.integers(10, 20_000))
def test_leds_on_a_length_are_as_far_apart_as_the_length_over_their_number(count, length_mm):
    found = read_pitch(f"{count} LEDs per {length_mm} mm")
    assert found == pytest.approx(length_mm / 1000.0 / count, rel=1e-12)


@pytest.mark.parametrize("text", ["16.7 mm", "5/16 in", "1 1/2 in", "0.5 ft"])
def test_a_length_is_read_as_a_length(text):
    from lightcalc.units import read

    assert read_pitch(text) == read(text, "length")


@pytest.mark.parametrize(
    "text",
    [
        "60",
        "0/m",
        "60 LEDs/kg",
        "60 LEDs",
        "300 LEDs per roll",
        "LEDs/m",
        "60 LEDs/-1 m",
        "9" * 99,
        None,
        60,
    ],
)
def test_what_is_no_pitch_is_refused(text):
    with pytest.raises(UnitProblem, match=r"such as|write|at most"):
        read_pitch(text)


@given(amp_hours=st.floats(0.1, 500.0), volts=st.floats(1.2, 48.0))
def test_watt_hours_over_volts_are_amp_hours(amp_hours, volts):
    energy = f"{amp_hours * volts:.12f} Wh"
    assert read_capacity(energy, volts) == pytest.approx(amp_hours * 3600.0, rel=1e-9)


@pytest.mark.parametrize("text", ["12 V", "5", "", None])
def test_what_is_neither_charge_nor_energy_is_refused(text):
    with pytest.raises(UnitProblem, match="battery capacity"):
        read_capacity(text, 12.0)


@pytest.mark.parametrize("text", ["110 lm/W", "110 lm / W", "110 lumens per watt", "110 lm per W"])
def test_light_a_watt_is_that_of_the_watts_of_a_metre(text):
    assert read_light(text, 9.6) == pytest.approx(1056.0, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["110", "110 W", "110 cd/W", "lm/W", "110 lx/W", "110 lm/kW", None]
)
def test_what_is_no_light_of_a_metre_is_refused(text):
    with pytest.raises(UnitProblem):
        read_light(text, 9.6)
