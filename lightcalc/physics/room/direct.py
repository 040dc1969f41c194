"""Light that reaches flat faces straight from the LEDs, with the shadows of boxes.

An LED of intensity ``I0`` that faces f lays on a face of normal n, at the vector r away,

    ``E = I0 (cos at the LED)^m (cos at the face) / |r|^2``

Boxes stop light; an insert lets its straight share pass, which falls with the slant. LEDs are
points: keep faces five times an LED's own side away, or read the light as that of the points.

A grid is cut into blocks, each lit by as few lamps as its distance allows. Against a sum over
all LEDs the result is within 2e-4 in the open. Where boxes hide part of a row it is within 1 %
of what the place would get without boxes, 0.1 % as a rule; within a tenth, and a hundredth as a
rule, under rows that curve or slant, of whose lamps each is seen or not. `exact` sums over all
LEDs instead. LEDs are taken to face across their row, as those of a strip do.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.dots.sheet import Sheet
from lightcalc.physics.room.lamps import Lamps, Stretch, stretches
from lightcalc.physics.room.lightmap import Grid, LightMap
from lightcalc.physics.room.rays import Solids, crossings, solids
from lightcalc.physics.room.scene import Scene
from lightcalc.physics.room.shadow import Seen, Triple, hidden_spans, seen_parts
from lightcalc.physics.room.sightline import slanted_straight_share

# So many pairs of cell and lamp at a time that a pass over them stays in the cache.
_PAIRS = 30_000
_LEAST_CELLS = 48
# Nothing is nearer to the middle of an LED than this, be it on the face itself.
_LEAST_M = 1e-6


@dataclass(frozen=True, eq=False)
class Lighting:
    """A scene made ready: its stretches, its plain boxes, and apart those with inserts."""

    rows: int
    stretches: tuple[Stretch, ...]
    low_m: Array
    high_m: Array
    hosts: Solids | None
    host_low_m: Array
    host_high_m: Array
    everything: Solids
    sheets: tuple[Sheet, ...]
    """Those of the inserts, in the order of the scene."""


def lighting(scene: Scene) -> Lighting:
    """Prepare a scene. Raises ValueError as `rays.solids` and `lamps.stretches` do."""
    names = {insert.host for insert in scene.inserts}
    plain = replace(scene, boxes=tuple(b for b in scene.boxes if b.name not in names), inserts=())
    hosts = replace(scene, boxes=tuple(b for b in scene.boxes if b.name in names))
    plain_low, plain_high = _corners(plain)
    host_low, host_high = _corners(hosts)
    return Lighting(
        rows=len(scene.rows),
        stretches=stretches(scene),
        low_m=plain_low,
        high_m=plain_high,
        hosts=solids(hosts) if names else None,
        host_low_m=host_low,
        host_high_m=host_high,
        everything=solids(scene),
        sheets=tuple(insert.sheet for insert in scene.inserts),
    )


def light_map(prepared: Lighting, grid: Grid, *, exact: bool = False) -> LightMap:
    """Light of every row on a grid [lx]; `exact` lets every LED count by itself."""
    lux = np.zeros((prepared.rows, len(grid.u_m), len(grid.v_m)))
    for stretch in prepared.stretches:
        for u, v, distance in _blocks(grid, stretch, exact=exact):
            places = _places(grid, grid.u_m[u], grid.v_m[v])
            lamps = stretch.lamps(distance)
            lux[stretch.row, u, v] += _block_lux(prepared, grid, places, stretch, lamps)
    return LightMap(grid, lux)


def _corners(scene: Scene) -> tuple[Array, Array]:
    low = np.array([box.low for box in scene.boxes], dtype=np.float64).reshape(-1, 3)
    return low, np.array([box.high for box in scene.boxes], dtype=np.float64).reshape(-1, 3)


def _places(grid: Grid, u_m: Array, v_m: Array) -> Triple:
    """Give x, y and z of cells, each with as few numbers as it takes."""
    places = [np.full((1, 1), grid.at_m)] * 3
    places[grid.plane_axes[0]] = u_m[:, None]
    places[grid.plane_axes[1]] = v_m[None, :]
    return places[0], places[1], places[2]


def _blocks(grid: Grid, stretch: Stretch, *, exact: bool) -> Iterator[tuple[slice, slice, float]]:
    """Blocks of cells that the stretch may light, with their distance to it [m]."""
    low, high = stretch.low_m, stretch.high_m
    u_m, v_m = grid.u_m, grid.v_m
    waiting = [(0, len(u_m), 0, len(v_m))]
    while waiting:
        u0, u1, v0, v1 = waiting.pop()
        corner, far = np.full(3, grid.at_m), np.full(3, grid.at_m)
        corner[list(grid.plane_axes)] = u_m[u0], v_m[v0]
        far[list(grid.plane_axes)] = u_m[u1 - 1], v_m[v1 - 1]
        if _turned_away(grid, stretch, corner, far):
            continue
        gaps = np.maximum(0.0, np.maximum(low - far, corner - high))
        distance = 0.0 if exact else float(np.linalg.norm(gaps))
        cells = (u1 - u0) * (v1 - v0)
        if cells <= _LEAST_CELLS or cells * stretch.lamp_count(distance) <= _PAIRS:
            yield slice(u0, u1), slice(v0, v1), distance
        elif v1 - v0 == 1 or (u1 - u0 > 1 and u_m[u1 - 1] - u_m[u0] > v_m[v1 - 1] - v_m[v0]):
            middle = (u0 + u1) // 2
            waiting += [(u0, middle, v0, v1), (middle, u1, v0, v1)]
        else:
            middle = (v0 + v1) // 2
            waiting += [(u0, u1, v0, middle), (u0, u1, middle, v1)]


def _turned_away(grid: Grid, stretch: Stretch, corner: Array, far: Array) -> bool:
    """Whether no LED stands in front of the face, or the block lies behind all LEDs."""
    out = (stretch.high_m if grid.sign > 0.0 else stretch.low_m)[grid.axis]
    if grid.sign * (out - grid.at_m) <= 0.0:
        return True
    facing = stretch.facing
    ahead = np.where(facing > 0.0, far - stretch.low_m, corner - stretch.high_m)
    return float(ahead @ facing) <= 0.0


def _block_lux(
    prepared: Lighting, grid: Grid, places: Triple, stretch: Stretch, lamps: Lamps
) -> Array:
    """Light of a stretch at places (u, v) on the grid's plane [lx]."""
    away = [places[k][..., None] - _only(lamps.places_m[:, k]) for k in range(3)]
    seen = _seen(prepared, places, stretch, lamps)
    if seen is not None and stretch.axis is not None:
        away[stretch.axis] = away[stretch.axis] - seen.shift * stretch.signed_step_m
    ahead = sum(away[k] * stretch.facing[k] for k in range(3) if stretch.facing[k])
    towards = np.maximum(-grid.sign * away[grid.axis], 0.0)
    square = away[0] ** 2 + away[1] ** 2 + away[2] ** 2
    inverse = 1.0 / np.sqrt(np.maximum(square, _LEAST_M**2))
    lux = np.maximum(ahead, 0.0) * inverse
    lux **= stretch.exponent
    lux *= inverse**3
    lux *= towards
    if seen is not None:
        lux *= seen.share
    _shade_line_by_line(lux, prepared, places, stretch, lamps)
    return np.asarray(stretch.intensity_cd * (lux @ lamps.leds))


def _seen(prepared: Lighting, places: Triple, stretch: Stretch, lamps: Lamps) -> Seen | None:
    """Give what plain boxes leave to be seen of a straight stretch."""
    if stretch.axis is None or not len(prepared.low_m):
        return None
    spans = hidden_spans(places, stretch, prepared.low_m, prepared.high_m)
    return seen_parts(*spans, lamps)


def _only(values: Array) -> Array:
    """Give one number in the place of many that are equal, so that less is worked out."""
    return values[:1] if len(values) and (values == values[0]).all() else values


def _shade_line_by_line(
    lux: Array, prepared: Lighting, places: Triple, stretch: Stretch, lamps: Lamps
) -> None:
    """Take from the light (u, v, c) what is kept from it on the line from each lamp.

    Boxes with inserts only, where they may be in the way, or all boxes for a stretch that
    does not run straight along an axis.
    """
    shapes = prepared.hosts if stretch.axis is not None else prepared.everything
    if shapes is None:
        return
    unsure = np.greater(lux, 0.0)
    if stretch.axis is not None:
        starts, _ = hidden_spans(places, stretch, prepared.host_low_m, prepared.host_high_m)
        unsure &= np.isfinite(starts.min(axis=0))[..., None]
    if not unsure.any():
        return
    *cell, lamp = np.nonzero(unsure)
    ends = np.stack([np.broadcast_to(x, unsure.shape[:2])[tuple(cell)] for x in places], axis=1)
    way = lamps.places_m[lamp] - ends
    stopped, through = crossings(shapes, ends, lamps.places_m[lamp])
    share = np.where(stopped, 0.0, 1.0)
    for number, opening in enumerate(shapes.openings):
        passes = through[:, number] & ~stopped
        cosine = np.abs(way[passes, opening.axis]) / np.sqrt((way[passes] ** 2).sum(axis=1))
        share[passes] *= slanted_straight_share(
            prepared.sheets[number], opening.thickness_m, cosine
        )
    lux[unsure] *= share
