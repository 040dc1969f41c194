"""Read the piece in space: [[blocks]], [[inlays]], [room], [[viewers]], and mounts of runs."""

from __future__ import annotations

from lightcalc.design.fields import Limits, Section
from lightcalc.design.space import FACINGS, Block, Inlay, Mount, Room, Space, Viewer
from lightcalc.tables.colours import colours, tints

ANYWHERE = Limits(-20.0, 20.0)
SIZE = Limits(0.0005, 10.0)
BEHIND = Limits(0.0, 10.0)
# Lower than the eye of someone seated.
TABLE = Limits(0.0, 1.1)
SHINIEST = Limits(0.0, 0.9)

BLOCK = '[[blocks]] on a line, and under it name = "seat"'
INLAY = '[[inlays]] on a line, and under it name = "resin seam"'
VIEWER = '[[viewers]] on a line, and under it name = "sofa"'
ROOM = '[room] on a line, and under it floor = "oak boards"'
MOUNT = '[[runs.mounts]] under its run, and under that name = "on the rail"'
FACING_DEFAULT = "down"


def read_space(top: Section) -> Space:
    """Read everything about the piece in space but where its runs lie."""
    return Space(
        blocks=tuple(_read_block(section) for section in top.sections("blocks", BLOCK)),
        inlays=tuple(_read_inlay(section) for section in top.sections("inlays", INLAY)),
        viewers=tuple(_read_viewer(section) for section in top.sections("viewers", VIEWER)),
        room=_read_room(top.section("room", ROOM)),
    )


def read_mounts(run: Section) -> tuple[Mount, ...]:
    """Read the ways to mount a run; none when the maker does not say where it lies."""
    sections = run.sections("mounts", MOUNT)
    return tuple(_read_mount(section, number) for number, section in enumerate(sections, start=1))


def _read_block(section: Section) -> Block:
    block = Block(
        name=section.text("name", "seat"),
        at_m=section.place_m("at", ANYWHERE),
        size_m=section.place_m("size", SIZE),
        colour=section.choice("colour", [*colours()], "oak"),
    )
    section.close()
    return block


def _read_inlay(section: Section) -> Inlay:
    inlay = Inlay(
        name=section.text("name", "resin seam"),
        block=section.text("block", "seat"),
        outline_m=section.places_m("outline", 2, 3, ANYWHERE),
        sheet=section.text("sheet", "resin-blue-10"),
        tint=section.choice("tint", [*tints()], "") or None,
    )
    section.close()
    return inlay


def _read_mount(section: Section, number: int) -> Mount:
    mount = Mount(
        name=section.text("name", "under the top", default=f"mount {number}"),
        path_m=section.places_m("path", 3, 2, ANYWHERE),
        faces=section.choice("faces", [*FACINGS], FACING_DEFAULT),
    )
    section.close()
    return mount


def _read_viewer(section: Section) -> Viewer:
    viewer = Viewer(
        name=section.text("name", "sofa"),
        at_m=section.place_m("at", ANYWHERE),
        looks_at_m=section.optional_place_m("looks_at", ANYWHERE),
    )
    section.close()
    return viewer


def _read_room(section: Section) -> Room:
    room = Room(
        floor_colour=section.choice("floor", [*colours()], "oak boards"),
        floor_gloss_ratio=section.quantity("gloss", "ratio", "4 %", SHINIEST, default=0.04),
        wall_behind_m=section.quantity("wall_behind", "length", "5 cm", BEHIND, default=None),
        table_m=section.quantity("table", "length", "29 in", TABLE, default=0.0),
        wall_colour=section.choice("wall", [*colours()], "white plaster"),
    )
    section.close()
    return room
