"""The folder knows files alone: nothing of designs, parts or physics."""

import ast
import sys
from pathlib import Path

import pytest

import lightcalc.folder

MODULES = sorted(Path(lightcalc.folder.__file__).parent.glob("*.py"))
ALLOWED = ("lightcalc.folder", "lightcalc.problems", "lightcalc.files")


def imported(source):
    """Yield the name of each module that a source imports."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.stem)
def test_a_module_imports_the_standard_library_filelock_problems_and_files_alone(module):
    for name in imported(module.read_text()):
        top = name.partition(".")[0]
        assert top in sys.stdlib_module_names or top == "filelock" or name.startswith(ALLOWED)
