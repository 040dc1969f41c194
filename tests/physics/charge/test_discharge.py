"""Laws of a discharge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from lightcalc.physics.charge.discharge import (
    ENDINGS,
    QUICK_GRID,
    Discharge,
    Ending,
    discharge,
    endurance,
)
from lightcalc.physics.charge.load import Load, constant_current, constant_power
from lightcalc.physics.charge.pack import Pack, describe_pack, scale_pack, stack_packs
from lightcalc.tables.chemistries import chemistry, chemistry_keys

HOUR = 3600.0
keys = st.sampled_from(chemistry_keys())
rates = st.floats(0.005, 1.5)


def usual(key: str, hours: float = 2.0, **more: float) -> Pack:
    cells = {"alkaline": 4, "nimh": 4, "lead-acid": 6}.get(key, 1)
    return describe_pack(key, hours * HOUR, cells * chemistry(key).volts_label, **more)


def watts(key: str, rate: float, hours: float = 2.0) -> float:
    pack = usual(key)
    return rate * hours * float(pack.open_circuit_volts(0.5))


@settings(max_examples=60, deadline=None)
@given(keys, rates, st.floats(1.0, 3.0), st.floats(0.5, 1.0), st.floats(-20, 45))
def test_hours_never_rise_when_the_load_rises(
    key: str, rate: float, more: float, health: float, temperature: float
) -> None:
    pack = usual(key, health=health, temperature_c=temperature)
    small, big = endurance(
        pack, constant_power(watts(key, rate) * np.array([1.0, more]))
    ).duration_s
    assert big <= small * (1 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(keys, rates, st.floats(1.0, 5.0))
def test_energy_out_and_heat_make_up_what_the_pack_gave(
    key: str, rate: float, crest: float
) -> None:
    power = watts(key, rate)
    run = discharge(usual(key), constant_power(power, power * crest))
    out = power * run.duration_s
    assert run.totals.energy_j == pytest.approx(out, rel=1e-9, abs=1e-9)
    assert run.totals.heat_j >= 0
    assert out + run.totals.heat_j == pytest.approx(run.totals.open_circuit_j, rel=1e-9, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(["lithium-ion", "lifepo4"]), st.floats(0.02, 1.0))
def test_the_pack_gives_the_area_under_its_open_circuit_curve(key: str, rate: float) -> None:
    pack = usual(key)
    run = endurance(pack, constant_power(watts(key, rate)))
    end = float(run.charge_coulomb / pack.capacity_coulomb)
    fine = np.linspace(0, end, 20001)
    one = np.array([float(pack.open_circuit_volts(s)) for s in fine[::10]])
    area = np.trapezoid(one, fine[::10]) * float(pack.capacity_coulomb)
    assert float(run.open_circuit_j) == pytest.approx(area, rel=2e-4)


@settings(max_examples=30, deadline=None)
@given(keys, rates)
def test_curves_and_totals_tell_the_same(key: str, rate: float) -> None:
    run = discharge(usual(key), constant_power(watts(key, rate)))
    heat = np.trapezoid(run.pack_heat_w, run.time_s)
    assert run.time_s[-1] == run.duration_s
    assert run.charge_coulomb[-1] == run.totals.charge_coulomb
    assert np.all(np.diff(run.time_s) >= 0)
    assert np.all(np.diff(run.charge_coulomb) >= 0)
    assert heat == pytest.approx(float(run.totals.heat_j), rel=5e-3, abs=1.0)
    assert np.allclose(run.volts * run.amps, watts(key, rate))


@settings(max_examples=30, deadline=None)
@given(keys, rates, st.sampled_from([2.0, 3.0, 10.0]), st.sampled_from(["series", "parallel"]))
def test_twice_the_cells_under_twice_the_load_last_as_long(
    key: str, rate: float, times: float, way: str
) -> None:
    power = watts(key, rate)
    one = endurance(usual(key), constant_power(power))
    many = endurance(scale_pack(usual(key), **{way: times}), constant_power(power * times))
    assert float(many.duration_s) == pytest.approx(float(one.duration_s), rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(keys, rates, st.floats(0.5, 1.0), st.floats(-25, 25))
def test_an_aged_or_cold_pack_never_lasts_longer(
    key: str, rate: float, health: float, temperature: float
) -> None:
    load = constant_power(watts(key, rate))
    fresh = endurance(usual(key), load).duration_s
    aged = endurance(usual(key, health=health), load).duration_s
    cold = endurance(usual(key, temperature_c=temperature), load).duration_s
    assert aged <= fresh * (1 + 1e-9)
    assert cold <= fresh * (1 + 1e-9)


def test_a_batch_equals_its_pairs_one_by_one() -> None:
    rng = np.random.default_rng(7)
    packs, loads = [], []
    volts = np.linspace(0.5, 20, 15)
    for key in chemistry_keys() * 4:
        packs.append(usual(key, health=rng.uniform(0.6, 1), temperature_c=rng.uniform(-10, 30)))
        loads.append(watts(key, rng.uniform(0.02, 1.5)) * (1 + 0.03 * volts))
    power = np.array(loads)
    batch = endurance(stack_packs(packs), Load(volts, power, 1.5 * power), max_amps=9.0)
    curves = discharge(stack_packs(packs), Load(volts, power, 1.5 * power), max_amps=9.0)
    for i, pack in enumerate(packs):
        one = endurance(pack, Load(volts, power[i], 1.5 * power[i]), max_amps=9.0)
        for name in ("duration_s", "charge_coulomb", "energy_j", "heat_j", "ending"):
            assert getattr(batch, name)[i] == pytest.approx(float(getattr(one, name)), rel=1e-12)
            assert getattr(curves.totals, name)[i] == getattr(batch, name)[i]
    assert len(set(batch.ending.tolist())) > 1


@settings(max_examples=30, deadline=None)
@given(keys, rates, st.integers(2, 40), st.floats(1.0, 4.0))
def test_a_table_of_one_power_equals_constant_power(
    key: str, rate: float, rows: int, crest: float
) -> None:
    power = watts(key, rate)
    flat = np.full(rows, power)
    table = endurance(usual(key), Load(np.linspace(0.3, 16.0, rows), flat, crest * flat))
    plain = endurance(usual(key), constant_power(power, crest * power))
    assert float(table.duration_s) == pytest.approx(float(plain.duration_s), rel=1e-9, abs=1e-9)
    assert table.ended_by == plain.ended_by


@pytest.mark.parametrize("key", chemistry_keys())
@pytest.mark.parametrize("rate", [0.1, 0.5])
def test_the_march_agrees_with_an_adaptive_solver_on_the_same_equations(
    key: str, rate: float
) -> None:
    """State and lag integrated over time by scipy's Radau method."""
    from lightcalc.physics.charge.pack_fit import LAG_SHARES, LAG_TIMES
    from lightcalc.physics.charge.rate import StateRate

    pack, power = usual(key), watts(key, rate)
    flat = Pack(*(np.atleast_1d(getattr(pack, name)) for name in Pack.__dataclass_fields__))
    gear = StateRate(flat)
    charge, ohms, lag = (float(x) for x in (pack.capacity_coulomb, pack.ohms, pack.lag_s))

    def volts(y: np.ndarray) -> float:
        source = float(pack.open_circuit_volts(y.sum()))
        return (source + math.sqrt(max(source**2 - 4 * ohms * power, 0.0))) / 2

    def slope(_: float, y: np.ndarray) -> np.ndarray:
        amps = power / volts(y)
        pace = amps * float(gear.at(np.array([amps]))[0]) / charge
        if lag == 0:
            return np.array([pace, 0, 0, 0])
        goal = np.array(LAG_SHARES) * amps * lag / charge
        return np.array([pace, *((goal - y[1:]) / (np.array(LAG_TIMES) * lag))])

    def at_cutoff(_: float, y: np.ndarray) -> float:
        return volts(y) - float(pack.cutoff_volts)

    at_cutoff.terminal = True  # type: ignore[attr-defined]
    far = 4 * HOUR / rate
    found = solve_ivp(
        slope, (0, far), np.zeros(4), "Radau", events=at_cutoff, rtol=1e-7, atol=1e-9, max_step=200
    )
    run = endurance(pack, constant_power(power))
    assert run.ended_by == Ending.CUTOFF
    assert float(run.duration_s) == pytest.approx(found.t[-1], rel=1e-3)


@pytest.mark.parametrize("key", ["alkaline", "nimh", "lead-acid"])
@pytest.mark.parametrize("times", [1.0, 2.0, 5.0, 12.0])
def test_steady_current_keeps_peukerts_relation(key: str, times: float) -> None:
    """t = H (C / (I H))^k, W. Peukert, 1897."""
    pack = usual(key)
    kind = chemistry(key)
    current = float(pack.slow_amps) * times
    hours = kind.slow_hours * (2.0 / (current * kind.slow_hours)) ** kind.peukert
    run = endurance(pack, constant_current(current))
    assert float(run.duration_s) / HOUR == pytest.approx(hours, rel=2e-3)


def test_peukerts_relation_goes_through_the_slow_and_the_fast_pair() -> None:
    pack = describe_pack(
        "lead-acid",
        7.2 * HOUR,
        12.0,
        slow_current_a=0.36,
        fast_capacity_coulomb=4.6 * HOUR,
        fast_current_a=4.6,
    )
    slow = endurance(pack, constant_current(0.36)).duration_s
    fast = endurance(pack, constant_current(4.6)).duration_s
    assert slow / HOUR == pytest.approx(20.0, rel=1e-3)
    assert fast / HOUR == pytest.approx(1.0, rel=2e-3)


def test_a_pack_asked_for_more_than_it_can_push_through_its_resistance_stalls() -> None:
    pack = describe_pack(
        "lithium-ion", 2 * HOUR, 3.65, cutoff_volts=0.5, resistance_ohm=0.5, cells_in_series=1
    )
    most = float(pack.open_circuit_volts(0.5)) ** 2 / 4 / float(pack.ohms)
    run = discharge(pack, constant_power(most))
    assert run.ended_by == Ending.STALL
    assert float(run.volts[-1]) == pytest.approx(math.sqrt(most * float(pack.ohms)), rel=2e-2)


def test_protection_trips_where_the_on_time_current_passes_its_limit() -> None:
    pack = usual("lithium-ion")
    run = discharge(pack, constant_power(3.0, 12.0), max_amps=3.3)
    assert run.ended_by == Ending.TRIP
    assert float(run.peak_amps[-1]) == pytest.approx(3.3, rel=1e-6)
    assert discharge(pack, constant_power(3.0, 12.0), max_amps=2.0).duration_s == 0


def test_pwm_costs_hours_through_the_resistance_only() -> None:
    pack = usual("lithium-ion")
    steady = endurance(pack, constant_power(2.0))
    pulsed = endurance(pack, constant_power(2.0, 8.0))
    assert pulsed.duration_s < steady.duration_s
    assert pulsed.heat_j > steady.heat_j


def test_a_load_that_draws_nothing_below_some_volts_lets_the_pack_rest() -> None:
    volts = np.array([3.4, 3.6, 4.2])
    power = np.array([0.0, 1.0, 2.0])
    run = discharge(usual("lithium-ion"), Load(volts, power, power))
    assert run.ended_by == Ending.IDLE
    assert 3.35 < float(run.volts[-1]) < 3.45


def test_discharging_at_the_slow_rate_gives_the_label_and_no_more_below() -> None:
    for key in ("alkaline", "nimh", "lead-acid"):
        pack = usual(key)
        run = endurance(pack, constant_current(pack.slow_amps / np.array([1.0, 10.0])))
        assert run.charge_coulomb / HOUR == pytest.approx([2.0, 2.0], rel=5e-3)


def test_endings_have_an_index_each() -> None:
    assert [ENDINGS.index(ending) for ending in Ending] == list(range(len(Ending)))
    assert isinstance(discharge(usual("nimh"), constant_power(1.0)), Discharge)


@pytest.mark.parametrize("key", ["alkaline", "nimh", "lithium-ion", "lifepo4", "lead-acid"])
def test_the_quick_grid_gives_the_same_hours_within_a_thousandth(key: str) -> None:
    cells = {"alkaline": 1.5, "nimh": 1.2, "lithium-ion": 3.65, "lifepo4": 3.2, "lead-acid": 12.0}
    one = describe_pack(key, 3600 * 5.0, cells[key])
    watts = cells[key] * 5.0 * np.array([0.02, 0.1, 0.2, 0.3])
    fine = discharge(one, constant_power(watts))
    quick = discharge(one, constant_power(watts), grid=QUICK_GRID)
    np.testing.assert_allclose(quick.duration_s, fine.duration_s, rtol=1e-3)
    assert quick.time_s.shape == (4, QUICK_GRID.size)
