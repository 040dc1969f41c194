"""What anyone would notice between two designs, and which of a frontier are worth telling apart.

A frontier holds designs that lie in different steps of a merit, however little lies between them.
Here the difference itself is measured, in steps: below one nobody notices.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from lightcalc.answers.finder.demands import FALL_STEP, HOURS_STEP, MASS_STEP, PRICE_STEP
from lightcalc.answers.finder.results import Merits


def steps_worse(one: Merits, other: Merits) -> tuple[float, float, float, float]:
    """Return by how many steps one design is worse than another in each merit; less is better."""
    return (
        _apart(one.price, other.price) / PRICE_STEP,
        -_apart(one.hours_h, other.hours_h) / HOURS_STEP,
        (one.light_fall_ratio - other.light_fall_ratio) / FALL_STEP,
        _apart(one.mass_kg, other.mass_kg) / MASS_STEP,
    )


def worth_telling(merits: Sequence[Merits]) -> list[int]:
    """Return the places of designs that differ, of some in the order they are shown in.

    One is left out that another is better than, where anyone would notice, and that is better in
    nothing that anyone would notice; and one that nobody could tell from one before it. The last
    go first, so that designs cannot strike each other out in a circle.
    """
    left = list(range(len(merits)))
    for place in reversed(range(len(merits))):
        others = [steps_worse(merits[place], merits[other]) for other in left if other != place]
        if any(max(steps) >= 1.0 and min(steps) > -1.0 for steps in others):
            left.remove(place)
    told: list[int] = []
    for place in left:
        steps = (steps_worse(merits[place], merits[other]) for other in told)
        if all(min(each) <= -1.0 for each in steps):
            told.append(place)
    return told


def _apart(one: float | None, other: float | None) -> float:
    """Return how much more one is than the other, in parts of the smaller; unknown is most.

    >>> _apart(110.0, 100.0), _apart(100.0, 110.0), _apart(None, 100.0), _apart(None, None)
    (0.1, -0.1, inf, 0.0)
    """
    if one == other:
        return 0.0
    if one is None or other is None or min(one, other) <= 0.0:
        more = one is None or (other is not None and one > other)
        return math.inf if more else -math.inf
    return (one - other) / min(one, other)
