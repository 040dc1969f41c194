"""The four answers stand first on the screen, each whole: number, grade, sentence, finding."""

import pytest

from lightcalc.answers.answer import answer
from lightcalc.answers.compare import compare
from lightcalc.design.read import read_design
from lightcalc.screens.headlines import (
    hours_headline,
    packs_headline,
    shows_headline,
    verdict,
    wiring_headline,
)

GRADES = {"stop": "Stop", "caution": "Caution", "fine": "Fine"}
FIELDS = {"text_input", "selectbox", "checkbox", "text_area"}


def read(text):
    """Return what is read of a text for Streamlit's Markdown."""
    return (
        text.replace("\\", "").replace("\u2060", "").replace("`lightcalc look`", "The screen Look")
    )


def in_order(tab):
    """Return kind and text of all that is on the screen, from top to bottom."""
    return [
        (element.type, read(str(getattr(element, "value", ""))))
        for element in tab.test.main
        if not hasattr(element, "children")
    ]


def found_for(folder, name):
    """Return the verdict and the four answers to a file, in the order of the screen."""
    design, catalogue = read_design(folder / name)
    found = answer(design, catalogue)
    return verdict(found), (
        hours_headline(found),
        packs_headline(compare(design, catalogue)),
        wiring_headline(found),
        shows_headline(found),
    )


@pytest.mark.parametrize("name", ["hall-bench.toml", "bedside-shelf.toml"])
def test_each_answer_has_its_number_grade_sentence_and_the_finding_behind_it(tab, folder, name):
    if name != "hall-bench.toml":
        tab.go("files").test.selectbox(key="open which").set_value(name)
        tab.run().go("answers")
    (grade, sentence), headlines = found_for(folder, name)
    shown = in_order(tab)
    at = next(n for n, (_, text) in enumerate(shown) if text.endswith(sentence))
    assert f"**{GRADES[grade]}**" in shown[at][1]
    for headline in headlines:
        question, number, ending, *rest = shown[at + 1 :]
        assert question[1].startswith(headline.label)
        assert f"**{GRADES[headline.grade]}**" in question[1]
        assert number == ("header", headline.number)
        assert ending == ("markdown", read(headline.sentence))
        at += 3
        if headline.behind:
            assert rest[0] == ("caption", read(headline.behind))
            at += 1
    assert any(headline.behind for headline in headlines)


def test_nothing_is_asked_before_the_four_answers_are_given(tab):
    kinds = [kind for kind, _ in in_order(tab)]
    last = len(kinds) - 1 - kinds[::-1].index("header")
    assert kinds.count("header") == 4
    assert not FIELDS & set(kinds[:last])
    assert FIELDS & set(kinds[last:])
