"""The command line answers, or says in sentences what it cannot use; it never falls over."""

import errno
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightcalc.screens.cli import cli

VERBS = [
    "answer",
    "compare",
    "find",
    "wire",
    "hours",
    "look",
    "bench",
    "packet",
    "dots",
    "sheet",
    "catalog",
    "catalog check",
    "demo",
]
WIRE = ("wire", "--amps", "3 A", "--length", "2 m", "--volts", "12 V")
HOURS = ("hours", "--pack", "liion-3s-5200", "--watts", "12 W")
DOTS = ("dots", "--pitch", "16.7 mm", "--distance", "25 mm")
LABEL = ("hours", "--chemistry", "nimh", "--volts", "12 V", "--watts", "6 W")
CHECK = ("catalog", "check", ".")
ANSWER = ("answer", "hall-bench.toml")
COMPARE = ("compare", "hall-bench.toml")
ALL = [WIRE, HOURS, DOTS, CHECK, ANSWER, COMPARE, ("demo",)]

# Every ending that a number's name may have in JSON. A price is in the currency beside it.
UNITS = "lux|cd_m2|v|a|w|h|m|mm2|ratio|lm|c|k|w_per_m|kg|d|years|ohm|wh|hz|count"
UNIT_OF_A_NUMBER = re.compile(rf"(?:.+_(?:{UNITS})|price)")


def epilog(verb):
    command = cli
    for word in verb.split():
        command = command.get_command(click.Context(cli), word)
    return command.epilog


@pytest.mark.parametrize("words", ALL, ids=lambda words: words[0])
def test_each_verb_answers(shop, words):
    result = shop.run(*words)
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    assert result.stdout.strip()
    assert max(len(line) for line in result.stdout.split("\n")) <= 80


@pytest.mark.parametrize("verb", ["", *VERBS, "page"])
def test_help_shows_an_example_in_a_terminal_of_80_columns(shop, verb):
    result = shop.run(*verb.split(), "--help")
    assert result.exit_code == 0
    assert re.search(r"\n  Examples?:\n    lightcalc ", result.output)
    assert max(len(line) for line in result.output.split("\n")) <= 80


@pytest.mark.parametrize("verb", ["", *VERBS])
def test_the_examples_of_the_help_run_as_they_stand(shop, verb):
    shutil.copytree(shop.folder, shop.folder.parent / "my parts")
    shutil.copytree(shop.folder, shop.folder / "catalog_examples")
    lines = epilog(verb).replace("\\\n", " ").split("\n")[2:]
    assert lines
    for line in lines:
        program, *words = shlex.split(line)
        assert program == "lightcalc"
        assert shop.run(*words).exit_code == 0, line


def test_status_tells_fine_from_stop_from_bad_input(shop):
    assert shop.run(*ANSWER).exit_code == 0
    asked_too_much = shop.changed(('hours_a_charge = "6 h"', 'hours_a_charge = "300 d"'))
    stopped = shop.run("answer", asked_too_much)
    assert stopped.exit_code == 1
    assert "STOP" in stopped.stdout
    assert shop.run("answer", asked_too_much, "--json").exit_code == 1
    misspelt = shop.changed(("height", "hieght"))
    assert "did you mean" in shop.refused("answer", misspelt)
    assert "did you mean" in shop.refused("compare", misspelt, "--json")


def test_comparing_stops_only_when_no_build_could_be_made(shop):
    result = shop.run(*COMPARE, "--json")
    builds = json.loads(result.stdout)["builds"]
    assert any(build["possible"] and build["stops_count"] == 0 for build in builds)
    assert result.exit_code == 0
    hopeless = shop.changed(('hours_a_charge = "6 h"', 'hours_a_charge = "300 d"'))
    result = shop.run("compare", hopeless, "--json")
    builds = json.loads(result.stdout)["builds"]
    assert all(build["stops_count"] > 0 for build in builds)
    assert result.exit_code == 1


def test_cells_that_are_worn_after_a_year_are_so_after_1_year(shop):
    # About nine hours at full level each evening: some 500 charges a year, which the cells stand.
    busy = shop.changed(
        ("evenings_a_week = 4", "evenings_a_week = 7"),
        ('level = "60 %", time = "2 h 30 min"', 'level = "100 %", time = "8 h 40 min"'),
    )
    text = " ".join(shop.run("answer", busy).stdout.split())
    assert "worn after about 1 year." in text


def test_no_wire_and_no_light_are_stops(shop):
    far = ("wire", "--amps", "50 A", "--length", "90 m", "--volts", "5 V", "--drop", "1 %")
    assert shop.run(*far).exit_code == shop.run(*far, "--json").exit_code == 1
    too_much = ("hours", "--pack", "aa-alkaline-4", "--watts", "900 W")
    assert shop.run(*too_much).exit_code == shop.run(*too_much, "--json").exit_code == 1
    assert "No light" in shop.run(*too_much).stdout


def test_the_version_is_told(shop):
    assert re.fullmatch(r"lightcalc \d+\.\d+\.\d+\n", shop.run("--version").output)


# ---- JSON


def numbers(found, key=""):
    """Return every number in JSON with the name it stands under."""
    if isinstance(found, dict):
        return [pair for name, value in found.items() for pair in numbers(value, name)]
    if isinstance(found, list):
        return [pair for value in found for pair in numbers(value, key)]
    is_number = isinstance(found, int | float) and not isinstance(found, bool)
    return [(key, found)] if is_number else []


def refuse(word):
    raise AssertionError(f"{word} is no JSON")


@pytest.mark.parametrize("words", ALL, ids=lambda words: words[0])
def test_every_number_in_json_stands_under_its_unit(shop, words):
    found = json.loads(shop.run(*words, "--json").stdout, parse_constant=refuse)
    pairs = numbers(found)
    assert pairs
    assert {name for name, _ in pairs if not UNIT_OF_A_NUMBER.fullmatch(name)} == set()


@pytest.mark.parametrize("design", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_findings_in_json_have_stable_codes_and_figures_with_units(shop, design):
    found = json.loads(shop.run("answer", f"{design}.toml", "--json").stdout)
    assert found["currency"] == "EUR"
    assert found["findings"]
    for finding in found["findings"]:
        assert set(finding) == {"code", "grade", "where", "why", "remedy", "figures"}
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", finding["code"])
        assert finding["grade"] in ("stop", "caution", "note")
        assert all(UNIT_OF_A_NUMBER.fullmatch(name) for name in finding["figures"])
    codes = [finding["code"] for finding in found["findings"]]
    sheet = shop.run("answer", f"{design}.toml").stdout
    assert len(re.findall(r"^  (?:STOP|CAUTION|NOTE)  ", sheet, re.MULTILINE)) == len(codes)


def test_json_and_sheet_say_the_same_hours(shop):
    found = json.loads(shop.run(*HOURS, "--json").stdout)
    hours, minutes = divmod(round(found["hours_each_alone_h"] * 60), 60)
    text = re.match(r"(\d+) h(?: (\d+) min)?", shop.run(*HOURS).stdout)
    # The text gives steps of a quarter of an hour at the finest.
    assert abs(int(text[1]) * 60 + int(text[2] or 0) - (hours * 60 + minutes)) <= 15


# ---- designs that cannot be used


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b"", "piece: is missing"),
        (bytes(range(256)), "is no text in UTF-8"),
        ("a = 1".encode("utf-16"), "is no text in UTF-8"),
        (b"\xef\xbb\xbf[piece]\nname = 3\n", "piece.name: found 3"),
        (b"length = 1.6 m", "line 1: found length = 1.6 m and cannot read it; write it like"),
        (b"a = " + b"[" * 1500, "too deep"),
        (b"runs = 3\nsupplies = 2020-01-01\npiece = inf\nuse = [[]]", "runs: found 3"),
        (b"\x1b[31m = 1", "line 1"),
        (b'"\\u001b[31m" = 1', "[31m: is not a known key"),
    ],
)
def test_files_that_are_no_designs_are_refused_in_sentences(shop, raw, told):
    text = shop.refused("answer", shop.write(raw))
    assert told in text
    assert text.startswith(("1 problem:\n", f"{len(text.splitlines()) - 1} problems:\n"))
    assert all(line.isprintable() for line in text.splitlines())


def test_paths_that_are_no_designs_are_refused(shop):
    assert "is not there" in shop.refused("answer", "none.toml")
    assert "is a folder" in shop.refused("answer", ".")
    assert "File name too long" in shop.refused("answer", "x" * 300)
    assert "is no folder" in shop.refused("answer", "hall-bench.toml", "--catalog", "none")
    assert "is no folder" in shop.refused("catalog", "check", "hall-bench.toml")
    assert "File name too long" in shop.refused("catalog", "check", "x" * 300)


@pytest.mark.parametrize("verb", ["packet", "look"])
def test_a_folder_that_may_not_be_written_to_is_told_with_the_way_out(shop, verb, monkeypatch):
    def refuse(path, *_, **__):
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr(Path, "mkdir", refuse)
    monkeypatch.setattr(os, "mkdir", refuse)
    text = shop.run(verb, "hall-bench.toml", "--out", "locked").stderr
    assert "Permission denied; name a folder that you may write to with --out." in text


def test_the_catalogue_beside_a_design_can_be_set_aside(shop, tmp_path):
    lonely = tmp_path / "bench.toml"
    shutil.copy(shop.folder / "hall-bench.toml", lonely)
    assert "there is no catalogue.toml" in shop.refused("answer", lonely)
    assert shop.run("answer", lonely, "--catalog", shop.folder).exit_code == 0


def test_every_mistake_of_a_catalogue_is_told(shop):
    (shop.folder / "wires.csv").unlink()
    (shop.folder / "catalogue.toml").write_text("nam = 3\n", encoding="utf-8")
    text = shop.refused("catalog", "check", ".")
    assert text.startswith("4 problems:")
    assert "wires.csv: is missing" in text


# ---- quick questions


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((*WIRE, "--amps", "0 A"), 'found "0 A"; it must be from 1 mA to 100 A.'),
        ((*WIRE, "--amps", "-3 A"), 'found "-3 A"; it must be from 1 mA to 100 A.'),
        ((*WIRE, "--amps", "3"), 'found "3"; a current needs a unit, such as'),
        ((*WIRE, "--amps", "nan A"), "is not a finite number"),
        ((*WIRE, "--amps", ""), "found an empty text"),
        ((*WIRE, "--length", "1e9 m"), 'found "1e9 m"; it must be from 1 mm to 100 m.'),
        ((*WIRE, "--length", "2 kg"), '"kg" measures a mass'),
        ((*WIRE, "--volts", "230 V"), 'found "230 V"; it must be from 0.5 V to 60 V.'),
        ((*WIRE, "--drop", "0 %"), 'found "0 %"; it must be from 0.1 % to 50 %.'),
        ((*WIRE, "--ambient", "900 degC"), "it must be from -40 °C to 80 °C."),
        ((*WIRE, "--units", "miles"), "'metric', 'inch'"),
        (("wire", "--amps", "3 A"), "Missing option"),
        ((*HOURS, "--watts", "0 W"), 'found "0 W"; it must be from 1 mW to 1000 W.'),
        ((*HOURS, "--watts", "inf W"), "is not a finite number"),
        ((*HOURS, "--packs", "0"), "0 is not in the range"),
        ((*HOURS, "--packs", "two"), "is not a valid integer"),
        ((*HOURS, "--efficiency", "0 %"), "it must be from 10 % to 100 %."),
        ((*HOURS, "--pack", "liion-3s-520"), 'did you mean "liion-3s-5200"?'),
        ((*HOURS, "--chemistry", "nimh"), "Give --pack, or all of"),
        (("hours", "--watts", "3 W"), "Give --pack, or all of"),
        (("hours", "--watts", "3 W", "--chemistry", "nimh", "--volts", "12 V"), "Give --pack"),
        (
            ("hours", "--watts=3 W", "--chemistry=lead-acid", "--volts=3 V", "--capacity=7 Ah"),
            "Check the three volts and the number of cells in series.",
        ),
        ((*DOTS, "--pitch", "0 mm"), 'found "0 mm"; it must be from 0.5 mm to 1 m.'),
        ((*DOTS, "--distance", "0 mm"), 'found "0 mm"; it must be from 1 mm to 100 m.'),
        ((*DOTS, "--viewer", "1 mm"), "it must be from 50 mm to 100 m."),
        ((*DOTS, "--beam", "360 deg"), "it must be from 5° to 175°."),
        ((*DOTS, "--light", "-1 lm/m"), "it must be from 1 lm/m to 20,000 lm/m."),
        ((*DOTS, "--reflectance", "101 %"), "it must be from 1 % to 100 %."),
        ((*DOTS, "--room", "dark"), "an illuminance is a number and its unit"),
        (("lamp",), "No such command"),
        (("answer",), "Missing argument"),
        ((*DOTS, "--pitch", "60 LEDs"), "or LEDs on a length as 60 LEDs/m."),
        ((*LABEL, "--capacity", "20 kWh"), 'and this is "20 kWh" over the volts.'),
        (("answer", "a.toml", "b.toml"), "unexpected extra argument"),
        (("answer", "my", "b.toml"), "A name with a space in it stands in quotes."),
        (("answr", "b.toml"), "did you mean 'answer'?"),
        (("catalog", "cheque"), "No such command"),
    ],
)
def test_nonsense_is_refused_in_a_sentence(shop, words, told):
    assert told in " ".join(shop.refused(*words).split())


def test_watt_hours_and_leds_a_metre_say_the_same_as_amp_hours_and_a_pitch(shop):
    assert shop.run(*LABEL, "--capacity", "60 Wh").output == (
        shop.run(*LABEL, "--capacity", "5 Ah").output
    )
    per_metre = shop.run("dots", "--pitch", "50 LEDs/m", "--distance", "25 mm")
    assert per_metre.output == shop.run("dots", "--pitch", "20 mm", "--distance", "25 mm").output


@pytest.mark.parametrize("length", ["6 ft", '72"', "72 in", "6'", "72 inches", "2 yd"])
def test_a_length_in_inches_is_answered_in_inches(shop, length):
    asked = ("wire", "--amps", "3 A", "--length", length, "--volts", "12 V")
    assert "12 ft of copper" in shop.run(*asked).output
    assert "3.66 m of copper" in shop.run(*asked, "--units", "metric").output
    assert "4 m of copper" in shop.run(*WIRE).output


def test_a_kind_of_part_may_be_in_the_singular(shop):
    one, many = (shop.run("catalog", "columns", kind) for kind in ("Pack", "packs"))
    assert one.exit_code == 0
    assert one.output == many.output
    assert shop.run("catalog", "list", ".", "fuse").output.startswith("\nFUSES\n")
    assert "is not one of" in shop.refused("catalog", "columns", "lamps")


def written(unit, most):
    """Texts for a flag: a number anywhere in its range, with its unit."""
    return st.floats(0.0, most).map(lambda number: f"{number:.3g} {unit}")


FLAGS = {
    "wire": {
        "--amps": written("A", 120),
        "--length": written("m", 110),
        "--volts": written("V", 65),
        "--drop": written("%", 55),
        "--ambient": written("degC", 85),
        "--insulation": written("degC", 270),
    },
    "hours": {
        "--watts": written("W", 300),
        "--chemistry": st.sampled_from(["lithium-ion", "lifepo4", "nimh", "alkaline", "lead-acid"]),
        "--capacity": written("Ah", 100),
        "--volts": written("V", 61),
        "--packs": st.integers(0, 17).map(str),
        "--efficiency": written("%", 101),
        "--temperature": st.integers(-21, 61).map(lambda number: f"{number} degC"),
    },
    "dots": {
        "--pitch": written("mm", 1100),
        "--distance": written("m", 110),
        "--viewer": written("m", 110),
        "--beam": written("deg", 180),
        "--light": written("lm/m", 21000),
        "--reflectance": written("%", 101),
        "--room": written("lx", 1000),
    },
}


@settings(
    max_examples=120,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_any_flags_are_answered_or_refused(shop, data):
    verb = data.draw(st.sampled_from(sorted(FLAGS)))
    words = [verb, *data.draw(st.sampled_from([["--json"], []]))]
    for flag, texts in FLAGS[verb].items():
        words += [flag, data.draw(texts)]
    result = shop.run(*words)
    assert result.exception is None or isinstance(result.exception, SystemExit), words
    assert result.exit_code in (0, 1, 2)
    if result.exit_code < 2 and "--json" in words:
        json.loads(result.stdout, parse_constant=refuse)
    assert bool(result.stderr) == (result.exit_code == 2)


def test_a_longer_lead_is_never_thinner(shop):
    sizes = []
    for length in ("1 m", "3 m", "9 m"):
        found = json.loads(shop.run(*WIRE, "--length", length, "--json").stdout)
        sizes.append(int(found["awg"].split()[0]))
    assert sizes == sorted(sizes, reverse=True)


def test_two_packs_that_share_the_light_last_at_least_twice_as_long(shop):
    # Less current each: the losses in the cells fall, so twice the hours or more.
    found = json.loads(shop.run(*HOURS, "--packs", "2", "--json").stdout)
    assert found["hours_h"] >= 2 * found["hours_each_alone_h"]


# ---- terminals


def test_nobody_reading_on_is_no_traceback(shop):
    process = shop.start("demo")
    assert process.stdout.readline()
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()
    process.wait(timeout=30)
    assert told == b""


@pytest.mark.parametrize("encoding", ["ascii", "latin-1"])
def test_a_terminal_that_lacks_a_sign_still_gets_the_sheet(shop, encoding):
    sheet = shop.changed(("Hall bench", "\u6728 bench"))
    process = shop.start("answer", sheet.name, LC_ALL="C", PYTHONIOENCODING=encoding)
    shown, told = process.communicate(timeout=30)
    assert process.returncode == 0
    assert told == b""
    # For plain ASCII the terminal's own UTF-8 is used instead.
    name = b"? bench" if encoding == "latin-1" else "\u6728 bench".encode()
    assert shown.startswith(name)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_an_output_that_cannot_be_written_is_told(shop):
    with Path("/dev/full").open("wb") as full:
        process = shop.start("wire", *WIRE[1:], output=full)
        _, told = process.communicate(timeout=30)
    assert process.returncode == 2
    assert told == b"The output cannot be written: No space left on device.\n"


def test_python_runs_it_as_a_module_too(shop):
    ran = subprocess.run(
        [sys.executable, "-m", "lightcalc", *WIRE], capture_output=True, text=True, check=True
    )
    assert ran.stdout == shop.run(*WIRE).stdout
    assert ran.stderr == ""


def test_a_command_line_knows_its_verbs():
    # The page serves until it is told to stop; the tests in a browser start it.
    group = {verb.split()[0] for verb in VERBS} | {"page"}
    context = click.Context(cli)
    assert set(cli.list_commands(context)) == group
    assert all(isinstance(cli.get_command(context, verb), click.Command) for verb in group)


def test_more_of_a_packs_sheet_changes_its_hours(shop):
    label = ["hours", "--chemistry", "lifepo4", "--capacity", "2.3 Ah", "--volts", "3.2 V"]
    label += ["--watts", "7.4 W", "--efficiency", "100 %", "--json"]
    sheet = [*label, "--cutoff", "2 V", "--fast-capacity", "1.9 Ah", "--resistance", "40 mohm"]
    short = json.loads(shop.run(*sheet).stdout)["hours_h"]
    usual = json.loads(shop.run(*label).stdout)["hours_h"]
    assert 0.7 < short < 0.97 * usual


def test_a_fast_capacity_above_the_label_is_refused(shop):
    words = ["hours", "--chemistry", "nimh", "--capacity", "2 Ah", "--volts", "12 V"]
    result = shop.run(*words, "--watts", "5 W", "--fast-capacity", "3 Ah")
    assert result.exit_code == 2
    assert "at most --capacity" in result.output


def test_the_band_says_in_sentences_how_sure_the_answer_is(shop):
    plain, result = shop.run(*ANSWER), shop.run(*ANSWER, "--band")
    assert result.exit_code == plain.exit_code
    assert result.stdout.startswith(plain.stdout)
    told = result.stdout[len(plain.stdout) :]
    assert max(len(line) for line in told.split("\n")) <= 80
    said = " ".join(told.split())
    assert re.search(r"Hours a charge: .+ h.* to .+ h.*, most likely .+ \(8 of 10 builds", said)
    assert re.search(r"Chance that it lasts the 6 h asked: (above 99.9|[\d.]+) %\.", said)
    assert "What the hours hang on: " in said
    assert "Measure this first: " in said


def test_the_band_in_json_has_every_number_named_with_its_unit(shop):
    found = json.loads(shop.run(*ANSWER, "--band", "--json").stdout)
    without = json.loads(shop.run(*ANSWER, "--json").stdout)
    band = found.pop("band")
    assert found == without
    hours = band["bands"][0]
    assert hours["low_h"] < hours["middle_h"] < hours["high_h"]
    assert hours["nominal_h"] == min(one["hours_h"] for one in without["supplies"])
    assert 0.9 < sum(s["alone_ratio"] for s in hours["shares"]) + hours["unexplained_ratio"] < 1.05
    names = []

    def look_through(value):
        if isinstance(value, dict):
            for key, entry in value.items():
                if isinstance(entry, int | float) and not isinstance(entry, bool):
                    names.append(key)
                look_through(entry)
        elif isinstance(value, list):
            for entry in value:
                look_through(entry)

    look_through(band)
    assert names
    assert not [name for name in names if not UNIT_OF_A_NUMBER.fullmatch(name)]


@pytest.mark.parametrize("module", ["lightcalc", "lightcalc.screens.cli"])
def test_both_modules_run_the_command_line(module):
    told = subprocess.run(
        [sys.executable, "-m", module, "--version"], capture_output=True, text=True, check=True
    )
    assert told.stdout.startswith("lightcalc ")
