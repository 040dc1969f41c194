"""The page shows what was worked out elsewhere: small files, and no formula in them."""

import ast
from pathlib import Path

import pytest

from lightcalc.screens import page

MODULES = sorted(Path(page.__file__).parent.glob("*.py"))
MOST_LINES = 400
# Adding joins texts and counts entries from one; a remainder tells columns apart.
FORMULAS = (ast.Sub, ast.Mult, ast.Div, ast.FloorDiv, ast.Pow, ast.MatMult)
FOLDERS = {"folder", "examples_folder()"}
CALCULATORS = {"math", "cmath", "numpy", "scipy", "statistics", "decimal", "fractions"}


def is_path(node):
    """Return whether a slash leads from a folder to a file in it."""
    while isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div):
        node = node.left
    return ast.unparse(node) in FOLDERS


def is_formula(node):
    """Return whether something is worked out here, or a module that works things out is loaded."""
    if isinstance(node, ast.BinOp):
        return isinstance(node.op, FORMULAS) and not is_path(node)
    if isinstance(node, ast.AugAssign):
        return isinstance(node.op, FORMULAS)
    if isinstance(node, ast.Import):
        return any(name.name.partition(".")[0] in CALCULATORS for name in node.names)
    if isinstance(node, ast.ImportFrom):
        return str(node.module).partition(".")[0] in CALCULATORS
    return isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("sum", "pow", "round")


def formulas(source):
    """Return the lines of a module on which something is worked out."""
    return [node.lineno for node in ast.walk(ast.parse(source)) if is_formula(node)]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_no_screen_works_anything_out_and_each_is_a_small_file(path):
    source = path.read_text(encoding="utf-8")
    assert formulas(source) == []
    assert source.count("\n") <= MOST_LINES


@pytest.mark.parametrize(
    "formula",
    [
        "hours = charge / amps",
        "watts = v * a",
        "x = v**2",
        "fall = fed - far",
        "x = sum(amps)",
        "from math import log",
    ],
)
def test_a_formula_would_be_found(formula):
    assert formulas(formula)
