"""Laws of the cut unit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import wrightomega

from lightcalc.physics.circuit.strip import (
    THERMAL_V,
    CutUnit,
    channel_current,
    describe_cut_unit,
    idle_current,
    wright_omega,
)

KINDS = ("resistor", "constant-current", "pixel")


def unit_of(kind: str, forward_v: tuple[float, ...] = (9.0,), **changes: object) -> CutUnit:
    figures: dict[str, object] = {
        "rated_v": 12.0,
        "power_w_per_m": 9.6,
        "cut_unit_length_m": 0.05,
        "forward_v": forward_v,
        "leds_in_series": 3,
        "dropout_v": None if kind == "resistor" else 0.8,
        "idle_a": 0.002 if kind == "pixel" else 0.0,
    }
    return describe_cut_unit(kind, **(figures | changes))


def total_current(unit: CutUnit, volts: float) -> float:
    at = np.array(volts)
    leds = sum(channel_current(c, unit.holds_current, at)[0] for c in unit.channels)
    return float(leds + idle_current(unit, at)[0])


def test_wright_omega_is_that_of_scipy() -> None:
    x = np.concatenate([np.linspace(-690, 700, 20001), np.linspace(-3, 3, 20001), [1e6, 1e15]])
    np.testing.assert_allclose(wright_omega(x), wrightomega(x), rtol=2e-13)
    near = np.linspace(-20, 50, 20001)
    np.testing.assert_allclose(wright_omega(near), wrightomega(near), rtol=2e-14)


def test_thermal_volts_are_those_of_codata_at_300_kelvin() -> None:
    # CODATA 2018, exact: Boltzmann constant and elementary charge.
    assert pytest.approx(1.380649e-23 * 300 / 1.602176634e-19, rel=2e-4) == THERMAL_V


@given(
    kind=st.sampled_from(KINDS),
    rated_v=st.floats(5.0, 48.0),
    power=st.floats(1.0, 30.0),
    length_m=st.floats(0.01, 0.2),
    parts=st.lists(st.floats(0.3, 0.9), min_size=1, max_size=4),
)
def test_a_single_unit_at_rated_volts_draws_exactly_rated_power(
    kind: str, rated_v: float, power: float, length_m: float, parts: list[float]
) -> None:
    unit = unit_of(
        kind,
        tuple(part * rated_v for part in parts),
        rated_v=rated_v,
        power_w_per_m=power,
        cut_unit_length_m=length_m,
        dropout_v=None if kind == "resistor" else 0.05 * rated_v,
        idle_a=0.1 * power * length_m / rated_v if kind == "pixel" else 0.0,
    )
    watts = rated_v * total_current(unit, rated_v)
    assert watts == pytest.approx(power * length_m, rel=1e-12)


@given(volts=st.floats(0.0, 40.0), kind=st.sampled_from(KINDS))
def test_current_solves_the_equation_of_its_string(volts: float, kind: str) -> None:
    channel = unit_of(kind).channels[0]
    amps = float(channel_current(channel, kind != "resistor", np.array(volts))[0])

    def left_over(log_amps: float) -> float:
        string_v = channel.forward_v + channel.slope_v * (log_amps - np.log(channel.rated_a))
        return float(string_v + channel.resistance_ohm * np.exp(log_amps) - volts)

    expected = float(np.exp(brentq(left_over, -400.0, 3.0, xtol=1e-13, rtol=1e-14)))
    if kind != "resistor":
        expected = min(expected, channel.rated_a)
    assert amps == pytest.approx(expected, rel=1e-9)


@given(volts=st.floats(0.0, 30.0), kind=st.sampled_from(KINDS))
def test_slope_is_that_of_the_current(volts: float, kind: str) -> None:
    channel = unit_of(kind).channels[0]
    step = 1e-5
    if abs(volts - 9.8) < 2 * step:  # the kink where the regulator takes hold
        return
    at = np.array([volts - step, volts, volts + step])
    amps, siemens = channel_current(channel, kind != "resistor", at)
    assert siemens[1] == pytest.approx((amps[2] - amps[0]) / (2 * step), rel=1e-5, abs=1e-12)


@given(part=st.floats(0.01, 0.999), forward=st.floats(0.2, 0.95))
def test_light_of_a_resistor_strip_falls_by_more_than_its_volts(
    part: float, forward: float
) -> None:
    unit = unit_of("resistor", (12.0 * forward,))
    channel = unit.channels[0]
    amps, _ = channel_current(channel, False, np.array(12.0 * part))
    assert amps / channel.rated_a < part


def test_five_percent_fewer_volts_cost_about_a_fifth_of_the_light() -> None:
    # The rule of thumb for 12 V strip with three white LEDs of 3 V and 3 V left for the resistor:
    # 0.6 V of 3 V, softened a little by the LEDs.
    channel = unit_of("resistor").channels[0]
    amps, _ = channel_current(channel, False, np.array(0.95 * 12.0))
    assert 0.79 < amps / channel.rated_a < 0.83


@given(left=st.floats(0.8, 20.0))
def test_a_regulator_holds_its_current_from_dropout_upwards(left: float) -> None:
    channel = unit_of("constant-current").channels[0]
    amps, siemens = channel_current(channel, True, np.array(9.0 + left + 1e-9))
    assert amps == channel.rated_a
    assert siemens == 0.0


def test_below_dropout_a_regulated_strip_is_a_resistor_strip() -> None:
    channel = unit_of("constant-current").channels[0]
    volts = np.linspace(0.0, 9.79, 50)
    np.testing.assert_array_equal(
        channel_current(channel, True, volts)[0], channel_current(channel, False, volts)[0]
    )


def test_without_volts_there_is_no_current() -> None:
    for kind in KINDS:
        unit = unit_of(kind)
        for volts in (0.0, -1.0, -100.0):
            assert 0.0 <= total_current(unit, volts) < 1e-12


def test_a_dark_pixel_draws_its_idle_current() -> None:
    unit = unit_of("pixel", idle_min_v=3.5)
    amps, siemens = idle_current(unit, np.array([0.0, 1.75, 3.5, 12.0]))
    np.testing.assert_allclose(amps, [0.0, 0.001, 0.002, 0.002])
    np.testing.assert_allclose(siemens[[1, 3]], [0.002 / 3.5, 0.0])


def test_a_batch_of_strips_is_each_strip_alone() -> None:
    rated = np.array([9.0, 9.6, 12.0])
    batch = unit_of("resistor", power_w_per_m=rated)
    volts = np.array(11.0)
    amps = channel_current(batch.channels[0], False, volts)[0]
    for k, power in enumerate(rated):
        alone = unit_of("resistor", power_w_per_m=float(power))
        assert amps[k] == channel_current(alone.channels[0], False, volts)[0]


@pytest.mark.parametrize(
    ("kind", "changes", "says"),
    [
        ("resistor", {"forward_v": (12.5,)}, "not below the rated"),
        ("resistor", {"dropout_v": 0.5}, "leave the dropout volts out"),
        ("resistor", {"idle_a": 0.001}, "no idle current"),
        ("resistor", {"power_w_per_m": 0.0}, "watts a metre"),
        ("resistor", {"leds_in_series": [3, 3]}, "for 1 channels"),
        ("constant-current", {"dropout_v": None}, "needs the dropout volts"),
        ("constant-current", {"dropout_v": 3.5}, "could never hold"),
        ("pixel", {"idle_a": 0.05}, "includes the idle current"),
        ("pixel", {"idle_min_v": 13.0}, "above the rated"),
        ("neon", {}, "write resistor"),
        ("resistor", {"forward_v": ()}, "no channel"),
    ],
)
def test_contradictory_figures_are_refused_in_a_sentence(
    kind: str, changes: dict[str, object], says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        unit_of(kind, **changes)
