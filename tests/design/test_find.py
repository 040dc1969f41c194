"""What a design says of a search: what may change, what is asked, and every mistake in it."""

import tomllib
from pathlib import Path

import pytest

from lightcalc.design.find import MERITS, USUALLY_OPEN, Find
from lightcalc.design.read import read_design, read_design_table
from lightcalc.problems import BadInput

BENCH = Path(__file__).parents[2] / "catalog_examples" / "hall-bench.toml"
TEXT = BENCH.read_text(encoding="utf-8")


def found(lines):
    table = tomllib.loads(f"{TEXT}\n[find]\n{lines}\n")
    return read_design_table(table, read_design(BENCH)[1], BENCH).find


def test_a_design_that_says_nothing_has_the_usual_open():
    assert found("") == Find()
    assert read_design(BENCH)[0].find.open == USUALLY_OPEN
    assert Find().matters == MERITS


def test_everything_said_is_read():
    said = found(
        'open = ["pack", "wire"]\nmatters = ["mass"]\nprice = 120\nmass = "1.5 kg"\nlight = 900\n'
        "most_packs = 3\ndots_hidden = true\nany_colour = true"
    )
    assert said == Find(("pack", "wire"), 3, True, 120.0, 1.5, 900.0, True, ("mass",))


def test_the_order_of_what_matters_is_kept():
    assert found('matters = ["hours", "price"]').matters == ("hours", "price")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('open = ["stripp"]', 'find.open: found "stripp"; did you mean "strip"?'),
        ('open = "strip"', 'find.open: found "strip"; write a list of texts'),
        ('matters = ["beauty"]', 'find.matters: found "beauty"; allowed are: price, hours'),
        ("price = -3", "find.price: found -3; it must be from 0 to"),
        ('mass = "1.5"', "find.mass:"),
        ("light = 0", "find.light: found 0; it must be from 0.1 to"),
        ("most_packs = 99", "find.most_packs: found 99; it must be from 1 to 8"),
        ('dots_hidden = "yes"', "find.dots_hidden: found"),
        ("colours = true", "find.colours: is not a known key"),
    ],
)
def test_each_mistake_is_told_with_what_is_allowed(line, told):
    with pytest.raises(BadInput) as bad:
        found(line)
    assert any(told in str(problem) for problem in bad.value.problems), bad.value.problems
