"""USB banks: what the label promises and what comes out."""

from __future__ import annotations

import pytest

from lightcalc.physics.charge.bank import auto_off, bank_load, describe_bank
from lightcalc.physics.charge.discharge import endurance

HOUR = 3600.0


def test_five_volts_get_two_thirds_of_the_label() -> None:
    """10 Ah at 3.7 V are 37 Wh; at 88 % 32.6 Wh come out, 6.5 Ah at 5 V."""
    bank = describe_bank(10 * HOUR, efficiency=0.88)
    run = endurance(bank.pack, bank_load(bank, 1.0))
    assert float(run.duration_s) / HOUR / 5.0 == pytest.approx(6.5, rel=0.03)


def test_a_rated_output_sets_the_efficiency() -> None:
    bank = describe_bank(10 * HOUR, rated_output_coulomb=6.0 * HOUR)
    assert bank.efficiency == pytest.approx(6.0 * 5.0 / 37.0)


def test_the_cells_carry_the_output_and_the_loss() -> None:
    bank = describe_bank(10 * HOUR, efficiency=0.8)
    load = bank_load(bank, 4.0, 8.0)
    assert load.power_w == pytest.approx([5.0])
    assert load.peak_power_w == pytest.approx([10.0])


@pytest.mark.parametrize(
    ("stretches", "off", "share"),
    [
        ([(0.2, 3600.0)], False, 0.0),
        ([(0.02, 3600.0)], True, 1.0),
        ([(0.2, 3570.0), (0.02, 20.0)], False, 20 / 3590),
        ([], False, 0.0),
    ],
)
def test_a_bank_sleeps_under_a_load_it_cannot_see(
    stretches: list[tuple[float, float]], off: bool, share: float
) -> None:
    found = auto_off(describe_bank(10 * HOUR, auto_off_a=0.06), stretches)
    assert found.switches_off is off
    assert found.share_below == pytest.approx(share)
