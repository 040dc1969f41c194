"""The piece in space as the maker measures it: blocks, inlays, where runs lie, who looks.

Lengths are counted from the left, from the front, and from the floor up:

         up   back
          |  /
          | /            a block is a corner and a size
          |/______ right
        front left
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

Place = tuple[float, float, float]

# LEDs stand off the line they are stuck to by about the height of strip and package.
STAND_OFF_M = 0.002
# Sides of a block that differ by less than this are one as thin as the other.
SAME_M = 1e-6

# Which way LEDs face, in the maker's words.
FACINGS: dict[str, Place] = {
    "down": (0.0, 0.0, -1.0),
    "up": (0.0, 0.0, 1.0),
    "front": (0.0, -1.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
}


def edge_way_m(start: Place, end: Place) -> float:
    """Return how long a way is that goes along the edges of a piece.

    >>> edge_way_m((0.0, 0.0, 0.0), (1.0, -0.5, 0.25))
    1.75
    """
    return math.fsum(abs(a - b) for a, b in zip(start, end, strict=True))


@dataclass(frozen=True)
class Block:
    """A solid block: a top, rail, leg, apron or shelf. `at_m` is its corner left, front, down."""

    name: str
    at_m: Place
    size_m: Place
    colour: str

    @property
    def far_m(self) -> Place:
        """Its corner right, back, up."""
        x, y, z = (at + size for at, size in zip(self.at_m, self.size_m, strict=True))
        return (x, y, z)

    @property
    def thin_axes(self) -> tuple[int, ...]:
        """Axes along which it is thinnest, 0 left, 1 front, 2 up; several when sides are alike."""
        thickness_m = min(self.size_m)
        return tuple(axis for axis in range(3) if self.size_m[axis] <= thickness_m + SAME_M)


@dataclass(frozen=True)
class Inlay:
    """A sheet or casting let right through a block.

    `outline_m` holds its corners in order, as the two lengths across the block's thinnest way.
    `tint` names the colour that its light takes on; without one it is clear or white.
    """

    name: str
    block: str
    outline_m: tuple[tuple[float, ...], ...]
    sheet: str
    tint: str | None = None


@dataclass(frozen=True)
class Mount:
    """One way to mount a run: the line its LEDs lie on, corner by corner, and how they face."""

    name: str
    path_m: tuple[tuple[float, ...], ...]
    faces: str

    @property
    def length_m(self) -> float:
        """Length of the line, along all of its sides."""
        return math.fsum(side.length_m for side in self.sides())

    def sides(self) -> tuple[Side, ...]:
        """Its straight sides from corner to corner, less those of no length."""
        pairs = zip(self.path_m, self.path_m[1:], strict=False)
        return tuple(Side(_place(a), _place(b)) for a, b in pairs if a != b)

    def at(self, along_m: float) -> Place:
        """Return the place so far along the line, at most its end.

        >>> Mount("", ((0.0, 0.0, 0.4), (1.0, 0.0, 0.4), (1.0, 0.5, 0.4)), "down").at(1.25)
        (1.0, 0.25, 0.4)
        """
        for side in self.sides():
            if along_m <= side.length_m:
                return side.at(along_m)
            along_m -= side.length_m
        return _place(self.path_m[-1])


@dataclass(frozen=True)
class Side:
    """A straight part of the line that a run lies on."""

    start_m: Place
    end_m: Place

    @property
    def length_m(self) -> float:
        """Length from corner to corner."""
        return math.dist(self.start_m, self.end_m)

    @property
    def direction(self) -> Place:
        """Unit vector along it."""
        return _place([(b - a) / self.length_m for a, b in self._pairs()])

    def at(self, along_m: float) -> Place:
        """Return the place so far along it, at most its end."""
        share = min(along_m / self.length_m, 1.0)
        return _place([a + share * (b - a) for a, b in self._pairs()])

    def _pairs(self) -> zip[tuple[float, float]]:
        return zip(self.start_m, self.end_m, strict=True)


def stood_off(place: Place, faces: str) -> Place:
    """Return where the LED is whose place on the strip this is.

    >>> stood_off((0.0, 0.0, 0.4), "down")
    (0.0, 0.0, 0.398)
    """
    return _place([p + STAND_OFF_M * f for p, f in zip(place, FACINGS[faces], strict=True)])


def _place(values: list[float] | tuple[float, ...]) -> Place:
    x, y, z = values
    return (x, y, z)


@dataclass(frozen=True)
class Viewer:
    """Someone's eye, and what it looks at; None looks at the middle of the piece."""

    name: str
    at_m: Place
    looks_at_m: Place | None = None


@dataclass(frozen=True)
class Room:
    """Floor and wall. `wall_behind_m` is from the back of the piece; None is no wall.

    For a piece on a table the floor is the table's top, `table_m` above the floor that people
    stand on, so that eyes are lower by that.
    """

    floor_colour: str = "oak boards"
    floor_gloss_ratio: float = 0.04
    wall_behind_m: float | None = None
    wall_colour: str = "white plaster"
    table_m: float = 0.0


@dataclass(frozen=True)
class Space:
    """Everything about a piece in space but its runs, which say themselves where they lie."""

    blocks: tuple[Block, ...] = ()
    inlays: tuple[Inlay, ...] = ()
    viewers: tuple[Viewer, ...] = ()
    room: Room = field(default_factory=Room)
