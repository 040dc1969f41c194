"""The table of chemistries holds together."""

from __future__ import annotations

import numpy as np
import pytest

from lightcalc.problems import BadInput
from lightcalc.tables.chemistries import chemistry, chemistry_keys

every_key = pytest.mark.parametrize("key", chemistry_keys())


@every_key
def test_curves_fall_as_charge_is_drawn(key: str) -> None:
    kind = chemistry(key)
    assert np.all(np.diff(kind.drawn) > 0)
    assert np.all(np.diff(kind.volts) < 0)
    assert kind.drawn[0] < 0
    assert kind.drawn[-1] > 1


@every_key
def test_the_curve_passes_full_volts_at_no_charge_drawn(key: str) -> None:
    kind = chemistry(key)
    assert np.interp(0.0, kind.drawn, kind.volts) == pytest.approx(kind.volts_full)


@every_key
def test_cold_lowers_capacity_and_raises_resistance(key: str) -> None:
    kind = chemistry(key)
    assert np.all(np.diff(kind.temperature_c) > 0)
    assert np.all(np.diff(kind.capacity_share) >= 0)
    assert np.all(np.diff(kind.resistance_factor) < 0)
    assert np.interp(25.0, kind.temperature_c, kind.capacity_share) == 1.0
    assert np.interp(25.0, kind.temperature_c, kind.resistance_factor) == 1.0


@every_key
def test_figures_lie_where_cells_of_the_trade_lie(key: str) -> None:
    kind = chemistry(key)
    assert kind.volts_cutoff < kind.volts_label < kind.volts_full
    assert 1.0 <= kind.peukert < 1.5
    assert (kind.peukert > 1.0) == (kind.rate_law == "peukert")
    assert (kind.lag_s > 0) == (kind.rate_law == "diffusion")
    assert (kind.cycles > 1) == kind.rechargeable
    assert 0 < kind.self_discharge_month < 0.3


def test_a_wrong_key_is_answered_with_the_right_ones() -> None:
    with pytest.raises(BadInput, match="alkaline"):
        chemistry("nickel")
