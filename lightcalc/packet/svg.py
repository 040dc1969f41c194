"""SVG text, safe by construction: only known tags and attributes, and every text is escaped.

The unit of every coordinate is a millimetre of paper.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from html import escape

TAGS = frozenset(
    ("svg", "g", "title", "desc", "line", "polyline", "polygon", "rect", "circle", "text")
)
# Nothing here can load, run or link to anything.
ATTRIBUTES = frozenset(
    (
        *("class", "role", "xmlns", "width", "height", "viewBox", "transform"),
        *("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "points"),
        *("fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap"),
        *("stroke-linejoin", "font-family", "font-size", "font-weight", "text-anchor"),
    )
)
NAMESPACE = "http://www.w3.org/2000/svg"
# Widths of these are alike; lettering counts with a wider one.
FONT = "Arial, Helvetica, 'Liberation Sans', sans-serif"

_DATA = re.compile(r"data-[a-z][a-z-]*\Z")
# Signs that turn the direction of what follows: a name could reorder the text around it.
_TURNS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
# What XML 1.0 (fifth edition, section 2.2) has no place for.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

Value = str | float | None


@dataclass(frozen=True)
class Element:
    """One element: its tag, attributes already checked, and what is in it."""

    tag: str
    attributes: tuple[tuple[str, str], ...]
    children: tuple[Element | str, ...]


def element(tag: str, *children: Element | str, **attributes: Value) -> Element:
    """Make an element; `stroke_width` is written stroke-width, `class_` class, None left out.

    Raises ValueError for a tag or attribute that is not on the list, or a number without end.

    >>> to_text(element("text", "1 < 2", x=1.0, data_run='a "b"'))
    '<text x="1" data-run="a &quot;b&quot;">1 &lt; 2</text>'
    """
    if tag not in TAGS:
        raise ValueError(f"<{tag}> is no element of a drawing.")
    written = []
    for key, value in attributes.items():
        name = key.rstrip("_").replace("_", "-")
        if name not in ATTRIBUTES and not _DATA.match(name):
            raise ValueError(f"{name} is no attribute of a drawing.")
        if value is not None:
            written.append((name, value if isinstance(value, str) else number(value)))
    return Element(tag, tuple(written), children)


def number(value: float) -> str:
    """Write a number to a thousandth, with no trailing noise.

    >>> number(12.0), number(0.12345), number(-0.0001)
    ('12', '0.123', '0')
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} has no place on paper.")
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Return a text without what XML cannot hold or what turns the direction of writing.

    >>> clean("a" + chr(0x202E) + "b") == "ab", ord(clean(chr(0))) == 0xFFFD
    (True, True)
    """
    return _NOT_XML.sub("\ufffd", _TURNS.sub("", unicodedata.normalize("NFC", text)))


def to_text(one: Element) -> str:
    """Write an element and all that is in it as text."""
    attributes = "".join(f' {name}="{escape(clean(value))}"' for name, value in one.attributes)
    if not one.children:
        return f"<{one.tag}{attributes}/>"
    inner = "".join(
        escape(clean(child)) if isinstance(child, str) else to_text(child) for child in one.children
    )
    return f"<{one.tag}{attributes}>{inner}</{one.tag}>"


def picture(
    box: tuple[float, float, float, float],
    size_mm: tuple[float, float],
    title: str,
    description: str,
    *children: Element,
) -> str:
    """Return a whole SVG: of the drawing `box` (left, top, width, height), printed in that size."""
    root = element(
        "svg",
        element("title", title),
        element("desc", description),
        *children,
        xmlns=NAMESPACE,
        width=f"{number(size_mm[0])}mm",
        height=f"{number(size_mm[1])}mm",
        viewBox=" ".join(number(value) for value in box),
        role="img",
        font_family=FONT,
        fill="black",
    )
    return to_text(root)
