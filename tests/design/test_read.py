"""A design file is read whole or not at all, with every mistake told in one go."""

import copy
import datetime
import math
import re
import shutil
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightcalc.answers.answer import answer
from lightcalc.design.piece import Design
from lightcalc.design.read import read_design, read_design_table
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.problems import BadInput
from lightcalc.tables.colours import colours
from lightcalc.tables.mountings import mounting_names

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
DESIGNS = sorted(
    path
    for path in EXAMPLES.glob("*.toml")
    if path.name != "catalogue.toml" and not path.stem.endswith("-readings")
)
PARTS = read_catalogue(EXAMPLES)
TABLES = [tomllib.loads(path.read_text(encoding="utf-8")) for path in DESIGNS]


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_the_examples_are_read(path):
    design, catalogue = read_design(path)
    assert isinstance(design, Design)
    assert {run.strip for run in design.runs} <= set(catalogue.strips)


def test_quantities_as_people_write_them_come_out_in_si(sketch):
    # The inch, foot and yard are exact (NIST SP 811, appendix B).
    sketch.put("runs.0.length", "5 ft 3 in")
    sketch.put("runs.0.feeds.0.lead", "3/8 in")
    sketch.put("runs.1.length", "63 1/2 in")
    sketch.put("runs.1.feeds.0.at", "12 in")
    sketch.put("runs.1.feeds.0.wire", "20 AWG")
    sketch.put("runs.0.feeds.0.wire", "0.75 mm²")
    sketch.put("supplies.0.pack_lead", "150 mm")
    sketch.put("use.temperature", "68 degF")
    sketch.put("use.room", "10 fc")
    sketch.put("use.evening.0.time", "2 h 30 min")
    sketch.put("ask.light_fall", "12.5 %")
    design = sketch.read()
    front, back = design.runs
    assert front.length_m == pytest.approx(1.6002, rel=1e-12)
    assert front.feeds[0].lead.length_m == pytest.approx(0.009525, rel=1e-12)
    assert back.length_m == pytest.approx(1.6129, rel=1e-12)
    assert back.feeds[0].at_m == pytest.approx(0.3048, rel=1e-12)
    assert design.supplies[0].pack_lead_m == pytest.approx(0.15, rel=1e-12)
    assert design.use.temperature_c == pytest.approx(20.0, abs=1e-9)
    # One foot-candle is one lumen per square foot.
    assert design.use.room_lux == pytest.approx(10 / 0.3048**2, rel=1e-9)
    assert design.use.stretches[0].duration_s == 9000.0
    assert design.ask.light_fall_ratio == 0.125


def test_feeds_have_words_for_the_usual_places(sketch):
    places = {"start": 0.0, "Middle": 0.75, "end": 1.5}
    for word, at_m in places.items():
        assert sketch.put("runs.0.feeds.0.at", word).read().runs[0].feeds[0].at_m == at_m
    assert sketch.put("runs.0.feeds.0.at", ...).read().runs[0].feeds[0].at_m == 0.0


def test_one_supply_need_not_be_named_in_its_runs(sketch):
    assert {run.supply for run in sketch.read().runs} == {"main"}
    sketch.put("supplies.1", {"name": "aux", "pack": "liion-4s-6800", "converter": "buck-12v-5a"})
    assert sketch.told() == [
        'bench.toml: runs.front.supply: is missing; write it like this: supply = "main"',
        'bench.toml: runs.back.supply: is missing; write it like this: supply = "main"',
    ]


@pytest.mark.parametrize(
    ("place", "value", "sentence"),
    [
        ("format", 2, "format: found 2; this lightcalc reads up to 1. Get a newer lightcalc."),
        ("format", 0, "format: found 0; write format = 1"),
        ("format", "1", 'format: found "1"; write format = 1'),
        ("format", True, "format: found true; write format = 1"),
        ("units", "imperial", 'units: found "imperial"; allowed are: metric, inch.'),
        ("catalogue", 3, 'catalogue: found 3; write a text in quotes, such as "../my parts".'),
        ("piece", ..., "piece: is missing; write it like this: [piece] on a line, and under it na"),
        ("piece", "Bench", 'piece: found "Bench"; write it like this: [piece] on a line, and und'),
        ("piece.name", ..., 'piece.name: is missing; write it like this: name = "Hall table"'),
        ("piece.hieght", "1 m", 'piece.hieght: is not a known key; did you mean "height"?'),
        ("piece.height", 45, "piece.height: found 45 with no unit; a length is written in quotes"),
        ("piece.height", "1e9 m", 'piece.height: found "1e9 m"; it must be from 10 mm to 20 m.'),
        ("runs", ..., "runs: there is none; write at least one, like this: [[runs]] on a line"),
        ("runs", {"name": "x"}, "runs: found a table; write each one like this: [[runs]] on a li"),
        ("runs.0.length", "1.6", 'runs.front.length: found "1.6"; a length needs a unit, such as'),
        ("runs.0.length", 1.6, "runs.front.length: found 1.6 with no unit; a length is written"),
        ("runs.0.length", "-1 m", 'runs.front.length: found "-1 m"; it must be from 1 mm to 100'),
        ("runs.0.length", "0 m", 'runs.front.length: found "0 m"; it must be from 1 mm to 100 m'),
        ("runs.0.length", "nan m", 'runs.front.length: found "nan m", which is not a finite num'),
        ("runs.0.length", math.inf, "runs.front.length: found a number with no unit; a length"),
        ("runs.0.length", True, "runs.front.length: found true; a length needs a unit, such as"),
        ("runs.0.length", "3 kg", 'runs.front.length: found "3 kg"; "kg" measures a mass; write'),
        ("runs.0.length", datetime.date(2020, 1, 1), "runs.front.length: found a date; a length"),
        ("runs.0.length", ["1 m"], "runs.front.length: found a list; a length needs a unit, su"),
        ("runs.0.length", 10**400, "runs.front.length: found a number with no unit; a length"),
        ("runs.0.mounting", "bare on wod", 'runs.front.mounting: found "bare on wod"; did you me'),
        ("runs.0.mounting", "", "runs.front.mounting: found an empty text; write it like this:"),
        ("runs.0.feeds", [], "runs.front.feeds: there is none; write at least one, like this: fe"),
        ("runs.0.feeds", ["x"], 'runs.front.feeds: found "x" in the list; write each one like '),
        ("runs.0.feeds.0.at", "top", 'runs.front.feeds.1.at: found "top"; a length is a number'),
        ("runs.0.feeds.0.at", 0, "runs.front.feeds.1.at: found 0 with no unit; a length is wri"),
        ("runs.0.feeds.0.at", "1.51 m", 'runs.front.feeds.1.at: found "1.51 m"; the run is 1.5 m'),
        ("runs.0.feeds.0.led", "1 m", "runs.front.feeds.1.led: is not a known key; did you mean"),
        ("runs.0.feeds.0.lead", ..., "runs.front.feeds.1.lead: is missing; write it like this: "),
        ("runs.0.seen.0.reflectance", "101 %", 'runs.front.seen.1.reflectance: found "101 %"; '),
        ("trunks.0.length", "2", 'trunks.trunk.length: found "2"; a length needs a unit, such as'),
        ("supplies", 3, "supplies: found 3; write each one like this: [[supplies]] on a line, a"),
        ("supplies.0.pack_multiple", 0, "supplies.main.pack_multiple: found 0; it must be from"),
        ("supplies.0.health", "10 %", 'supplies.main.health: found "10 %"; it must be from 20 %'),
        ("supplies.0.switched_off", 1, "supplies.main.switched_off: found 1; write true or fal"),
        ("supplies.0.connectors", [""], "supplies.main.connectors: found an empty text in the "),
        ("use", ..., "use: is missing; write it like this: [use] on a line, and under it evening"),
        ("use.evening", ..., "use.evening: there is none; write at least one, like this: evening"),
        ("use.temperature", "80 degC", 'use.temperature: found "80 degC"; it must be from -20 °C'),
        ("use.evenings_a_week", 8, "use.evenings_a_week: found 8; it must be from 0.02 to 7."),
        ("use.evenings_a_week", 0, "use.evenings_a_week: found 0; it must be from 0.02 to 7."),
        ("use.evening.0.level", "0 %", 'use.evening.1.level: found "0 %"; it must be from 0.1 %'),
        ("use.evening.0.level", 60, "use.evening.1.level: found 60 with no unit; a share is wri"),
        ("use.evening.0.time", "25 h", 'use.evening.1.time: found "25 h"; it must be from 1 s t'),
        ("use.evening.0.mix", 3, "use.evening.1.mix: found 3; write it like this: mix = { red ="),
        ("use.evening.1", {"level": "1 %", "time": "22 h"}, "use.evening: its stretches add up to"),
        ("ask.hours_a_charge", "0 h", 'ask.hours_a_charge: found "0 h"; it must be from 1 min t'),
        ("ask.light_fall", "x", 'ask.light_fall: found "x"; a share is a number and its unit, '),
        (
            "colour",
            "red",
            "colour: is not a known key; allowed are: ask, blocks, catalogue, find, format",
        ),
    ],
)
def test_each_mistake_has_its_place_what_was_found_and_what_is_allowed(
    sketch, place, value, sentence
):
    (told,) = sketch.put(place, value).told()
    assert told.startswith(f"bench.toml: {sentence}")
    assert told.isprintable()


@pytest.mark.parametrize(
    "place",
    [
        "",
        "piece",
        "trunks.0",
        "runs.0",
        "runs.0.feeds.0",
        "runs.0.seen.0",
        "supplies.0",
        "use",
        "use.evening.0",
        "ask",
    ],
)
def test_no_part_of_a_design_has_keys_that_are_let_be(sketch, place):
    (told,) = sketch.put(f"{place}.colour".removeprefix("."), "red").told()
    assert "colour: is not a known key; allowed are: " in told


def test_a_place_along_a_run_may_be_a_length_or_a_word(sketch):
    (told,) = sketch.put("runs.0.feeds.0.at", "top").told()
    assert told.endswith('Or write "start", "middle" or "end".')


def test_the_end_of_a_run_in_other_units_is_still_on_it(sketch):
    sketch.put("runs.0.length", "5 ft 3 in").put("runs.0.feeds.0.at", "63 in").read()


def test_an_evening_of_a_whole_day_is_allowed(sketch):
    sketch.put("use.evening", [{"level": "10 %", "time": "12 h"}] * 2).read()


def test_every_mistake_is_told_in_one_go(sketch):
    sketch.put("piece.hieght", "1 m").put("runs.0.length", "1.6").put("runs.1.strip", "oak")
    sketch.put("supplies.0.pack", "none").put("use.temperature", 20).put("ask", [])
    places = [sentence.split(": ")[1] for sentence in sketch.told()]
    assert sorted(places) == [
        "ask",
        "piece.hieght",
        "runs.back.strip",
        "runs.front.length",
        "supplies.main.pack",
        "use.temperature",
    ]


def test_an_empty_design_is_told_its_four_parts(sketch):
    sketch.table.clear()
    assert [sentence.split(": ")[1] for sentence in sketch.told()] == [
        "supplies",
        "runs",
        "piece",
        "use",
    ]


def written(tmp_path, text):
    path = tmp_path / "bench.toml"
    path.write_text(text, encoding="utf-8")
    return path


def told_of(path, folder=None):
    with pytest.raises(BadInput) as caught:
        read_design(path, folder)
    return [str(problem) for problem in caught.value.problems]


BENCH = (EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8")


def test_missing_quotes_do_not_hide_other_mistakes(tmp_path):
    text = BENCH.replace('length = "1.42 m"', "length = 1.42 m", 1).replace("height", "hieght")
    told = told_of(written(tmp_path, text), EXAMPLES)
    assert len(told) == 2
    assert 'write it like this: length = "1.42 m"' in told[0]
    assert told[1].endswith('piece.hieght: is not a known key; did you mean "height"?')


def test_the_catalogue_is_where_the_design_says_or_beside_it_or_as_given(tmp_path):
    path = written(tmp_path, BENCH)
    assert read_design(path, EXAMPLES)[1].name == "Example parts"
    shutil.copytree(EXAMPLES, tmp_path / "parts")
    path = written(tmp_path, f'catalogue = "parts"\n{BENCH}')
    assert read_design(path)[1].folder == tmp_path / "parts"
    assert read_design(tmp_path / "parts" / "hall-bench.toml")[1].folder == tmp_path / "parts"


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("", "is missing"),
        ('catalogue = "nowhere"\n', 'found "nowhere"'),
        (f'catalogue = "{"x" * 300}"\n', f'found "{"x" * 60}..."'),
        ('catalogue = "nul\\u0000"\n', 'found "nul"'),
    ],
)
def test_a_catalogue_that_is_not_there_is_one_mistake(tmp_path, line, found):
    told = told_of(written(tmp_path, line + BENCH))
    assert told[-1].startswith(f"bench.toml: catalogue: {found}, and there is no catalogue.toml in")
    assert len([sentence for sentence in told if "no catalogue.toml" in sentence]) == 1


def test_mistakes_in_the_catalogue_do_not_hide_those_of_the_design(tmp_path):
    shutil.copytree(EXAMPLES, tmp_path / "parts")
    (tmp_path / "parts" / "sheets.csv").unlink()
    told = told_of(written(tmp_path, BENCH.replace("height", "hieght")), tmp_path / "parts")
    assert [sentence.split(":")[0] for sentence in told] == ["bench.toml", "sheets.csv"]


# Values that a field of a design may hold, by the last word of its place.
LENGTHS = ["1 mm", "25 mm", "50 cm", "1.42 m", "2 m", "5 m", "100 m", "63 1/2 in", "0 m"]
SHARES = ["0 %", "0.1 %", "50 %", "99.9 %", "100 %", "101 %"]
FUSES = [*PARTS.fuses]
LIKELY = {
    "strip": [*PARTS.strips],
    "pack": [*PARTS.packs],
    "converter": [*PARTS.converters],
    "controller": [*PARTS.controllers],
    "sheet": [*PARTS.sheets],
    "connectors": [[name] for name in PARTS.connectors],
    "fuse": FUSES,
    "pack_fuse": FUSES,
    "wire": ["20 AWG", "0.75 mm2", "28 AWG", *PARTS.wires],
    "pack_wire": ["18 AWG", "1 mm²"],
    "from": ["trunk", "back trunk"],
    "supply": ["seat box", "plinth"],
    "mounting": [*mounting_names()],
    "at": ["start", "middle", "end", *LENGTHS],
    "thickness": ["0.6 mm", "3 mm", "28 mm", "50 cm"],
    "time": ["1 s", "30 min", "6 h", "24 h"],
    "mix": [{"red": "50 %"}, {"white": "0 %"}, {"warm": "100 %", "cool": "1 %"}],
    "hours_a_charge": ["1 min", "365 d"],
    "output": ["5 V", "12.3 V", "24 V", "61 V"],
    "health": ["20 %", "80 %"],
    "temperature": ["-20 degC", "0 degC", "60 degC", "70 degF"],
    "room": ["0 lx", "0.001 lx", "200000 lx"],
    "evenings_a_week": [0.02, 1, 7],
    "pack_multiple": [1, 2, 16],
    "switched_off": [True, False],
    **dict.fromkeys(("length", "lead", "pack_lead", "distance", "viewer", "height"), LENGTHS),
    **dict.fromkeys(("level", "light_fall", "lead_drop", "reflectance"), SHARES),
}
OPTIONAL = {
    "supplies": "controller converter output pack_multiple pack_fuse fuse connectors health",
    "runs": "mounting supply",
    "feeds": "wire from at",
    "seen": "sheet thickness reflectance",
    "use": "temperature room evenings_a_week",
    "evening": "mix",
}
JUNK = st.sampled_from(
    [
        None,
        True,
        -1,
        0,
        1.5,
        math.nan,
        math.inf,
        10**400,
        "",
        "x",
        "é\u202e\0",
        "a" * 700,
        [],
        {},
        [[]],
        [{}],
        {"a": 1},
        "-1 m",
        "1e9 m",
        "nan",
        "12",
        "3 kg",
        datetime.time(1, 2),
    ]
)


def places(inner, way=()):
    """Return every place in a design's tables."""
    entries = inner.items() if isinstance(inner, dict) else enumerate(inner)
    found = []
    for key, value in entries:
        found.append((*way, key))
        if isinstance(value, dict | list):
            found += places(value, (*way, key))
    return found


@st.composite
def changed_designs(draw, junk):
    """Draw an example design with a few places changed, to likely values or also to junk."""
    table = copy.deepcopy(draw(st.sampled_from(TABLES)))
    for _ in range(draw(st.integers(1, 5))):
        *way, last = draw(st.sampled_from(places(table)))
        inner = table
        for key in way:
            inner = inner[key]
        group = next((key for key in reversed([*way, last]) if isinstance(key, str)), "")
        optional = OPTIONAL.get(group, "").split()
        choice = draw(st.sampled_from(["junk", "drop", "copy"] * junk + ["likely", "add"] * 2))
        if choice == "junk":
            inner[last] = copy.deepcopy(draw(JUNK))
        elif choice == "drop":
            del inner[last]
        elif choice == "copy" and isinstance(inner, list):
            inner.append(copy.deepcopy(inner[last]))
        elif choice == "add" and optional and isinstance(inner[last], dict):
            key = draw(st.sampled_from(optional))
            inner[last][key] = copy.deepcopy(draw(st.sampled_from(LIKELY[key])))
        elif last in LIKELY:
            inner[last] = copy.deepcopy(draw(st.sampled_from(LIKELY[last])))
        if not table:
            break
    return table


def tried(table):
    """Return the design, or None and its mistakes."""
    try:
        return read_design_table(table, PARTS, Path("bench.toml")), ()
    except BadInput as bad:
        return None, bad.problems


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(changed_designs(junk=True))
def test_whatever_is_changed_a_design_is_read_or_every_mistake_is_told(table):
    design, problems = tried(table)
    assert isinstance(design, Design) != bool(problems)
    for problem in problems:
        assert problem.file == "bench.toml"
        assert str(problem).isprintable(), str(problem)
        assert problem.sentence[-1] in '.?"1}]', str(problem)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(changed_designs(junk=False))
def test_every_design_that_passes_its_checks_can_be_answered(table):
    design, _ = tried(table)
    if design is None:
        return
    result = answer(design, PARTS)
    assert len(result.runs) == len(design.runs)
    assert all(supply.hours_h >= 0.0 for supply in result.supplies)


# In an inch design -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "value", "says"),
    [
        ("runs.0.length", "720 ft", "it must be from 0.0394 in to 328 ft 1 in."),
        ("runs.0.length", ..., 'write it like this: length = "5 ft 3 in"'),
        ("runs.1.feeds.0.at", "100 in", "the run is 3 ft 3 3/8 in long."),
        ("runs.0.feeds", ..., 'feeds = [{ at = "start", lead = "18 in" }]'),
        ("runs.0.seen.0.distance", ..., 'distance = "1 in"'),
        ("use.temperature", "300 F", "it must be from -4 °F to 140 °F."),
        ("runs.0.mounts", [{"path": "1 in"}], 'each like ["2 in", "3/4 in", "16 in"].'),
        ("runs.0.mounts", [{"path": [["1 in"], ["2 in"]]}], '["2 in", "3/4 in", "16 in"].'),
    ],
)
def test_mistakes_are_told_in_inches(sketch, place, value, says):
    sketch.put("units", "inch")
    sketch.put(place, value)
    told = sketch.told()
    assert any(says in text for text in told), told
    assert not any(re.search(r"[0-9] (?:mm|cm|m)\b", text) for text in told), told


def test_all_words_of_a_short_list_are_told(sketch):
    sketch.put("room.floor", "#c8a878")
    (text,) = sketch.told()
    assert "more" not in text
    assert all(name in text for name in colours())


@pytest.mark.parametrize(("key", "example"), [("price", "120"), ("light", "900")])
def test_a_limit_of_a_search_is_shown_as_one_would_write_it(sketch, key, example):
    sketch.put(f"find.{key}", "$150")
    (text,) = sketch.told()
    assert text.endswith(f"write a number and no quotes, such as {example}.")


def test_the_beginning_of_a_key_is_enough_to_name_it(sketch):
    sketch.put("ask.hours", "8 h")
    (text,) = sketch.told()
    assert 'did you mean "hours_a_charge"?' in text
