r"""Which cells of floor, wall and faces to work out, so that few of them catch the light.

::

      o  row, end on           Light from a row changes suddenly only across lines along the
      |\                       row, where the edge of a box cuts it off: there cells end. Near
      | \                      a row cells are as small as the row is near. Elsewhere they are
     _|__\____                 equal, and beyond the margin round the piece they grow, so that
    | box     |                one map reaches to the far side of the room.
    |_________|\
    =============:======  floor
                 ^ a cell ends here
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.lamps import Stretch, stretches
from lightcalc.physics.room.lightmap import Grid
from lightcalc.physics.room.rays import Opening
from lightcalc.physics.room.scene import Scene

_GROWTH = 1.35
_FARTHEST_M = 10.0
_WALL_ABOVE_PIECE_M = 1.0
_LEAST_SHARE = 0.1
"""Cells are cut at lines that leave at least this share of a cell's side."""
_INSERT_CELLS = 1200
_INSERT_MOST_ALONG = 600
_DOTS_WITHIN = 2.0
# Edges on either side of the foot of a row, in distances to it; then they grow.
_NEAR_EDGES = (0.2, 0.5, 0.9)


@dataclass(frozen=True, eq=False)
class Outline:
    """What shapes the cells: boxes (n, 3) and straight rows, with all of their bounds [m]."""

    low_m: Array
    high_m: Array
    rows: tuple[Stretch, ...]
    wall_y_m: float
    piece_low_m: Array
    piece_high_m: Array


def outline(scene: Scene) -> Outline:
    """Prepare a scene. Raises ValueError when it has neither boxes nor LEDs."""
    low = np.array([box.low for box in scene.boxes], dtype=np.float64).reshape(-1, 3)
    high = np.array([box.high for box in scene.boxes], dtype=np.float64).reshape(-1, 3)
    leds = np.array([p for row in scene.rows for p in row.places], dtype=np.float64).reshape(-1, 3)
    corners = np.concatenate([low, high, leds])
    if not len(corners):
        raise ValueError("The scene has neither boxes nor LEDs; add at least one of them.")
    rows = tuple(part for part in stretches(scene) if part.axis is not None)
    wall = scene.wall.y_m if scene.wall else math.inf
    return Outline(low, high, rows, wall, corners.min(axis=0), corners.max(axis=0))


def floor_grid(shape: Outline, margin_m: float = 1.0, cells: int = 4500) -> Grid:
    """Cells of the floor: some `cells` within the margin round the piece, and a few beyond.

    The floor ends at the wall, when there is one, and 10 m from the piece.

    >>> from lightcalc.physics.room.scene import Box
    >>> scene = Scene((Box("top", (0, 0, 0.4), (1, 0.5, 0.42)),), (), ())
    >>> floor_grid(outline(scene)).name
    'floor'
    """
    low = shape.piece_low_m[:2] - margin_m
    high = np.minimum(shape.piece_high_m[:2] + margin_m, [math.inf, shape.wall_y_m])
    side_m = math.sqrt(float(np.prod(high - low)) / cells)
    beyond = _FARTHEST_M - margin_m
    u, v = (_graded(low[k], high[k], side_m, beyond) for k in (0, 1))
    if math.isfinite(shape.wall_y_m):
        v = np.append(v[v < shape.wall_y_m - side_m / 4.0], shape.wall_y_m)
    return _cut(shape, Grid("floor", 2, 1.0, 0.0, u, v), side_m)


def wall_grid(shape: Outline, margin_m: float = 1.0, cells: int = 2500) -> Grid | None:
    """Cells of the wall, in the same way, from the floor to a metre above the piece and more."""
    if not math.isfinite(shape.wall_y_m):
        return None
    low, high = shape.piece_low_m[0] - margin_m, shape.piece_high_m[0] + margin_m
    height = float(shape.piece_high_m[2]) + _WALL_ABOVE_PIECE_M
    side_m = math.sqrt((high - low) * height / cells)
    u = _graded(low, high, side_m, _FARTHEST_M - margin_m)
    v = _graded(0.0, height, side_m, _FARTHEST_M - _WALL_ABOVE_PIECE_M)
    v = v[v > -side_m / 4.0].clip(0.0)
    return _cut(shape, Grid("wall", 1, -1.0, shape.wall_y_m, u, v), side_m)


def face_grids(
    scene: Scene, shape: Outline, side_m: float = 0.03, most_along: int = 40
) -> tuple[Grid, ...]:
    """Cells of every face of every box, named "box low x", "box high x" and so on."""
    grids = []
    for box in scene.boxes:
        for axis in range(3):
            across = [k for k in range(3) if k != axis]
            u, v = (even_edges_m(box.low[k], box.high[k], side_m, most_along) for k in across)
            for corner, sign, word in ((box.low, -1.0, "low"), (box.high, 1.0, "high")):
                name = f"{box.name} {word} {'xyz'[axis]}"
                grid = Grid(name, axis, sign, float(corner[axis]), u, v)
                grids.append(_cut(shape, grid, side_m))
    return tuple(grids)


def insert_grids(shape: Outline, name: str, opening: Opening) -> tuple[Grid, Grid]:
    """Cells of the low and the high face of an insert, over the rectangle round its outline.

    Four cells a pitch along rows that are near enough to show their dots.
    """
    across = [k for k in range(3) if k != opening.axis]
    low, high = opening.corners.min(axis=0), opening.corners.max(axis=0)
    side_m = math.sqrt(float(np.prod(high - low)) / _INSERT_CELLS)
    faces_m = [float(c[opening.host, opening.axis]) for c in (shape.low_m, shape.high_m)]
    edges = []
    for k, start, end in zip(across, low, high, strict=True):
        fine = [
            row.step_m / 4.0
            for row in shape.rows
            if row.axis == k and _distance_m(row, opening.axis, faces_m) < _DOTS_WITHIN * row.step_m
        ]
        edges.append(even_edges_m(start, end, min([side_m, *fine]), _INSERT_MOST_ALONG))
    grid = Grid(name, opening.axis, -1.0, faces_m[0], edges[0], edges[1])
    # Both faces get the cells that either needs, since an eye sees both through one another.
    for sign, at_m in ((1.0, faces_m[1]), (-1.0, faces_m[0])):
        grid = _cut(shape, replace(grid, sign=sign, at_m=at_m), side_m)
    return grid, replace(grid, sign=1.0, at_m=faces_m[1])


def _distance_m(row: Stretch, axis: int, faces_m: list[float]) -> float:
    return min(abs(float(row.places_m[0, axis]) - at_m) for at_m in faces_m)


def even_edges_m(low: float, high: float, side_m: float, most: int) -> Array:
    """Edges of equal cells of about `side_m`, at most `most` of them and at least one.

    >>> even_edges_m(0.0, 0.1, 0.06, 40).tolist()
    [0.0, 0.05, 0.1]
    """
    count = min(max(1, math.ceil((high - low) / side_m - 1e-9)), most)
    return np.linspace(low, high, count + 1)


def _graded(low: float, high: float, side_m: float, beyond_m: float) -> Array:
    """Equal cells from low to high, then growing ones on both sides, for so far at least."""
    outward = np.cumsum(side_m * _GROWTH ** np.arange(1.0, 40.0))
    outward = outward[: int(np.searchsorted(outward, beyond_m)) + 1]
    middle = even_edges_m(low, high, side_m, 1000)
    return np.concatenate([low - outward[::-1], middle, high + outward])


def _cut(shape: Outline, grid: Grid, side_m: float) -> Grid:
    """Cut a grid at the lines where rows lose sight of it, and finely near rows."""
    edges = {grid.plane_axes[0]: grid.u_edges_m, grid.plane_axes[1]: grid.v_edges_m}
    for across, plain in edges.items():
        lines: list[float] = []
        for row in shape.rows:
            if row.axis in (across, grid.axis) or not _faces(grid, row):
                continue
            lines.extend(_shadow_lines(shape, grid, row, across))
            lines.extend(_near_lines(grid, row, across, side_m))
        edges[across] = _with_lines(plain, np.array(lines), side_m)
    u, v = (edges[axis] for axis in grid.plane_axes)
    return replace(grid, u_edges_m=u, v_edges_m=v)


def _faces(grid: Grid, row: Stretch) -> bool:
    """Whether the row is in front of the plane."""
    return bool(grid.sign * (row.places_m[0, grid.axis] - grid.at_m) > 1e-9)


def _shadow_lines(shape: Outline, grid: Grid, row: Stretch, across: int) -> Array:
    """Where the outermost edges of boxes cast their shadows, on the axis across the row."""
    place, depth = row.places_m[0], grid.at_m - row.places_m[0, grid.axis]
    outermost = []
    for near in (shape.low_m[:, grid.axis], shape.high_m[:, grid.axis]):
        share = (near - place[grid.axis]) / depth
        between = (share > 1e-9) & (share <= 1.0)
        share = np.where(between, share, np.nan)
        for side in (shape.low_m[:, across], shape.high_m[:, across]):
            outermost.append(place[across] + (side - place[across]) / share)
    lines = np.array(outermost)
    lines = lines[:, np.isfinite(lines).any(axis=0)]
    if not lines.size:
        return np.zeros(0)
    return np.concatenate([np.nanmin(lines, axis=0), np.nanmax(lines, axis=0)])


def _near_lines(grid: Grid, row: Stretch, across: int, side_m: float) -> list[float]:
    """Edges around the foot of a row that is nearer than two cells' sides."""
    distance = abs(float(row.places_m[0, grid.axis]) - grid.at_m)
    steps = [distance * edge for edge in _NEAR_EDGES]
    while steps[-1] - steps[-2] < side_m:
        steps.append(steps[-1] + _GROWTH * (steps[-1] - steps[-2]))
    foot = float(row.places_m[0, across])
    return [foot + sign * step for step in steps[:-1] for sign in (-1.0, 1.0)]


def _with_lines(edges: Array, lines: Array, side_m: float) -> Array:
    """Add lines within the edges to them, and leave out edges and lines that crowd others."""
    least = _LEAST_SHARE * side_m
    lines = np.sort(lines[(lines > edges[0] + least) & (lines < edges[-1] - least)])
    if not lines.size:
        return edges
    lines = lines[np.append(True, np.diff(lines) > least)]
    nearest = np.abs(edges[1:-1, None] - lines).min(axis=1)
    kept = edges[1:-1][nearest > 2.0 * least]
    return np.concatenate([edges[:1], np.sort(np.append(kept, lines)), edges[-1:]])
