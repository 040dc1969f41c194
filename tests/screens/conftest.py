"""A shop to run the command line in: designs beside their parts, as a maker would have them."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from lightcalc.screens.cli import cli

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"


class Shop:
    """A folder with the example designs and parts, and the command line run inside it."""

    def __init__(self, folder):
        self.folder = folder

    def run(self, *words):
        return CliRunner().invoke(cli, [str(word) for word in words], prog_name="lightcalc")

    def refused(self, *words):
        """Return what is told when the input cannot be used: status 2, and no traceback."""
        result = self.run(*words)
        assert result.exit_code == 2, result.output
        assert isinstance(result.exception, SystemExit)
        assert "Traceback" not in result.output
        assert result.stdout == ""
        return result.stderr

    def write(self, text, name="bench.toml"):
        path = self.folder / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    def changed(self, *pairs, design="hall-bench.toml"):
        """Write the hall bench with some of its text replaced, and return its path."""
        text = (EXAMPLES / design).read_text(encoding="utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        return self.write(text)

    def start(self, *words, output=subprocess.PIPE, errors=subprocess.PIPE, **environment):
        """Start the command line as a process of its own."""
        return subprocess.Popen(
            [sys.executable, "-c", "from lightcalc.screens.cli import main; main()", *words],
            cwd=self.folder,
            env={**os.environ, **environment},
            stdout=output,
            stderr=errors,
        )


@pytest.fixture
def shop(tmp_path, monkeypatch):
    folder = tmp_path / "shop"
    shutil.copytree(EXAMPLES, folder)
    monkeypatch.chdir(folder)
    return Shop(folder)
