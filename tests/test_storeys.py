"""Data flows one way, and starting up is light: what the whole package may import."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "catalog_examples"
# For the page, for tests, or too slow to load for one answer on the command line.
HEAVY = {
    "pint",
    "scipy",
    "pandas",
    "plotly",
    "streamlit",
    "pydantic",
    "colour",
    "pybamm",
    "matplotlib",
}

RUN_AND_LIST_MODULES = """
import contextlib, io, json, sys
from lightcalc.screens.cli import cli
with contextlib.redirect_stdout(io.StringIO()) as shown:
    status = cli(sys.argv[1:], standalone_mode=False)
print(json.dumps([len(shown.getvalue()), status, sorted(sys.modules)]))
"""


def heavy(module):
    """Return whether a module belongs to a heavy package."""
    return module.partition(".")[0] in HEAVY


def python(*words):
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False, timeout=120
    )
    assert done.stderr == "", done.stderr
    return done


@pytest.mark.parametrize(
    "words",
    [
        ("answer", EXAMPLES / "hall-bench.toml"),
        ("compare", EXAMPLES / "hall-bench.toml", "--json"),
        ("dots", "--pitch", "16.7 mm", "--distance", "25 mm"),
    ],
    ids=lambda words: words[0],
)
def test_the_command_line_loads_nothing_heavy(words):
    done = python("-c", RUN_AND_LIST_MODULES, *map(str, words))
    shown, status, modules = json.loads(done.stdout)
    assert not status
    assert shown > 100
    # The list is a true one: what every answer needs stands in it.
    assert {"numpy", "click", "lightcalc.physics.dots.dots"} <= set(modules)
    assert {module for module in modules if heavy(module)} == set()


def test_heavy_packages_would_be_noticed():
    assert heavy("pandas.core")
    assert heavy("scipy")
    assert heavy("pint.util")
    assert not heavy("numpy")


def test_no_lower_storey_imports_a_higher_one():
    # The contracts stand in pyproject.toml.
    lint = (
        "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"
    )
    done = python("-c", lint)
    kept = re.search(r"Contracts: (\d+) kept, 0 broken\.", done.stdout)
    assert done.returncode == 0, done.stdout
    assert kept, done.stdout
    assert int(kept[1]) >= 2
