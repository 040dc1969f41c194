"""Newton settles whatever the copper and the supply."""

from __future__ import annotations

import numpy as np
import pytest
from any_networks import (
    KINDS,
    assert_consistent,
    networks,
    unit_of,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run

extreme_ohms = st.one_of(
    st.just(0.0), st.floats(-9.0, 4.0).map(lambda power: 10.0**power), st.floats(0.001, 1.0)
)


@given(
    network=networks(ohms=extreme_ohms, most_units=300),
    supply_v=st.one_of(st.just(0.0), st.just(1e-6), st.floats(0.0, 60.0)),
)
@settings(max_examples=80, deadline=None)
def test_any_copper_and_any_supply_settles(network: Network, supply_v: float) -> None:
    found = solve(network, supply_v)
    assert_consistent(network, found)
    assert found.steps <= 60


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("ohm_per_m", [0.0, 1e-6, 0.05, 1.0, 1e2, 1e5])
def test_the_longest_strip_settles_at_every_supply(kind: str, ohm_per_m: float) -> None:
    unit = unit_of(kind, 3 if kind == "pixel" else 1)
    run = Run(unit, 300, 0.1, ohm_per_m, (ohm_per_m,))
    network = Network((run,), (Lead(SUPPLY, 0.05, (0.05,), 0, 0),))
    found = solve(network, np.linspace(0.0, 15.0, 31))
    assert_consistent(network, found)
    assert found.steps <= 40
