"""Reads drawings back from their SVG: shapes in millimetres of paper, and the room of letters."""

import re
from dataclasses import dataclass
from itertools import combinations, pairwise
from xml.etree import ElementTree

from lightcalc.packet.lettering import width_mm
from lightcalc.packet.paper import Box, text_box

SPACE = "{http://www.w3.org/2000/svg}"
HOSTILE = (
    '<script>alert("1")</script>',
    "\"' onload='x' a=\"&lt;&amp;",
    "]]></title><svg onload=x>",
    "a\u202eb\u2066c javascript:x",
    "\u7af9\u306e\u6905\u5b50 \U0001f4a1 \u0301\u0301",
    "W" * 120,
)


def parse(drawing):
    """Return the root of a drawing, its tags without their namespace."""
    root = ElementTree.fromstring(drawing.svg)
    for one in root.iter():
        one.tag = one.tag.removeprefix(SPACE)
    return root


def named(root, class_, **data):
    """Return the elements of a class, in order, with those data attributes."""
    return [
        one
        for one in root.iter()
        if set(class_.split()) <= set(one.get("class", "").split())
        and all(one.get(f"data-{key}") == value for key, value in data.items())
    ]


def points(one):
    """Return the corners of a line or shape."""
    if one.tag == "rect":
        x, y, w, h = (float(one.get(key)) for key in ("x", "y", "width", "height"))
        return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
    if one.tag == "circle":
        return [(float(one.get("cx")), float(one.get("cy")))]
    numbers = re.findall(r"[-0-9.]+", one.get("points"))
    return list(zip(map(float, numbers[::2]), map(float, numbers[1::2]), strict=True))


def ends(ones):
    """Return left, top, right and bottom of all of the elements."""
    xs, ys = zip(*(point for one in ones for point in points(one)), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def words(root):
    """Return every text of a drawing."""
    return [one.text for one in root.iter("text")]


@dataclass(frozen=True)
class Lettering:
    """A text, its room, and whether it stands on white."""

    text: str
    box: Box
    backed: bool


def letterings(root):
    """Return every text with the room it takes."""
    found = []
    for parent in root.iter():
        before = None
        for one in parent:
            if one.tag == "text":
                at = (float(one.get("x")), float(one.get("y")))
                size, bold = float(one.get("font-size")), one.get("font-weight") == "bold"
                box = text_box(
                    at,
                    one.text,
                    size,
                    anchor=one.get("text-anchor", "start"),
                    bold=bold,
                    turned="rotate(-90" in one.get("transform", ""),
                )
                backed = before is not None and before.get("class") == "backing"
                found.append(Lettering(one.text, box, backed))
            before = one
    return found


def colliding(root):
    """Return the pairs of texts whose rooms meet."""
    slack = -0.02
    return [
        (one.text, other.text)
        for one, other in combinations(letterings(root), 2)
        if one.box.meets(other.box, slack)
    ]


def crossed(root, class_):
    """Return the texts, but those on white, that a level or upright line of a class runs through.

    Only lines drawn after nothing that covers them count: halos and backings are white.
    """
    lines = [pair for one in named(root, class_) for pair in pairwise(points(one))]
    found = []
    for one in letterings(root):
        if one.backed:
            continue
        for (x1, y1), (x2, y2) in lines:
            line = Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
            if one.box.meets(line, -0.05):
                found.append(one.text)
    return found


def outside(drawing):
    """Return the texts of a drawing that leave its sheet."""
    root = parse(drawing)
    left, top, width, height = map(float, root.get("viewBox").split())
    return [
        one.text
        for one in letterings(root)
        if one.box.left < left - 0.01
        or one.box.top < top - 0.01
        or one.box.right > left + width + 0.01
        or one.box.bottom > top + height + 0.01
    ]


def check_sheet(drawing, frame_mm):
    """Check what holds for every drawing: its size, its frame, and that it can do nothing."""
    root = parse(drawing)
    assert root.tag == "svg"
    assert root.get("width") == f"{drawing.width_mm:.3f}".rstrip("0").rstrip(".") + "mm"
    assert drawing.width_mm <= frame_mm[0] + 1e-6
    assert drawing.height_mm <= frame_mm[1] + 1e-6
    assert not outside(drawing)
    for one in root.iter():
        assert one.tag in {
            *("svg", "g", "title", "desc", "line", "polyline", "polygon", "rect", "circle", "text"),
        }
        for key, value in one.attrib.items():
            assert not key.startswith("on")
            assert "href" not in key
            assert key != "style"
            if not key.startswith("data-"):
                assert "url(" not in value
                assert "javascript:" not in value
    return root


def fits(text, size, room):
    return width_mm(text, size) <= room + 1e-9
