"""What is far too much of something is read within two seconds and 512 MiB, or refused."""

import subprocess
import sys
from pathlib import Path

import doors
import pytest
import sizes

from lightcalc.answers.answer import answer
from lightcalc.design.check import MOST_CUT_UNITS, MOST_FEEDS_OF_A_SUPPLY, MOST_SUPPLIES
from lightcalc.design.read import read_design_table
from lightcalc.problems import MOST_LISTED, BadInput


@pytest.fixture(scope="module")
def lines():
    """Return the outcome of each text, from a process with little room."""
    program = Path(__file__).with_name("within_limits.py")
    done = subprocess.run(
        [sys.executable, str(program)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return dict(line.rsplit(": ", 1) for line in done.stdout.splitlines())


def test_every_text_has_an_outcome_within_limits(lines):
    assert len(lines) == 4 * len(sizes.TOML) + 2 * len(sizes.TABLES) + len(sizes.ZIPS)
    assert set(lines.values()) == {"answer", "refused"}


def test_no_such_text_is_a_design_but_many_parts_are_a_catalogue(lines):
    taken = {place for place, outcome in lines.items() if outcome == "answer"}
    assert {place for place in taken if "elsewhere" not in place} == {
        "packs.csv: as many packs as are read"
    }
    # A design from elsewhere is kept as it is; what is wrong in it is told on its screen.
    assert "design from elsewhere: a megabyte" not in taken


def test_only_so_many_mistakes_are_listed(shop):
    text = "[piece]\n" + "".join(
        f"[[runs]]\nname = 'r{n}'\nlength = 'x'\nmounting = 'x'\nseen = [{{ a = 1 }}]\n"
        for n in range(100)
    )
    path = shop.write("bench.toml", text)
    from lightcalc.design.read import read_design

    with pytest.raises(BadInput) as caught:
        read_design(path)
    assert len(caught.value.problems) == MOST_LISTED + 1
    assert "more mistakes" in str(caught.value.problems[-1])


def a_design(shop, *, runs=1, feeds=1, supplies=1, length="1 m", strip="strip-12v-60-warm"):
    """Read a design of so many parts."""
    table = {
        "piece": {"name": "much"},
        "runs": [
            {
                "name": f"run {n}",
                "strip": strip,
                "length": length,
                "supply": f"box {n % supplies}",
                "feeds": [{"at": f"{10 * m} cm", "lead": "1 m"} for m in range(feeds)],
            }
            for n in range(runs)
        ],
        "supplies": [
            {"name": f"box {n}", "pack": "liion-4s-6800", "converter": "buck-12v-5a"}
            for n in range(supplies)
        ],
        "use": {"evening": [{"level": "60 %", "time": "3 h"}]},
    }
    return read_design_table(table, shop.catalogue, Path("much.toml"))


def refused(shop, **sizes_of_it):
    with pytest.raises(BadInput) as caught:
        a_design(shop, **sizes_of_it)
    return " ".join(str(problem) for problem in caught.value.problems)


def test_as_many_feeds_as_are_allowed_are_answered(shop):
    drawn = a_design(shop, runs=MOST_FEEDS_OF_A_SUPPLY)
    with doors.watched(20):
        doors.sound(answer(drawn, shop.catalogue))


def test_more_of_a_piece_than_is_worked_out_is_refused(shop):
    assert "at most 48 are worked out" in refused(shop, runs=7, feeds=7)
    assert "at most 32 are worked out" in refused(
        shop, runs=MOST_SUPPLIES + 1, supplies=MOST_SUPPLIES + 1
    )


def test_more_cut_units_than_are_worked_out_are_refused(shop):
    """A cut unit of 1 mm on a reel of 100 m is what a slip of the pen makes of 100 mm."""
    from dataclasses import replace

    strips = shop.catalogue.strips
    fine = replace(strips["strip-12v-60-warm"], cut_unit_m=0.001, pitch_m=0.0005, reel_m=100.0)
    many = replace(shop.catalogue, strips={**strips, fine.name: fine})
    with pytest.raises(BadInput, match=f"at most {MOST_CUT_UNITS} are worked out"):
        a_design(replace(shop, catalogue=many), length="30 m")
