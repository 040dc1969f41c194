"""How much light common surfaces send back, in three colours."""

from __future__ import annotations

from functools import cache

from lightcalc.tables.rows import read_rows


@cache
def colours() -> dict[str, tuple[float, float, float]]:
    """Return the matt reflectance of each surface in linear sRGB, by name.

    >>> colours()["walnut"]
    (0.15, 0.09, 0.055)
    """
    return {
        row["colour"]: (float(row["red"]), float(row["green"]), float(row["blue"]))
        for row in read_rows("colours.csv")
    }
