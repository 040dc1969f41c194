"""What a search found reads as true sentences, in 80 columns, whatever the parts are called."""

import ast
import re
from pathlib import Path

import pytest

from lightcalc.answers.finder.results import Asked, Drawn, Found, Merits, Relaxed, Search
from lightcalc.answers.words import Shower
from lightcalc.screens.find_sheet import (
    REFUSED,
    answer_line,
    drawn_words,
    find_sheet,
    leds_lines,
    relaxed_lines,
)
from lightcalc.units import read

ANSWERS = Path(__file__).parents[2] / "lightcalc" / "answers"
METRIC = Shower("metric")
PLAIN = Merits(94.2, 8.0, 0.046, 0.57, 1234.0, True)


def found(rank=1, merits=PLAIN, differs=("fed at the middle",), why="2 h longer", **changes):
    values = {
        "build": "as drawn",
        "strips": ("strip-12v-60-warm",),
        "feeds": "middle",
        "wire": "as drawn",
        "level_ratio": 1.0,
        "packs": ("1 x liion-4s-6800",),
        "converters": ("buck-12v-5a",),
    }
    return Found(rank, merits, **{**values, **changes}, differs=differs, why=why)


def searched(*hits, **changes):
    values = {
        "piece": "Hall bench",
        "units": "metric",
        "currency": "EUR",
        "open": ("feeds",),
        "matters": ("price", "hours", "evenness", "mass"),
        "asked": (Asked("hours", 6.0), Asked("evenness", 0.1), Asked("light", 1100.0)),
        "designs_count": 10_368,
        "answered_count": 17,
        "whole": True,
        "drawn": Drawn(PLAIN, (), ()),
        "relaxed": (),
        "relaxed_whole": not hits,
        "refused": (),
    }
    return Search(found=hits, **{**values, **changes})


def sheet(search, most=12):
    return " ".join(find_sheet(search, most).split())


def test_the_answer_comes_first_and_each_design_has_its_row_and_its_words():
    text = find_sheet(searched(found(1), found(2, differs=(), why="4 EUR cheaper")), 12)
    lines = text.splitlines()
    assert lines[0] == "What to build: Hall bench"
    assert lines[1].startswith("  2 designs meet all that is asked")
    rows = [line for line in lines if "94 EUR" in line]
    assert [row.split()[0] for row in rows] == ["1", "2", "as"]
    assert "   1  Fed at the middle." in lines
    assert "      Against the next: 2 h longer." in lines
    assert "   2  As drawn." in lines
    assert "      Against the one before: 4 EUR cheaper." in lines


def test_one_design_is_one_and_a_search_that_was_stopped_says_so():
    assert answer_line(searched(found(why=""))).startswith("One design meets all that is asked")
    assert "Stopped early" not in answer_line(searched(found()))
    assert "Stopped early: this is the best so far." in answer_line(searched(found(), whole=False))
    assert answer_line(searched(whole=False)).startswith("Stopped before anything was found")


def test_no_more_are_printed_than_asked_and_the_rest_is_counted():
    hits = [found(rank) for rank in range(1, 16)]
    text = find_sheet(searched(*hits), 3)
    assert "   3  Fed" in text
    assert "   4  Fed" not in text
    assert "12 more: --most 15" in text


def test_what_the_design_as_drawn_misses_is_said_in_words():
    stopped = Drawn(PLAIN, ("hours-short", "no-fuse"), ("hours", "price"))
    assert drawn_words(searched(found(), drawn=stopped)) == (
        "As drawn it does not do: the charge is too short; no fuse in the catalogue protects the "
        "wires; it costs too much."
    )
    assert drawn_words(searched(found(differs=()))) == "As drawn it is one of these."
    assert "but this is as good" in drawn_words(searched(found()))
    assert "but one of these is as good" in drawn_words(searched(found(), found(rank=2)))


def codes_that_stop():
    """Return the code of every finding that the program may grade stop, from its own text."""
    for path in ANSWERS.glob("findings/*.py"):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and ast.unparse(call.func) == "Finding":
                code, grade, *_ = call.args
                pairs = [(code, grade)]
                if isinstance(code, ast.IfExp):
                    assert isinstance(grade, ast.IfExp)
                    pairs = [(code.body, grade.body), (code.orelse, grade.orelse)]
                for one, graded in pairs:
                    if isinstance(graded, ast.Name) or "'stop'" in ast.unparse(graded):
                        yield ast.literal_eval(one)


def test_every_code_that_stops_a_design_has_words():
    codes = set(codes_that_stop())
    assert {"no-fuse", "hours-short", "heat"} <= codes
    assert codes <= set(REFUSED), codes - set(REFUSED)


@pytest.mark.parametrize(
    ("demand", "asked", "nearest", "told"),
    [
        ("hours", 12.0, 8.996, "hours a charge of at least 12 h; 8 h 55 min can be had"),
        ("price", 50.0, 86.204, "a price of at most 50 EUR; 86.21 EUR can be had"),
        ("mass", 0.3, 0.5314, "a mass of at most 300 g; 532 g can be had"),
        ("evenness", 0.01, 0.02304, "a fall in light of at most 1 %; 2.31 % can be had"),
        ("light", 2000.0, 1239.7, "light at its brightest of at least 2000 lm; 1230 lm can be had"),
    ],
)
def test_what_can_be_had_is_never_rounded_to_what_cannot(demand, asked, nearest, told):
    search = searched(relaxed=(Relaxed(demand, asked, nearest),))
    (line,) = relaxed_lines(search, METRIC)
    assert told in line
    number = re.search(r"; ([^;]+) can be had\.$", line)[1]
    kinds = {"hours": "time", "mass": "mass", "evenness": "ratio", "light": "luminous_flux"}
    if demand == "price":
        assert float(number.removesuffix(" EUR")) >= nearest
        return
    value = read(number, kinds[demand]) / (3600.0 if demand == "hours" else 1.0)
    assert (value <= nearest) == (demand in {"hours", "light"})
    assert value == pytest.approx(nearest, rel=0.01)


def test_dots_that_cannot_be_hidden_have_no_number():
    (line,) = relaxed_lines(searched(relaxed=(Relaxed("dots", 1.0, None),)), METRIC)
    assert line == "It can be done if dots hidden on every surface is not asked."


def test_a_search_that_hides_dots_says_that_leds_are_another_matter():
    asked = (Asked("hours", 3.0), Asked("dots", 1.0))
    (line,) = leds_lines(searched(asked=asked))
    assert "says nothing of LEDs seen bare or mirrored" in line
    assert line in sheet(searched(asked=asked))
    assert not list(leds_lines(searched(asked=asked[:1])))


def test_that_no_demand_alone_helps_is_said_only_when_each_was_tried():
    assert "Letting any single demand go would not help" in sheet(searched())
    stopped = sheet(searched(relaxed_whole=False))
    assert "would not help" not in stopped
    assert "Stopped before it was known what would have to give way." in stopped
    assert "Stopped before it was known" not in sheet(searched(whole=False, relaxed_whole=False))


def test_what_stood_in_the_way_is_counted_in_words():
    text = sheet(searched(refused=(("hours-short", 9), ("overvolt", 2))))
    assert "the charge is too short (9 times); the pack gives the strip too many volts" in text


def test_how_it_was_searched_tells_what_was_open_asked_and_tried():
    text = sheet(searched(found()))
    assert "Open: feeds. Asked: hours a charge of at least 6 h; a fall in light" in text
    assert "10,368 designs; 17 were answered in full" in text


HOSTILE = "oak \x1b[31m\u202e\n<b>*x* " + "long name of a part " * 12


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_names_steer_no_terminal_and_nothing_is_wider_than_80(units):
    unknown = Merits(None, 300.0, 0.00001, None, 123_456.0, False)
    one = found(merits=unknown, differs=(f"strip {HOSTILE}", f"pack {HOSTILE}"), why=HOSTILE)
    text = find_sheet(searched(one, found(2), piece=HOSTILE, units=units, currency="E" * 12), 12)
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert all(sign.isprintable() or sign == "\n" for sign in text)
