"""How a strip is mounted, and how warm the things near it may be."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lightcalc.tables.rows import read_rows


@dataclass(frozen=True)
class Mounting:
    """What gives the heat of one metre of strip to the room; typical figures.

    `surface_m` is a width that sheds heat beside the strip's own, which counts when
    `strip_shows`. `spread_km_per_w` is the kelvin between strip and surface for each watt per
    metre. `touches` names the things in `heat_limits` that get as warm as the strip.
    """

    name: str
    strip_shows: bool
    surface_m: float
    emissivity: float
    spread_km_per_w: float
    touches: tuple[str, ...]


@cache
def mountings() -> dict[str, Mounting]:
    """Return every mounting by name.

    >>> mountings()["cast in resin"].touches
    ('strip', 'casting resin')
    """
    return {
        row["mounting"]: Mounting(
            name=row["mounting"],
            strip_shows=row["strip_shows"] == "1",
            surface_m=float(row["surface_mm"]) / 1000.0,
            emissivity=float(row["emissivity"]),
            spread_km_per_w=float(row["spread_km_per_w"]),
            touches=tuple(row["touches"].split(";")),
        )
        for row in read_rows("mountings.csv")
    }


def mounting_names() -> tuple[str, ...]:
    """Return the names of all mountings, in the order of the table.

    >>> mounting_names()[0]
    'bare on wood'
    """
    return tuple(mountings())


@cache
def heat_limits() -> dict[str, float]:
    """Degrees Celsius that each thing may have for years: typical, from memory.

    >>> heat_limits()["casting resin"]
    50.0
    """
    return {row["thing"]: float(row["limit_c"]) for row in read_rows("heat_limits.csv")}
