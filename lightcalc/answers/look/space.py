"""The scene that physics looks at, built from a design and the light its runs give."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lightcalc.answers.bought import sheet_of
from lightcalc.answers.light_colour import light_colour
from lightcalc.answers.results import RunAnswer
from lightcalc.answers.surroundings import brightest
from lightcalc.answers.wiring import CutRun
from lightcalc.design.piece import Design, Use
from lightcalc.design.space import FACINGS, Block, Inlay, Mount, Place, Side, Viewer, stood_off
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.dots.diffusion import beam_exponent
from lightcalc.physics.room.scene import WHITE, Box, Eye, Floor, Insert, Row, Scene, Wall
from lightcalc.tables.colours import at_luminance_one, colours, tints

# A line that turns by 30 degrees or more has a corner; gentler turns are a curve.
CORNER_COSINE = math.cos(math.radians(30.0))
# A run that gives no light still has LEDs, which shine as little as that [lm].
LEAST_LM = 1e-9
NEAREST_LOOK_M = 0.001
SEATED_EYE_M, STANDING_EYE_M = 1.15, 1.6
SEATED_AWAY_M, STANDING_AWAY_M = 2.0, 1.2


@dataclass(frozen=True)
class Placed:
    """A scene, and of which run each of its rows is a side."""

    scene: Scene
    run_of: Mapping[str, str]


def placed(design: Design) -> bool:
    """Return whether the maker said where anything is: blocks, and at least one run."""
    return bool(design.space.blocks) and any(run.mounts for run in design.runs)


def scene_of(
    design: Design,
    runs: Sequence[tuple[CutRun, RunAnswer]],
    catalogue: Catalogue,
    mounts: Mapping[str, int] | None = None,
) -> Placed:
    """Build the scene with each run as in its brightest stretch of the evening.

    `mounts` picks a mount for a run by number, else the first; runs with none are left out.
    """
    space, chosen = design.space, mounts or {}
    rows: list[Row] = []
    run_of: dict[str, str] = {}
    for cut_run, answer in runs:
        if cut_run.run.mounts:
            mount = cut_run.run.mounts[chosen.get(cut_run.run.name, 0)]
            sides = rows_of(cut_run, answer, mount, design.use)
            rows += sides
            run_of |= dict.fromkeys((row.name for row in sides), cut_run.run.name)
    _, back, _ = _extent(space.blocks)
    behind_m = space.room.wall_behind_m
    scene = Scene(
        boxes=tuple(
            Box(block.name, block.at_m, block.far_m, colours()[block.colour])
            for block in space.blocks
        ),
        rows=tuple(rows),
        eyes=tuple(_eye(viewer, design) for viewer in space.viewers or default_viewers(design)),
        inserts=tuple(_insert(inlay, catalogue) for inlay in space.inlays),
        floor=Floor(colours()[space.room.floor_colour], space.room.floor_gloss_ratio),
        wall=None if behind_m is None else Wall(back + behind_m, colours()[space.room.wall_colour]),
        room_lux=design.use.room_lux,
    )
    return Placed(scene, run_of)


def _insert(inlay: Inlay, catalogue: Catalogue) -> Insert:
    return Insert(
        name=inlay.name,
        host=inlay.block,
        corners=tuple((one, other) for one, other in inlay.outline_m),
        sheet=sheet_of(catalogue.sheets[inlay.sheet]),
        colour=at_luminance_one(tints()[inlay.tint]) if inlay.tint else WHITE,
    )


def _extent(blocks: Sequence[Block]) -> Place:
    """Return the far end of the piece to the right, to the back, and upwards."""
    corners = [block.far_m for block in blocks]
    right, back, up = (max(corner[axis] for corner in corners) for axis in range(3))
    return (right, back, up)


def _middle(blocks: Sequence[Block]) -> Place:
    far = _extent(blocks)
    near = [min(block.at_m[axis] for block in blocks) for axis in range(3)]
    x, y, z = ((low + high) / 2.0 for low, high in zip(near, far, strict=True))
    return (x, y, z)


def _eye(viewer: Viewer, design: Design) -> Eye:
    looks_at = viewer.looks_at_m or _middle(design.space.blocks)
    if math.dist(looks_at, viewer.at_m) < NEAREST_LOOK_M:
        # An eye in the very middle of the piece looks to the back.
        looks_at = (looks_at[0], looks_at[1] + 1.0, looks_at[2])
    return Eye(viewer.name, viewer.at_m, looks_at)


def default_viewers(design: Design) -> tuple[Viewer, ...]:
    """Return a seated and a standing viewer in front, one seated to the left, one to the right."""
    blocks = design.space.blocks
    right, _, _ = _extent(blocks)
    left = min(block.at_m[0] for block in blocks)
    front = min(block.at_m[1] for block in blocks)
    x, y, _ = _middle(blocks)
    seated, standing = (
        eye_m - design.space.room.table_m for eye_m in (SEATED_EYE_M, STANDING_EYE_M)
    )
    return (
        Viewer("seated in front", (x, front - SEATED_AWAY_M, seated)),
        Viewer("standing in front", (x, front - STANDING_AWAY_M, standing)),
        Viewer("seated to the left", (left - SEATED_AWAY_M, y - 0.6, seated)),
        Viewer("standing to the right", (right + STANDING_AWAY_M, front - 0.6, standing)),
    )


def rows_of(cut_run: CutRun, answer: RunAnswer, mount: Mount, use: Use) -> tuple[Row, ...]:
    """Return the LEDs of a run on its line, one row for each straight or gently curved side.

    A strip that turns a corner lights its surroundings, and is set back or hidden behind a lip,
    side by side; the sides of such a run bear its name and their number.
    """
    strip = cut_run.strip
    duties, level_ratio, pitch_m = brightest(strip, use)
    count = max(round(cut_run.length_m / pitch_m), 1)
    sides = _on_sides(mount, [(n + 0.5) * cut_run.length_m / count for n in range(count)])
    name = cut_run.run.name
    return tuple(
        Row(
            name=name if len(sides) == 1 else f"{name}, side {number}",
            places=tuple(stood_off(place, mount.faces) for place in places),
            facing=FACINGS[mount.faces],
            lumens=max(answer.light_lm * level_ratio / count, LEAST_LM),
            exponent=beam_exponent(strip.beam_deg),
            pitch_m=pitch_m,
            side_m=strip.led_width_m,
            colour=light_colour(strip, duties),
        )
        for number, places in enumerate(sides, start=1)
    )


def _on_sides(mount: Mount, along_m: Sequence[float]) -> list[list[Place]]:
    """Put LEDs, given by how far along they are, on a line, in a list for each of its sides."""
    sides: list[list[Place]] = [[]]
    waiting, before = list(along_m), None
    straights = mount.sides()
    for number, straight in enumerate(straights):
        if before is not None and _turns_corner(before, straight) and sides[-1]:
            sides.append([])
        last = number == len(straights) - 1
        while waiting and (last or waiting[0] <= straight.length_m):
            sides[-1].append(straight.at(waiting.pop(0)))
        waiting = [place_m - straight.length_m for place_m in waiting]
        before = straight
    return [places for places in sides if places]


def _turns_corner(before: Side, after: Side) -> bool:
    pairs = zip(before.direction, after.direction, strict=True)
    return math.fsum(a * b for a, b in pairs) < CORNER_COSINE
