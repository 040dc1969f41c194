r"""Whether a hand with an infrared remote has a straight line to a receiver's eye.

::

       hand: points of a cube          ______________
       . . . .                        |     top      |
       . . . . --------- free -------------> * eye
       . . . . ---- stopped ---->|rail|

Infrared goes in straight lines, as light does. It also comes back from pale walls and ceilings,
which no maker of a remote promises, so that only the straight way counts. A line through an
insert counts as stopped by it: what sheets let through is measured for visible light alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lightcalc.physics.room.rays import Array, Kind, Solids, crossings, nearest, solids
from lightcalc.physics.room.scene import Point, Scene

# A hand with a remote is anywhere in a cube of that side round the place of a viewer (judgement:
# twice the width of a palm; a hand in the lap may be lower, so draw such a viewer lower).
HAND_SIDE_M = 0.2
POINTS_A_SIDE = 7


@dataclass(frozen=True)
class RemoteLine:
    """What of a hand has a free line to an eye.

    `free_share` is that of the places a hand may be in, and `middle_free` tells of the straight
    line from the very place. `stopped_by` names boxes and inserts with the share of the hand that
    they stop first, the largest first; with `free_share` they make 1.
    """

    free_share: float
    middle_free: bool
    stopped_by: tuple[tuple[str, float], ...]


def remote_line(scene: Scene, hand: Point, eye: Point) -> RemoteLine:
    """Follow the lines from a hand at `hand` [m] to an eye at `eye`.

    Places of a hand that are inside a box, below the floor or behind the wall count for nothing.
    With no place left for a hand no line is free. An eye on a face of a box sees the side that
    the face looks to. Raises ValueError as `rays.solids` does.

    >>> from lightcalc.physics.room.scene import Box
    >>> rail = Scene((Box("rail", (0, 0, 0.3), (1, 0.02, 0.4)),), (), ())
    >>> [remote_line(rail, (0.5, -2.0, 0.35), (0.5, y, 0.35)).free_share for y in (0.0, 0.02)]
    [1.0, 0.0]
    """
    shapes = solids(scene)
    places = _hand(shapes, hand)
    if not len(places):
        return RemoteLine(0.0, False, ())
    lines = crossings(shapes, places, eye)
    through = lines.through.any(axis=1)
    free = ~(lines.blocked | through)
    middle = crossings(shapes, [hand], eye)
    stopped: dict[str, int] = {}
    for name in _first_met(scene, shapes, places[~free], eye):
        stopped[name] = stopped.get(name, 0) + 1
    shares = [(name, count / len(places)) for name, count in stopped.items()]
    return RemoteLine(
        float(free.mean()),
        not bool(middle.blocked.any() or middle.through.any()),
        tuple(sorted(shares, key=lambda one: -one[1])),
    )


def _hand(shapes: Solids, hand: Point) -> Array:
    """Places of a hand (n, 3) in the open, evenly in its cube."""
    steps = (np.arange(POINTS_A_SIDE) + 0.5) / POINTS_A_SIDE - 0.5
    grid = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    places = np.asarray(hand, dtype=np.float64) + HAND_SIDE_M * grid
    in_room = (places[:, 2] > 0.0) & (places[:, 1] < shapes.wall_y_m)
    within = (places[:, None] > shapes.low) & (places[:, None] < shapes.high)
    inside = np.asarray(within.all(axis=2)).any(axis=1)
    return np.asarray(places[in_room & ~inside])


def _first_met(scene: Scene, shapes: Solids, places: Array, eye: Point) -> list[str]:
    """Names of what lines that are stopped meet first, on their way from the hand."""
    if not len(places):
        return []
    hits = nearest(shapes, places, np.asarray(eye) - places)
    return [
        (scene.inserts if kind == Kind.INSERT else scene.boxes)[index].name
        for kind, index in zip(hits.kind, hits.index, strict=True)
    ]
