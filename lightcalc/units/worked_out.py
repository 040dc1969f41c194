"""Scales that pint has worked out already, kept as a file so that start-up need not load pint.

`worked_out.csv` holds every word of `units.toml` in every kind that it measures, and the compound
units that catalogues use. Any other unit still goes to pint. After a change of `units.toml` run
`python -m lightcalc.units`, which writes the file anew; a test holds it against pint.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("worked_out.csv")


@cache
def worked_out() -> dict[tuple[str, str], tuple[float, float]]:
    """Return factor and offset by unit and kind.

    >>> worked_out()["mm", "length"]
    (0.001, 0.0)
    """
    with FILE.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.reader(lines))[1:]
    return {(unit, kind): (float(factor), float(offset)) for unit, kind, factor, offset in rows}
