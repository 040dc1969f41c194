"""Laws of dimming by pulse width."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import Lead, Network, Run
from lightcalc.physics.circuit.pwm import solve_dimmed, time_slices
from lightcalc.physics.circuit.strip import describe_cut_unit

duty_lists = st.lists(st.floats(0.0, 1.0), min_size=1, max_size=4)


def network_of(kind: str, channels: int) -> Network:
    unit = describe_cut_unit(
        kind,
        rated_v=12.0,
        power_w_per_m=14.4,
        cut_unit_length_m=0.05,
        forward_v=(6.0, 9.0, 9.3)[:channels],
        leds_in_series=3,
        dropout_v=None if kind == "resistor" else 0.8,
        idle_a=0.001 if kind == "pixel" else 0.0,
    )
    ohms = (0.08,) * unit.returns
    run = Run(unit, 30, 0.05, 0.06, ohms)
    return Network((run,), (Lead(-1, 0.05, ohms), Lead(0, 0.04, ohms, run=0, pad=10)))


@given(duties=duty_lists)
def test_slices_fill_the_period_and_give_each_channel_its_duty(duties: list[float]) -> None:
    slices = time_slices(duties)
    assert sum(part.share for part in slices) == pytest.approx(1.0)
    assert all(part.share > 0 for part in slices)
    for c, duty in enumerate(duties):
        lit = sum(part.share for part in slices if part.on[c])
        assert lit == pytest.approx(duty, abs=1e-12)


@pytest.mark.parametrize("duty", [-0.1, 1.1, float("nan")])
def test_a_duty_outside_the_period_is_refused(duty: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        time_slices((0.5, duty))


@pytest.mark.parametrize("kind", ["resistor", "constant-current", "pixel"])
def test_full_duty_is_not_dimmed(kind: str) -> None:
    network = network_of(kind, 3)
    whole, dimmed = solve(network, 12.0), solve_dimmed(network, 12.0, (1.0, 1.0, 1.0))
    np.testing.assert_array_equal(dimmed.light[0], whole.runs[0].light)
    np.testing.assert_array_equal(dimmed.supply.mean_a, whole.supply_a)
    np.testing.assert_allclose(dimmed.leads.rms_a, whole.lead_a, rtol=1e-15)


@given(duty=st.floats(0.001, 1.0))
@settings(max_examples=20)
def test_one_channel_keeps_its_peak_and_drop_while_its_mean_falls(duty: float) -> None:
    network = network_of("resistor", 1)
    whole, dimmed = solve(network, 12.0), solve_dimmed(network, 12.0, (duty,))
    np.testing.assert_allclose(dimmed.supply.peak_a, whole.supply_a)
    np.testing.assert_allclose(dimmed.supply.mean_a, duty * whole.supply_a)
    np.testing.assert_allclose(dimmed.leads.rms_a, np.sqrt(duty) * whole.lead_a)
    np.testing.assert_allclose(dimmed.light[0], duty * whole.runs[0].light)
    np.testing.assert_allclose(dimmed.power.lead_w, duty * whole.power.lead_w)
    np.testing.assert_array_equal(dimmed.solutions[0].runs[0].volts, whole.runs[0].volts)


@given(duties=st.tuples(*[st.floats(0.0, 1.0)] * 3), kind=st.sampled_from(["resistor", "pixel"]))
@settings(max_examples=25, deadline=None)
def test_mean_power_balances_and_heats_the_wire_by_the_rms_current(
    duties: tuple[float, float, float], kind: str
) -> None:
    network = network_of(kind, 3)
    found = solve_dimmed(network, 12.0, duties)
    assert abs(found.power.imbalance_w) <= 1e-9 * max(float(found.power.source_w), 1e-9)
    np.testing.assert_allclose(found.power.source_w, 12.0 * found.supply.mean_a, atol=1e-15)
    heat = sum(
        lead.positive_ohm * found.leads.rms_a[k] ** 2
        + (np.array(lead.return_ohm) * found.lead_returns.rms_a[k] ** 2).sum()
        for k, lead in enumerate(network.leads)
    )
    assert heat == pytest.approx(float(found.power.lead_w), rel=1e-12, abs=1e-18)
    for flows in (found.supply, found.returns, found.leads, found.lead_returns):
        assert np.all(flows.mean_a <= flows.rms_a * (1 + 1e-12) + 1e-18)
        assert np.all(flows.rms_a <= flows.peak_a * (1 + 1e-12) + 1e-18)


def test_a_dark_pixel_strip_draws_its_idle_current_and_nothing_else() -> None:
    found = solve_dimmed(network_of("pixel", 3), 12.0, (0.0, 0.0, 0.0))
    np.testing.assert_allclose(found.supply.mean_a, 30 * 0.001, rtol=1e-9)
    assert np.all(found.light[0] == 0.0)


def test_a_dark_analog_strip_draws_nothing() -> None:
    found = solve_dimmed(network_of("resistor", 3), 12.0, (0.0, 0.0, 0.0))
    assert found.supply.peak_a == 0.0


def test_a_channel_alone_is_brighter_than_with_the_others_on_the_shared_rail() -> None:
    network = network_of("resistor", 3)
    alone = solve_dimmed(network, 12.0, (0.5, 0.0, 0.0)).light[0][:, 0]
    together = solve_dimmed(network, 12.0, (0.5, 0.5, 0.5)).light[0][:, 0]
    assert np.all(alone > together)


def test_a_batch_of_supplies_keeps_its_axes() -> None:
    found = solve_dimmed(network_of("resistor", 3), np.array([[9.0], [12.0]]), (0.2, 0.5, 0.5))
    assert found.light[0].shape == (2, 1, 30, 3)
    assert found.lead_returns.rms_a.shape == (2, 1, 2, 3)
