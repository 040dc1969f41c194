"""Many packs of one label at once."""

from __future__ import annotations

import numpy as np
import pytest

from lightcalc.physics.charge import pack_batch
from lightcalc.physics.charge.discharge import discharge
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import describe_pack
from lightcalc.physics.charge.pack_batch import describe_packs

STATED = {
    "lithium-ion": {"nominal_volts": 14.4, "full_volts": 16.8, "cutoff_volts": 12.0},
    "lifepo4": {"nominal_volts": 12.8, "full_volts": 13.8, "cutoff_volts": 10.0},
    "alkaline": {"nominal_volts": 12.0, "full_volts": 12.8, "cutoff_volts": 7.2},
    "nimh": {"nominal_volts": 12.0, "full_volts": 14.0, "cutoff_volts": 10.0},
    "lead-acid": {"nominal_volts": 12.0, "full_volts": 12.9, "cutoff_volts": 10.5},
}


@pytest.mark.parametrize("key", STATED)
def test_packs_read_off_between_nodes_last_as_long_as_those_searched_for(key, monkeypatch) -> None:
    rng = np.random.default_rng(8)
    size = 1500
    capacity = np.exp(0.06 * rng.standard_normal(size))
    resistance = np.exp(0.13 * rng.standard_normal(size))
    health, warm_c = rng.uniform(0.7, 1.0, size), rng.uniform(5.0, 35.0, size)
    stated = STATED[key] | {
        "capacity_coulomb": 24480.0,
        "resistance_ohm": 0.18 if key != "alkaline" else 0.9,
        "fast_capacity_coulomb": 22680.0 if key != "alkaline" else 12000.0,
        "fast_current_a": 6.8 if key != "alkaline" else 1.0,
        "slow_current_a": 1.36 if key != "alkaline" else 0.1,
    }
    searches = []
    whole = describe_pack
    monkeypatch.setattr(
        pack_batch, "describe_pack", lambda *a, **k: searches.append(1) or whole(*a, **k)
    )
    packs = describe_packs(
        key,
        stated,
        capacity=capacity,
        resistance=resistance,
        health=health,
        temperature_c=warm_c,
    )
    # Once on the grid and once for the check: it did not fall back on searching for all.
    assert len(searches) == 2
    figures = stated | {
        "capacity_coulomb": 24480.0 * capacity,
        "resistance_ohm": stated["resistance_ohm"] * resistance,
        "fast_capacity_coulomb": stated["fast_capacity_coulomb"] * capacity,
    }
    exact = describe_pack(key, **figures, health=health, temperature_c=warm_c)
    for watts in (1.0, 4.0 if key == "alkaline" else 12.0):
        load = constant_power(watts)
        ours, theirs = discharge(packs, load).duration_s, discharge(exact, load).duration_s
        np.testing.assert_allclose(ours, theirs, rtol=1e-3)


def test_packs_that_differ_in_nothing_are_all_the_one_of_the_label() -> None:
    stated = STATED["lithium-ion"] | {"capacity_coulomb": 24480.0, "resistance_ohm": 0.18}
    one = np.ones(3000)
    packs = describe_packs(
        "lithium-ion", stated, capacity=one, resistance=one, health=one, temperature_c=25.0 * one
    )
    alone = describe_pack("lithium-ion", **stated)
    for name, value in vars(alone).items():
        np.testing.assert_allclose(getattr(packs, name), value, rtol=1e-9, atol=1e-12)
