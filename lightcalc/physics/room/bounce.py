r"""Light that comes by way of one matt face: floor, wall and boxes light each other up once.

::

      ===== top, lit from below by the floor
        ^  ^  ^
         \ | /       A patch of area A and reflectance r under E lux sends r E / pi each way. At
      ____o____      the distance d it lays r E / pi * A cos cos / (d^2 + A / pi) on a face,
                     where A / pi, the disc of equal area on its axis, keeps near patches finite.

Patches are coarse, so the light is right to about a tenth, and blurred within a patch of where
faces meet: it fills the shadows of a picture and is no basis for a finding. Reflectance is the
mean of a colour as the eye weighs it (ITU-R BT.709 luma); inserts count as their hosts, and the
floor's gloss and further bounces are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.direct import Lighting, light_map
from lightcalc.physics.room.grids import Outline, face_grids, floor_grid, wall_grid
from lightcalc.physics.room.lightmap import Grid, LightMap
from lightcalc.physics.room.rays import blocked
from lightcalc.physics.room.scene import Colour, Scene

_LUMA = (0.2126, 0.7152, 0.0722)
_FLOOR_CELLS, _WALL_CELLS = 150, 80
_FACE_SIDE_M, _FACE_MOST = 0.2, 10
# Patches dimmer than this share of the brightest one's flux send nothing worth following.
_DIM = 1e-3


@dataclass(frozen=True, eq=False)
class _Patches:
    places_m: Array
    normals: Array
    areas_m2: Array
    sent_lux: Array


def bounced_maps(scene: Scene, prepared: Lighting, shape: Outline) -> tuple[LightMap, ...]:
    """Light of each row by way of one matt face, on coarse grids.

    First the floor, then the wall if there is one, then six faces a box as in `face_grids`.
    """
    grids = [floor_grid(shape, cells=_FLOOR_CELLS)]
    wall = wall_grid(shape, cells=_WALL_CELLS)
    grids += [wall] if wall else []
    grids += face_grids(scene, shape, _FACE_SIDE_M, _FACE_MOST)
    colours = [scene.floor.colour] + ([scene.wall.colour] if scene.wall else [])
    colours += [box.colour for box in scene.boxes for _ in range(6)]
    maps = [light_map(prepared, grid) for grid in grids]
    patches = _patches(maps, colours)
    received = _exchange(prepared, patches)
    found, start = [], 0
    for grid in grids:
        count = grid.areas_m2.size
        part = received[:, start : start + count]
        found.append(LightMap(grid, part.reshape(len(part), *grid.areas_m2.shape)))
        start += count
    return tuple(found)


def reflectance(colour: Colour) -> float:
    """Share of white light that a colour sends back, as the eye weighs it.

    >>> round(reflectance((0.5, 0.5, 0.5)), 12)
    0.5
    """
    return float(np.dot(colour, _LUMA))


def _patches(maps: list[LightMap], colours: list[Colour]) -> _Patches:
    """Put all cells of all maps in one list."""

    def joined(parts: list[Array]) -> Array:
        return np.concatenate(parts)

    def normals(grid: Grid) -> Array:
        return np.tile(grid.normal, (grid.areas_m2.size, 1))

    return _Patches(
        joined([m.grid.middles_m().reshape(-1, 3) for m in maps]),
        joined([normals(m.grid) for m in maps]),
        joined([m.grid.areas_m2.ravel() for m in maps]),
        np.concatenate(
            [
                m.lux_by_row.reshape(len(m.lux_by_row), m.grid.areas_m2.size) * reflectance(colour)
                for m, colour in zip(maps, colours, strict=True)
            ],
            axis=1,
        ),
    )


def _exchange(prepared: Lighting, patches: _Patches) -> Array:
    """Light (rows, patches) that every patch gets from the bright ones it sees."""
    flux = patches.sent_lux.sum(axis=0) * patches.areas_m2
    bright = np.flatnonzero(flux > _DIM * max(float(flux.max(initial=0.0)), 1e-30))
    area = patches.areas_m2[bright]
    places, normals = patches.places_m, patches.normals
    leaving = places @ normals[bright].T - (places[bright] * normals[bright]).sum(axis=1)
    arriving = normals @ places[bright].T - (places * normals).sum(axis=1)[:, None]
    facing = (leaving > 1e-9) & (arriving > 1e-9)
    to, source = np.nonzero(facing)
    square = ((places[to] - places[bright[source]]) ** 2).sum(axis=1)
    share = leaving[facing] * arriving[facing] / square
    share *= area[source] / (math.pi * square + area[source])
    worth = np.flatnonzero(share > 1e-5)
    to, source, share = to[worth], source[worth], share[worth]
    share[blocked(prepared.everything, places[to], places[bright[source]])] = 0.0
    coupling = np.zeros(facing.shape)
    coupling[to, source] = share
    return np.asarray(patches.sent_lux[:, bright] @ coupling.T)
