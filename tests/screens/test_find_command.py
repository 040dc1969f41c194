"""The verb `find` prints what to build, for any terminal and for other programs."""

import json
import os
import signal
import subprocess
import sys
import time

FEW = ("--open", "converter", "--open", "feeds")


def test_what_was_found_is_printed_first_and_fits_a_terminal(shop):
    result = shop.run("find", "hall-bench.toml", *FEW)
    assert result.exit_code == 0, result.output
    assert "designs meet all that is asked" in result.stdout
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
    assert "Nothing that can be built" in result.stdout
    assert (
        "you asked for hours a charge of at least 3 days 18 h" in " ".join(result.stdout.split())
        or "hours a charge" in result.stdout
    )


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


def test_ctrl_c_keeps_the_best_so_far(shop):
    command = "from lightcalc.screens.cli import main; main()"
    search = subprocess.Popen(
        [sys.executable, "-c", command, "find", "hall-bench.toml"],
        cwd=shop.folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ},
    )
    time.sleep(1.5)
    search.send_signal(signal.SIGINT)
    told, errors = search.communicate(timeout=60)
    assert "Traceback" not in errors
    assert search.returncode in (0, 1), errors
    assert "WHAT TO BUILD" in told


def test_each_design_found_can_be_saved_and_answers_as_the_search_said(shop):
    result = shop.run("find", "hall-bench.toml", *FEW, "--save", "found", "--json")
    told = json.loads(result.stdout)
    for found in told["found"]:
        name = f"found/hall-bench {found['rank']}.toml"
        answered = json.loads(shop.run("answer", name, "--json").stdout)
        assert answered["price"] == found["merits"]["price"]
        hours = min(supply["hours_h"] for supply in answered["supplies"])
        assert hours == found["merits"]["hours_h"]


def test_nothing_is_saved_over(shop):
    held = []
    for _ in range(2):
        assert shop.run("find", "hall-bench.toml", *FEW, "--save", "found").exit_code == 0
        held.append({p.name: p.read_bytes() for p in (shop.folder / "found").glob("*.toml")})
    first, both = held
    assert len(both) == 2 * len(first)
    assert {name: both[name] for name in first} == first
