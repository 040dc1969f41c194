"""Rows of LEDs as lines of light: how few lamps do the work of many, seen from afar.

::

     near:   o o o o o o o o o o o o      every LED counts
     far:      O    O    O     O          a few lamps at the LEDs' Gauss points

Light from a stretch of k equal LEDs is a sum of a smooth function over k equal steps. Gauss's
rule for that sum (nodes and weights from the discrete Chebyshev polynomials; W. Gautschi,
Orthogonal Polynomials, Oxford 2004, table 1.3, from memory) needs only four of its values, and
gives the sum itself for up to four LEDs. A stretch is cut into groups that are short against
the distance, so the error stays below 2e-4 of the light; see `GROUP_LENGTH`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from lightcalc.physics.dots.diffusion import Array, axial_intensity_cd, require_positive
from lightcalc.physics.room.scene import Row, Scene

GROUP_LENGTH = 0.5
"""A group is at most this long, in distances, for a Lambertian lamp; less for a narrow beam."""

_NODES = 4
# Steps between LEDs that differ by more than this share of a step begin a new stretch.
_CORNER = 0.2
_STRAIGHT = 1e-3


class Lamps(NamedTuple):
    """Lamps that stand for the LEDs of a stretch, c of them.

    `middle` is each lamp's place counted in LEDs from the first, `leds` the LEDs it stands for,
    `low` and `high` the bounds, again in LEDs, of the part of the stretch that it stands for.
    Each run of `group` lamps, 1 when each stands for one LED, belongs together.
    """

    places_m: Array
    middle: Array
    leds: Array
    low: Array
    high: Array
    group: int


@dataclass(frozen=True, eq=False)
class Stretch:
    """A smooth part of a row: `places_m` (count, 3), evenly spaced along a line or a curve.

    `axis` is the axis along which it runs straight, or None. `half_width` is half of an LED's
    side, in steps between LEDs. `intensity_cd` is that straight ahead of one LED.
    """

    row: int
    places_m: Array
    facing: Array
    intensity_cd: float
    exponent: float
    step_m: float
    half_width: float
    axis: int | None

    @cached_property
    def low_m(self) -> Array:
        """Least x, y and z of the LEDs [m]."""
        return np.asarray(self.places_m.min(axis=0))

    @cached_property
    def high_m(self) -> Array:
        """Greatest x, y and z of the LEDs [m]."""
        return np.asarray(self.places_m.max(axis=0))

    @property
    def count(self) -> int:
        """LEDs in the stretch."""
        return len(self.places_m)

    @property
    def signed_step_m(self) -> float:
        """Step from LED to LED along the axis, negative for a row that runs backwards."""
        backwards = (
            self.axis is not None and self.places_m[-1, self.axis] < self.places_m[0, self.axis]
        )
        return -self.step_m if backwards else self.step_m

    def lamps(self, distance_m: float) -> Lamps:
        """Lamps that serve for all places at least so far from the stretch [m]."""
        index, leds, low, high = _rule(*self._groups(distance_m))
        if len(index) == self.count:
            return Lamps(self.places_m, index, leds, low, high, 1)
        below = np.minimum(index.astype(np.intp), self.count - 2)
        part = (index - below)[:, None]
        places = self.places_m[below] * (1.0 - part) + self.places_m[below + 1] * part
        return Lamps(places, index, leds, low, high, _NODES)

    def lamp_count(self, distance_m: float) -> int:
        """How many lamps `lamps` gives, at most."""
        count, groups = self._groups(distance_m)
        return min(count, groups * _NODES)

    def _groups(self, distance_m: float) -> tuple[int, int]:
        sharpness = math.sqrt((self.exponent + 3.0) / 4.0)
        # Lamps on a curve or a slant are seen whole or not at all, so they are more.
        length = GROUP_LENGTH if self.axis is not None else GROUP_LENGTH / 2.0
        longest = max(1, int(length / sharpness * distance_m / self.step_m))
        return self.count, math.ceil(self.count / longest)


def stretches(scene: Scene) -> tuple[Stretch, ...]:
    """Cut the rows of a scene into smooth stretches, at corners and gaps.

    Raises ValueError for a row whose light is negative, whose beam exponent is not 0 to 1000,
    or whose facing is nil.

    >>> row = Row("front", ((0, 0, 1), (0.1, 0, 1), (0.2, 0, 1)), (0, 0, -1), 5.0, 1.0, 0.1, 0.003)
    >>> [part.count for part in stretches(Scene((), (row,), ()))]
    [3]
    """
    found: list[Stretch] = []
    for index, row in enumerate(scene.rows):
        _check(row)
        places = np.array(row.places, dtype=np.float64).reshape(-1, 3)
        facing = np.array(row.facing, dtype=np.float64)
        facing /= np.linalg.norm(facing)
        cd = axial_intensity_cd(row.lumens, row.exponent)
        for part in _smooth_parts(places):
            steps = np.diff(part, axis=0)
            step_m = float(np.linalg.norm(steps, axis=1).mean()) if len(steps) else row.pitch_m
            half = max(row.side_m / (2.0 * step_m), 1e-9)
            axis = _straight_axis(steps, step_m)
            found.append(Stretch(index, part, facing, cd, row.exponent, step_m, half, axis))
    return tuple(found)


def _check(row: Row) -> None:
    require_positive(pitch_m=row.pitch_m)
    if not (row.lumens >= 0.0 and row.side_m >= 0.0 and 0.0 <= row.exponent <= 1000.0):
        raise ValueError(
            f"Row {row.name}: lumens and the LED's side must be 0 or more, "
            f"and the beam exponent 0 to 1000."
        )
    if not any(row.facing):
        raise ValueError(f"Row {row.name} faces nowhere; give the way its LEDs face.")


def _smooth_parts(places: Array) -> list[Array]:
    """Cut where the step from LED to LED changes suddenly.

    A corner between two LEDs shows as one odd step, which belongs to neither part.
    """
    parts: list[Array] = []
    start = 0
    steps = np.diff(places, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    jumps = np.linalg.norm(np.diff(steps, axis=0), axis=1) > _CORNER * lengths[:-1]
    for index in np.nonzero(jumps)[0]:
        if index + 1 >= start:
            parts.append(places[start : index + 2])
            start = int(index) + 2
    parts.append(places[start:])
    return [part for part in parts if len(part)]


def _straight_axis(steps: Array, step_m: float) -> int | None:
    """Axis along which all steps are equal; any for a single LED."""
    if not len(steps):
        return 0
    axis = int(np.abs(steps[0]).argmax())
    uneven = np.abs(steps - steps.mean(axis=0)).max()
    aside = np.delete(np.abs(steps.mean(axis=0)), axis).max() * len(steps)
    return axis if max(uneven, aside) < _STRAIGHT * step_m else None


@lru_cache(maxsize=256)
def _rule(count: int, groups: int) -> tuple[Array, Array, Array, Array]:
    """Index, LEDs, low and high bound of all lamps for `count` LEDs in `groups` groups."""
    firsts = np.arange(groups + 1) * count // groups
    columns = []
    for first, beyond in pairwise(firsts):
        nodes, weights = _gauss(int(beyond - first))
        edges = np.concatenate([[0.0], np.cumsum(weights)]) + first - 0.5
        columns.append(np.array([nodes + first, weights, edges[:-1], edges[1:]]))
    index, leds, low, high = np.concatenate(columns, axis=1)
    return index, leds, low, high


@lru_cache(maxsize=256)
def _gauss(count: int) -> tuple[Array, Array]:
    """Gauss nodes and weights for the sum over 0, 1, ... count - 1."""
    if count <= _NODES:
        return np.arange(float(count)), np.ones(count)
    n = np.arange(1.0, _NODES)
    beta = n**2 * (count**2 - n**2) / (4.0 * (4.0 * n**2 - 1.0))
    matrix = np.diag(np.sqrt(beta), 1)
    nodes, vectors = np.linalg.eigh(matrix + matrix.T)
    return nodes + (count - 1) / 2.0, vectors[0] ** 2 * count
