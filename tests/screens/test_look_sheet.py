"""A look in words: everything it found, and nothing wider than a terminal."""

from dataclasses import replace
from pathlib import Path

import pytest

from lightcalc.answers.look.look import look
from lightcalc.design.read import read_design
from lightcalc.screens.look_sheet import look_sheet, mounts_table

DEMO = Path(__file__).parents[2] / "catalog_examples" / "hall-bench.toml"


@pytest.fixture(scope="module")
def looks():
    design, catalogue = read_design(DEMO)
    names = [run.name for run in design.runs]
    return [
        look(design, catalogue, mounts=dict.fromkeys(names, number), faces=False).look
        for number in (0, 1)
    ]


def test_the_sheet_holds_every_finding_and_fits_a_terminal(looks):
    for found in looks:
        sheet = look_sheet(found)
        assert max(map(len, sheet.splitlines())) <= 80
        flat = " ".join(sheet.split())
        for finding in found.findings:
            assert finding.why in flat
            assert finding.remedy in flat
        for sight in found.sights:
            assert f"{sight.leds_count} of {sight.of_count}" in flat


def test_the_sheet_says_where_the_light_goes(looks):
    flat = " ".join(look_sheet(looks[0]).split())
    assert "lm to the floor" in flat
    assert "lm to inlays" in flat
    assert "Brightest straight from the LEDs" in flat


def test_a_look_that_finds_nothing_says_so(looks):
    empty = replace(looks[0], findings=(), sights=(), hides=(), patterns=())
    sheet = look_sheet(empty)
    assert "No eye sees an LED, and no light shows as dots." in sheet
    assert "None, from any eye." in sheet
    assert "None: no eye sees a surface that the LEDs light." in sheet


def test_in_inches_no_metric_length_is_left(looks):
    sheet = look_sheet(replace(looks[0], units="inch", findings=()))
    assert " lx" not in sheet
    assert " fc" in sheet


def test_mounts_stand_side_by_side(looks):
    text = mounts_table(looks)
    assert max(map(len, text.splitlines())) <= 80
    assert "mount 1: front rail: on the rail; back rail: on the rail." in " ".join(text.split())
    (line,) = [line for line in text.splitlines() if "LEDs seen, standing in front" in line]
    for found in looks:
        seen = [s for s in found.sights if s.eye == "standing in front" and s.way == "mirrored"]
        assert f"{sum(s.leds_count for s in seen)} in the floor" in line
    (line,) = [line for line in text.splitlines() if line.strip().startswith("findings")]
    assert line.split()[1:] == [str(len(found.findings)) for found in looks]
