"""The text of a build answers as the build itself does."""

import tomllib
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer
from lightcalc.answers.build_text import text_of_build
from lightcalc.answers.compare import Build, builds, compare
from lightcalc.design.edit import raw, with_entry, with_value
from lightcalc.design.read import read_design, read_design_table

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"


@pytest.mark.parametrize("number", range(3))
@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_the_text_of_a_build_answers_as_compare_does(name, number):
    path = EXAMPLES / f"{name}.toml"
    text = path.read_text(encoding="utf-8")
    design, catalogue = read_design(path)
    build = builds(design, catalogue)[number]
    compared = compare(design, catalogue).builds[number]
    again = read_design_table(tomllib.loads(text_of_build(text, design, build)), catalogue, path)
    answered = answer(again, catalogue)
    assert min(supply.hours_h for supply in answered.supplies) == pytest.approx(compared.hours_h)
    assert len(answered.supplies) == compared.packs_count
    assert max(run.light_fall_ratio for run in answered.runs) == pytest.approx(
        compared.light_fall_ratio
    )


def test_an_impossible_build_has_no_text():
    path = EXAMPLES / "hall-bench.toml"
    design, _ = read_design(path)
    with pytest.raises(ValueError, match="impossible"):
        text_of_build(path.read_text(encoding="utf-8"), design, Build("two packs", None))


def test_spaces_in_the_names_of_trunks_count_no_more_than_for_the_reader():
    path = EXAMPLES / "hall-bench.toml"
    text = path.read_text(encoding="utf-8")
    for number, run in enumerate(raw(text)["runs"]):
        text = with_value(text, ("runs", number, "supply"), None)
        for place in range(len(run["feeds"])):
            text = with_value(text, ("runs", number, "feeds", place, "from"), "  t2 ")
    text = with_entry(text, ("trunks",), {"name": " t  1", "length": "50 cm"})
    text = with_entry(text, ("trunks",), {"name": "t2", "length": "20 cm", "from": "t 1"})
    _, catalogue = read_design(path)
    design = read_design_table(tomllib.loads(text), catalogue, path)
    two = builds(design, catalogue)[1]
    again = read_design_table(tomllib.loads(text_of_build(text, design, two)), catalogue, path)
    assert [trunk.name for trunk in again.trunks] == [
        "t 1",
        "t2",
        "t 1, second pack",
        "t2, second pack",
    ]


@pytest.mark.parametrize("number", range(3))
def test_a_build_keeps_where_its_controller_is_worked(number):
    path = EXAMPLES / "hall-bench.toml"
    design, catalogue = read_design(path)
    text = text_of_build(
        path.read_text(encoding="utf-8"), design, builds(design, catalogue)[number]
    )
    again = read_design_table(tomllib.loads(text), catalogue, path)
    assert {supply.sensor_at_m for supply in again.supplies} == {design.supplies[0].sensor_at_m}
    assert "# its receiver" in text
