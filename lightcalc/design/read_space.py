"""Read the piece in space: [[blocks]], [[inlays]], [room], [[viewers]], and mounts of runs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from lightcalc import units
from lightcalc.design.fields import SHARE, Limits, Section, shown, suggest
from lightcalc.design.piece import Run
from lightcalc.design.space import FACINGS, Block, Inlay, Mount, Place, Room, Space, Viewer
from lightcalc.problems import Problems
from lightcalc.tables.colours import colours

ANYWHERE = Limits(-20.0, 20.0)
SIZE = Limits(0.0005, 10.0)
BEHIND = Limits(0.0, 10.0)
MOST_CORNERS = 60

CORNER = '["5 cm", "2 cm", "40 cm"]'
BLOCK = '[[blocks]] on a line, and under it name = "seat"'
INLAY = '[[inlays]] on a line, and under it name = "resin seam"'
VIEWER = '[[viewers]] on a line, and under it name = "sofa"'
ROOM = '[room] on a line, and under it floor = "oak boards"'
MOUNT = '[[runs.mounts]] under its run, and under that name = "on the rail"'
FACING_DEFAULT = "down"
# A run may be shorter than the line it is mounted on, not longer; a strip bends around corners.
LONGER_THAN_PATH = 1.002


def read_space(top: Section) -> Space:
    """Read everything about the piece in space but where its runs lie."""
    return Space(
        blocks=tuple(_read_block(section) for section in top.sections("blocks", BLOCK)),
        inlays=tuple(_read_inlay(section) for section in top.sections("inlays", INLAY)),
        viewers=tuple(_read_viewer(section) for section in top.sections("viewers", VIEWER)),
        room=_read_room(top.section("room", ROOM)),
    )


def read_lengths(
    section: Section, key: str, value: Any, count: int, limits: Limits
) -> tuple[float, ...]:
    """Return so many lengths from a list; NaN in all of them when the list is wrong."""
    nothing = (math.nan,) * count
    if not isinstance(value, list) or len(value) != count:
        example = ", ".join(f'"{number} cm"' for number in (5, 2, 40)[:count])
        section.note(key, f"found {shown(value)}; write {count} lengths, such as [{example}].")
        return nothing
    found = []
    for item in value:
        try:
            length_m = units.read(item, "length")
        except units.UnitProblem as problem:
            section.note(key, str(problem))
            return nothing
        if not limits.allow(length_m):
            section.note(key, f"found {shown(item)}; {limits.sentence('length')}.")
            return nothing
        found.append(length_m)
    return tuple(found)


def _place(section: Section, key: str, limits: Limits = ANYWHERE) -> Place:
    section.used.add(key)
    if key not in section.table:
        section.note(key, f"is missing; write it like this: {key} = {CORNER}")
        return (math.nan, math.nan, math.nan)
    x, y, z = read_lengths(section, key, section.table[key], 3, limits)
    return (x, y, z)


def _read_block(section: Section) -> Block:
    block = Block(
        name=section.text("name", "seat"),
        at_m=_place(section, "at"),
        size_m=_place(section, "size", SIZE),
        colour=section.choice("colour", [*colours()], "oak"),
    )
    section.close()
    return block


def _read_inlay(section: Section) -> Inlay:
    inlay = Inlay(
        name=section.text("name", "resin seam"),
        block=section.text("block", "seat"),
        outline_m=_corners(section, "outline", 2, 3),
        sheet=section.text("sheet", "resin-blue-10"),
    )
    section.close()
    return inlay


def _corners(section: Section, key: str, count: int, least: int) -> Any:
    """Return a list of corners of so many lengths each, at least `least` of them."""
    section.used.add(key)
    value = section.table.get(key)
    if not isinstance(value, list) or not least <= len(value) <= MOST_CORNERS:
        one = ", ".join(f'"{number} cm"' for number in (5, 2, 40)[:count])
        found = "is missing" if value is None else f"found {shown(value)}"
        section.note(key, f"{found}; write {least} to {MOST_CORNERS} places, each like [{one}].")
        return ()
    return tuple(read_lengths(section, key, corner, count, ANYWHERE) for corner in value)


def read_mounts(run: Section) -> tuple[Mount, ...]:
    """Read the ways to mount a run; none when the maker does not say where it lies."""
    return tuple(_read_mount(section) for section in run.sections("mounts", MOUNT))


def _read_mount(section: Section) -> Mount:
    mount = Mount(
        name=section.text("name", "under the top", default="as drawn"),
        path_m=_corners(section, "path", 3, 2),
        faces=section.choice("faces", [*FACINGS], FACING_DEFAULT),
    )
    section.close()
    return mount


def _read_viewer(section: Section) -> Viewer:
    looks_at = _place(section, "looks_at") if "looks_at" in section.table else None
    section.used.add("looks_at")
    viewer = Viewer(
        name=section.text("name", "sofa"), at_m=_place(section, "at"), looks_at_m=looks_at
    )
    if viewer.at_m[2] < 0.0:
        section.note("at", "is below the floor; an eye is above it.")
    section.close()
    return viewer


def _read_room(section: Section) -> Room:
    room = Room(
        floor_colour=section.choice("floor", [*colours()], "oak boards"),
        floor_gloss_ratio=section.quantity("gloss", "ratio", "4 %", SHARE, default=0.04),
        wall_behind_m=section.quantity("wall_behind", "length", "5 cm", BEHIND, default=None),
        wall_colour=section.choice("wall", [*colours()], "white plaster"),
    )
    section.close()
    return room


def check_space(
    space: Space, runs: Iterable[Run], sheets: Sequence[str], problems: Problems
) -> None:
    """Add every contradiction within the piece in space."""
    blocks = {block.name: block for block in space.blocks}
    for kind, names in (
        ("blocks", [block.name for block in space.blocks]),
        ("inlays", [inlay.name for inlay in space.inlays]),
        ("viewers", [viewer.name for viewer in space.viewers]),
    ):
        for name in sorted({name for name in names if name and names.count(name) > 1}):
            problems.add(kind, f"{shown(name)} is there {names.count(name)} times; names differ.")
    for block in space.blocks:
        if block.at_m[2] < -1e-9:
            problems.add(f"blocks.{block.name}.at", "is below the floor.")
    for inlay in space.inlays:
        place = f"inlays.{inlay.name}"
        if inlay.sheet and inlay.sheet not in sheets:
            problems.add(
                f"{place}.sheet",
                f"found {shown(inlay.sheet)}, which is no sheet in the catalogue; "
                f"{suggest(inlay.sheet, sheets)}",
            )
        if inlay.block not in blocks:
            problems.add(
                f"{place}.block",
                f"found {shown(inlay.block)}, which is no block; {suggest(inlay.block, [*blocks])}",
            )
        elif not _lies_within(inlay, blocks[inlay.block]):
            problems.add(
                f"{place}.outline",
                f"reaches past {inlay.block}; an inlay lies within the face of its block, measured "
                "from the left, the front and the floor like all else.",
            )
    for run in runs:
        for mount in run.mounts:
            _check_path(run, mount, problems)


def thin_axis(block: Block) -> int:
    """Return the axis along which a block is thinnest: 0 left, 1 front, 2 up."""
    return min(range(3), key=lambda axis: block.size_m[axis])


def _lies_within(inlay: Inlay, block: Block) -> bool:
    across = [axis for axis in range(3) if axis != thin_axis(block)]
    for corner in inlay.outline_m:
        for axis, value in zip(across, corner, strict=True):
            low, high = block.at_m[axis], block.at_m[axis] + block.size_m[axis]
            if value < low - 1e-6 or value > high + 1e-6:
                return False
    return True


def path_length_m(mount: Mount) -> float:
    """Return the length of the line that a run is mounted on."""
    pairs = zip(mount.path_m, mount.path_m[1:], strict=False)
    return math.fsum(math.dist(start, end) for start, end in pairs)


def _check_path(run: Run, mount: Mount, problems: Problems) -> None:
    along_m = path_length_m(mount)
    if run.length_m > along_m * LONGER_THAN_PATH:
        problems.add(
            f"runs.{run.name}.mounts.{mount.name}.path",
            f"is {units.show(along_m, 'length')} long and the run "
            f"{units.show(run.length_m, 'length')}; give the line it lies on its full length.",
        )
