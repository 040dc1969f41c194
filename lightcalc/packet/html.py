"""HTML text, safe by construction: only known tags and attributes, and every text is escaped."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from lightcalc.packet.svg import clean

TAGS = frozenset(
    (
        *("html", "head", "meta", "title", "style", "body", "main", "header", "section", "figure"),
        *("h1", "h2", "h3", "p", "ul", "ol", "li", "strong", "span", "data"),
        *("table", "caption", "thead", "tbody", "tr", "th", "td"),
    )
)
# Nothing here can load, run or link to anything.
ATTRIBUTES = frozenset(("class", "lang", "dir", "charset", "name", "content", "value", "scope"))
EMPTY_TAGS = frozenset(("meta",))

_DATA = re.compile(r"data-[a-z][a-z-]*\Z")


@dataclass(frozen=True)
class Verbatim:
    """Text written as it stands: a drawing that `svg` wrote, or a style sheet of this package."""

    text: str


@dataclass(frozen=True)
class Element:
    """One element: its tag, attributes already checked, and what is in it."""

    tag: str
    attributes: tuple[tuple[str, str], ...]
    children: tuple[Child, ...]


Child = Element | Verbatim | str
# Of a table: each cell is one child, or several.
Row = Sequence[Child | tuple[Child, ...]]


def element(tag: str, *children: Child, **attributes: str) -> Element:
    """Make an element; `class_` is written class and `data_figure` data-figure.

    Raises ValueError for a tag or attribute that is not on the list.

    >>> to_text(element("td", "1 < 2", class_="box", data_run='a "b"'))
    '<td class="box" data-run="a &quot;b&quot;">1 &lt; 2</td>'
    """
    if tag not in TAGS:
        raise ValueError(f"<{tag}> is no element of a sheet.")
    written = []
    for key, value in attributes.items():
        name = key.rstrip("_").replace("_", "-")
        if name not in ATTRIBUTES and not _DATA.match(name):
            raise ValueError(f"{name} is no attribute of a sheet.")
        written.append((name, value))
    return Element(tag, tuple(written), children)


def to_text(one: Child) -> str:
    """Write an element, or a text, and all that is in it as HTML."""
    if isinstance(one, Verbatim):
        return one.text
    if isinstance(one, str):
        return escape(clean(one))
    attributes = "".join(f' {name}="{escape(clean(value))}"' for name, value in one.attributes)
    if one.tag in EMPTY_TAGS:
        return f"<{one.tag}{attributes}>"
    inner = "".join(to_text(child) for child in one.children)
    return f"<{one.tag}{attributes}>{inner}</{one.tag}>"


def document(title: str, style: str, *body: Child) -> str:
    """Return a whole page that needs nothing else, its style sheet within it."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        element("style", Verbatim(style)),
    )
    root = element("html", head, element("body", element("main", *body)), lang="en", dir="ltr")
    return f"<!DOCTYPE html>\n{to_text(root)}\n"


def table(
    headings: Sequence[str],
    rows: Sequence[Row],
    caption: str = "",
    class_: str = "figures",
) -> Element:
    """Return a table; a cell that is a td already is taken as it is."""
    head = element("tr", *(element("th", text, scope="col") for text in headings))
    body = (element("tr", *(_cell(cell) for cell in row)) for row in rows)
    parts = [element("caption", caption)] if caption else []
    return element("table", *parts, element("thead", head), element("tbody", *body), class_=class_)


def _cell(cell: Child | tuple[Child, ...]) -> Element:
    if isinstance(cell, Element) and cell.tag == "td":
        return cell
    return element("td", *(cell if isinstance(cell, tuple) else (cell,)))


def whole(text: str) -> Element:
    """Return a short text, such as a length, that is never broken into lines."""
    return element("span", text.replace(" ", "\u00a0"), class_="whole")
