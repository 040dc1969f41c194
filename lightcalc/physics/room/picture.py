"""What an eye sees of a scene: the luminance of every pixel, from light maps and straight lines.

::

    eye *-----pixel----> first surface met: matt light of its map, from LEDs and room
                             | floor, insert: and a share of what a mirrored line meets
                             ` insert: its glow, and a share of what lies straight behind
        + bright squares of the LEDs themselves + the eye's own veil around them

Every pixel is a sum of computed luminances [cd/m2] in linear sRGB; nothing is drawn by hand.
A matt surface has ``reflectance / pi * lux``. Pixels that differ from a neighbour are looked at
four times over, which smooths edges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.camera import HEIGHT_PX, WIDTH_PX, Camera, camera
from lightcalc.physics.room.glare import with_glare
from lightcalc.physics.room.glow import Glow, InsertGlow
from lightcalc.physics.room.led_images import led_images, light_colour
from lightcalc.physics.room.lightmap import LightMap
from lightcalc.physics.room.rays import Hits, Indices, Kind, Solids, nearest, solids
from lightcalc.physics.room.room import room_lux
from lightcalc.physics.room.scene import Colour, Eye, Insert, Scene
from lightcalc.physics.room.sightline import slanted_straight_share
from lightcalc.physics.room.tone import Image

# Where a line meets nothing there is the rest of the room, as light as a mid grey wall.
_FAR_REFLECTANCE = 0.5
# Four looks into a pixel, turned a little so that no two share a row or column.
_LOOKS = (np.array((-0.375, 0.125, 0.375, -0.125)), np.array((-0.125, -0.375, 0.125, 0.375)))
# A step from one pixel to the next of more than this share of their light is an edge.
_EDGE = 0.04
# Places in `Stage.surfaces`; then come six faces for each box: low x, high x, low y, ...
_FLOOR, _WALL, _FACES = 0, 1, 2


@dataclass(frozen=True, eq=False)
class Stage:
    """A scene made ready to be looked at: luminances [cd/m2] of its surfaces, by colour."""

    scene: Scene
    shapes: Solids
    surfaces: tuple[LightMap | None, ...]
    inserts: tuple[tuple[LightMap, LightMap], ...]
    far_cd_m2: float


def stage(scene: Scene, lit: Glow) -> Stage:
    """Prepare a scene, once for all its eyes, from its glow.

    Raises ValueError when the glow was worked out without the faces, or is of another scene.
    """
    if len(lit.faces) != 6 * len(scene.boxes) or (lit.wall is None) != (scene.wall is None):
        raise ValueError("The glow must be that of this scene, worked out with the boxes' faces.")
    wall = _matt(scene, lit.wall, scene.wall.colour) if scene.wall and lit.wall else None
    surfaces = [_matt(scene, lit.floor, scene.floor.colour), wall]
    for number, face in enumerate(lit.faces):
        surfaces.append(_matt(scene, face, scene.boxes[number // 6].colour))
    inserts = tuple(
        _insert_sides(scene, insert, found)
        for insert, found in zip(scene.inserts, lit.inserts, strict=True)
    )
    far_cd_m2 = _FAR_REFLECTANCE / math.pi * scene.room_lux
    return Stage(scene, solids(scene), tuple(surfaces), inserts, far_cd_m2)


def picture(ready: Stage, eye: Eye, width_px: int = WIDTH_PX, height_px: int = HEIGHT_PX) -> Image:
    """Luminance of each pixel, shape (height, width, 3) [cd/m2], as the eye has it."""
    view = camera(eye, width_px, height_px)
    return with_glare(linear_picture(ready, view), view.focal_px)


def linear_picture(ready: Stage, view: Camera) -> Image:
    """Luminance of each pixel [cd/m2] before the eye's own veil."""
    x, y = view.pixel_middles()
    shape = (view.height_px, view.width_px, 3)
    colours = _look(ready, view, x, y).reshape(shape)
    edges = np.flatnonzero(_edges(colours))
    flat = colours.reshape(-1, 3)
    if edges.size:
        looks = (
            np.add.outer(place[edges], off).ravel()
            for place, off in zip((x, y), _LOOKS, strict=True)
        )
        flat[edges] = _look(ready, view, *looks).reshape(edges.size, -1, 3).mean(axis=1)
    return (colours + led_images(ready.scene, ready.shapes, view)).astype(np.float32)


def _matt(scene: Scene, light: LightMap, reflectance: Colour) -> LightMap:
    """Luminance of a matt surface, by colour in the place of rows, from LEDs and room."""
    lux = _in_colours(scene, light.lux_by_row) + room_lux(scene, light.grid)
    return LightMap(light.grid, lux * np.array(reflectance)[:, None, None] / math.pi)


def _insert_sides(scene: Scene, insert: Insert, found: InsertGlow) -> tuple[LightMap, LightMap]:
    """Luminance of both sides of an insert, low first: LEDs and room, from before and behind."""
    tint = np.array(insert.colour)[:, None, None]
    room = [room_lux(scene, side.grid) / math.pi for side in (found.low, found.high)]
    sides = []
    for from_high in (False, True):
        leds = found.luminance(from_high=from_high)
        near, far = room[from_high], room[not from_high]
        light = _in_colours(scene, leds.lux_by_row) + found.matt * near
        sides.append(LightMap(leds.grid, (light + found.shares.scattered * far) * tint))
    return sides[0], sides[1]


def _in_colours(scene: Scene, by_row: Array) -> Array:
    """Light (rows, u, v) of all rows together, by colour, shape (3, u, v)."""
    colours = np.array([light_colour(row) for row in scene.rows]).reshape(-1, 3)
    return np.asarray(np.tensordot(colours.T, by_row, axes=1))


def _edges(colours: Array) -> npt.NDArray[np.bool_]:
    """Pixels (h, w) that differ from one beside or above them."""
    light = np.log(colours.sum(axis=2) + 1e-6)
    edges = np.zeros(light.shape, dtype=np.bool_)
    down = np.abs(np.diff(light, axis=0)) > _EDGE
    across = np.abs(np.diff(light, axis=1)) > _EDGE
    edges[1:] |= down
    edges[:-1] |= down
    edges[:, 1:] |= across
    edges[:, :-1] |= across
    return edges


def _look(ready: Stage, view: Camera, x_px: Array, y_px: Array) -> Array:
    """Luminance (n, 3) [cd/m2] at places of the picture."""
    along = view.directions(x_px, y_px)
    along /= np.sqrt(np.einsum("ij,ij->i", along, along))[:, None]
    hits = nearest(ready.shapes, view.place, along)
    places = view.place + _reach(hits) * along
    colours = _light_of(ready, hits, places)
    mirrors = _mirror_shares(ready, hits, along)
    met = np.flatnonzero(mirrors)
    if met.size:
        normal = hits.normal[met]
        onward = along[met] - 2.0 * np.einsum("ij,ij->i", along[met], normal)[:, None] * normal
        mirrored = nearest(ready.shapes, places[met], onward)
        spots = places[met] + _reach(mirrored) * onward
        colours[met] += mirrors[met, None] * _light_of(ready, mirrored, spots)
    inserts = np.flatnonzero(hits.kind == Kind.INSERT)
    if inserts.size:
        colours[inserts] += _behind(ready, view, along[inserts], hits.index[inserts])
    return colours


def _mirror_shares(ready: Stage, hits: Hits, along: Array) -> Array:
    """Share (n,) that what is met mirrors: the floor its gloss, an insert by its index."""
    shares = np.where(hits.kind == Kind.FLOOR, ready.scene.floor.gloss, 0.0)
    for number, insert in enumerate(ready.scene.inserts):
        met = np.flatnonzero((hits.kind == Kind.INSERT) & (hits.index == number))
        cosine = np.abs(np.einsum("ij,ij->i", along[met], hits.normal[met]))
        shares[met] = slanted_reflectance(insert.sheet.refractive_index, cosine)
    return shares


def slanted_reflectance(refractive_index: float, cosine: Array) -> Array:
    """Share of light that a smooth face mirrors, at the cosine to its normal; same shape.

    Fresnel's equations, mean of both polarisations.

    >>> slanted_reflectance(1.5, np.array([1.0, 0.5, 0.0])).round(4).tolist()
    [0.04, 0.0892, 1.0]
    """
    n = refractive_index
    inside = np.sqrt(np.maximum(1.0 - (1.0 - cosine**2) / n**2, 1e-12))
    across = ((cosine - n * inside) / (cosine + n * inside)) ** 2
    along = ((n * cosine - inside) / (n * cosine + inside)) ** 2
    return np.asarray((across + along) / 2.0)


def _behind(ready: Stage, view: Camera, along: Array, index: Indices) -> Array:
    """Luminance (n, 3) that comes straight through the inserts met first."""
    hits = nearest(ready.shapes, view.place, along, past_inserts=True)
    colours = _light_of(ready, hits, view.place + _reach(hits) * along)
    for number, insert in enumerate(ready.scene.inserts):
        met = np.flatnonzero(index == number)
        opening = ready.shapes.openings[number]
        cosine = np.abs(along[met, opening.axis])
        share = slanted_straight_share(insert.sheet, opening.thickness_m, cosine)
        colours[met] *= share[:, None] * np.array(insert.colour)
    return colours


def _light_of(ready: Stage, hits: Hits, places: Array) -> Array:
    """Luminance (n, 3) of what lines meet at those places, without what shows in or through it."""
    colours = np.full((len(places), 3), ready.far_cd_m2)
    axis = np.abs(hits.normal).argmax(axis=1)
    outward = np.take_along_axis(hits.normal, axis[:, None], axis=1)[:, 0] > 0.0
    face = _FACES + 6 * hits.box + 2 * axis + outward
    surface = np.select(
        [hits.kind == Kind.FLOOR, hits.kind == Kind.WALL, hits.kind == Kind.BOX],
        [_FLOOR, _WALL, face],
        -1,
    )
    for number in np.flatnonzero(np.bincount(surface + 1)[1:]).tolist():
        light = ready.surfaces[number]
        if light is not None:
            met = np.flatnonzero(surface == number)
            colours[met] = _on_map(light, places[met])
    for number, sides in enumerate(ready.inserts):
        for side, light in enumerate(sides):
            met = np.flatnonzero(
                (hits.kind == Kind.INSERT) & (hits.index == number) & (outward == side)
            )
            if met.size:
                colours[met] = _on_map(light, places[met])
    return colours


def _on_map(light: LightMap, places: Array) -> Array:
    """Light (n, 3) at places on a map's plane; past its rim that of the rim."""
    kept = places.copy()
    for axis, edges in zip(
        light.grid.plane_axes, (light.grid.u_edges_m, light.grid.v_edges_m), strict=True
    ):
        np.clip(kept[:, axis], edges[0], edges[-1], out=kept[:, axis])
    return light.at(kept).T


def _reach(hits: Hits) -> Array:
    """Distance to what is met, (n, 1); nil where there is nothing."""
    return np.where(np.isfinite(hits.distance_m), hits.distance_m, 0.0)[:, None]
