"""Where a pack and its load agree."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.charge.load import Crossing, Load


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.floats(0.0, 30.0), min_size=2, max_size=6),
    st.floats(0.01, 2.0),
    st.floats(3.0, 16.0),
)
def test_the_meeting_point_is_the_greatest_that_a_fine_search_finds(
    powers: list[float], ohms: float, source: float
) -> None:
    table = np.linspace(4.0, 15.0, len(powers))
    load = Load(table, np.array(powers) / 2, np.array(powers))
    cutoff = 3.0
    crossing = Crossing(load, np.array([ohms]), np.array([cutoff]))
    fine = np.linspace(cutoff, 17.0, 40001)
    needed = fine + ohms * np.interp(fine, table, powers) / fine
    least = needed.min()
    assert abs(crossing.least_volts[0] - least) < 2e-3
    if source > least + 1e-2:
        volts, amps, peak = crossing.at(np.array([source]))
        power = np.interp(volts, table, powers)
        assert abs(volts + ohms * power / volts - source) < 1e-8
        assert np.all(needed[fine > volts + 1e-3] > source - 1e-8)
        assert np.allclose(amps * volts, power / 2)
        assert np.allclose(peak * volts, power)
