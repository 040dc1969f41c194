"""The care card: what the client should know about the light, in plain words, on one page."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design
from lightcalc.packet.build_sheet import sheet_style, stop_box
from lightcalc.packet.facts import design_facts, line_of
from lightcalc.packet.figures import Figures
from lightcalc.packet.html import Child, Element, document, element
from lightcalc.packet.steps import said_of
from lightcalc.parts.kinds import Catalogue

# From so many packs on the print of `sheet.css` gets no smaller.
MOST_PRINTS = 4
# So many letters fill a page in the largest print; lines to write on take the room of some.
PAGE_LETTERS, BLANK_LETTERS = 3550, 500


def care_card(design: Design, catalogue: Catalogue, answer: Answer) -> str:
    """Return the care card of a design as HTML; `answer` is the answer to both."""
    sections = tuple(_sections(design, catalogue, Figures(answer)))
    body: list[Child] = [
        element(
            "header", element("h1", answer.piece), element("p", "Care of its light", class_="kind")
        ),
        *stop_box(answer),
        *sections,
    ]
    # Each pack has lines of its own; in smaller print those of several still go on one page.
    fuller = sum(map(_letters, sections)) > PAGE_LETTERS
    size = min(len(design.supplies) + fuller, MOST_PRINTS)
    card = element("section", *body, class_=f"care print-{size}")
    return document(f"{answer.piece}: care of its light", sheet_style(), card)


def _letters(part: Child) -> int:
    """Room that a part of the card takes, in letters."""
    if not isinstance(part, Element):
        return len(str(part))
    blank = BLANK_LETTERS if ("class", "blank") in part.attributes else 0
    return blank + sum(map(_letters, part.children))


@cache
def _entries() -> tuple[dict[str, Any], ...]:
    text = Path(__file__).with_name("care_card.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["section"])


def _sections(design: Design, catalogue: Catalogue, figures: Figures) -> Iterator[Element]:
    facts = design_facts(design, catalogue, figures.answer)
    for entry in _entries():
        applies = line_of({"text": "", "needs": entry.get("needs", ())})
        lines = tuple(line_of(line) for line in entry["lines"])
        if not applies.applies(facts):
            continue
        said = said_of(lines, design, catalogue, figures)
        items = [element("li", *line) for line in said]
        parts: list[Child] = [element("h2", entry["title"]), element("ul", *items)]
        room = line_of({"text": "", "lacks": entry.get("blank_lacks", ())})
        if room.lacks and room.applies(facts):
            parts.append(element("p", class_="blank"))
        yield element("section", *parts)
