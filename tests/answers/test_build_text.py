"""The text of a build answers as the build itself does."""

import tomllib
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer
from lightcalc.answers.build_text import text_of_build
from lightcalc.answers.compare import Build, builds, compare
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
