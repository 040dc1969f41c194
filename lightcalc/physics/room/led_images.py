"""The LEDs themselves in a picture: seen bare, through inserts, or mirrored in the floor.

::

      a bright square, cut into parts half a pixel wide:       +---+---+
      each part's light is shared among the four pixels that   | .:|:. |   '.' part of a
      a pixel's square around its middle overlaps              +-'-+-'-+   pixel's square
                                                               |   |   |
                                                               +---+---+

An LED of side a and intensity ``I0 cos^m`` has the luminance ``I0 cos^m / (a^2 cos)``. Most are
smaller than a pixel, so what must be right is luminance times solid angle, their light on the
eye: the light of a part, ``I / (parts r^2)`` lux, is divided by the solid angle of its pixel.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import Array, axial_intensity_cd
from lightcalc.physics.room.camera import Camera, Landing
from lightcalc.physics.room.rays import Solids
from lightcalc.physics.room.scene import Point, Row, Scene
from lightcalc.physics.room.sightline import bright_points, lines_to_eye, slanted_straight_share
from lightcalc.physics.room.tone import LUMINANCE_WEIGHTS

# Parts half a pixel wide share out evenly; squares more than 16 pixels wide have wider ones.
_PARTS_A_PIXEL = 2
_MOST_PARTS_A_SIDE = 32
_MOST_PARTS = 200_000


def led_images(scene: Scene, shapes: Solids, view: Camera) -> Array:
    """Luminance that the LEDs add to each pixel, shape (height, width, 3) [cd/m2].

    Adds nothing where the LEDs are hidden. Mirrored images are fainter by the floor's gloss, and
    those through inserts by the straight share at the slant and the insert's colour.
    """
    image = np.zeros((view.height_px, view.width_px, 3))
    for row in scene.rows:
        if row.lumens <= 0.0 or not row.places:
            continue
        for mirrored in (False, True):
            if not mirrored or scene.floor.gloss > 0.0:
                _share_out(image, view, *_row_light(scene, shapes, view, row, mirrored=mirrored))
    return image


def light_colour(row: Row) -> Array:
    """Colour of a row's light (3,), scaled to a luminance of 1, so that lumens stay lumens."""
    colour = np.array(row.colour, dtype=np.float64)
    weight = float(colour @ LUMINANCE_WEIGHTS)
    if weight <= 0.0:
        raise ValueError(f"Row {row.name} has a black light; give a colour above nil.")
    return np.asarray(colour / weight)


def _row_light(
    scene: Scene, shapes: Solids, view: Camera, row: Row, *, mirrored: bool
) -> tuple[Landing, Array]:
    """Where the parts of a row's squares land that are seen, and their light (n, 3) [lux]."""
    points = _parts(row, view, mirrored)
    place: Point = (float(view.place[0]), float(view.place[1]), float(view.place[2]))
    lines = lines_to_eye(shapes, points, row.facing, place, mirrored=mirrored)
    seen = np.flatnonzero(lines.seen)
    flip = np.array((1.0, 1.0, -1.0 if mirrored else 1.0))
    facing = np.array(row.facing, dtype=np.float64)
    facing /= np.linalg.norm(facing)
    length = lines.length_m[seen]
    cosine = (view.place * flip - points[seen]) @ facing / length
    parts = len(points) / len(row.places)
    lux = axial_intensity_cd(row.lumens, row.exponent) * cosine**row.exponent / (parts * length**2)
    colours = lux[:, None] * light_colour(row)
    if mirrored:
        colours *= scene.floor.gloss
    for number, (insert, opening) in enumerate(zip(scene.inserts, shapes.openings, strict=True)):
        slants = lines.slants[seen, number]
        share = slanted_straight_share(insert.sheet, opening.thickness_m, slants)
        tinted = share[:, None] * np.array(insert.colour)
        colours *= np.where(lines.through[seen, number, None], tinted, 1.0)
    return view.project(points[seen] * flip), colours


def _parts(row: Row, view: Camera, mirrored: bool) -> Array:
    """Middles of the parts of all bright squares, (LEDs * parts, 3) [m]."""
    squares = bright_points(row)
    middles, corners = squares[:, 0], squares[0, 1:] - squares[0, 0]
    one, other = corners[3] - corners[1], corners[3] - corners[2]
    flip = np.array((1.0, 1.0, -1.0 if mirrored else 1.0))
    depth = float(np.linalg.norm(middles * flip - view.place, axis=1).min())
    side_px = row.side_m / max(depth, 1e-3) * view.focal_px
    most = min(_MOST_PARTS_A_SIDE, math.isqrt(max(1, _MOST_PARTS // len(middles))))
    count = min(max(1, math.ceil(_PARTS_A_PIXEL * side_px)), max(most, 1))
    steps = (np.arange(count) + 0.5) / count - 0.5
    offsets = steps[:, None, None] * one + steps[:, None] * other
    return np.asarray((middles[:, None, :] + offsets.reshape(1, -1, 3)).reshape(-1, 3))


def _share_out(image: Array, view: Camera, landing: Landing, lux: Array) -> None:
    """Add light [lux at the eye] to the four pixels nearest to each place, as luminance."""
    height, width, _ = image.shape
    x, y = landing.x_px - 0.5, landing.y_px - 0.5
    # Not a number, for what is behind the eye, is not inside either.
    inside = (np.abs(x - width / 2.0) < width) & (np.abs(y - height / 2.0) < height)
    x, y, lux = x[inside], y[inside], lux[inside]
    left, top = np.floor(x).astype(np.intp), np.floor(y).astype(np.intp)
    for columns, rows, weights in _four(left, top, x - left, y - top):
        there = (columns >= 0) & (columns < width) & (rows >= 0) & (rows < height)
        column, row = columns[there], rows[there]
        sr = view.solid_angle_sr(column + 0.5, row + 0.5)
        np.add.at(image, (row, column), lux[there] * (weights[there] / sr)[:, None])


def _four(
    left: npt.NDArray[np.intp], top: npt.NDArray[np.intp], right_share: Array, low_share: Array
) -> tuple[tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], Array], ...]:
    """Columns, rows and shares of the four pixels that a pixel's square overlaps."""
    return (
        (left, top, (1.0 - right_share) * (1.0 - low_share)),
        (left + 1, top, right_share * (1.0 - low_share)),
        (left, top + 1, (1.0 - right_share) * low_share),
        (left + 1, top + 1, right_share * low_share),
    )
