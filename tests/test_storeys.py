"""Data flows one way, and starting up is light: what the whole package may import."""

import ast
import json
import re
import subprocess
import sys
import tomllib
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


def needed(extra=None):
    """Return the packages that an installation brings, with one of its extras or none."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    stated = project["optional-dependencies"][extra] if extra else []
    return {re.match("[a-z]+", one)[0] for one in [*project["dependencies"], *stated]}


def imported(path):
    """Yield the packages that a module imports, at its top or within."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name.partition(".")[0] for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module.partition(".")[0]


@pytest.mark.parametrize(("extra", "for_page"), [(None, False), ("page", True)])
def test_an_installation_brings_all_that_its_modules_import(extra, for_page):
    screens = ROOT / "lightcalc" / "screens"
    only_page = (screens / "page", screens / "charts", screens / "page_command.py")
    paths = [
        path
        for path in (ROOT / "lightcalc").rglob("*.py")
        if any(path.is_relative_to(place) for place in only_page) == for_page
    ]
    assert len(paths) > 10
    outside = {name for path in paths for name in imported(path)}
    assert outside - {"lightcalc"} - sys.stdlib_module_names <= needed(extra)
