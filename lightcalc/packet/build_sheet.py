"""The build sheet: one page file that prints on A4 and Letter, with all that the bench needs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from lightcalc.answers.findings.finding import Finding, worst_first
from lightcalc.answers.look.look import hiding_findings
from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design
from lightcalc.packet.answers_sheet import answer_tables, in_short
from lightcalc.packet.cut_list import cut_list
from lightcalc.packet.drawing import Drawing
from lightcalc.packet.figures import Figures
from lightcalc.packet.html import Child, Element, Verbatim, document, element
from lightcalc.packet.plan import plan_drawings
from lightcalc.packet.shop_sheet import buy_tables, cut_tables
from lightcalc.packet.shopping import shopping
from lightcalc.packet.steps import assembly
from lightcalc.packet.wiring_diagram import wiring_drawings
from lightcalc.parts.kinds import Catalogue

# What both A4 and Letter leave within the margins of sheet.css, less a heading and a caption.
FRAME_MM = (182.0, 238.0)
LEDS_SEEN = "leds-seen"


def build_sheet(design: Design, catalogue: Catalogue, answer: Answer) -> str:
    """Return the build sheet of a design as HTML; `answer` is the answer to both."""
    figures = Figures(answer)
    plan = plan_drawings(design, catalogue, answer, FRAME_MM)
    wiring = wiring_drawings(design, catalogue, answer, FRAME_MM)
    cuts = cut_list(design, catalogue, answer)
    buys = shopping(design, catalogue, answer, cuts)
    body: list[Child] = [
        *heading(answer),
        in_short(figures),
        _findings(_with_what_hides(design, catalogue, answer)),
        element("section", element("h2", "Answers"), *answer_tables(design, figures)),
        element("section", element("h2", "Cut"), *cut_tables(cuts)),
        *_drawings("Piece and strips, to scale", plan),
        *_drawings("Wiring", wiring),
        element("section", element("h2", "Buy"), *buy_tables(buys)),
        element(
            "section", element("h2", "Steps, and checks between them"), _signed(), class_="head"
        ),
        *assembly(design, catalogue, figures),
        _cautions(answer),
    ]
    return document(f"{answer.piece}: build sheet", sheet_style(), *body)


def sheet_style() -> str:
    """Return the style sheet that every sheet of a packet shares."""
    return Path(__file__).with_name("sheet.css").read_text(encoding="utf-8")


def heading(answer: Answer) -> Iterator[Element]:
    """Yield the title, and the verdict: a large STOP where a finding says so."""
    yield element("header", element("h1", answer.piece), element("p", "Build sheet", class_="kind"))
    if not answer.stops:
        yield element("p", "Nothing found that stops this design.", class_="verdict")
    yield from stop_box(answer)


def stop_box(answer: Answer) -> Iterator[Element]:
    """Yield a large STOP where a finding says so."""
    stops = sum(finding.grade == "stop" for finding in answer.findings)
    if stops:
        things = "1 thing" if stops == 1 else f"{stops} things"
        words = f"Do not build this yet: {things} must change first; see the findings."
        yield element(
            "section",
            element("p", "STOP", class_="stop-word"),
            element("p", words, class_="verdict"),
            class_="stop-box",
        )


def _with_what_hides(design: Design, catalogue: Catalogue, answer: Answer) -> tuple[Finding, ...]:
    """Return the findings; where LEDs are seen, with what hides them, as on paper nobody looks."""
    if not any(finding.code == LEDS_SEEN for finding in answer.findings):
        return answer.findings
    others = [finding for finding in answer.findings if finding.code != LEDS_SEEN]
    return worst_first([*others, *hiding_findings(design, catalogue)])


def _findings(findings: tuple[Finding, ...]) -> Element:
    if not findings:
        return element("section", element("h2", "Findings"), element("p", "None."))
    items = [_finding(finding) for finding in findings]
    return element("section", element("h2", "Findings"), element("ul", *items, class_="findings"))


def _finding(finding: Finding) -> Element:
    return element(
        "li",
        element("strong", finding.grade.upper()),
        f" {finding.where}: {finding.why} {finding.remedy}".rstrip(),
        class_=finding.grade,
    )


def _drawings(title: str, drawings: tuple[Drawing, ...]) -> Iterator[Element]:
    for number, drawing in enumerate(drawings):
        parts: list[Child] = [element("h2", title)] if number == 0 else []
        yield element("figure", *parts, Verbatim(drawing.svg))


def _signed() -> Element:
    """Return room to write who measured, when, and with which meter."""
    blanks = (element("span", word) for word in ("Built by", "Date", "Meter"))
    return element("p", *blanks, class_="signed")


def _cautions(answer: Answer) -> Element:
    items = [element("li", caution.text) for caution in answer.cautions]
    return element("section", element("h2", "Cautions"), element("ul", *items, class_="cautions"))
