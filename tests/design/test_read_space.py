"""The piece in space is read whole, or every mistake in it is told in one go."""

import copy
import datetime
import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightcalc.answers.look.look import look
from lightcalc.design.piece import Design
from lightcalc.design.read import read_design_table
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.problems import BadInput
from lightcalc.tables.colours import colours

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
PARTS = read_catalogue(EXAMPLES)
DEMO = tomllib.loads((EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8"))


@pytest.fixture
def bench(sketch):
    """The demo, which is drawn in space; blocks.0 is its seat."""
    sketch.table = copy.deepcopy(DEMO)
    return sketch.put("viewers", [{"name": "sofa", "at": ["75 cm", "-2 m", "1.1 m"]}])


def test_the_demo_comes_out_in_metres(bench):
    design = bench.read()
    seat, inlay = design.space.blocks[0], design.space.inlays[0]
    assert (seat.at_m, seat.size_m) == ((0.0, 0.0, 0.41), (1.5, 0.4, 0.04))
    assert inlay.outline_m[0] == pytest.approx((0.08, 0.17))
    assert design.runs[0].mounts[0].path_m[1] == pytest.approx((1.462, 0.07, 0.36))
    assert design.space.room.wall_behind_m == pytest.approx(0.12)
    assert design.space.viewers[0].looks_at_m is None


def test_a_supply_may_say_where_its_pack_lies(bench):
    assert bench.read().supplies[0].at_m == pytest.approx((0.24, 0.2, 0.39))
    bench.put("supplies.0.at", ...)
    assert bench.read().supplies[0].at_m is None
    bench.put("supplies.0.at", ["20 cm", "0.1 m", "38 cm"])
    assert bench.read().supplies[0].at_m == pytest.approx((0.2, 0.1, 0.38))


def test_a_supply_may_say_where_it_is_worked(bench):
    bench.put("supplies.0.sensor_at", ["34 cm", "0.28 m", "15 in"])
    assert bench.read().supplies[0].sensor_at_m == pytest.approx((0.34, 0.28, 0.381))
    bench.put("supplies.0.sensor_at", ...)
    assert bench.read().supplies[0].sensor_at_m is None


def test_an_eye_lies_on_a_face_of_the_wood_and_an_aerial_anywhere_in_it(bench):
    # The front rail is 5 to 7 cm from the front, 33 to 41 cm above the floor.
    inside, face = ["72 cm", "6 cm", "36 cm"], ["72 cm", "5 cm", "36 cm"]
    for controller, noun in (("receiver-infrared-1ch", "eye"), ("dimmer-touch-1ch", "knob")):
        bench.put("supplies.0.controller", controller)
        (told,) = bench.put("supplies.0.sensor_at", inside).told()
        assert f'sensor_at: is inside "front rail"; the {noun}' in told
        bench.put("supplies.0.sensor_at", face)
        assert bench.read().supplies[0].sensor_at_m == pytest.approx((0.72, 0.05, 0.36))
    bench.put("supplies.0.controller", "receiver-radio-1ch")
    bench.put("supplies.0.sensor_at", inside).read()


SEAT = "blocks.0"
SEAM = "inlays.0"
SOFA = "viewers.0"
PACK = "supplies.0.at"
SENSOR = "supplies.0.sensor_at"
MOUNT = "runs.0.mounts.0"
RAIL = "runs.front rail.mounts.on the rail"
CROSSED = [["10 cm", "5 cm"], ["90 cm", "35 cm"], ["90 cm", "5 cm"], ["10 cm", "35 cm"]]
THIN = [["10 cm", "5 cm"], ["90 cm", "5 cm"], ["50 cm", "5 cm"]]


@pytest.mark.parametrize(
    ("place", "value", "sentence"),
    [
        ("blocks", "oak", 'blocks: found "oak"; write each one like this: [[blocks]] on a line'),
        (f"{SEAT}.name", ..., 'blocks.1.name: is missing; write it like this: name = "seat"'),
        (f"{SEAT}.at", ..., 'blocks.seat.at: is missing; write it like this: at = ["5 cm", "2 c'),
        (f"{SEAT}.at", "1 m", 'blocks.seat.at: found "1 m"; write 3 lengths, such as ["5 cm", '),
        (f"{SEAT}.at", ["1 m"], "blocks.seat.at: found 1 entries; write 3 lengths, such as ["),
        (f"{SEAT}.at", ["1", "1 m", "1 m"], 'blocks.seat.at: found "1"; a length needs a unit'),
        (f"{SEAT}.at", [1, "1 m", "1 m"], "blocks.seat.at: found 1 with no unit; a length is"),
        (f"{SEAT}.at", ["1 m", "1 m", "-1 cm"], "blocks.seat.at: is below the floor; the last"),
        (f"{SEAT}.at", ["30 m", "0 m", "0 m"], 'blocks.seat.at: found "30 m"; it must be from'),
        (f"{SEAT}.size", ["1 m", "1 m", "0 m"], 'blocks.seat.size: found "0 m"; it must be from'),
        (f"{SEAT}.size", ["1 m", "-1 m", "1 m"], 'blocks.seat.size: found "-1 m"; it must be fr'),
        (f"{SEAT}.colour", "ahs", 'blocks.seat.colour: found "ahs"; did you mean "ash"?'),
        (f"{SEAT}.color", "ash", 'blocks.seat.color: is not a known key; did you mean "colour"?'),
        ("blocks.1.name", "seat", 'blocks: "seat" is there 2 times; give each a name of its own.'),
        (PACK, ["1 m"], "supplies.seat box.at: found 1 entries; write 3 lengths, such as ["),
        (PACK, ["1 m", "1 m", "-1 m"], "supplies.seat box.at: is below the floor; the last of"),
        (PACK, ["1 m", "60 cm", "1 m"], "supplies.seat box.at: is behind the wall; the second"),
        (SENSOR, "here", 'supplies.seat box.sensor_at: found "here"; write 3 lengths, such as'),
        (SENSOR, ["1 m", "1 m", "-1 m"], "supplies.seat box.sensor_at: is below the floor; t"),
        (SENSOR, ["1 m", "60 cm", "1 m"], "supplies.seat box.sensor_at: is behind the wall; "),
        ("supplies.0.controller", ..., "supplies.seat box.sensor_at: goes with a controller,"),
        (f"{SEAM}.block", "seet", 'inlays.resin seam.block: found "seet", which is no block; d'),
        (f"{SEAM}.sheet", "resin", 'inlays.resin seam.sheet: found "resin", which is no sheet i'),
        (f"{SEAM}.sheet", "sheet-opal-3", 'inlays.resin seam.sheet: "seat" is 40 mm thick and s'),
        (f"{SEAM}.tint", "bleu", 'inlays.resin seam.tint: found "bleu"; did you mean "blue"?'),
        (f"{SEAM}.outline", ..., "inlays.resin seam.outline: is missing; write 3 to 60 places, "),
        (f"{SEAM}.outline", "all", 'inlays.resin seam.outline: found "all"; write 3 to 60 places'),
        (f"{SEAM}.outline", CROSSED[:2], "inlays.resin seam.outline: found 2 of them; write 3 t"),
        (f"{SEAM}.outline.3", ["1 m"], "inlays.resin seam.outline: found 1 entries; write 2 len"),
        (f"{SEAM}.outline", CROSSED, "inlays.resin seam.outline: crosses itself, between corner"),
        (f"{SEAM}.outline", THIN, "inlays.resin seam.outline: encloses nothing; write the corn"),
        (f"{SEAM}.outline.0", ["-8 cm", "17 cm"], 'inlays.resin seam.outline: reaches past "seat'),
        (f"{SOFA}.at", ["1 m", "-1 m", "0 m"], "viewers.sofa.at: is not above the floor; an ey"),
        (f"{SOFA}.at", ["1 m", "20 cm", "42 cm"], 'viewers.sofa.at: is inside "seat"; an eye is'),
        (f"{SOFA}.at", ["1 m", "60 cm", "1 m"], "viewers.sofa.at: is behind the wall; an eye is"),
        (f"{SOFA}.looks_at", ["75 cm", "-2 m", "1.1 m"], "viewers.sofa.looks_at: is the eye's o"),
        (f"{SOFA}.looks_at", "the lamp", 'viewers.sofa.looks_at: found "the lamp"; write 3 leng'),
        ("room", "hall", 'room: found "hall"; write it like this: [room] on a line, and under it'),
        ("room.floor", "white oak", 'room.floor: found "white oak"; did you mean "oak"?'),
        ("room.floor", "cork", 'room.floor: found "cork"; allowed are: oak, ash, maple, cherry,'),
        ("room.gloss", "5", 'room.gloss: found "5"; a share needs a unit, such as'),
        ("room.wall_behind", "-1 cm", 'room.wall_behind: found "-1 cm"; it must be from 0 t'),
        (f"{MOUNT}.path", ..., f"{RAIL}.path: is missing; write 2 to 60 places, each like ["),
        (f"{MOUNT}.path.1", ["1 m", "7 cm", "36 cm"], f"{RAIL}.path: is 960 mm long and the run"),
        (f"{MOUNT}.faces", "up or down", f'{RAIL}.faces: found "up or down"; allowed are: down,'),
        (f"{MOUNT}.faces", "left", f'{RAIL}.faces: found "left", along its own path, and LEDs f'),
        (f"{MOUNT}.faces", "front", f'{RAIL}.path: puts LEDs inside "front rail", facing front;'),
        ("runs.0.mounts.1.faces", "up", "runs.front rail.mounts.under the seat.path: puts LEDs i"),
        ("runs.0.mounts.1.name", "on the rail", 'runs.front rail.mounts: "on the rail" is there'),
    ],
)
def test_each_mistake_has_its_place_what_was_found_and_what_is_allowed(
    bench, place, value, sentence
):
    told = bench.put(place, value).told()
    # Moving the seat may also put LEDs inside it.
    assert [one for one in told if one.startswith(f"bench.toml: {sentence}")], told
    assert all(one.isprintable() for one in told)


def test_the_readme_lists_every_colour():
    text = " ".join((Path(__file__).parents[2] / "README.md").read_text("utf-8").split())
    listed = text.partition("Colours of blocks, floor and walls are: ")[2].partition(".")[0]
    assert listed.split(", ") == [*colours()]


def test_a_line_below_the_floor_or_behind_the_wall_is_told(bench):
    low = [["0 cm", "20 cm", "1 mm"], ["150 cm", "20 cm", "1 mm"]]
    (told,) = bench.put(f"{MOUNT}.path", low).put(f"{MOUNT}.faces", "down").told()
    assert told.endswith("puts LEDs below the floor; move it up, or turn them another way.")
    back = [["0 cm", "60 cm", "10 cm"], ["150 cm", "60 cm", "10 cm"]]
    (told,) = bench.put(f"{MOUNT}.path", back).told()
    assert told.endswith("puts LEDs behind the wall; move it to the front, or turn them.")


def test_an_inlay_needs_a_block_with_one_thin_way(bench):
    bench.put(f"{SEAT}.size", ["150 cm", "40 cm", "40 cm"]).put(f"{SEAT}.at.2", "5 cm")
    assert any("is as thin one way as another" in told for told in bench.told())


def test_every_mistake_in_space_is_told_in_one_go(bench):
    bench.put(f"{SEAT}.colour", "x").put(f"{SEAM}.outline", CROSSED).put(f"{SOFA}.at", "there")
    bench.put("room.floor", 3).put(f"{MOUNT}.faces", "left").put("runs.1.mounts.0.path", [])
    assert sorted(told.split(": ")[1] for told in bench.told()) == [
        "blocks.seat.colour",
        "inlays.resin seam.outline",
        "room.floor",
        "runs.back rail.mounts.on the rail.path",
        "runs.front rail.mounts.on the rail.faces",
        "viewers.sofa.at",
    ]


def test_a_line_as_long_as_what_is_cut_of_the_strip_will_do(bench):
    # 1.42 m of a strip that is cut every 5 cm is 1.4 m.
    bench.put(f"{MOUNT}.path", [["4 cm", "7 cm", "36 cm"], ["144 cm", "7 cm", "36 cm"]])
    assert bench.read().runs[0].length_m == pytest.approx(1.42)
    bench.put(f"{MOUNT}.path", [["4 cm", "7 cm", "36 cm"], ["143 cm", "7 cm", "36 cm"]])
    (told,) = bench.told()
    assert 'write length = "1390 mm", or end the line at ["1460 mm", "70 mm", "360 mm"]' in told


def test_lines_of_one_run_that_are_too_short_are_one_mistake(bench):
    bench.put("runs.0.length", "1.5 m")
    (told,) = bench.told()
    assert "runs.front rail.mounts: the shortest line is 1.42 m long and the run 1.5 m" in told
    assert '"1540 mm", "70 mm", "360 mm"] (on the rail)' in told


def test_a_piece_may_stand_on_a_table(bench):
    assert bench.read().space.room.table_m == 0.0
    assert bench.put("room.table", "29 in").read().space.room.table_m == pytest.approx(0.7366)
    (told,) = bench.put("room.table", "2 m").told()
    assert "room.table" in told


def test_mounts_without_names_are_called_by_their_numbers(bench):
    bench.put(f"{MOUNT}.name", ...).put("runs.0.mounts.1.name", ...)
    assert [mount.name for mount in bench.read().runs[0].mounts] == ["mount 1", "mount 2"]


def test_a_bent_line_a_slanted_one_and_a_run_without_mounts_are_read(bench):
    bent = [["4 cm", "14 cm", "41 cm"], ["140 cm", "14 cm", "41 cm"], ["140 cm", "30 cm", "41 cm"]]
    bench.put(f"{MOUNT}.path", bent).put(f"{MOUNT}.faces", "down")
    bench.put("runs.1.mounts", ...)
    bench.put("runs.0.mounts.1.path", [["4 cm", "8 cm", "41 cm"], ["146 cm", "32 cm", "41 cm"]])
    assert bench.read().runs[0].mounts[0].length_m == pytest.approx(1.52)


JUNK = st.sampled_from(
    [
        None,
        True,
        -1,
        0,
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
        ["1 m", "1 m", "1 m"],
        [["1 m", "1 m"]] * 3,
        [["0 m", "0 m", "50 cm"], ["2 m", "0 m", "50 cm"]],
        "-1 m",
        "1e9 m",
        "nan m",
        datetime.time(1, 2),
    ]
)
LIKELY = st.sampled_from(
    ["0 m", "1 mm", "5 cm", "41 cm", "45 cm", "1 m", "1.5 m", "-2 m", "up", "down", "back", "seat"]
)
TOPS = ("blocks", "inlays", "viewers", "room", "runs")


def places(inner, way=()):
    found = []
    for key, value in inner.items() if isinstance(inner, dict) else enumerate(inner):
        found.append((*way, key))
        if isinstance(value, dict | list):
            found += places(value, (*way, key))
    return found


@st.composite
def spoiled(draw, values, most=4):
    """Draw the demo with some of what says where things are changed."""
    table = copy.deepcopy(DEMO)
    table["viewers"] = [
        {"name": "sofa", "at": ["75 cm", "-2 m", "1.1 m"], "looks_at": ["0 m", "0 m", "0 m"]}
    ]
    spots = [
        way for way in places(table) if way[0] in TOPS and ("mounts" in way or way[0] != "runs")
    ]
    for way in draw(st.lists(st.sampled_from(spots), min_size=1, max_size=most)):
        inner = table
        try:
            for key in way[:-1]:
                inner = inner[key]
            if draw(st.integers(0, 5)) == 0:
                del inner[way[-1]]
            else:
                inner[way[-1]] = copy.deepcopy(draw(values))
        except (KeyError, IndexError, TypeError):  # an earlier change took it away
            continue
    return table


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(spoiled(JUNK | LIKELY))
def test_whatever_is_changed_the_piece_is_read_or_every_mistake_is_told(table):
    try:
        design, problems = read_design_table(table, PARTS, Path("bench.toml")), ()
    except BadInput as bad:
        design, problems = None, bad.problems
    assert isinstance(design, Design) != bool(problems)
    for problem in problems:
        assert problem.file == "bench.toml"
        assert str(problem).isprintable(), str(problem)
        assert problem.sentence[-1] in '.?"1}]', str(problem)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(spoiled(LIKELY, most=2))
def test_every_piece_that_passes_its_checks_can_be_looked_at(table):
    try:
        design = read_design_table(table, PARTS, Path("bench.toml"))
    except BadInput:
        return
    if design.space.blocks and any(run.mounts for run in design.runs):
        found = look(design, PARTS, faces=False).look
        assert math.isfinite(found.glow.emitted_lm)
