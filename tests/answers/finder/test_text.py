"""The text of a design that was found answers exactly as the search said."""

from dataclasses import astuple, replace
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer_parts
from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.find import find
from lightcalc.answers.finder.search import merits_of
from lightcalc.answers.finder.text import text_of_hit
from lightcalc.design.edit import raw
from lightcalc.design.find import Find
from lightcalc.design.load import parse_toml
from lightcalc.design.read import read_design, read_design_table
from lightcalc.problems import Problems

EXAMPLES = Path(__file__).parents[3] / "catalog_examples"


def again(text, catalogue, path):
    problems = Problems(path.name)
    return read_design_table(parse_toml(text, problems), catalogue, path)


@pytest.mark.parametrize(
    ("name", "opened"),
    [
        ("hall-bench", ("feeds", "packs")),
        ("hall-bench", ("wire",)),
        ("hall-bench", ("level", "converter")),
        ("bedside-shelf", ("strip", "pack")),
        ("display-cabinet", ("strip", "feeds")),
    ],
)
def test_the_text_of_each_design_found_answers_as_the_search_said(name, opened):
    path = EXAMPLES / f"{name}.toml"
    text = path.read_text(encoding="utf-8")
    design, catalogue = read_design(path)
    light_lm = 1.0 if "level" in opened else None
    ask = replace(design.ask, light_fall_ratio=0.2)
    loose = replace(design, find=Find(open=opened, light_lm=light_lm), ask=ask)
    hits = find(loose, catalogue).hits
    assert hits, opened
    for hit in hits:
        read = again(text_of_hit(text, Choices(loose, catalogue), hit), catalogue, path)
        merits = merits_of(answer_parts(read, catalogue), read, catalogue)
        assert astuple(merits) == pytest.approx(astuple(hit.found.merits)), hit.found.differs


def test_comments_and_plugs_stay_where_they_were():
    path = EXAMPLES / "hall-bench.toml"
    text = path.read_text(encoding="utf-8")
    design, catalogue = read_design(path)
    opened = replace(design, find=Find(open=("feeds",)))
    hits = find(opened, catalogue).hits
    moved = next(hit for hit in hits if hit.choice.light.feeds == "middle")
    found = text_of_hit(text, Choices(opened, catalogue), moved)
    assert "# The pack goes with the seat" in found
    (feed,) = raw(found)["runs"][0]["feeds"]
    assert feed["crosses"] == ["seat to rails"]
    assert feed["connector"] == "plug-small-2"
    # Half of the run longer than the lead to its start.
    assert feed["lead"] == "1160 mm"
