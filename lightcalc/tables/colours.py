"""How much light common surfaces send back, and the colour of light, in linear sRGB."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

from lightcalc.tables.rows import read_rows

Colour = tuple[float, float, float]


@cache
def colours() -> dict[str, Colour]:
    """Return the matt reflectance of each surface, by name.

    >>> colours()["walnut"]
    (0.15, 0.09, 0.055)
    """
    return {row["colour"]: _colour(row) for row in read_rows("colours.csv")}


@cache
def tints() -> dict[str, Colour]:
    """Return the colour that light takes on in tinted resin and sheet, by name."""
    return {row["tint"]: _colour(row) for row in read_rows("tints.csv")}


def white_light(kelvin: float) -> Colour:
    """Return the colour of white light of a colour temperature, 1800 K to 10000 K.

    Between the lines of the table it goes straight in 1 / kelvin, along which the eye's steps are
    about equal; beyond the ends it stays as there. To an eye adapted to 4000 K.

    >>> white_light(4000.0)
    (1.0, 1.0, 1.0)
    """
    table = _white_light()
    place = 1.0 / max(kelvin, 1.0)
    for (one, colour), (other, following) in pairwise(table):
        if place <= one and place >= other:
            share = (one - place) / (one - other)
            r, g, b = ((1 - share) * a + share * c for a, c in zip(colour, following, strict=True))
            return (r, g, b)
    return table[0][1] if place > table[0][0] else table[-1][1]


@cache
def _white_light() -> tuple[tuple[float, Colour], ...]:
    """Return 1 / kelvin and colour of each line of the table, warm light first."""
    rows = read_rows("white_light.csv")
    return tuple((1.0 / float(row["kelvin"]), _colour(row)) for row in rows)


def _colour(row: dict[str, str]) -> Colour:
    return (float(row["red"]), float(row["green"]), float(row["blue"]))


def at_luminance_one(colour: Colour) -> Colour:
    """Return a colour scaled to a luminance of 1 (weights of IEC 61966-2-1).

    >>> at_luminance_one((2.0, 2.0, 2.0))
    (1.0, 1.0, 1.0)
    """
    luminance = math.fsum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), colour, strict=True))
    r, g, b = (part / luminance for part in colour)
    return (r, g, b)
