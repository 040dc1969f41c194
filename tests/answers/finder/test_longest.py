"""Loads run down on a coarser grid last no less than on the grid that answers use."""

from dataclasses import replace

import numpy as np
import pytest
from designs import parts

from lightcalc.answers.bought import cells_of
from lightcalc.answers.finder.longest import Loads, longest_h
from lightcalc.design.piece import Stretch, Use
from lightcalc.physics.charge.discharge import discharge
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import Pack, stack_packs

# A pack, its size in parts of itself, its resistance for that size, health, room, and the hours
# that its energy would last at the power drawn: those that a coarser grid misses most.
CASES = [
    ("lifepo4-4s-6000", 1.0, 0.3, 0.2, -20.0, 1.0),
    ("lifepo4-4s-6000", 0.1, 0.3, 0.2, 20.0, 0.2),
    ("liion-6s-5200", 0.1, 0.3, 1.0, -20.0, 0.2),
    ("liion-4s-6800", 0.003, 0.3, 1.0, 20.0, 0.2),
    ("liion-6s-5200", 0.003, 0.3, 1.0, -20.0, 1.0),
    ("lifepo4-8s-12000", 0.003, 3.0, 0.2, 50.0, 100.0),
    ("lifepo4-8s-12000", 0.003, 3.0, 0.2, -20.0, 1000.0),
    ("usb-20000", 0.003, 1.0, 1.0, 50.0, 1000.0),
]
FOR_EVER = Use((Stretch(1.0, 1e8),))


def cells(name, size, ohms, health_ratio, room_c):
    part = parts().packs[name]
    of_size = {
        field: getattr(part, field) and getattr(part, field) * size
        for field in (
            "capacity_coulomb",
            "slow_current_a",
            "fast_current_a",
            "fast_capacity_coulomb",
        )
    }
    part = replace(part, resistance_ohm=part.resistance_ohm * ohms / size, **of_size)
    return cells_of(part, 1, health_ratio, room_c).used, part.capacity_coulomb * part.nominal_v


def loads(pack: Pack, power_w: float) -> Loads:
    zero = np.zeros(1)
    watts = np.full((1, 1, 1), power_w)
    return Loads(
        stack_packs([pack]), np.ones((1, 1)), watts, watts, zero, zero + np.inf, zero, zero
    )


@pytest.mark.parametrize("case", CASES)
def test_a_pack_lasts_no_less_than_it_does_on_the_finer_grid(case):
    *made, hours = case
    pack, energy_j = cells(*made)
    power_w = energy_j / 3600.0 / hours
    alone_h = float(discharge(pack, constant_power(power_w)).duration_s) / 3600.0
    assert alone_h > 0.0
    assert alone_h <= longest_h(loads(pack, power_w), FOR_EVER)[0] <= 1.01 * alone_h


def test_what_may_draw_nothing_is_not_said_to_end():
    """A pack that gives nothing goes on, and is not taken for one whose load has stopped."""
    pack, _ = cells("liion-4s-6800", 1.0, 1.0, 1.0, 20.0)
    assert longest_h(loads(pack, 0.0), FOR_EVER)[0] == np.inf
