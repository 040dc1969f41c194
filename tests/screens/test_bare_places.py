"""Every verb in a bare place: the plain C locale, output into a pipe, 80 columns, no home, no net.

The proxies point at a port where nobody listens, so whatever asks the net fails.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from lightcalc.screens.cli import VERBS

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "catalog_examples"
BENCH = str(EXAMPLES / "hall-bench.toml")
BEGIN = (sys.executable, "-c", "from lightcalc.screens.cli import main; main()")
NOBODY = "http://127.0.0.1:9"
BARE = {
    "PATH": os.defpath,
    "PYTHONPATH": str(ROOT),
    "LC_ALL": "C",
    "PYTHONUTF8": "0",
    "PYTHONCOERCECLOCALE": "0",
    "TERM": "dumb",
    "COLUMNS": "80",
    "HOME": "/nowhere",
    "http_proxy": NOBODY,
    "https_proxy": NOBODY,
}
# Words of each verb, and how it ends.
SAID = {
    "answer": [(("answer", BENCH, "--band"), 0)],
    "compare": [(("compare", BENCH), 0)],
    "find": [(("find", BENCH, "--open", "converter", "--most", "2"), 0)],
    "look": [(("look", BENCH, "--no-pictures"), 0)],
    "bench": [(("bench", BENCH, str(EXAMPLES / "hall-bench-readings.toml")), 1)],
    "packet": [(("packet", BENCH, "--out", "ash & öl"), 0)],
    "wire": [(("wire", "--amps", "3 A", "--length", "2 m", "--volts", "12 V"), 0)],
    "hours": [(("hours", "--help"), 0), (("hours",), 2)],
    "dots": [(("dots", "--pitch", "16.7 mm", "--distance", "25 mm"), 0)],
    "sheet": [(("sheet", "--help"), 0)],
    "catalog": [
        (("catalog", "new", "mine – Ω"), 0),
        (("catalog", "list", str(EXAMPLES)), 0),
        (("catalog", "columns", "packs"), 0),
        (("catalog", "check", "nowhere – Ω"), 2),
    ],
    "demo": [(("demo",), 0)],
    "page": [(("page", "--help"), 0)],
}


def bare(folder, *words, **more):
    """Run a verb, with more in the environment; return its status and all that it printed."""
    done = subprocess.run(
        [*BEGIN, *words],
        cwd=folder,
        env={**BARE, **more},
        capture_output=True,
        check=False,
        timeout=120,
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode(errors="replace")
    return done.returncode, (done.stdout + done.stderr).decode("utf-8", "replace")


def test_every_verb_is_tried():
    assert set(SAID) == set(VERBS)


@pytest.mark.parametrize("verb", SAID)
def test_a_verb_works_in_the_c_locale_and_keeps_within_80_columns(tmp_path, verb):
    for words, status in SAID[verb]:
        ended, text = bare(tmp_path, *words)
        assert ended == status, text
        assert len(text) > 20
        if status != 2:  # a mistake stands on one line, with the name that was typed
            assert max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8"])
def test_letters_that_a_terminal_has_not_are_no_mistake(tmp_path, encoding):
    text = (EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8")
    name = "Große Bank, 長椅子 №3 – Ω"
    design = text.replace("Hall bench with a resin seam", name)
    named = f"catalogue = {str(EXAMPLES)!r}\n"
    (tmp_path / "bank.toml").write_text(named + design, encoding="utf-8")
    ended, printed = bare(tmp_path, "answer", "bank.toml", PYTHONIOENCODING=encoding)
    assert ended == 0, printed
    assert "Lasts" in printed
    readings = str(EXAMPLES / "hall-bench-readings.toml")
    ended, printed = bare(tmp_path, "bench", "bank.toml", readings, PYTHONIOENCODING=encoding)
    assert ended == 1, printed
    assert "FAULT" in printed


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="a place that nobody may write")
@pytest.mark.parametrize(
    "words", [("packet", BENCH, "--out"), ("look", BENCH, "--out"), ("catalog", "new")]
)
def test_a_place_that_cannot_be_written_is_told_as_such(tmp_path, words):
    ended, text = bare(tmp_path, *words, "/proc/paper")
    assert ended == 2
    assert "written" in text
    assert "/proc/paper" in text
