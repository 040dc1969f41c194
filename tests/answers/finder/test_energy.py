"""What a pack could last at most, against discharges and evenings worked out one by one."""

import numpy as np
import pytest
from designs import parts
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.answers.bought import cells_of
from lightcalc.answers.finder.energy import Energies, Stage, longest_s
from lightcalc.physics.charge.discharge import discharge
from lightcalc.physics.charge.habit import Stretch, live_with
from lightcalc.physics.charge.load import constant_power

PACKS = ["d-alkaline-8", "nimh-aa-10-2000", "liion-4s-6800", "lifepo4-4s-6000", "sla-12v-7ah"]
watts = st.floats(0.5, 40.0)


def cells(name):
    return cells_of(parts().packs[name], 1, 1.0, 20.0).used


@pytest.fixture(scope="module")
def energies():
    return Energies([cells(name) for name in PACKS], 1.0, 20.0)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(place=st.integers(0, len(PACKS) - 1), power_w=watts, floor_v=st.floats(8.0, 13.0))
def test_no_discharge_gives_more_energy_or_less_current_than_told(
    energies, place, power_w, floor_v
):
    found = discharge(cells(PACKS[place]), constant_power(power_w))
    useful = found.volts >= floor_v
    end_s = np.interp(-floor_v, -found.volts, found.time_s)
    row = np.array([place])
    assert power_w * end_s <= energies.at(row, floor_v, np.array([power_w]))[0]
    if useful.any():
        peak_a = max(power_w / floor_v if not useful.all() else 0.0, found.amps[useful].max())
        assert energies.peak_a(row, floor_v, np.array([power_w]))[0] <= peak_a * (1 + 1e-9)


def test_less_power_gets_no_less_energy(energies):
    power_w = np.geomspace(0.2, 60.0, 50)
    for place in range(len(PACKS)):
        rows = np.full(len(power_w), place)
        assert np.all(np.diff(energies.at(rows, 10.0, power_w)) <= 1e-6)


@given(
    energy_j=st.floats(10.0, 1e6),
    stages=st.lists(st.tuples(st.floats(0.1, 50.0), st.floats(60.0, 2e4)), min_size=1, max_size=3),
    dark_w=st.floats(0.0, 1.0),
    evenings=st.sampled_from([0.5, 4.0, 7.0]),
)
def test_evenings_last_until_the_energy_is_spent(energy_j, stages, dark_w, evenings):
    made = [Stage(*stage) for stage in stages]
    lit_s = float(longest_s(np.array(energy_j), made, dark_w, evenings))
    assert lit_s <= energy_j / min(watts for watts, _ in stages) * (1 + 1e-9)
    more = float(longest_s(np.array(1.5 * energy_j), made, dark_w, evenings))
    assert more >= lit_s * (1 - 1e-9)
    assert float(longest_s(np.array(energy_j), made, 0.0, evenings)) >= lit_s * (1 - 1e-9)


@settings(max_examples=20, deadline=None, derandomize=True)
@given(
    place=st.integers(0, len(PACKS) - 1),
    levels=st.lists(st.tuples(watts, st.floats(600.0, 2e4)), min_size=1, max_size=2),
    dark_w=st.floats(0.0, 0.3),
    evenings=st.sampled_from([0.5, 4.0, 7.0]),
)
def test_no_evenings_last_longer_than_told(energies, place, levels, dark_w, evenings):
    pack, row = cells(PACKS[place]), np.array([place])
    curves = [discharge(pack, constant_power(power_w)) for power_w, _ in levels]
    evening = [Stretch(number, seconds) for number, (_, seconds) in enumerate(levels)]
    lived = live_with(pack, curves, evening, evenings, idle_w=dark_w)
    least_w = np.array([min(power_w for power_w, _ in levels)])
    energy_j = energies.at(row, 0.0, least_w)
    dark = dark_w * energies.least_share(row, least_w)
    told_s = longest_s(energy_j, [Stage(*level) for level in levels], dark, evenings)
    assert lived.lit_s <= told_s[0]


def test_a_stage_that_draws_nothing_lasts_all_its_time():
    """Of 10 J an evening takes 6 J and 8 s; of the next, 5 s take nothing and 4 J last 2 s."""
    stages = (Stage(0.0, 5.0), Stage(2.0, 3.0))
    assert longest_s(np.array(10.0), stages, 0.0, 7.0) == pytest.approx(8.0 + 5.0 + 2.0)
