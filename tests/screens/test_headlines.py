"""The four answers say what the answer sheet says, in one large number each."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer
from lightcalc.answers.compare import compare
from lightcalc.answers.findings.finding import GRADES
from lightcalc.answers.look.results import SightAnswer
from lightcalc.answers.words import Shower
from lightcalc.design.read import read_design
from lightcalc.screens import headlines
from lightcalc.screens.sheet import answer_sheet

ROOT = Path(__file__).parents[2]
EXAMPLES = ("hall-bench", "bedside-shelf", "display-cabinet")


@pytest.fixture(params=EXAMPLES, scope="module")
def answered(request):
    design, catalogue = read_design(ROOT / "catalog_examples" / f"{request.param}.toml")
    return answer(design, catalogue), compare(design, catalogue)


def flat(text):
    return " ".join(text.split())


def test_hours_are_those_of_the_sheet(answered):
    result, _ = answered
    found = headlines.hours_headline(result)
    assert f"Lasts {found.number} a charge, likely" in flat(answer_sheet(result))
    likely = re.search(r"likely (.*? to [^;.(]*?)(?: \(|;|\.)", found.sentence)[1]
    assert f"likely {likely}" in flat(answer_sheet(result))


def test_wires_and_fuses_are_those_of_the_sheet(answered):
    result, _ = answered
    found = headlines.wiring_headline(result)
    thickest = max(result.wires, key=lambda wire: wire.area_mm2)
    assert found.number.startswith(thickest.size)
    bought = found.sentence.removeprefix("Buy ")
    assert bought.removesuffix(".") in flat(answer_sheet(result))


def test_one_pack_and_two_are_those_compared(answered):
    _, comparison = answered
    show = Shower(comparison.units)
    one, two, _ = comparison.builds
    found = headlines.packs_headline(comparison)
    assert found.number == f"{show.hours(one.hours_h)} or {show.hours(two.hours_h)}"
    assert found.sentence == comparison.advice


def test_a_design_that_stops_says_so_first(answered):
    result, _ = answered
    stopped = replace(result, findings=(replace(result.findings[0], grade="stop"),))
    assert headlines.verdict(stopped)[0] == "stop"
    assert "must change" in headlines.verdict(stopped)[1]
    assert headlines.verdict(replace(result, findings=()))[0] == "fine"


@pytest.mark.parametrize("grade", GRADES)
def test_a_card_has_the_grade_of_its_worst_finding_and_says_it(answered, grade):
    result, _ = answered
    finding = replace(result.findings[0], code="hours-short", grade=grade)
    found = headlines.hours_headline(replace(result, findings=(finding,)))
    assert found.grade == ("fine" if grade == "note" else grade)
    assert finding.why in found.behind
    other = replace(finding, code="something-else")
    assert headlines.hours_headline(replace(result, findings=(other,))).behind == ""


def test_every_code_on_a_card_is_one_that_is_given():
    source = "".join(
        path.read_text(encoding="utf-8") for path in (ROOT / "lightcalc" / "answers").rglob("*.py")
    )
    for code in headlines.HOURS | headlines.WIRING | headlines.SHOWS:
        assert f'"{code}"' in source, code


SIGHT = SightAnswer("sofa", "rail", "mirrored", (), 9, 9, 1.0, 0.04, 2.0, 5.0)


@pytest.mark.parametrize(
    ("ways", "told", "words"),
    [
        ((), "LEDs hidden", "LEDs: hidden from every eye."),
        (("mirrored",), "LEDs mirrored", "LEDs: seen mirrored from sofa."),
        (
            ("mirrored", "direct"),
            "LEDs seen",
            "LEDs: seen bare from sofa; seen mirrored from sofa.",
        ),
        (("through",), "LEDs seen", "LEDs: seen through an inlay from sofa."),
    ],
)
@pytest.mark.parametrize("verdict", ["hidden", "faint", "plain"])
def test_dots_and_leds_are_told_apart_in_the_same_words_on_page_and_sheet(
    answered, ways, told, words, verdict
):
    result, _ = answered
    seen = replace(
        result,
        dots=tuple(replace(dots, verdict=verdict) for dots in result.dots),
        eyes=("sofa", "door"),
        sights=tuple(replace(SIGHT, way=way) for way in ways),
    )
    found = headlines.shows_headline(seen)
    assert found.number == (f"Dots {verdict}, {told}" if result.dots else told)
    assert found.sentence.endswith(words)
    sheet = " ".join(answer_sheet(seen).split())
    assert words.replace(":", "") in sheet
    if result.dots:
        dots = found.sentence.removeprefix("Dots: ").partition(" LEDs: ")[0]
        assert f"Dots {dots}" in sheet


def test_what_was_not_asked_is_not_told(answered):
    result, _ = answered
    bare = replace(result, dots=(), eyes=(), sights=(), findings=())
    assert headlines.shows_headline(bare).number == "Not asked"
    assert "LEDs  " not in answer_sheet(bare)
    if result.dots:
        flat = replace(result, eyes=(), sights=())
        assert "LEDs" not in headlines.shows_headline(flat).number


def test_two_packs_are_called_for_when_one_falls_short(answered):
    _, comparison = answered
    one, two, double = comparison.builds
    asked = replace(
        comparison,
        asked_h=10.0,
        builds=(
            replace(one, hours_h=8.0, stops_count=0),
            replace(two, hours_h=16.0, stops_count=0),
            double,
        ),
    )
    found = headlines.packs_headline(asked)
    assert found.grade == "caution"
    assert "two packs" in found.behind
    none = replace(asked, asked_h=1e6)
    assert headlines.packs_headline(none).grade == "stop"
