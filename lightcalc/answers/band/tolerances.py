"""How far parts may be from their labels, and places from the drawing, where nobody says so."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

# A tolerance is the half width of the band in which nearly every part falls: two standard
# deviations of a normal spread of the logarithm, so that about 95 of 100 parts are inside.
DEVIATIONS_IN_A_TOLERANCE = 2.0
# A tolerance below this says that the figure is known.
LEAST_TOLERANCE = 1e-4
# From the middle to the 90th percentile, out of the table of the normal distribution.
DEVIATIONS_TO_THE_90TH = 1.2815515655446004


@cache
def _table() -> dict[str, dict[str, float]]:
    path = Path(__file__).with_name("tolerances.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def usual_tolerances() -> dict[str, float]:
    """Return the tolerances taken where the catalogue has none; judgement.

    >>> usual_tolerances()["output"]
    0.02
    """
    return _table()["tolerances"]


def common_share() -> float:
    """Return the share of the variance that parts of one batch have in common; judgement.

    >>> 0.0 < common_share() < 1.0
    True
    """
    return _table()["batch"]["common_share"]
