"""Where a run can be cut and soldered: its whole cut units, and the pads between them.

|--unit--|--unit--|--unit--|
0        1        2        3   pads
"""

from __future__ import annotations

import math

from lightcalc.parts.kinds import Strip

# A length within this share of a cut unit counts as reaching the next cut mark.
CUT_TOLERANCE = 1e-6


def cut_units(length_m: float, strip: Strip) -> int:
    """Return how many whole cut units fit into a length, and at least one."""
    return max(math.floor(length_m / strip.cut_unit_m + CUT_TOLERANCE), 1)


def nearest_pad(at_m: float, units: int, strip: Strip) -> int:
    """Return the solder pad nearest to a place along a run of so many cut units."""
    return min(round(at_m / strip.cut_unit_m), units)
