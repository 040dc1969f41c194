"""The scales that drawings are made to."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lightcalc.tables.rows import read_rows


@dataclass(frozen=True)
class DrawingScale:
    """A scale of reduction: the piece is `reduction` times as large as its drawing."""

    reduction: int
    called: str

    @property
    def words(self) -> str:
        """The scale as it stands on a drawing.

        >>> DrawingScale(8, "1 1/2 in = 1 ft").words
        '1:8 (1 1/2 in = 1 ft)'
        """
        return f"1:{self.reduction}" + (f" ({self.called})" if self.called else "")


@cache
def drawing_scales(system: str) -> tuple[DrawingScale, ...]:
    """Return the scales of a system of units, "metric" or "inch", the largest drawing first.

    >>> [scale.reduction for scale in drawing_scales("metric")][:4]
    [1, 2, 5, 10]
    """
    return tuple(
        DrawingScale(int(row["reduction"]), row["called"])
        for row in read_rows("drawing_scales.csv")
        if row["system"] == system
    )
