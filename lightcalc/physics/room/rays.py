r"""Straight lines among the boxes of a scene: what is in the way, and what a look meets first.

::

      eye *
            \          enter          leave
             \___________o______________:___
             |  box       \  insert :   :   |
             |_____________\________:___:___|     The way inside the box is the stretch from
                            o  leave             where the line enters it to where it leaves.
                             \
                              * LED

A line is stopped by a box when its way inside, shortened by a micrometre at either end, is not
nil. So a point on a face, give or take a micrometre along the line, is never hidden by that
face. Light leaks through no joint, for boxes own their faces: a line that runs along a face or
in the joint of two boxes is stopped. When all of the shortened way lies within the outline of
an insert, the line goes through the insert and is not stopped by its host. A line that goes
through an insert and strikes the edge of its hole, or that passes from one insert of a box into
another, is stopped; one that runs along an outline's very edge may be. The floor and the wall
stop no line between two points: both points are taken to lie on the room's side of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lightcalc.physics.room.scene import Scene

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Indices = npt.NDArray[np.intp]

TOLERANCE_M = 1e-6
"""Ways inside a box are shortened by this much [m] at either end."""

# A picometre, odd so that no coordinate lies just there: makes a box own its faces.
_GROWTH_M = 1.0123e-12
# So many lines at a time that a pass over them stays in the processor's cache.
_LINES_AT_A_TIME = 16_384


class Kind(IntEnum):
    """What a look meets."""

    NOTHING = 0
    FLOOR = 1
    WALL = 2
    BOX = 3
    INSERT = 4


@dataclass(frozen=True, eq=False)
class Opening:
    """An insert's place: its host's index, the thin axis, and corners (k, 2) across it."""

    host: int
    axis: int
    corners: Array
    thickness_m: float


@dataclass(frozen=True, eq=False)
class Solids:
    """A scene's boxes and inserts as arrays; `low` and `high` have shape (boxes, 3) [m].

    Openings stand in the order of the scene's inserts. `wall_y_m` is infinite without a wall.
    """

    low: Array
    high: Array
    openings: tuple[Opening, ...]
    wall_y_m: float


class Crossings(NamedTuple):
    """Whether lines are stopped by a box (...), and which inserts they cross (..., inserts)."""

    blocked: Flags
    through: Flags


class Passage(NamedTuple):
    """How lines fare, each of shape (...).

    `insert` is the index of the insert crossed, the first on the way from the start when there
    are several, or -1. `cosine` is that of the angle between the line and the insert's normal,
    1 where there is no insert. A line that is blocked may cross an insert as well.
    """

    blocked: Flags
    insert: Indices
    cosine: Array


@dataclass(frozen=True, eq=False)
class Hits:
    """What lines meet first, each of shape (n,), `normal` (n, 3) towards where they come from.

    `kind` holds values of `Kind`. `index` is of the box or the insert, else -1; `box` is of the
    box, or of the insert's host, else -1. `distance_m` is infinite, and the normal nil, where
    there is nothing.
    """

    kind: npt.NDArray[np.int8]
    index: Indices
    box: Indices
    distance_m: Array
    normal: Array


class _Way(NamedTuple):
    """Where, in t, lines' shortened ways in a box begin and end; crossed over where nil."""

    enter: Array
    leave: Array


class _Met(NamedTuple):
    """What lines met first so far."""

    distance_m: Array
    box: Indices
    insert: Indices

    def part(self, part: slice) -> _Met:
        """Give the same for some of the lines, writing through to this."""
        return _Met(self.distance_m[part], self.box[part], self.insert[part])


class _Lines(NamedTuple):
    """Lines by component: start + t * step, t from 0 to `end`; `slack` is a micrometre in t."""

    start: tuple[Array, Array, Array]
    step: tuple[Array, Array, Array]
    inverse: tuple[Array, Array, Array]
    slack: Array
    end: float


def solids(scene: Scene) -> Solids:
    """Prepare a scene's boxes and inserts.

    Raises ValueError when an insert names a box that the scene does not have, has fewer than
    three corners, or when a box's low corner is not below its high one.

    >>> from lightcalc.physics.room.scene import Box
    >>> solids(Scene((Box("top", (0, 0, 0.40), (1, 0.4, 0.42)),), (), ())).high.round(6).tolist()
    [[1.0, 0.4, 0.42]]
    """
    low = np.array([box.low for box in scene.boxes], dtype=np.float64).reshape(-1, 3)
    high = np.array([box.high for box in scene.boxes], dtype=np.float64).reshape(-1, 3)
    for box in scene.boxes:
        if not all(np.less(box.low, box.high)):
            raise ValueError(f"Box {box.name} is empty: its low corner must lie below its high.")
    hosts = {box.name: index for index, box in reversed(list(enumerate(scene.boxes)))}
    openings = []
    for insert in scene.inserts:
        if insert.host not in hosts:
            raise ValueError(f"Insert {insert.name} is let into {insert.host}, which is no box.")
        if len(insert.corners) < 3:
            raise ValueError(f"Insert {insert.name} must have three corners or more.")
        host = hosts[insert.host]
        sides = high[host] - low[host]
        # Rounded, so that of sides that are equal but for rounding it is the first.
        axis = int(sides.round(9).argmin())
        corners = np.array(insert.corners, dtype=np.float64)
        openings.append(Opening(host, axis, corners, float(sides[axis])))
    wall_y_m = scene.wall.y_m if scene.wall else np.inf
    return Solids(low - _GROWTH_M, high + _GROWTH_M, tuple(openings), wall_y_m)


def blocked(shapes: Solids, starts: npt.ArrayLike, ends: npt.ArrayLike) -> Flags:
    """Whether lines from `starts` to `ends` (..., 3) [m] are stopped by a box.

    The two may be any shapes that broadcast; the result has that shape without the last 3.
    Inserts let lines pass. Same whichever end is the start.

    >>> from lightcalc.physics.room.scene import Box
    >>> top = solids(Scene((Box("top", (0, 0, 0.40), (1, 0.4, 0.42)),), (), ()))
    >>> led = (0.5, 0.1, 0.40)
    >>> blocked(top, led, [(0.5, -2.0, 1.1), (0.5, -2.0, 0.3)]).tolist()
    [True, False]
    """
    return _trace(shapes, starts, ends)[0]


def crossings(shapes: Solids, starts: npt.ArrayLike, ends: npt.ArrayLike) -> Crossings:
    """Whether lines are stopped, and every insert that each of them crosses.

    Shapes as for `blocked`; `through` has one more axis, in the order of the scene's inserts.
    """
    stopped, entered = _trace(shapes, starts, ends)
    return Crossings(stopped, np.isfinite(entered))


def passage(shapes: Solids, starts: npt.ArrayLike, ends: npt.ArrayLike) -> Passage:
    """Whether lines are stopped, which insert they cross first, and how steeply.

    Shapes as for `blocked`. Where lines may cross several inserts use `crossings` too.
    """
    first, last = np.asarray(starts, dtype=np.float64), np.asarray(ends, dtype=np.float64)
    stopped, entered = _trace(shapes, first, last)
    insert = np.full(stopped.shape, -1, dtype=np.intp)
    cosine = np.ones(stopped.shape)
    if shapes.openings:
        soonest = entered.argmin(axis=-1)
        any_way = np.isfinite(entered.min(axis=-1))
        insert[any_way] = soonest[any_way]
        step = np.broadcast_to(last - first, (*stopped.shape, 3))[any_way]
        axis = np.array([opening.axis for opening in shapes.openings])[insert[any_way]]
        along = np.abs(np.take_along_axis(step, axis[:, None], axis=1)[:, 0])
        cosine[any_way] = along / np.linalg.norm(step, axis=1)
    return Passage(stopped, insert, cosine)


def nearest(
    shapes: Solids,
    starts: npt.ArrayLike,
    directions: npt.ArrayLike,
    *,
    past_inserts: bool = False,
) -> Hits:
    """Find what endless lines from `starts` along `directions` (n, 3) meet first.

    Directions need not have unit length; either argument may be a single (3,). A line that
    starts on a face and leads away from its box does not meet it; one that leads into the box
    meets it at once. The floor is met from above only and the wall from the front only.
    With `past_inserts` lines go on through an insert, to what lies behind; a line that enters
    an insert but strikes the edge of its hole then meets the box, where it entered.

    >>> from lightcalc.physics.room.scene import Box
    >>> top = solids(Scene((Box("top", (0, 0, 0.40), (1, 0.4, 0.42)),), (), ()))
    >>> hits = nearest(top, (0.5, 0.1, 1.0), [(0.0, 0.0, -1.0), (0.0, -3.0, -4.0)])
    >>> [Kind(kind).name for kind in hits.kind], hits.distance_m.round(3).tolist()
    (['BOX', 'FLOOR'], [0.58, 1.25])
    """
    first, along = np.broadcast_arrays(
        np.atleast_2d(np.asarray(starts, dtype=np.float64)),
        np.atleast_2d(np.asarray(directions, dtype=np.float64)),
    )
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    nowhere = np.full(len(first), -1, dtype=np.intp)
    met = _Met(np.full(len(first), np.inf), nowhere, nowhere.copy())
    for part, lines in _in_parts(first, along, np.inf):
        for host in range(len(shapes.low)):
            _meet_box(shapes, host, lines, met.part(part), past_inserts=past_inserts)
    distance, box, insert = met
    kind = np.where(insert >= 0, Kind.INSERT, np.where(box >= 0, Kind.BOX, Kind.NOTHING))
    normal = _box_normals(shapes, first, along, box)
    for plane, axis, place, facing in (
        (Kind.FLOOR, 2, 0.0, 1.0),
        (Kind.WALL, 1, shapes.wall_y_m, -1.0),
    ):
        towards = np.flatnonzero(facing * along[:, axis] < 0.0)
        reach = np.maximum((place - first[towards, axis]) / along[towards, axis], 0.0)
        nearer = reach < distance[towards]
        towards = towards[nearer]
        distance[towards], kind[towards], normal[towards] = reach[nearer], plane, 0.0
        normal[towards, axis] = facing
        box[towards], insert[towards] = -1, -1
    index = np.where(insert >= 0, insert, box)
    return Hits(kind.astype(np.int8), index, box, distance, normal)


def _trace(shapes: Solids, starts: npt.ArrayLike, ends: npt.ArrayLike) -> tuple[Flags, Array]:
    """Give stopped (...), and t at each insert entered (..., inserts), infinite if never."""
    first, last = np.broadcast_arrays(
        np.asarray(starts, dtype=np.float64), np.asarray(ends, dtype=np.float64)
    )
    shape = first.shape[:-1]
    first, last = first.reshape(-1, 3), last.reshape(-1, 3)
    stopped = np.zeros(len(first), dtype=np.bool_)
    entered = np.full((len(first), len(shapes.openings)), np.inf)
    for part, lines in _in_parts(first, last - first, 1.0):
        for host, (low, high) in enumerate(zip(shapes.low, shapes.high, strict=True)):
            way = _way(lines, low, high)
            if not any(opening.host == host for opening in shapes.openings):
                stopped[part] |= way.enter < way.leave
                continue
            hit = np.flatnonzero(way.enter < way.leave)
            for number, index in _inserts_passed(shapes, host, lines, hit, way):
                entered[part][index, number] = way.enter[index]
                hit = np.setdiff1d(hit, index, assume_unique=True)
            stopped[part][hit] = True
    return stopped.reshape(shape), entered.reshape(*shape, len(shapes.openings))


def _meet_box(shapes: Solids, host: int, lines: _Lines, met: _Met, *, past_inserts: bool) -> None:
    """Note the lines that meet this box before anything so far."""
    way = _way(lines, shapes.low[host], shapes.high[host])
    reach = way.enter - TOLERANCE_M
    hit = np.flatnonzero((way.enter < way.leave) & (reach < met.distance_m))
    if past_inserts:
        for _, index in _inserts_passed(shapes, host, lines, hit, way):
            hit = np.setdiff1d(hit, index, assume_unique=True)
    met.distance_m[hit], met.box[hit], met.insert[hit] = reach[hit], host, -1
    if not past_inserts:
        # The outline at the very face: a way of no length there.
        at_face = _Way(way.enter, way.enter)
        for number, index in _inserts_passed(shapes, host, lines, hit, at_face):
            met.insert[index] = number


def _in_parts(first: Array, step: Array, end: float) -> Iterator[tuple[slice, _Lines]]:
    """Lines by component, some thousands at a time."""
    for begin in range(0, len(first), _LINES_AT_A_TIME):
        part = slice(begin, begin + _LINES_AT_A_TIME)
        sx, sy, sz = np.ascontiguousarray(first[part].T)
        dx, dy, dz = np.ascontiguousarray(step[part].T)
        with np.errstate(divide="ignore"):
            slack = TOLERANCE_M / np.sqrt(dx * dx + dy * dy + dz * dz)
            inverse = (1.0 / dx, 1.0 / dy, 1.0 / dz)
        yield part, _Lines((sx, sy, sz), (dx, dy, dz), inverse, slack, end)


def _way(lines: _Lines, low: Array, high: Array) -> _Way:
    """Find the lines' shortened ways in a box.

    The slab method: a box is what three pairs of planes have between them. A line along a
    pair, with an infinite inverse, is between them always or never.
    """
    enter, leave = np.zeros_like(lines.slack), np.full_like(lines.slack, lines.end)
    for axis in range(3):
        to_low = (low[axis] - lines.start[axis]) * lines.inverse[axis]
        to_high = (high[axis] - lines.start[axis]) * lines.inverse[axis]
        np.maximum(enter, np.minimum(to_low, to_high), out=enter)
        np.minimum(leave, np.maximum(to_low, to_high), out=leave)
    enter += lines.slack
    leave -= lines.slack
    return _Way(enter, leave)


def _inserts_passed(
    shapes: Solids, host: int, lines: _Lines, hit: Indices, way: _Way
) -> Iterator[tuple[int, Indices]]:
    """Each insert of the host, and those of the lines `hit` whose way lies in its outline."""
    for number, opening in enumerate(shapes.openings):
        if opening.host != host or not hit.size:
            continue
        across = [axis for axis in range(3) if axis != opening.axis]
        start = np.stack([lines.start[axis][hit] for axis in across], axis=1)
        step = np.stack([lines.step[axis][hit] for axis in across], axis=1)
        begin, end = (start + t[hit, None] * step for t in way)
        yield number, hit[_within_outline(begin, end, opening.corners)]


def _within_outline(begin: Array, end: Array, corners: Array) -> Flags:
    """Whether lines (n, 2) lie within a polygon (k, 2), hollow or not.

    They do when they begin inside, by the count of edges to one side, and cross no edge. Only
    lines with both ends in the rectangle round the outline need to be asked.
    """
    low, high = corners.min(axis=0), corners.max(axis=0)
    within: Flags = np.all(
        (np.minimum(begin, end) >= low) & (np.maximum(begin, end) <= high), axis=1
    )
    asked = np.flatnonzero(within)
    if not asked.size:
        return within
    begin, end = begin[asked], end[asked]
    inside = np.zeros(len(begin), dtype=np.bool_)
    crosses = np.zeros(len(begin), dtype=np.bool_)
    step = end - begin
    for corner, following in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        edge = following - corner
        spans = (corner[1] > begin[:, 1]) != (following[1] > begin[:, 1])
        side_begin = _cross(edge, begin - corner) > 0.0
        inside ^= spans & (side_begin == (edge[1] > 0.0))
        side_end = _cross(edge, end - corner) > 0.0
        side_corner = _cross(step, corner - begin) > 0.0
        side_following = _cross(step, following - begin) > 0.0
        crosses |= (side_begin != side_end) & (side_corner != side_following)
    within[asked] = inside & ~crosses
    return within


def _cross(a: Array, b: Array) -> Array:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _box_normals(shapes: Solids, first: Array, along: Array, box: Indices) -> Array:
    """Find the normal, towards the start, of the face by which each line enters its box."""
    normal = np.zeros_like(along)
    met = np.flatnonzero(box >= 0)
    start, step, hit = first[met], along[met], box[met]
    face = np.where(step > 0.0, shapes.low[hit], shapes.high[hit])
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(step == 0.0, -np.inf, (face - start) / step)
    axis = reach.argmax(axis=1)
    normal[met, axis] = -np.sign(step[np.arange(len(met)), axis])
    return normal
