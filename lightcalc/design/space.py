"""The piece in space as the maker measures it: blocks, inlays, where runs lie, who looks.

Lengths are counted from the left, from the front, and from the floor up:

         up   back
          |  /
          | /            a block is a corner and a size
          |/______ right
        front left
"""

from __future__ import annotations

from dataclasses import dataclass, field

Place = tuple[float, float, float]

# Which way LEDs face, in the maker's words.
FACINGS: dict[str, Place] = {
    "down": (0.0, 0.0, -1.0),
    "up": (0.0, 0.0, 1.0),
    "front": (0.0, -1.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
}


@dataclass(frozen=True)
class Block:
    """A solid block: a top, rail, leg, apron or shelf. `at_m` is its corner left, front, down."""

    name: str
    at_m: Place
    size_m: Place
    colour: str


@dataclass(frozen=True)
class Inlay:
    """A sheet or casting let right through a block.

    `outline_m` holds its corners in order, as the two lengths across the block's thinnest way.
    """

    name: str
    block: str
    outline_m: tuple[tuple[float, float], ...]
    sheet: str


@dataclass(frozen=True)
class Mount:
    """One way to mount a run: the line its LEDs lie on, corner by corner, and how they face."""

    name: str
    path_m: tuple[Place, ...]
    faces: str


@dataclass(frozen=True)
class Viewer:
    """Someone's eye, and what it looks at; None looks at the middle of the piece."""

    name: str
    at_m: Place
    looks_at_m: Place | None = None


@dataclass(frozen=True)
class Room:
    """Floor and wall. `wall_behind_m` is from the back of the piece; None is no wall."""

    floor_colour: str = "oak boards"
    floor_gloss_ratio: float = 0.04
    wall_behind_m: float | None = None
    wall_colour: str = "white plaster"


@dataclass(frozen=True)
class Space:
    """Everything about a piece in space but its runs, which say themselves where they lie."""

    blocks: tuple[Block, ...] = ()
    inlays: tuple[Inlay, ...] = ()
    viewers: tuple[Viewer, ...] = ()
    room: Room = field(default_factory=Room)
