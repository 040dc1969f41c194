"""Self-discharge and wear."""

from __future__ import annotations

import pytest

from lightcalc.physics.charge.wear import self_discharge_amps, wear
from lightcalc.tables.chemistries import chemistry, chemistry_keys

YEAR = 365.25 * 86400.0


@pytest.mark.parametrize("key", chemistry_keys())
def test_a_month_of_self_discharge_takes_the_share_of_the_table(key: str) -> None:
    lost = self_discharge_amps(key, 1000.0) * YEAR / 12
    assert lost == pytest.approx(1000.0 * chemistry(key).self_discharge_month)


def test_ten_kelvin_double_self_discharge() -> None:
    warm, cool = (self_discharge_amps("nimh", 7200.0, t) for t in (30.0, 20.0))
    assert warm == pytest.approx(2 * cool)


def test_the_smaller_of_cycle_and_calendar_life_counts() -> None:
    daily = wear("lithium-ion", 86400.0, cycles=500, calendar_years=7)
    rare = wear("lithium-ion", 90 * 86400.0, cycles=500, calendar_years=7)
    assert daily.years == pytest.approx(500 / 365.25)
    assert daily.ended_by_cycles
    assert rare.years == 7
    assert not rare.ended_by_cycles
    assert rare.charges_per_year == pytest.approx(365.25 / 90)


def test_half_charges_wear_half() -> None:
    whole = wear("lead-acid", 86400.0)
    half = wear("lead-acid", 86400.0, drawn_share=0.5)
    assert half.years == pytest.approx(2 * whole.years)


def test_cells_that_cannot_be_recharged_last_one_charge() -> None:
    assert wear("alkaline", YEAR / 10).years == pytest.approx(0.1)
