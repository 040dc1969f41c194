"""The symbols that drawings of a piece share, and what beside a drawing explains them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from lightcalc.packet.dimensions import measure
from lightcalc.packet.lettering import LINE_RATIO, NORMAL_MM, SMALL_MM, width_mm
from lightcalc.packet.paper import (
    ABOVE,
    HIDDEN_DASHES,
    MEDIUM_MM,
    THICK_MM,
    THIN_MM,
    Box,
    Paper,
    Spot,
    text_box,
)
from lightcalc.tables.drawing_scales import DrawingScale

# Prints as a middle grey, so that light and wood differ on any printer.
LIGHT = "#a63c00"
INLAY_FILL = "#e2e2e2"
STRIP_MM, STRIP_DASHES = 0.9, "2.2 1.1"
WIRE_MM, WIRE_DASHES = 0.35, "0.1 0.9"
FEED_MM = 2.2
PACK_MM = (4.4, 3.0)
SENSOR_MM = 3.0
TAG_MM = 2.0
BAR_MM = 1.4
# A scale bar is about that long on paper.
BAR_LENGTH_MM = 50.0
INCH_M = 0.0254
BARS = {
    "metric": [step * 10.0**power for power in range(-3, 2) for step in (1.0, 2.0, 5.0)],
    "inch": [INCH_M * inches for inches in (1, 2, 4, 6, 12, 24, 48, 120, 240, 480, 1200)],
}
BAR_PARTS = 4


def strip_line(paper: Paper, places: Sequence[Spot], hidden: bool) -> None:
    """Draw a piece of strip, dashed where it is hidden."""
    paper.line(
        places,
        STRIP_MM,
        class_="strip hidden" if hidden else "strip",
        dashes=STRIP_DASHES if hidden else None,
        colour=LIGHT,
    )


def feed_mark(paper: Paper, at: Spot, beside: bool, tag: str | None = None) -> None:
    """Draw a feed: an arrowhead that points to its pad, from below or from the right."""
    x, y = at
    half = FEED_MM / 2.0
    if beside:
        places = [(x, y), (x + FEED_MM, y - half), (x + FEED_MM, y + half)]
    else:
        places = [(x, y), (x - half, y + FEED_MM), (x + half, y + FEED_MM)]
    paper.shape(places, THIN_MM, fill="black", class_="feed-mark")
    box = Box(*places[0], *places[0]).with_all(places)
    paper.take(box)
    if tag is not None:
        paper.text((x, y + FEED_MM + 2.6), tag, SMALL_MM, anchor="middle", bold=True)


def pack_mark(paper: Paper, at: Spot) -> None:
    """Draw a pack; its size on paper is not its own."""
    wide, high = PACK_MM
    box = Box(at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)
    paper.box(box, MEDIUM_MM, class_="pack-mark")
    for sign, x in (("+", at[0] - wide / 4), ("\u2212", at[0] + wide / 4)):
        paper.text((x, at[1] + 0.9), sign, SMALL_MM, anchor="middle", bold=True)
    paper.take(box)


def sensor_mark(paper: Paper, at: Spot) -> None:
    """Draw what works a controller: a square on its corner, with a dot just where it is."""
    (x, y), half = at, SENSOR_MM / 2.0
    places = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)]
    paper.shape(places, MEDIUM_MM, class_="sensor-mark")
    paper.circle(at, 0.4, 0.0, fill="black")
    paper.take(Box(x - half, y - half, x + half, y + half))


def plug_mark(paper: Paper, at: Spot) -> None:
    """Draw a connector in a level wire: a plug on the left, its socket on the right."""
    x, y = at
    paper.box(Box(x - 0.5, y - 0.6, x + 2.2, y + 0.6), 0.0)
    paper.box(Box(x - 2.2, y - 0.9, x + 0.2, y + 0.9), MEDIUM_MM, fill="black")
    ends = ((x + 3.2, y - 1.3), (x + 0.9, y - 1.3), (x + 0.9, y + 1.3), (x + 3.2, y + 1.3))
    paper.line(ends, THICK_MM, class_="plug-mark")


def tag(paper: Paper, at: Spot, words: str) -> None:
    """Draw a number in a circle."""
    radius = tag_radius_mm(words)
    paper.circle(at, radius, MEDIUM_MM, class_="tag")
    paper.text((at[0], at[1] + 0.95), words, SMALL_MM, anchor="middle", bold=True, class_="tag")
    paper.take(Box(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius))


def tag_radius_mm(words: str) -> float:
    """Return how large the circle of a tag is."""
    return max(TAG_MM, width_mm(words, SMALL_MM, bold=True) / 2.0 + 0.5)


def tag_beside(paper: Paper, spots: Sequence[Spot], words: str) -> None:
    """Tag a line on paper at the first free place near it, with a thin line to it."""
    radius = tag_radius_mm(words)
    away = radius + 3.0
    turns = (-0.25, -0.75, 0.25, 0.75, -0.5, 0.5, 0.0, 1.0)
    for at in spots:
        for times in (1.0, 1.8, 2.8):
            for turn in turns:
                x = at[0] + times * away * math.cos(math.pi * turn)
                y = at[1] + times * away * math.sin(math.pi * turn)
                if paper.free(Box(x - radius, y - radius, x + radius, y + radius), 0.5):
                    paper.line((at, (x, y)), THIN_MM, class_="leader")
                    tag(paper, (x, y), words)
                    return
    tag(paper, spots[0], words)


def scale_bar(paper: Paper, at: Spot, scale: DrawingScale, system: str) -> Box:
    """Draw a bar in four parts, with what its ends are in truth; return its room."""
    mm_per_m = 1000.0 / scale.reduction
    length_m = min(BARS[system], key=lambda one: abs(one * mm_per_m - BAR_LENGTH_MM))
    part = length_m * mm_per_m / BAR_PARTS
    x, y = at
    with paper.group("scale-bar", words=measure(length_m, system)):
        for number in range(BAR_PARTS):
            left = x + number * part
            fill = "white" if number % 2 else "black"
            paper.box(Box(left, y, left + part, y + BAR_MM), THIN_MM, fill=fill, class_="bar")
        low = paper.text((x, y + BAR_MM + 2.8), "0", SMALL_MM, anchor="middle")
        high = paper.text(
            (x + BAR_PARTS * part, y + BAR_MM + 2.8),
            measure(length_m, system),
            SMALL_MM,
            anchor="middle",
        )
    return Box(low.left, y, high.right, high.bottom)


def angle_symbol(paper: Paper, at: Spot, first_angle: bool) -> Box:
    """Draw the symbol of first or third angle projection (ISO 5456-2): a cone, seen twice.

    The circles are the cone seen from its thin end, which is on the left: the view from there
    is drawn on the far side in first angle, on the near side in third.
    """
    x, y = at
    cone_x, eye_x = (x, x + 8.6) if first_angle else (x + 6.0, x + 2.2)
    with paper.group("projection", angle="first" if first_angle else "third"):
        cone = [(cone_x, y - 1.1), (cone_x + 4.8, y - 2.2), (cone_x + 4.8, y + 2.2)]
        paper.shape([*cone, (cone_x, y + 1.1)], MEDIUM_MM)
        for radius in (2.2, 1.1):
            paper.circle((eye_x, y), radius, MEDIUM_MM)
        paper.line(((x - 0.6, y), (x + 11.4, y)), 0.12, dashes="1.6 0.5 0.3 0.5")
    words = "first-angle projection" if first_angle else "third-angle projection"
    box = paper.text((x + 13.0, y + 0.9), words, SMALL_MM)
    return Box(x, y - 2.4, box.right, y + 2.4)


Sample = Callable[[Paper, float, float], None]


def _inlay(paper: Paper, x: float, y: float) -> None:
    paper.box(Box(x, y - 1.3, x + 8.0, y + 1.3), THIN_MM, fill=INLAY_FILL)


def _edge(paper: Paper, x: float, y: float) -> None:
    paper.line(((x, y), (x + 8.0, y)), THIN_MM, dashes=HIDDEN_DASHES)


def _strip(paper: Paper, x: float, y: float) -> None:
    strip_line(paper, ((x, y), (x + 8.0, y)), hidden=False)


def _strip_hidden(paper: Paper, x: float, y: float) -> None:
    strip_line(paper, ((x, y), (x + 8.0, y)), hidden=True)


def _end_on(paper: Paper, x: float, y: float) -> None:
    strip_end(paper, (x + 4.0, y))


def _feed(paper: Paper, x: float, y: float) -> None:
    feed_mark(paper, (x + 4.0, y - 1.0), beside=False)


def _sensor(paper: Paper, x: float, y: float) -> None:
    sensor_mark(paper, (x + 4.0, y))


def _wire(paper: Paper, x: float, y: float) -> None:
    wire_line(paper, ((x, y), (x + 8.0, y)))


def strip_end(paper: Paper, at: Spot) -> None:
    """Draw a strip that is seen end on."""
    paper.circle(at, 1.0, THICK_MM, class_="strip end-on")
    paper.circle(at, 0.35, 0.0, fill="black")


def wire_line(paper: Paper, places: Sequence[Spot]) -> None:
    """Draw the way of a wire."""
    paper.line(places, WIRE_MM, class_="wire", dashes=WIRE_DASHES, round_ends=True)


SAMPLES: dict[str, tuple[Sample, str]] = {
    "hidden": (_edge, "hidden edge"),
    "inlay": (_inlay, "let in"),
    "strip": (_strip, "strip"),
    "strip hidden": (_strip_hidden, "strip, hidden"),
    "end on": (_end_on, "strip, end on"),
    "feed": (_feed, "feed"),
    "eye": (_sensor, "eye"),
    "aerial": (_sensor, "aerial"),
    "knob or touch pad": (_sensor, "knob or touch pad"),
    "wire": (_wire, "wire"),
}


def legend(paper: Paper, at: Spot, names: Sequence[str], room_mm: float) -> float:
    """Explain symbols, row by row; return where the rows end."""
    x, y = at[0], at[1] + 2.0
    for name in names:
        draw, words = SAMPLES[name]
        needed = 9.5 + width_mm(words, SMALL_MM)
        if x + needed > at[0] + room_mm and x > at[0]:
            x, y = at[0], y + 4.6
        draw(paper, x, y)
        paper.text((x + 9.5, y + 0.9), words, SMALL_MM)
        x += needed + 3.0
    return y + 3.0


def heading(paper: Paper, at: Spot, lines: Sequence[str], size_mm: float = NORMAL_MM) -> float:
    """Write lines in bold; return where they end."""
    left, top = at
    for line in lines:
        box = text_box((left, top + ABOVE * size_mm), line, size_mm, bold=True)
        paper.text((left, top + ABOVE * size_mm), line, size_mm, bold=True)
        top = max(box.bottom, top + LINE_RATIO * size_mm)
    return top
