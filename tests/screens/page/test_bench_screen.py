"""Readings typed on the page say what the verb `bench` says of them, and are kept as typed."""

import json
import re
import subprocess
import sys

import pytest

from lightcalc.design.read import read_design
from lightcalc.folder.place import design_names
from lightcalc.folder.readings import readings_text, save_readings
from lightcalc.folder.work import open_work
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.parts.rewrite import changed_files
from lightcalc.problems import BadInput
from lightcalc.screens.page.bench_places import entry_words, places_to_read

DESIGN, READINGS = "hall-bench.toml", "hall-bench-readings.toml"


def command_line(*words):
    done = subprocess.run(
        [sys.executable, "-c", "from lightcalc.screens.cli import main; main()", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def kept(folder):
    return open_work(folder, DESIGN).state.get("readings", "")


def boxes(tab):
    """The fields of readings by what stands above them."""
    found = {}
    for widget in tab.test.text_input:
        if (widget.key or "").startswith("field bench readings"):
            label = widget.label.replace("\\", "").replace("\u2060", "")
            number, _, words = label.partition(". ")
            assert number == str(len(found) + 1)
            found[words] = widget
    return found


def test_the_example_says_what_the_command_line_says(tab, folder):
    tab.go("bench")
    said = " ".join(command_line("bench", folder / DESIGN, folder / READINGS).split())
    (fault,) = [words for words in tab.words.splitlines() if "a joint with too much" in words]
    assert " ".join(fault.split("**")[-1].strip("] ").split()) in said
    assert "How sure: 95 %" in said
    assert "How sure: 95 %" in tab.words
    assert len(boxes(tab)) == 11
    assert READINGS not in design_names(folder)


def test_a_reading_is_typed_added_and_taken_out_and_kept_at_once(tab, folder, another_tab):
    tab.go("bench")
    boxes(tab)["amps, back rail"].set_value("512 mA")
    tab.run()
    assert 'amps = "512 mA"' in kept(folder)
    assert 'amps = "512 mA"' not in readings_text(folder, DESIGN)
    tab.test.selectbox(key="reading where").set_value("volts, back rail, lead 1")
    tab.test.text_input(key="reading value").set_value("11.96 V")
    tab.press("Add")
    assert boxes(tab)["volts, back rail, lead 1"].value == "11.96 V"
    other = another_tab().go("bench")
    assert boxes(other)["volts, back rail, lead 1"].value == "11.96 V"
    tab.press("Save the readings")
    assert readings_text(folder, DESIGN) == kept(folder)
    assert "11.96 V" in readings_text(folder, DESIGN)
    tab.press("Take out")
    assert len(boxes(tab)) == 11


def added(tab, where, typed):
    tab.test.selectbox(key="reading where").set_value(where)
    tab.test.text_input(key="reading value").set_value(typed)
    tab.press("Add")


def test_a_bare_number_has_the_unit_of_what_is_measured(tab, folder):
    tab.go("bench")
    added(tab, "volts, back rail, lead 1", "11.96")
    assert boxes(tab)["volts, back rail, lead 1"].value == "11.96 V"
    boxes(tab)["amps, back rail"].set_value("0.47")
    tab.run()
    assert 'amps = "0.47 A"' in kept(folder)
    assert "mistake" not in tab.words


def test_nothing_typed_adds_no_reading(tab):
    tab.go("bench")
    added(tab, "volts, back rail, lead 1", " ")
    assert len(boxes(tab)) == 11
    assert "mistake" not in tab.words


def test_a_reading_that_cannot_be_read_is_named_and_kept(tab, folder):
    tab.go("bench")
    boxes(tab)["amps, back rail"].set_value("plenty")
    tab.run()
    assert "1 mistake in the readings" in tab.words
    (number,) = re.findall(r"readings\.([0-9]+)\.amps", tab.words)
    assert int(number) == [*boxes(tab)].index("amps, back rail") + 1
    assert 'amps = "plenty"' in kept(folder)
    assert "How sure" not in tab.words


def test_readings_changed_by_another_program_are_left_alone(tab, folder):
    tab.go("bench")
    boxes(tab)["amps, back rail"].set_value("512 mA")
    tab.run()
    (folder / READINGS).write_text("# mine\n", encoding="utf-8")
    tab.press("Save the readings")
    assert (folder / READINGS).read_text(encoding="utf-8") == "# mine\n"
    assert "was changed by another program" in tab.words
    assert 'amps = "512 mA"' in kept(folder)


def test_the_parts_as_measured_are_those_the_command_line_writes(tab, folder, tmp_path):
    _, catalogue = read_design(folder / DESIGN)
    command_line("bench", folder / DESIGN, folder / READINGS, "--out", tmp_path / "measured")
    rows = json.loads(command_line("bench", folder / DESIGN, folder / READINGS, "--json"))["rows"]
    written = {one.name: one.read_bytes() for one in (tmp_path / "measured").iterdir()}
    assert changed_files(catalogue.folder, rows) == written
    assert read_catalogue(tmp_path / "measured") != catalogue
    labels = [one.label for one in tab.go("bench").test.get("download_button")]
    assert "The parts as measured" in labels


def test_every_place_that_is_offered_can_be_read(tab, folder):
    # Read as the verb does: only the missing values are mistakes.
    for name in design_names(folder):
        design, catalogue = read_design(folder / name)
        places = places_to_read(design, catalogue)
        assert len(places) > 3
        lines = []
        for words, entry in places.items():
            assert entry_words(entry) == words
            value = {"volts": "11.9 V", "amps": "500 mA", "time": "6 h"}
            row = {key: said or value[key] for key, said in entry.items()}
            lines += ["[[readings]]", *(f"{k} = {json.dumps(v)}" for k, v in row.items())]
        readings = folder / "try-readings.toml"
        readings.write_text("\n".join(lines), encoding="utf-8")
        found = json.loads(command_line("bench", folder / name, readings, "--json"))
        assert len(found["readings"]) == len(places)


@pytest.mark.parametrize("hostile", ["<img src=x onerror=alert(1)>", "[a](http://x.y)", "=1+2"])
def test_names_of_readings_stay_text(tab, folder, hostile):
    text = f'[[readings]]\nname = {json.dumps(hostile)}\nrun = "back rail"\namps = "500 mA"\n'
    save_readings(folder, DESIGN, text, readings_text(folder, DESIGN))
    tab.go("bench")
    for element in (*tab.test.markdown, *tab.test.caption):
        assert hostile not in element.value
    assert hostile in " ".join(boxes(tab))
    (label,) = [w.label for w in tab.test.text_input if "field bench readings" in (w.key or "")]
    assert hostile not in label


def test_a_file_of_readings_is_no_design(folder, tab):
    with pytest.raises(BadInput, match="holds readings"):
        open_work(folder, READINGS)
