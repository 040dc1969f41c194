"""Interpolation along many tables at once."""

from __future__ import annotations

import numpy as np
import pytest

from lightcalc.physics.interpolation import interp_rows


@pytest.mark.parametrize("columns", [1, 2, 3, 64, 65, 217])
@pytest.mark.parametrize("rows", [3, 40])
def test_every_row_is_interpolated_as_numpy_does_one(rows: int, columns: int) -> None:
    rng = np.random.default_rng(columns)
    x = np.cumsum(rng.random((rows, columns)), axis=1)
    # Tables that stay level from their end on, as a discharge does.
    x[1, columns // 2 :] = x[1, columns // 2]
    y = rng.random((rows, columns))
    y[1, columns // 2 :] = y[1, columns // 2]
    chosen = rng.permutation(rows)
    at = rng.uniform(-1.0, columns, (rows, 7))
    at[:, 0], at[:, 1], at[:, 2] = x[chosen, 0], x[chosen, -1], x[chosen, columns // 2]
    found = interp_rows(at, x, y, chosen)
    each = np.array([np.interp(at[k], x[row], y[row]) for k, row in enumerate(chosen)])
    np.testing.assert_allclose(found, each, rtol=1e-12, atol=1e-13)
    np.testing.assert_allclose(interp_rows(at[:, 3], x, y, chosen), each[:, 3], rtol=1e-12)
