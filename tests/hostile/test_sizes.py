"""What is far too much of something is read within two seconds and 512 MiB, or refused."""

import subprocess
import sys
from pathlib import Path

import pytest
import sizes

from lightcalc.design.check import MOST_CUT_UNITS, MOST_SUPPLIES
from lightcalc.problems import MOST_LISTED, BadInput

# A design from elsewhere is kept before it is read; the largest designs are no fault.
FREE = ("design from elsewhere", "zip from elsewhere", "largest design")


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
    assert len(lines) == (
        4 * len(sizes.TOML) + 2 * len(sizes.TABLES) + len(sizes.ZIPS) + len(sizes.LARGEST)
    )
    assert set(lines.values()) == {"answer", "refused"}


def test_no_such_text_is_a_design_but_many_parts_are_a_catalogue(lines):
    taken = {place for place, outcome in lines.items() if outcome == "answer"}
    assert {place for place in taken if not place.startswith(FREE)} == {
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


def refused(shop, **sizes_of_it):
    with pytest.raises(BadInput) as caught:
        sizes.a_design(shop.catalogue, **sizes_of_it)
    return " ".join(str(problem) for problem in caught.value.problems)


def test_the_largest_designs_are_answered_within_limits(lines):
    """Each in the process with little room, within two seconds of work."""
    assert [lines[f"largest design: {name}"] for name in sizes.LARGEST] == ["answer"] * 5


def test_more_of_a_piece_than_is_worked_out_is_refused(shop):
    assert "at most 48 are worked out" in refused(shop, runs=7, feeds=7)
    assert "at most 32 are worked out" in refused(
        shop, runs=MOST_SUPPLIES + 1, supplies=MOST_SUPPLIES + 1
    )


def test_more_cut_units_than_are_worked_out_are_refused(shop):
    """A cut unit of 1 mm on a reel of 100 m is what a slip of the pen makes of 100 mm."""
    with pytest.raises(BadInput, match=f"at most {MOST_CUT_UNITS} are worked out"):
        sizes.a_design(sizes.cut_every(shop.catalogue, 0.001), length="30 m")
