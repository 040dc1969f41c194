"""Straight interpolation along many tables at once, one table a row."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

# So few rows are quicker one by one.
_FEW_ROWS = 12


def interp_rows(at: Floats, x: Floats, y: Floats, rows: Indices | None = None) -> Floats:
    """Interpolate in the tables of some rows, level outside each, as `numpy.interp` does in one.

    `x` and `y` are (n, m), every row of `x` rising or level; `rows` (k,) says which of them are
    meant, all when left out. `at` is (k,) or (k, j), and so is what is returned. A bisection over
    columns, all rows together.

    >>> x, y = np.array([[0.0, 1.0], [0.0, 2.0]]), np.array([[5.0, 6.0], [0.0, 8.0]])
    >>> interp_rows(np.array([0.5, 0.5]), x, y).tolist()
    [5.5, 2.0]
    """
    chosen = np.arange(len(x)) if rows is None else rows
    if chosen.size <= _FEW_ROWS:
        found = np.empty(np.shape(at))
        for place, row in enumerate(chosen.tolist()):
            found[place] = np.interp(at[place], x[row], y[row])
        return found
    columns = x.shape[1]
    first = (chosen * columns).reshape(-1, *(1,) * (np.ndim(at) - 1))
    flat_x, flat_y = x.ravel(), y.ravel()
    left = np.broadcast_to(first, np.shape(at)).copy()
    last = first + columns - 1
    step = 1 << max(columns - 1, 1).bit_length() - 1
    while step:
        ahead = left + step
        inside = ahead <= last
        taken = inside & (flat_x.take(np.minimum(ahead, last)) <= at)
        left[taken] = ahead[taken]
        step //= 2
    right = np.minimum(left + 1, last)
    low, high = flat_x.take(left), flat_x.take(right)
    share = np.clip((at - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    low_y = flat_y.take(left)
    return np.asarray(low_y + share * (flat_y.take(right) - low_y))
