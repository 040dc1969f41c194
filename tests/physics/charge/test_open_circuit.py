"""Open-circuit curves, there and back."""

from __future__ import annotations

import numpy as np
import pytest

from lightcalc.physics.charge.open_circuit import cell_volts, drawn_at
from lightcalc.tables.chemistries import chemistry, chemistry_keys


@pytest.mark.parametrize("key", chemistry_keys())
def test_volts_lead_back_to_the_charge_drawn(key: str) -> None:
    drawn = np.linspace(-0.1, 1.05, 200)
    row = np.full(drawn.size, chemistry(key).row)
    assert drawn_at(row, cell_volts(row, drawn)) == pytest.approx(drawn, abs=1e-9)


@pytest.mark.parametrize("key", chemistry_keys())
def test_the_even_grid_keeps_the_published_points(key: str) -> None:
    kind = chemistry(key)
    row = np.full(kind.drawn.size, kind.row)
    assert cell_volts(row, kind.drawn) == pytest.approx(kind.volts, abs=1e-6)
