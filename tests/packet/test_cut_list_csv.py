"""The cut list of a spreadsheet holds every cut, in the design's units, and no formula."""

import csv
import io
import re
from dataclasses import replace

import pytest
from pieces import example
from sheets import EXAMPLES, hostile

from lightcalc import units
from lightcalc.answers.answer import answer
from lightcalc.packet.cut_list import cut_list
from lightcalc.packet.cut_list_csv import cut_list_csv

RULE = r"(\d+ ft)? ?(\d+)? ?(\d+/(2|4|8|16))?( ?in)?"


def rows(made, catalogue, found):
    cuts = cut_list(made, catalogue, found)
    return cuts, list(csv.DictReader(io.StringIO(cut_list_csv(cuts), newline="")))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_run_and_every_wire_stands_there_once_with_its_length(name):
    made, catalogue, found = example(name)
    cuts, lines = rows(made, catalogue, found)
    unit = "in" if made.system == "inch" else "mm"
    strips = {line["for"]: line for line in lines if line["what"] == "strip"}
    assert set(strips) == {run.run for run in found.runs}
    for run in found.runs:
        read_m = units.read(f"{strips[run.run][f'cut to ({unit})']} {unit}", "length")
        assert read_m == pytest.approx(run.cut_length_m, abs=2e-5)
    wires = [line for line in lines if line["what"] == "wire"]
    assert len(wires) == len(cuts.wires)
    for line, wire in zip(wires, cuts.wires, strict=True):
        read_m = units.read(f"{line[f'cut to ({unit})']} {unit}", "length")
        assert read_m == pytest.approx(wire.length_m, abs=2e-5)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_cuts_of_a_reel_follow_one_another_to_its_last_whole_cut_unit(name):
    made, catalogue, found = example(name)
    made = replace(made, system="metric")
    _, lines = rows(made, catalogue, found)
    unit = "mm"
    along = [line for line in lines if line["what"] in {"strip", "left over"}]
    end = 0.0
    for line in along:
        start = float(line[f"from ({unit})"])
        assert start == pytest.approx(end if line["mark"] == "reel 1" else start, abs=1e-3)
        end = float(line[f"to ({unit})"])
        assert end - start == pytest.approx(float(line[f"cut to ({unit})"]), abs=1e-3)


@pytest.mark.parametrize("name", EXAMPLES)
def test_in_inches_what_to_cut_stands_as_a_rule_shows_it_too(name):
    made, catalogue, _ = example(name)
    made = replace(made, system="inch")
    _, lines = rows(made, catalogue, answer(made, catalogue))
    for line in lines:
        decimal, shown = line["cut to (in)"], line["cut to, by the rule"]
        assert re.fullmatch(RULE, shown), shown
        off_m = units.read(shown, "length") - float(decimal) * 0.0254
        assert abs(off_m) <= 0.0254 / 32 + 0.0005 * 0.0254 + 1e-6
        assert len(decimal.partition(".")[2]) <= 3
        for head in ("drawn", "from", "to"):
            cell = line[head]
            assert not cell or cell == "0 in" or re.fullmatch(RULE, cell), cell
            assert head == "drawn" or bool(cell) == (line["what"] != "wire")
    _, lines = rows(replace(made, system="metric"), catalogue, example(name)[2])
    assert "cut to, by the rule" not in lines[0]


def test_no_cell_begins_a_formula():
    _, lines = rows(*hostile())
    for line in lines:
        for cell in line.values():
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
