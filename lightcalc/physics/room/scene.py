"""The piece in three dimensions: boxes, inserts that let light through, floor, wall, LEDs, eyes.

    z up, in metres; the floor is z = 0. x runs along the piece, y from its front to its back.

            z                 _________________________
            |   y            /   top    ~~~insert~~~  /|
            |  /            /________________________/ |
            | /             |__rail__________________|/
            |/______ x      leg |                | leg
                          ===== floor, wall at greater y ==

Everything is opaque and matt but for inserts, and the floor's gloss. Coordinates are plain
tuples so that a scene can be compared and kept; physics turns them into arrays.
"""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.physics.dots.sheet import Sheet

Point = tuple[float, float, float]
Colour = tuple[float, float, float]
"""Linear sRGB shares, each from 0 to 1; for light, with a mean of about 1."""

GREY: Colour = (0.5, 0.5, 0.5)
WHITE: Colour = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class Box:
    """An opaque block with faces along the axes: a top, rail, leg, apron or shelf.

    `low` and `high` are opposite corners. `colour` is its reflectance in each of three colours.
    """

    name: str
    low: Point
    high: Point
    colour: Colour = GREY


@dataclass(frozen=True)
class Insert:
    """A sheet or casting let into a box, right through its thinnest way.

    `corners` are those of its outline, in order, three or more, as the two coordinates across the
    box's thin axis, in the order x, y, z with that axis left out. It lies within the box's faces
    and takes their place there, as thick as the box is.
    """

    name: str
    host: str
    corners: tuple[tuple[float, float], ...]
    sheet: Sheet
    colour: Colour = WHITE


@dataclass(frozen=True)
class Floor:
    """The floor, without end. `gloss` is the share of light it mirrors at any angle."""

    colour: Colour = (0.3, 0.25, 0.2)
    gloss: float = 0.04


@dataclass(frozen=True)
class Wall:
    """A matt wall behind the piece, at `y_m`, without end, facing the front."""

    y_m: float
    colour: Colour = (0.7, 0.7, 0.7)


@dataclass(frozen=True)
class Row:
    """The LEDs of one run, each a small square that faces one way and shines cos^m.

    `places` are the LEDs' centres, `facing` a unit vector. `lumens` is of one LED at the level
    looked at; `side_m` the side of its bright square.
    """

    name: str
    places: tuple[Point, ...]
    facing: Point
    lumens: float
    exponent: float
    pitch_m: float
    side_m: float
    colour: Colour = WHITE


@dataclass(frozen=True)
class Eye:
    """A viewer's eye, and the place it looks at."""

    name: str
    place: Point
    looks_at: Point


@dataclass(frozen=True)
class Scene:
    """Everything to be looked at. `room_lux` is the room's own even light on every surface."""

    boxes: tuple[Box, ...]
    rows: tuple[Row, ...]
    eyes: tuple[Eye, ...]
    inserts: tuple[Insert, ...] = ()
    floor: Floor = Floor()
    wall: Wall | None = None
    room_lux: float = 50.0
