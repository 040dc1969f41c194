"""Every file of a packet, as bytes: build sheet, drawings, lists, and the client's care card."""

from __future__ import annotations

from lightcalc.answers.answer import answer as answer_design
from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design
from lightcalc.packet.build_sheet import build_sheet
from lightcalc.packet.care_card import care_card
from lightcalc.packet.cut_list import cut_list
from lightcalc.packet.cut_list_csv import cut_list_csv
from lightcalc.packet.drawing import Drawing
from lightcalc.packet.plan import plan_drawings
from lightcalc.packet.shopping import shopping, shopping_csv
from lightcalc.packet.wiring_diagram import wiring_drawings
from lightcalc.parts.kinds import Catalogue


def packet_files(
    design: Design, catalogue: Catalogue, answer: Answer | None = None
) -> dict[str, bytes]:
    """Return the name and content of every file, in the order in which they are listed.

    Names are fixed or numbered, never taken from a design. `answer` is the answer to the same
    design and catalogue; it is worked out when left out.
    """
    found = answer if answer is not None else answer_design(design, catalogue)
    cuts = cut_list(design, catalogue, found)
    texts = {
        "build-sheet.html": build_sheet(design, catalogue, found),
        **_numbered("wiring", wiring_drawings(design, catalogue, found)),
        **_numbered("plan", plan_drawings(design, catalogue, found)),
        "cut-list.csv": cut_list_csv(cuts),
        "shopping-list.csv": shopping_csv(shopping(design, catalogue, found, cuts)),
        "care-card.html": care_card(design, catalogue, found),
    }
    return {name: text.encode("utf-8") for name, text in texts.items()}


def _numbered(name: str, drawings: tuple[Drawing, ...]) -> dict[str, str]:
    return {f"{name}-{n}.svg": drawing.svg for n, drawing in enumerate(drawings, start=1)}
