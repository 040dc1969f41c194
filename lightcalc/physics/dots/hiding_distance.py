"""How far away dots no longer show: the row from its surface, or the eye from it.

::

            viewer distance    distance
     <)  - - - - - - - - - - |  - - -  o o o
    eye                   surface      row

More distance from the row evens out its glow, and from farther away its pattern is finer than an
eye can see. An image of each LED, straight through a sheet, goes only where the eye is that far.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from lightcalc.physics.dots.dots import (
    DotScene,
    DotSight,
    glow_multiple,
    see_dots,
    straight_multiple,
)

# Nobody looks at furniture from nearer than this; eyes do not focus there.
NEAREST_LOOK_M = 0.1
_FINEST_PITCH_DEG = 1.0 / 60.0
_FARTHEST_IN_PITCHES = 100.0
_NEAREST_IN_PITCHES = 1e-4


@dataclass(frozen=True)
class DotVerdict(DotSight):
    """Whether dots show, and from where on they would not."""

    hiding_distance_m: float | None
    """LED to surface; nearer shows, farther hides. 0: any does. None: no distance does."""
    hiding_viewer_distance_m: float
    """From farther than this nobody tells the LEDs apart. 0: from nowhere."""


def judge_dots(scene: DotScene) -> DotVerdict:
    """Say whether dots show, as `see_dots`, and from which distances on they would not.

    Raises as `see_dots` does.

    >>> from lightcalc.physics.dots.dots import reflecting_surface
    >>> wall = DotScene(
    ...     pitch_m=0.0167, lumens_per_emitter=8.0, beam_exponent=1.0, distance_m=0.0167,
    ...     surface=reflecting_surface(0.7), viewer_distance_m=1.0, row_length_m=1.0,
    ... )
    >>> found = judge_dots(wall)
    >>> round(found.hiding_distance_m, 4), round(found.hiding_viewer_distance_m, 2)
    (0.025, 28.66)
    """
    return DotVerdict(
        **vars(see_dots(scene)),
        hiding_distance_m=hiding_distance_m(scene),
        hiding_viewer_distance_m=_hiding_viewer_distance_m(scene),
    )


def hiding_distance_m(scene: DotScene) -> float | None:
    """Distance [m] from LED to surface beyond which neither glow nor images show; None if none."""
    viewer = np.asarray(scene.viewer_distance_m)

    def glow_level(distance_m: float) -> float:
        return math.log(max(float(glow_multiple(scene, distance_m, viewer)), 1e-300))

    def image_level(distance_m: float) -> float:
        return math.log(max(float(straight_multiple(scene, distance_m, viewer)), 1e-300))

    nearest, farthest = _NEAREST_IN_PITCHES * scene.pitch_m, _FARTHEST_IN_PITCHES * scene.pitch_m
    if image_level(scene.distance_m) >= 0.0 or glow_level(farthest) >= 0.0:
        return None
    found = 0.0 if glow_level(nearest) < 0.0 else _fall_to_nil(glow_level, nearest, farthest)
    if image_level(max(found, nearest)) < 0.0:
        return found
    # Faint images may sink below the eye's acuity between there and the row as it stands.
    if found < scene.distance_m:
        return _fall_to_nil(image_level, max(found, nearest), scene.distance_m)
    return None


def _fall_to_nil(level: Callable[[float], float], low: float, high: float) -> float:
    """Place where a falling, nearly straight level passes nil (Illinois false position)."""
    at_low, at_high = level(low), level(high)
    kept_high = False
    for _ in range(100):
        place = low + (high - low) * at_low / (at_low - at_high)
        at_place = level(place)
        if abs(at_place) < 1e-10:
            break
        if at_place > 0.0:
            low, at_low = place, at_place
            at_high = at_high / 2.0 if kept_high else at_high
            kept_high = True
        else:
            high, at_high = place, at_place
            at_low = at_low if kept_high else at_low / 2.0
            kept_high = False
    return place


def _hiding_viewer_distance_m(scene: DotScene) -> float:
    """Viewer distance beyond which nothing shows, by narrowing a grid around the last sight."""
    low = NEAREST_LOOK_M
    high = max(scene.pitch_m / math.radians(_FINEST_PITCH_DEG), 2.0 * low)
    for _ in range(4):
        grid = np.geomspace(low, high, 40)
        shown = np.maximum(
            glow_multiple(scene, scene.distance_m, grid),
            straight_multiple(scene, scene.distance_m, grid),
        )
        last = np.flatnonzero(shown >= 1.0)
        if last.size == 0:
            return 0.0
        low, high = grid[last[-1]], grid[min(last[-1] + 1, grid.size - 1)]
    return float(high)
