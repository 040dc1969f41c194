"""The set of which none is better in every respect, of rows in which less is better."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ranks = NDArray[np.int64]
"""Merits of designs (designs, merits) in whole steps; less is better."""


def beaten(rows: Ranks, by: Ranks) -> NDArray[np.bool_]:
    """Whether a row is no better than one other in any merit, and worse in at least one.

    >>> beaten(np.array([[1, 5], [2, 5], [0, 9]]), np.array([1, 5])).tolist()
    [False, True, False]
    """
    return np.asarray(np.all(rows >= by, axis=-1) & np.any(rows > by, axis=-1))


def frontier(rows: Ranks) -> NDArray[np.intp]:
    """Find the rows that no other beats, in rising order; of equal rows the first.

    >>> frontier(np.array([[1, 5], [2, 5], [0, 9], [1, 5]])).tolist()
    [0, 2]
    """
    # Nothing beats a row that comes before it in the order of its merits.
    order = np.lexsort((np.arange(len(rows)), *rows.T[::-1]))
    kept: list[int] = []
    best = np.empty((0, rows.shape[1]), dtype=rows.dtype)
    for place in order:
        row = rows[place]
        if not np.all(best <= row, axis=1).any():
            kept.append(int(place))
            best = np.vstack((best, row))
    return np.array(sorted(kept), dtype=np.intp)
