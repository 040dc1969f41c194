"""The verb `find` prints what to build, for any terminal and for other programs."""

import json
import os
import re
import signal
from pathlib import Path

import pytest

from lightcalc.design.find import OPEN

FEW = ("--open", "converter", "--open", "feeds")


def test_what_was_found_is_printed_first_and_fits_a_terminal(shop):
    result = shop.run("find", "hall-bench.toml", *FEW)
    assert result.exit_code == 0, result.output
    assert "all that is asked" in result.stdout.splitlines()[1]
    assert "as drawn" in result.stdout
    assert all(len(line) <= 80 for line in result.stdout.splitlines())


def test_json_holds_what_the_sheet_shows(shop):
    told = json.loads(shop.run("find", "hall-bench.toml", *FEW, "--json").stdout)
    assert told["open"] == ["feeds", "converter"]
    assert told["whole"] is True
    sheet = shop.run("find", "hall-bench.toml", *FEW).stdout
    for found in told["found"][:3]:
        assert f"{found['merits']['price']:.0f} EUR" in sheet


def test_what_matters_first_may_be_said(shop):
    told = json.loads(
        shop.run("find", "hall-bench.toml", *FEW, "--matters", "mass", "--json").stdout
    )
    assert told["matters"] == ["mass"]
    masses = [found["merits"]["mass_kg"] for found in told["found"]]
    assert masses[0] < 1.03 * min(masses)


def test_nothing_found_says_what_would_have_to_give_way(shop):
    design = shop.changed(('hours_a_charge = "6 h"', 'hours_a_charge = "90 h"'))
    result = shop.run("find", design, "--open", "converter")
    assert result.exit_code == 1
    told = " ".join(result.stdout.split())
    assert "Nothing that can be built" in told
    had = re.search(r"you asked for hours a charge of at least 3.8 days; (.+?) can be had", told)
    asked = shop.changed(('hours_a_charge = "6 h"', f'hours_a_charge = "{had[1]}"'))
    assert shop.run("find", asked, "--open", "converter").exit_code == 0


def test_a_mistake_in_what_is_open_is_told(shop):
    design = shop.changed(("[use]", '[find]\nopen = ["strap"]\n\n[use]'))
    result = shop.run("find", design)
    assert result.exit_code == 2
    assert "find.open" in result.stderr


def test_a_name_from_a_file_cannot_steer_the_terminal(shop):
    name = 'name = "Hall bench with a resin seam"'
    design = shop.changed((name, 'name = "bench \\u202e <b>"'))
    result = shop.run("find", design, "--open", "feeds")
    assert result.exit_code == 0, result.output
    assert "\u202e" not in result.stdout


@pytest.mark.skipif(os.name != "posix", reason="needs a terminal of POSIX and its Ctrl-C")
def test_ctrl_c_keeps_the_best_so_far(shop):
    """A search that would take minutes, stopped once something stands."""
    terminal, its_end = os.openpty()
    opened = [word for name in OPEN if name != "level" for word in ("--open", name)]
    with shop.start("find", "hall-bench.toml", *opened, "--json", errors=its_end) as search:
        os.close(its_end)
        seen = ""
        while not re.search(r"[1-9][0-9]* stand \([0-9]+ s\)\. Ctrl-C stops", seen):
            seen += os.read(terminal, 1000).decode()
            assert search.poll() is None, seen
        search.send_signal(signal.SIGINT)
        told = json.loads(search.communicate(timeout=120)[0])
    os.close(terminal)
    assert search.returncode == 0
    assert told["whole"] is False
    assert told["found"]


def test_each_design_found_can_be_saved_and_answers_as_the_search_said(shop):
    result = shop.run("find", "hall-bench.toml", *FEW, "--save", "found", "--json")
    told = json.loads(result.stdout)
    assert told["found"]
    for found in told["found"]:
        name = f"found/hall-bench-{found['rank']}.toml"
        assert f"{found['rank']}: {Path(name)}\n" in result.stderr
        answered = json.loads(shop.run("answer", name, "--json").stdout)
        assert answered["price"] == found["merits"]["price"]
        hours = min(supply["hours_h"] for supply in answered["supplies"])
        assert hours == found["merits"]["hours_h"]


@pytest.mark.parametrize(
    ("folder", "given"),
    [(".", False), ("deep/er", False), ("my parts", False), ("my parts/found", True), (".", True)],
)
def test_a_saved_design_finds_its_parts_wherever_they_are(shop, folder, given):
    parts = shop.folder / "my parts"
    parts.mkdir()
    for path in [*shop.folder.glob("*.csv"), shop.folder / "catalogue.toml"]:
        path.rename(parts / path.name)
    design = shop.changed(("format = 1", 'format = 1\ncatalogue = "my parts"'))
    words = ("find", design, "--open", "converter", "--most", "1", "--save", folder)
    if given:
        design.write_text(design.read_text(encoding="utf-8").replace("my parts", "nowhere"))
        words += ("--catalog", "my parts")
    assert shop.run(*words).exit_code == 0
    answered = shop.run("answer", f"{folder}/bench-1.toml")
    assert answered.exit_code == 0, answered.output


def test_no_more_are_saved_than_printed_and_none_when_none_is_found(shop):
    shop.run("find", "hall-bench.toml", *FEW, "--most", "1", "--save", "found")
    assert [path.name for path in (shop.folder / "found").glob("*.toml")] == ["hall-bench-1.toml"]
    hopeless = shop.changed(('hours_a_charge = "6 h"', 'hours_a_charge = "90 h"'))
    assert shop.run("find", hopeless, *FEW, "--save", "none").exit_code == 1
    assert not list((shop.folder / "none").glob("*.toml"))


def test_a_folder_that_cannot_be_made_is_told_with_what_to_do(shop):
    result = shop.run("find", "hall-bench.toml", *FEW, "--save", "strips.csv")
    assert result.exit_code == 2
    assert "strips.csv: cannot be made" in result.stderr
    assert "name another folder" in result.stderr
    assert "Traceback" not in result.output


def test_comments_stay_in_what_is_saved(shop):
    shop.run("find", "hall-bench.toml", *FEW, "--save", "found")
    for path in (shop.folder / "found").glob("*.toml"):
        assert "# under the seat, so the pack hangs" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--open", "colour"), "'colour' is not one of 'strip', 'feeds'"),
        (("--matters", "beauty"), "'beauty' is not one of 'price', 'hours'"),
        (("--most", "0"), "0 is not in the range"),
    ],
)
def test_a_word_that_is_not_known_is_told_with_those_that_are(shop, words, told):
    assert told in " ".join(shop.refused("find", "hall-bench.toml", *words).split())


def test_nothing_is_saved_over(shop):
    held = []
    for _ in range(2):
        assert shop.run("find", "hall-bench.toml", *FEW, "--save", "found").exit_code == 0
        held.append({p.name: p.read_bytes() for p in (shop.folder / "found").glob("*.toml")})
    first, both = held
    assert len(both) == 2 * len(first)
    assert {name: both[name] for name in first} == first
