"""The scene that physics looks at, built from a design and the light its runs give."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from lightcalc.answers.bought import sheet_of
from lightcalc.answers.results import RunAnswer
from lightcalc.answers.wiring import CutRun
from lightcalc.design.piece import Design
from lightcalc.design.space import FACINGS, Block, Mount, Place, Viewer
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.diffusion import beam_exponent
from lightcalc.physics.scene import Box, Eye, Floor, Insert, Row, Scene, Wall
from lightcalc.tables.colours import colours

# LEDs stand off the line they are stuck to by about the height of strip and package.
STAND_OFF_M = 0.002
SEATED_EYE_M, STANDING_EYE_M = 1.15, 1.6
SEATED_AWAY_M, STANDING_AWAY_M = 2.0, 1.2


def placed(design: Design) -> bool:
    """Return whether the maker said where anything is: blocks, and at least one run."""
    return bool(design.space.blocks) and any(run.mounts for run in design.runs)


def scene_of(
    design: Design,
    runs: Sequence[tuple[CutRun, RunAnswer]],
    catalogue: Catalogue,
    level_ratio: float,
    mounts: Mapping[str, int] | None = None,
) -> Scene:
    """Build the scene at one level. `mounts` picks a mount for a run by number, else the first."""
    space, chosen = design.space, mounts or {}
    rows = [
        row_of(cut_run, answer, cut_run.run.mounts[chosen.get(cut_run.run.name, 0)], level_ratio)
        for cut_run, answer in runs
        if cut_run.run.mounts
    ]
    _, back, _ = _extent(space.blocks)
    behind_m = space.room.wall_behind_m
    return Scene(
        boxes=tuple(
            Box(block.name, block.at_m, _far_corner(block), colours()[block.colour])
            for block in space.blocks
        ),
        rows=tuple(rows),
        eyes=tuple(_eye(viewer, design) for viewer in space.viewers or default_viewers(design)),
        inserts=tuple(
            Insert(
                inlay.name, inlay.block, inlay.outline_m, sheet_of(catalogue.sheets[inlay.sheet])
            )
            for inlay in space.inlays
        ),
        floor=Floor(colours()[space.room.floor_colour], space.room.floor_gloss_ratio),
        wall=None if behind_m is None else Wall(back + behind_m, colours()[space.room.wall_colour]),
        room_lux=design.use.room_lux,
    )


def _far_corner(block: Block) -> Place:
    x, y, z = (at + size for at, size in zip(block.at_m, block.size_m, strict=True))
    return (x, y, z)


def _extent(blocks: Sequence[Block]) -> Place:
    """Return the far end of the piece to the right, to the back, and upwards."""
    corners = [_far_corner(block) for block in blocks]
    right, back, up = (max(corner[axis] for corner in corners) for axis in range(3))
    return (right, back, up)


def _middle(blocks: Sequence[Block]) -> Place:
    far = _extent(blocks)
    near = [min(block.at_m[axis] for block in blocks) for axis in range(3)]
    x, y, z = ((low + high) / 2.0 for low, high in zip(near, far, strict=True))
    return (x, y, z)


def _eye(viewer: Viewer, design: Design) -> Eye:
    return Eye(viewer.name, viewer.at_m, viewer.looks_at_m or _middle(design.space.blocks))


def default_viewers(design: Design) -> tuple[Viewer, ...]:
    """Return a seated and a standing viewer in front, one seated to the left, one to the right."""
    blocks = design.space.blocks
    right, _, _ = _extent(blocks)
    left = min(block.at_m[0] for block in blocks)
    front = min(block.at_m[1] for block in blocks)
    x, y, _ = _middle(blocks)
    return (
        Viewer("seated in front", (x, front - SEATED_AWAY_M, SEATED_EYE_M)),
        Viewer("standing in front", (x, front - STANDING_AWAY_M, STANDING_EYE_M)),
        Viewer("seated to the left", (left - SEATED_AWAY_M, y - 0.6, SEATED_EYE_M)),
        Viewer("standing to the right", (right + STANDING_AWAY_M, front - 0.6, STANDING_EYE_M)),
    )


def row_of(cut_run: CutRun, answer: RunAnswer, mount: Mount, level_ratio: float) -> Row:
    strip = cut_run.strip
    count = max(round(cut_run.length_m / strip.pitch_m), 1)
    facing = FACINGS[mount.faces]
    along = [(number + 0.5) * cut_run.length_m / count for number in range(count)]
    return Row(
        name=cut_run.run.name,
        places=tuple(_stood_off(_along(mount, place_m), facing) for place_m in along),
        facing=facing,
        lumens=max(answer.light_lm * level_ratio / count, 1e-9),
        exponent=beam_exponent(strip.beam_deg),
        pitch_m=strip.pitch_m,
        side_m=strip.led_width_m,
    )


def _stood_off(place: Place, facing: Place) -> Place:
    x, y, z = (p + STAND_OFF_M * f for p, f in zip(place, facing, strict=True))
    return (x, y, z)


def _along(mount: Mount, along_m: float) -> Place:
    """Return the place so far along the line of a mount, from corner to corner."""
    for start, end in zip(mount.path_m, mount.path_m[1:], strict=False):
        length_m = math.dist(start, end)
        if along_m <= length_m or end is mount.path_m[-1]:
            share = min(along_m / length_m, 1.0) if length_m > 0.0 else 0.0
            x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
            return (x, y, z)
        along_m -= length_m
    return mount.path_m[-1]
