"""The answer sheet says what its price counts, and which part has none."""

from dataclasses import replace
from pathlib import Path

from lightcalc.answers.answer import answer
from lightcalc.answers.compare import compare
from lightcalc.design.read import read_design
from lightcalc.screens.compare_table import compare_table
from lightcalc.screens.sheet import answer_sheet

DEMO = Path(__file__).parents[2] / "catalog_examples" / "hall-bench.toml"


def in_parts(sheet):
    return " ".join(sheet.partition("\nPARTS\n")[2].partition("\nCAUTIONS\n")[0].split())


def test_beside_every_price_stands_what_it_leaves_out():
    made, catalogue = read_design(DEMO)
    parts = in_parts(answer_sheet(answer(made, catalogue)))
    table = " ".join(compare_table(compare(made, catalogue)).split())
    for told in (parts, table):
        for left in ("spares", "jumpers", "charger", "fuse holders", "splices", "switch"):
            assert left in told


def test_a_part_with_no_price_is_named_where_the_price_would_stand():
    made, catalogue = read_design(DEMO)
    pack = made.supplies[0].pack
    packs = {**catalogue.packs, pack: replace(catalogue.packs[pack], price=None)}
    parts = in_parts(answer_sheet(answer(made, replace(catalogue, packs=packs))))
    assert f"has no price of {pack}." in parts
    assert "About" not in parts
