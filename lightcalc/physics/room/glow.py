r"""The glow of a piece: light on floor, wall, faces and inserts, and how even it is.

::

           eye <)     room's light          What the eye sees of an insert: its glow from LEDs
               \   \  |  /                 behind it and before it, and the room's light. Images
            ====##########====  top          of the LEDs through it are looked for line by line
                 o  LEDs  o                  elsewhere; they are no part of its glow.

A scene is lit by `glow`. Everything keeps the light of each row apart, so that rows can be
dimmed and tinted in a picture without working it out again. The room's own light, the same on
every face, is left out of all maps; `Glow.room_lux` is to be added.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.dots.sheet import Shares, fresnel_reflectance, sheet_shares
from lightcalc.physics.room.bounce import bounced_maps
from lightcalc.physics.room.direct import Lighting, light_map, lighting
from lightcalc.physics.room.grids import (
    Outline,
    face_grids,
    floor_grid,
    insert_grids,
    outline,
    wall_grid,
)
from lightcalc.physics.room.lightmap import Grid, LightMap
from lightcalc.physics.room.lumens import Lumens, lumens_account
from lightcalc.physics.room.scene import Scene

_SAMPLES_A_PITCH = 8
_MOST_SAMPLES = 4000
_PASSES = 3


@dataclass(frozen=True, eq=False)
class InsertGlow:
    """An insert's glow by patches: `low` and `high` are the light on its two faces.

    `inside` (u, v) says which cells lie in its outline. Light scatters as if it had come near
    the normal, and leaves evenly to all sides where it arrived: sideways mixing in the sheet is
    left out, so that dots are shown no weaker than they are.
    """

    name: str
    low: LightMap
    high: LightMap
    inside: npt.NDArray[np.bool_]
    shares: Shares
    mirrored: float
    """Share that the sheet's face mirrors, which is no glow."""

    def luminance(self, *, from_high: bool) -> LightMap:
        """Luminance by row [cd/m2], in the place of lux, of the face on the high or low side.

        It goes on past the outline, for lookups near it; `inside` says where it ends.
        """
        near, far = (self.high, self.low) if from_high else (self.low, self.high)
        sent = self.shares.scattered * far.lux_by_row + self.matt * near.lux_by_row
        return LightMap(near.grid, sent / math.pi)

    def room_luminance(self, room_lux: float) -> float:
        """Luminance [cd/m2] that the room's light on both faces adds."""
        return (self.shares.scattered + self.matt) * room_lux / math.pi

    @property
    def matt(self) -> float:
        """Share of light sent back without a mirror image."""
        return max(0.0, self.shares.reflected - self.mirrored)


@dataclass(frozen=True, eq=False)
class Evenness:
    """Light along a line: places (n, 3) [m] and illuminance (n,) [lx]."""

    places_m: Array
    lux: Array
    dot_contrast: float
    """Michelson contrast of the pattern that repeats with the LEDs.

    Nil on a line of a few LEDs only.
    """

    @property
    def least_over_mean(self) -> float:
        """Uniformity: least light over the mean (EN 12665), 1 for even light, nil when dark."""
        mean = float(self.lux.mean())
        return float(self.lux.min()) / mean if mean > 0.0 else 0.0

    @property
    def contrast(self) -> float:
        """Michelson contrast from the brightest to the darkest place."""
        most, least = float(self.lux.max()), float(self.lux.min())
        return (most - least) / (most + least) if most > 0.0 else 0.0


@dataclass(frozen=True, eq=False)
class Glow:
    """All light of a scene; `edges` is that under the piece's edge nearest to each row.

    `faces` holds six maps for each box in the order of `face_grids`, or none.
    """

    floor: LightMap
    wall: LightMap | None
    faces: tuple[LightMap, ...]
    inserts: tuple[InsertGlow, ...]
    lumens: Lumens
    edges: tuple[Evenness, ...]
    room_lux: float


def glow(scene: Scene, *, margin_m: float = 1.0, faces: bool = True, bounced: bool = False) -> Glow:
    """Light a scene up.

    `margin_m` is how far round the piece the maps of floor and wall have small cells. `faces`
    are for pictures; without them the answer is quicker. With `bounced` the maps of floor, wall
    and faces hold light by way of one matt face as well (see `bounce`). Raises ValueError, in
    a sentence, for a scene that is empty or does not hang together.

    >>> from lightcalc.physics.room.scene import Row
    >>> leds = tuple((0.02 * k, 0.0, 0.4) for k in range(50))
    >>> lit = glow(Scene((), (Row("front", leds, (0, 0, -1), 20.0, 1.0, 0.02, 0.004),), ()))
    >>> round(lit.floor.lumens / lit.lumens.emitted, 2)
    1.0
    """
    prepared, shape = lighting(scene), outline(scene)
    wall = wall_grid(shape, margin_m)
    grids = [floor_grid(shape, margin_m), *([wall] if wall else [])]
    grids += face_grids(scene, shape) if faces else ()
    maps = [light_map(prepared, grid) for grid in grids]
    if bounced:
        more = bounced_maps(scene, prepared, shape)
        maps = [light.plus(extra) for light, extra in zip(maps, more, strict=False)]
    first_face = 2 if wall else 1
    return Glow(
        floor=maps[0],
        wall=maps[1] if wall else None,
        faces=tuple(maps[first_face:]),
        inserts=insert_glows(scene, prepared, shape),
        lumens=lumens_account(scene, prepared),
        edges=tuple(edge_evenness(prepared, shape, row) for row in range(len(scene.rows))),
        room_lux=scene.room_lux,
    )


def insert_glows(scene: Scene, prepared: Lighting, shape: Outline) -> tuple[InsertGlow, ...]:
    """Glow of every insert, in the order of the scene."""
    found = []
    for insert, opening in zip(scene.inserts, prepared.everything.openings, strict=True):
        low, high = insert_grids(shape, insert.name, opening)
        found.append(
            InsertGlow(
                insert.name,
                light_map(prepared, low),
                light_map(prepared, high),
                _inside(low, opening.corners),
                sheet_shares(insert.sheet, opening.thickness_m),
                fresnel_reflectance(insert.sheet.refractive_index),
            )
        )
    return tuple(found)


def edge_evenness(prepared: Lighting, shape: Outline, row: int) -> Evenness:
    """Light of all rows on the floor straight under the edge of the piece nearest to a row.

    The line runs along the row's longer way and is as long as the row. Raises IndexError for a
    row that the scene does not have.
    """
    parts = [part for part in prepared.stretches if part.row == row]
    leds = np.concatenate([part.places_m for part in parts])
    low, high = leds.min(axis=0), leds.max(axis=0)
    along = int((high - low)[:2].argmax())
    edges = (shape.piece_low_m[1 - along], shape.piece_high_m[1 - along])
    middle = (low + high)[1 - along] / 2.0
    aside = float(min(edges, key=lambda edge: abs(edge - middle)))
    start, end = np.zeros(3), np.zeros(3)
    start[along], end[along] = low[along], high[along]
    start[1 - along] = end[1 - along] = aside
    return line_evenness(prepared, start, end, pitch_m=parts[0].step_m)


def line_evenness(prepared: Lighting, start_m: Array, end_m: Array, pitch_m: float) -> Evenness:
    """Light of all rows along a line on the floor, along x or y, eight places a pitch.

    Raises ValueError for a line that does not lie on the floor along x or y.
    """
    aside = int(abs(end_m[0] - start_m[0]) > abs(end_m[1] - start_m[1]))
    along = 1 - aside
    if start_m[aside] != end_m[aside] or start_m[2] != 0.0 or end_m[2] != 0.0:
        raise ValueError("The line must lie on the floor along x or y.")
    length = abs(float(end_m[along] - start_m[along]))
    pitches = max(1.0, length / pitch_m)
    samples = max(2, min(_SAMPLES_A_PITCH, int(_MOST_SAMPLES / pitches) // 2 * 2))
    count = math.floor(pitches * samples + 0.5) + 1
    first = min(float(start_m[along]), float(end_m[along]))
    edges = first + (np.arange(count + 1) - 0.5) * pitch_m / samples
    narrow = np.array([start_m[aside] - 5e-7, start_m[aside] + 5e-7])
    grid = Grid("line", 2, 1.0, 0.0, *((narrow, edges) if aside == 0 else (edges, narrow)))
    lux = light_map(prepared, grid).lux.ravel()
    return Evenness(grid.middles_m().reshape(-1, 3), lux, _dot_contrast(lux, samples))


def _dot_contrast(lux: Array, samples: int) -> float:
    """Contrast of what is left when light is divided by its mean along one pitch, thrice.

    That mean holds no trace of a pattern that repeats with the pitch. What slow changes leave
    of themselves is squared and cubed by dividing again.
    """
    weights = np.ones(samples + 1) / samples
    weights[[0, -1]] /= 2.0  # one pitch exactly, centred on a sample
    half = samples // 2
    for _ in range(_PASSES):
        if len(lux) < 2 * samples or not lux.min() > 0.0:
            return 0.0
        lux = lux[half : len(lux) - half] / np.convolve(lux, weights, mode="valid")
    return float((lux.max() - lux.min()) / (lux.max() + lux.min()))


def _inside(grid: Grid, corners: Array) -> npt.NDArray[np.bool_]:
    """Cells whose middles lie in a polygon (k, 2), by the count of edges to one side."""
    u, v = grid.u_m[:, None], grid.v_m[None, :]
    inside = np.zeros((len(grid.u_m), len(grid.v_m)), dtype=np.bool_)
    for (u0, v0), (u1, v1) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if v0 != v1:
            inside ^= ((v0 > v) != (v1 > v)) & (u < u0 + (u1 - u0) * (v - v0) / (v1 - v0))
    return inside
