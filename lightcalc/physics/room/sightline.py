r"""Which LEDs an eye sees: directly, through an insert, or mirrored in the floor.

::

                                  * eye
         ______________________
        |__________top_________|    the edge hides some LEDs from the eye ...
               o o o  LEDs   .
                      `.   .
       =================`.=======   floor ... and the floor shows them again
                         :
                         * the eye's image below the floor

An LED is a small square that shines on one side. It is seen when its centre or one of its
corners faces the eye and nothing stops the line between (`rays`). In the floor the eye sees
what its image, as deep below the floor as the eye is above it, would see through the floor;
both legs of that line must be clear. The floor has no end, so its mirror has none.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.sheet import Sheet
from lightcalc.physics.room.rays import Array, Flags, Solids, crossings, solids
from lightcalc.physics.room.scene import Eye, Insert, Point, Row, Scene


class Way(StrEnum):
    """How the light of an LED comes to an eye."""

    DIRECT = "direct"
    THROUGH = "through"
    MIRRORED = "mirrored"


ALL_WAYS = frozenset(Way)


@dataclass(frozen=True)
class Sighting:
    """LEDs of one row that one eye sees in one way.

    `inserts` names those that the light crosses, in the order of the scene; mirrored light may
    cross some too. `count` of the row's `total` LEDs are seen like this. `kept` is the share of
    an LED's luminance that comes straight to the eye, that of the LED of which most comes: 1
    for direct sight. `nearest_led` is the centre of the LED with the shortest line to the eye,
    of `nearest_m`; mirrored lines are measured over the floor.
    """

    eye: str
    row: str
    way: Way
    inserts: tuple[str, ...]
    count: int
    total: int
    kept: float
    nearest_led: Point
    nearest_m: float

    @property
    def share(self) -> float:
        """Share of the row's LEDs, from 0 to 1."""
        return self.count / self.total


class Lines(NamedTuple):
    """Lines from points to an eye: whether light comes (...), through what (..., inserts).

    `slants` are the cosines at which the lines meet the inserts, for those they cross.
    """

    seen: Flags
    through: Flags
    slants: Array
    length_m: Array


def sightlines(scene: Scene) -> tuple[Sighting, ...]:
    """List every way in which any eye sees LEDs, in the order of eyes, rows and ways.

    An LED that is seen both directly and through an insert, by its edge, counts as direct; one
    that is seen through several inserts counts where most light comes straight. Raises
    ValueError as `rays.solids` does.

    >>> from lightcalc.physics.room.scene import Box, Floor
    >>> top = Box("top", (0, 0, 0.40), (1, 0.4, 0.42))
    >>> row = Row("front", ((0.5, 0.02, 0.4),), (0, 0, -1), 10.0, 1.0, 0.01, 0.002)
    >>> sofa = Eye("sofa", (0.5, -2.0, 1.1), (0.5, 0.2, 0.4))
    >>> for found in sightlines(Scene((top,), (row,), (sofa,), floor=Floor(gloss=0.1))):
    ...     print(found.way, found.count, "of", found.total, found.kept)
    mirrored 1 of 1 0.1
    """
    shapes = solids(scene)
    return tuple(
        sighting
        for eye in scene.eyes
        for row in scene.rows
        for mirrored in (False, True)
        for sighting in _sightings(scene, shapes, row, eye, mirrored)
    )


def shows(
    shapes: Solids, points: Array, facing: Point, eye: Point, ways: Collection[Way] = ALL_WAYS
) -> Flags:
    """Whether light comes from LED points (..., 3) that face one way to the eye; (...).

    >>> from lightcalc.physics.room.scene import Box
    >>> top = solids(Scene((Box("top", (0, 0, 0.40), (1, 0.4, 0.42)),), (), ()))
    >>> point, eye = np.array([0.5, 0.02, 0.4]), (0.5, -2.0, 1.1)
    >>> [bool(shows(top, point, (0, 0, -1), eye, [way])) for way in Way]
    [False, False, True]
    """
    found = np.zeros(points.shape[:-1], dtype=np.bool_)
    if Way.DIRECT in ways or Way.THROUGH in ways:
        lines = lines_to_eye(shapes, points, facing, eye)
        any_insert = lines.through.any(axis=-1)
        if Way.DIRECT in ways:
            found |= lines.seen & ~any_insert
        if Way.THROUGH in ways:
            found |= lines.seen & any_insert
    if Way.MIRRORED in ways:
        found |= lines_to_eye(shapes, points, facing, eye, mirrored=True).seen
    return found


def bright_points(row: Row) -> Array:
    """Centre and corners of each LED's bright square, shape (LEDs, 5, 3) [m].

    >>> row = Row("front", ((0, 0, 0.4),), (0, 0, -1), 10.0, 1.0, 0.01, 0.002)
    >>> bright_points(row)[0, :, :2].tolist()[:3]
    [[0.0, 0.0], [0.001, 0.001], [-0.001, 0.001]]
    """
    facing = np.asarray(row.facing, dtype=np.float64)
    # Any two directions across the facing would do; along the axes where it is along one.
    helper = np.eye(3)[int(np.argmin(np.abs(facing)))]
    first = np.cross(facing, helper)
    first /= np.linalg.norm(first)
    second = np.cross(facing, first) / np.linalg.norm(facing)
    half = row.side_m / 2.0
    corners = [a * first + b * second for a in (-half, half) for b in (-half, half)]
    places = np.asarray(row.places, dtype=np.float64).reshape(-1, 3)
    return np.asarray(places[:, None, :] + np.array([np.zeros(3), *corners]))


def lines_to_eye(
    shapes: Solids, points: Array, facing: Point, eye: Point, *, mirrored: bool = False
) -> Lines:
    """Follow the lines from LED points (..., 3) that face one way to an eye, or its image.

    Nothing under the floor is seen, nor does an eye there see anything.
    """
    start, end = points.reshape(-1, 3), np.array(eye, dtype=np.float64)
    count = len(shapes.openings)
    seen = np.zeros(len(start), dtype=np.bool_)
    through = np.zeros((len(start), count), dtype=np.bool_)
    goal = end * (1.0, 1.0, -1.0) if mirrored else end
    step = goal - start
    faces_eye = step @ np.array(facing, dtype=np.float64) > 0.0
    lit = np.flatnonzero(faces_eye & (start[:, 2] >= 0.0) & (eye[2] > 0.0))
    if lit.size:
        seen[lit], through[lit] = _clear(shapes, start[lit], step[lit], end, mirrored)
    length = np.linalg.norm(step, axis=1)
    axes = [opening.axis for opening in shapes.openings]
    slants = np.abs(step[:, axes]) / np.maximum(length, 1e-300)[:, None]
    shape = points.shape[:-1]
    return Lines(
        seen.reshape(shape),
        through.reshape(*shape, count),
        slants.reshape(*shape, count),
        length.reshape(shape),
    )


def slanted_straight_share(sheet: Sheet, thickness_m: float, cosine: npt.ArrayLike) -> Array:
    """Share of light that passes a sheet straight, at a slant, same shape as `cosine`.

    Beer and Lambert's law over the slanted way inside, which Snell's law makes
    ``thickness / sqrt(1 - sin^2 / n^2)``, with Fresnel's two reflectances at either face and
    the bounces between them, averaged over both polarisations. `cosine` is that of the angle
    to the sheet's normal, outside. At the normal it is ``sheet_shares(...).straight``.

    >>> clear = Sheet(1.5, absorption_per_m=0.0, scattering_per_m=0.0)
    >>> slanted_straight_share(clear, 0.003, [1.0, 0.5]).round(3).tolist()
    [0.923, 0.848]
    """
    outside = np.asarray(cosine, dtype=np.float64)
    n = sheet.refractive_index
    inside = np.sqrt(np.maximum(1.0 - (1.0 - outside**2) / n**2, 1e-12))
    depth = (sheet.absorption_per_m + sheet.scattering_per_m) * thickness_m
    kept = np.exp(-depth / inside)
    share = np.zeros_like(outside)
    for near, far in ((outside, n * inside), (n * outside, inside)):
        face = ((near - far) / np.maximum(near + far, 1e-300)) ** 2
        share += (1.0 - face) ** 2 * kept / np.maximum(1.0 - (face * kept) ** 2, 1e-300) / 2.0
    return share


def _clear(
    shapes: Solids, start: Array, step: Array, eye: Array, mirrored: bool
) -> tuple[Flags, Flags]:
    """Whether lines are clear, and the inserts they cross; over the floor by its two legs."""
    if not mirrored:
        lines = crossings(shapes, start, eye)
        return ~lines.blocked, lines.through
    spots = start - (start[:, 2] / step[:, 2])[:, None] * step
    spots[:, 2] = 0.0
    lower, upper = crossings(shapes, start, spots), crossings(shapes, spots, eye)
    return ~(lower.blocked | upper.blocked), lower.through | upper.through


def _sightings(
    scene: Scene, shapes: Solids, row: Row, eye: Eye, mirrored: bool
) -> Iterator[Sighting]:
    """Sightings of one row by one eye, over the floor or not, one for each set of inserts."""
    if not row.places:
        return
    points = bright_points(row)
    lines = lines_to_eye(shapes, points, row.facing, eye.place, mirrored=mirrored)
    kept = np.where(lines.seen, _kept(scene, shapes, lines), -1.0)
    best = kept.argmax(axis=1)
    each = np.arange(len(points))
    sets = lines.through[each, best]
    for crossed in sorted({tuple(flags) for flags in sets[lines.seen.any(axis=1)].tolist()}):
        leds = np.flatnonzero(lines.seen.any(axis=1) & (sets == crossed).all(axis=1))
        nearest = leds[lines.length_m[leds, 0].argmin()]
        plain = Way.THROUGH if any(crossed) else Way.DIRECT
        yield Sighting(
            eye=eye.name,
            row=row.name,
            way=Way.MIRRORED if mirrored else plain,
            inserts=_names(scene.inserts, crossed),
            count=len(leds),
            total=len(points),
            kept=float(kept[leds, best[leds]].max()) * (scene.floor.gloss if mirrored else 1.0),
            nearest_led=row.places[nearest],
            nearest_m=float(lines.length_m[nearest, 0]),
        )


def _kept(scene: Scene, shapes: Solids, lines: Lines) -> Array:
    """Share of the light that comes straight through the inserts crossed, shape (...)."""
    kept = np.ones(lines.seen.shape)
    for number, (insert, opening) in enumerate(zip(scene.inserts, shapes.openings, strict=True)):
        share = slanted_straight_share(insert.sheet, opening.thickness_m, lines.slants[..., number])
        kept *= np.where(lines.through[..., number], share, 1.0)
    return kept


def _names(inserts: tuple[Insert, ...], crossed: tuple[bool, ...]) -> tuple[str, ...]:
    return tuple(
        insert.name for insert, is_crossed in zip(inserts, crossed, strict=True) if is_crossed
    )
