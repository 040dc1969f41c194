"""Open-circuit curves of the chemistries on one even grid, so that batches look them up at once."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.tables.chemistries import Chemistry, chemistry, chemistry_keys

Floats = NDArray[np.float64]

FIRST, LAST, STEP = -0.5, 1.3, 0.001
"""Even grid of the share of charge drawn; outside the published points the curve runs straight."""


def even_curve(kind: Chemistry) -> tuple[Floats, Floats]:
    """Share of charge drawn (even grid) and volts of one cell [V], descending all the way.

    >>> drawn, volts = even_curve(chemistry("lifepo4"))
    >>> round(float(np.interp(0.5, drawn, volts)), 2)
    3.28
    """
    grid = np.linspace(FIRST, LAST, round((LAST - FIRST) / STEP) + 1)
    x, v = kind.drawn, kind.volts
    volts = np.interp(grid, x, v)
    above, below = grid < x[0], grid > x[-1]
    volts[above] = v[0] + (v[1] - v[0]) / (x[1] - x[0]) * (grid[above] - x[0])
    volts[below] = v[-1] + (v[-1] - v[-2]) / (x[-1] - x[-2]) * (grid[below] - x[-1])
    return grid, volts


@cache
def _stacked() -> Floats:
    return np.stack([even_curve(chemistry(key))[1] for key in chemistry_keys()])


def cell_volts(row: NDArray[np.intp], drawn: ArrayLike) -> Floats:
    """Volts of one cell [V] of the chemistries in `row` at the shares `drawn` (same shape).

    >>> row = np.array([chemistry("lead-acid").row])
    >>> float(cell_volts(row, np.array([1.0]))[0].round(3))
    1.75
    """
    table = _stacked()
    place = np.clip((np.asarray(drawn, dtype=float) - FIRST) / STEP, 0.0, table.shape[1] - 1.001)
    left = place.astype(np.intp)
    flat = table.ravel()
    at = row * table.shape[1] + left
    low = flat.take(at)
    return np.asarray(low + (flat.take(at + 1) - low) * (place - left))


class RestVolts:
    """Volts at rest of a flat batch, prepared for being asked again and again.

    Volts are `cells` times those of the chemistry's curve at `start + width * drawn`, plus `shift`.
    """

    def __init__(
        self, row: NDArray[np.intp], start: Floats, width: Floats, cells: Floats, shift: Floats
    ) -> None:
        self._flat = _stacked().ravel()
        points = _stacked().shape[1]
        self._first = row * points
        self._last = points - 1.001
        self._start, self._width = (start - FIRST) / STEP, width / STEP
        self._cells, self._shift = cells, cells * shift

    def at(self, drawn: Floats | float) -> Floats:
        """Volts where the shares `drawn` are gone [V]."""
        place = self._width * drawn
        place += self._start
        np.maximum(place, 0.0, out=place)
        np.minimum(place, self._last, out=place)
        left = place.astype(np.intp)
        place -= left
        left += self._first
        low = self._flat.take(left)
        left += 1
        high = self._flat.take(left)
        high -= low
        high *= place
        high += low
        high *= self._cells
        high += self._shift
        return high


def drawn_at(row: NDArray[np.intp], volts: Floats) -> Floats:
    """Share of charge drawn where cells of the chemistries in `row` (n,) rest at `volts` (n, ...).

    >>> row = np.array([chemistry("lead-acid").row])
    >>> float(drawn_at(row, np.array([1.75]))[0].round(3))
    1.0
    """
    grid = np.linspace(FIRST, LAST, _stacked().shape[1])
    drawn = np.empty_like(volts)
    for one in sorted(set(row.tolist())):
        falling = _stacked()[one][::-1]
        drawn[row == one] = np.interp(volts[row == one], falling, grid[::-1])
    return drawn
