"""The four answers say what the answer sheet says, in one large number each."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer
from lightcalc.answers.compare import compare
from lightcalc.answers.findings.finding import GRADES
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


def test_leds_that_no_one_sees_do_not_show(answered):
    result, _ = answered
    hidden = tuple(replace(dots, verdict="hidden") for dots in result.dots)
    found = headlines.shows_headline(replace(result, dots=hidden, sights=(), findings=()))
    assert found.number == ("No" if hidden else "Not asked")
    plain = tuple(replace(dots, verdict="plain") for dots in result.dots)
    if plain:
        shown = headlines.shows_headline(replace(result, dots=plain, sights=(), findings=()))
        assert shown.number == "Yes"


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
