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


def care_card(design: Design, catalogue: Catalogue, answer: Answer) -> str:
    """Return the care card of a design as HTML; `answer` is the answer to both."""
    body: list[Child] = [
        element(
            "header", element("h1", answer.piece), element("p", "Care of its light", class_="kind")
        ),
        *stop_box(answer),
        *_sections(design, catalogue, Figures(answer)),
    ]
    # Each pack has lines of its own; in smaller print those of several still go on one page.
    several = min(len(design.supplies), MOST_PRINTS)
    card = element("section", *body, class_=f"care packs-{several}")
    return document(f"{answer.piece}: care of its light", sheet_style(), card)


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
