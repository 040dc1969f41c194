"""A sheet of paper in the making: what is drawn on it, and the room that its lettering takes.

Places are (x, y) in millimetres, x to the right and y down.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from lightcalc.packet.drawing import Drawing
from lightcalc.packet.lettering import LINE_RATIO, width_mm
from lightcalc.packet.svg import Element, Value, element, number, picture

Spot = tuple[float, float]

# Lines of ISO 128 in two weights, here with one between.
THIN_MM, MEDIUM_MM, THICK_MM = 0.18, 0.3, 0.5
HIDDEN_DASHES = "1.2 0.6"
MARGIN_MM = 1.0
BACKING_MM = 0.6
# How far letters reach above and below the line they stand on, in parts of their size.
ABOVE, BELOW = 0.78, 0.24
ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}


@dataclass(frozen=True)
class Box:
    """A rectangle of paper."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Its width."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height."""
        return self.bottom - self.top

    @property
    def middle(self) -> Spot:
        """The place in its middle."""
        return ((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """Return whether it comes nearer than `gap` to another."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def grown(self, by: float) -> Box:
        """Return it with that much more on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def with_all(self, spots: Sequence[Spot]) -> Box:
        """Return the smallest box around it and some places."""
        xs, ys = zip((self.left, self.top), (self.right, self.bottom), *spots, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


class Paper:
    """Collects what is drawn. `boxes` holds the room of every text and symbol put down."""

    def __init__(self) -> None:
        self.boxes: list[Box] = []
        self.bounds: Box | None = None
        self._stack: list[list[Element]] = [[]]

    @contextmanager
    def group(self, class_: str, **data: Value) -> Iterator[None]:
        """Put all that is drawn inside into one group; `data` are data attributes."""
        self._stack.append([])
        try:
            yield
        finally:
            inner = self._stack.pop()
            if inner:
                self._add(element("g", *inner, class_=class_, **_data(data)))

    def line(
        self,
        places: Sequence[Spot],
        weight_mm: float = THIN_MM,
        *,
        class_: str | None = None,
        dashes: str | None = None,
        colour: str = "black",
        round_ends: bool = False,
        **data: Value,
    ) -> None:
        """Draw straight lines from place to place."""
        self._cover(places, weight_mm / 2.0)
        self._add(
            element(
                "polyline",
                class_=class_,
                points=_points(places),
                fill="none",
                stroke=colour,
                stroke_width=weight_mm,
                stroke_dasharray=dashes,
                stroke_linejoin="round",
                stroke_linecap="round" if round_ends else None,
                **_data(data),
            )
        )

    def shape(
        self,
        places: Sequence[Spot],
        weight_mm: float = THIN_MM,
        *,
        fill: str = "white",
        class_: str | None = None,
        colour: str = "black",
        **data: Value,
    ) -> None:
        """Draw a closed shape with corners."""
        self._cover(places, weight_mm / 2.0)
        self._add(
            element(
                "polygon",
                class_=class_,
                points=_points(places),
                fill=fill,
                stroke=colour if weight_mm else "none",
                stroke_width=weight_mm or None,
                stroke_linejoin="round",
                **_data(data),
            )
        )

    def box(
        self,
        box: Box,
        weight_mm: float = THIN_MM,
        *,
        fill: str = "white",
        class_: str | None = None,
        dashes: str | None = None,
        rounded_mm: float | None = None,
        **data: Value,
    ) -> None:
        """Draw a rectangle."""
        self._cover(((box.left, box.top), (box.right, box.bottom)), weight_mm / 2.0)
        self._add(
            element(
                "rect",
                class_=class_,
                x=box.left,
                y=box.top,
                width=box.width,
                height=box.height,
                rx=rounded_mm,
                fill=fill,
                stroke="black" if weight_mm else "none",
                stroke_width=weight_mm or None,
                stroke_dasharray=dashes,
                **_data(data),
            )
        )

    def circle(
        self,
        at: Spot,
        radius_mm: float,
        weight_mm: float = THIN_MM,
        *,
        fill: str = "white",
        class_: str | None = None,
        **data: Value,
    ) -> None:
        """Draw a circle; a weight of 0 is a dot without an outline."""
        self._cover((at,), radius_mm + weight_mm / 2.0)
        self._add(
            element(
                "circle",
                class_=class_,
                cx=at[0],
                cy=at[1],
                r=radius_mm,
                fill=fill,
                stroke="black" if weight_mm else "none",
                stroke_width=weight_mm or None,
                **_data(data),
            )
        )

    def text(
        self,
        at: Spot,
        text: str,
        size_mm: float,
        *,
        anchor: str = "start",
        bold: bool = False,
        turned: bool = False,
        backed: bool = False,
        class_: str = "text",
        **data: Value,
    ) -> Box:
        """Write one line; `at` is on its base line. `turned` reads upwards, `backed` on white."""
        box = text_box(at, text, size_mm, anchor=anchor, bold=bold, turned=turned)
        self.boxes.append(box)
        self._cover(((box.left, box.top), (box.right, box.bottom)), 0.0)
        if backed:
            self.box(box.grown(BACKING_MM), 0.0, class_="backing")
        self._add(
            element(
                "text",
                text,
                class_=class_,
                x=at[0],
                y=at[1],
                font_size=size_mm,
                font_weight="bold" if bold else None,
                text_anchor=None if anchor == "start" else anchor,
                transform=f"rotate(-90 {number(at[0])} {number(at[1])})" if turned else None,
                **_data(data),
            )
        )
        return box

    def lines(
        self, at: Spot, lines: Sequence[str], size_mm: float, *, class_: str = "text"
    ) -> float:
        """Write lines one below the other from a top left place; return where they end."""
        left, top = at
        for line in lines:
            self.text((left, top + ABOVE * size_mm), line, size_mm, class_=class_)
            top += LINE_RATIO * size_mm
        return top

    def free(self, box: Box, gap_mm: float = 0.3) -> bool:
        """Return whether nothing that is to be read is in that room."""
        return not any(box.meets(other, gap_mm) for other in self.boxes)

    def take(self, box: Box) -> None:
        """Keep that room free of lettering to come."""
        self.boxes.append(box)

    def drawing(
        self,
        title: str,
        description: str,
        *,
        reduction: int | None = None,
        scale: str = "",
        shrink: float = 1.0,
    ) -> Drawing:
        """Return all of it as a drawing, with a narrow margin."""
        area = (self.bounds or Box(0.0, 0.0, 10.0, 10.0)).grown(MARGIN_MM)
        box = (area.left, area.top, area.width, area.height)
        size = (area.width * shrink, area.height * shrink)
        svg = picture(box, size, title, description, *self._stack[0])
        return Drawing(title, svg, size[0], size[1], reduction, scale)

    def _add(self, one: Element) -> None:
        self._stack[-1].append(one)

    def _cover(self, places: Sequence[Spot], by: float) -> None:
        own = Box(*places[0], *places[0]).with_all(places).grown(by)
        ends = ((own.left, own.top), (own.right, own.bottom))
        self.bounds = self.bounds.with_all(ends) if self.bounds else own


def text_box(
    at: Spot,
    text: str,
    size_mm: float,
    *,
    anchor: str = "start",
    bold: bool = False,
    turned: bool = False,
) -> Box:
    """Return the room that a line of text takes at most."""
    width = width_mm(text, size_mm, bold)
    before = ANCHORS[anchor] * width
    above, below = ABOVE * size_mm, BELOW * size_mm
    x, y = at
    if turned:
        return Box(x - above, y - (width - before), x + below, y + before)
    return Box(x - before, y - above, x - before + width, y + below)


def _points(places: Sequence[Spot]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in places)


def _data(data: dict[str, Value]) -> dict[str, Value]:
    return {f"data_{key}": value for key, value in data.items()}
