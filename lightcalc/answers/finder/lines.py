"""Tables that straight lines between their values keep on one side of the curve they stand for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Room beside straight lines that follow a curve.
LINE_SHARE = 0.999
# No value is told as less than this share of the greatest.
NOTHING = 1e-4


def below(table: Array) -> Array:
    """Lower a table (m, k) so that straight lines between its values are never above its curve."""
    lower = LINE_SHARE * (table - _bend(np.maximum(np.diff(table, 2), 0.0)))
    return np.asarray(np.maximum(lower, NOTHING * table.max(axis=1, keepdims=True)))


def above(table: Array) -> Array:
    """Raise a table (m, k) so that straight lines between its values are never below its curve."""
    return np.asarray((table + _bend(np.maximum(-np.diff(table, 2), 0.0))) / LINE_SHARE)


def _bend(second: Array) -> Array:
    """Return by how much curves of such second differences (m, k - 2) miss straight lines.

    Where a curve has a kink, or bends, between two values, a straight line between them misses it
    by at most a quarter of the second differences at both; at an end only one of those is known,
    and it misses by no more than that.
    """
    at_each = np.concatenate((3.0 * second[:, :1], second, 3.0 * second[:, -1:]), axis=1)
    between = at_each[:, :-1] + at_each[:, 1:]
    wide = np.pad(between, ((0, 0), (1, 1)), mode="edge")
    return np.asarray(np.maximum(wide[:, :-1], wide[:, 1:]) / 4.0)


def read(volts: Array, table: Array, at: Array) -> Array:
    """Read each row of a table over evenly spaced volts, both (m, k), at volts (m,)."""
    step = (at - volts[:, 0]) / (volts[:, 1] - volts[:, 0])
    low = np.clip(np.floor(step), 0, table.shape[1] - 2).astype(np.intp)
    share, rows = np.clip(step - low, 0.0, 1.0), np.arange(len(table))
    return np.asarray(table[rows, low] + share * (table[rows, low + 1] - table[rows, low]))
