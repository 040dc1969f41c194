"""The page's server as a maker starts it, and the command line on the very same files."""

import json
import os
import re
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, "-c", "from lightcalc.screens.cli import main; main()")
STARTS_WITHIN_S = 60


def free_port():
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


def wait_for(url, process, log=None):
    """Wait until a server answers; AssertionError when it ends or takes too long."""
    end = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < end and process.poll() is None:
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
                if answer.read() == b"ok":
                    return
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"the page did not start: {log.read_text() if log else url}")


class Served:
    """`lightcalc page FOLDER --no-browser --port PORT`, and what the folder holds."""

    def __init__(self, folder, port=0):
        self.folder = Path(folder)
        self.port = port or free_port()
        self.process = None
        self.start()

    def start(self):
        words = ("page", str(self.folder), "--no-browser", "--port", str(self.port))
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [*COMMAND, *words],
                env={**os.environ, "PYTHONPATH": str(ROOT)},
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        wait_for(self.url, self.process, self.log)

    def kill(self):
        """End it as a power cut would: at once, with all that it started."""
        os.killpg(self.process.pid, 9)
        self.process.wait()

    @property
    def log(self):
        """All that the server printed."""
        return self.folder.with_name(f"{self.folder.name} log.txt")

    @property
    def url(self):
        return f"http://localhost:{self.port}"

    def design(self, name, *pairs, of="hall-bench.toml"):
        """Write a design of its own from an example, some of its text replaced; return its path."""
        text = (self.folder / of).read_text(encoding="utf-8")
        for old, new in pairs:
            assert old in text
            text = text.replace(old, new)
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path

    def run(self, *words):
        """Return what the command line prints for a file of the folder."""
        done = subprocess.run(
            [*COMMAND, *words], cwd=self.folder, capture_output=True, text=True, check=False
        )
        assert done.returncode in (0, 1), done.stderr
        return done.stdout

    def printed(self, verb, name):
        """Return what a verb prints, its lines joined."""
        return " ".join(self.run(verb, name).split())

    def numbers(self, verb, name):
        """Return what a verb prints as JSON."""
        return json.loads(self.run(verb, name, "--json"))


# Hours as they are shown.
HOURS = r"(\d+ h(?: \d+ min)?|\d+ min)"


def lasts(sheet):
    """Return hours a charge and both ends of the likely range, as an answer sheet shows them."""
    return re.search(rf"Lasts {HOURS} a charge, likely {HOURS} to {HOURS}", sheet).groups()


def one_or_two(builds):
    """Return the hours of one shared pack and of two packs, as the comparison shows them."""
    return re.search(rf"hours a charge {HOURS} {HOURS}", builds).groups()


def to_buy(sheet):
    """Return the wires and the fuses to buy, as an answer sheet shows them."""
    return re.search(r"Buy wire (.+?); fuse (.+?)\. Dots", sheet).groups()


def listening(port):
    """Return the addresses that listen on a port, as Linux tells them; None elsewhere."""
    tables = [Path("/proc/net/tcp"), Path("/proc/net/tcp6")]
    if not tables[0].exists():
        return None
    lines = [line.split() for table in tables if table.exists() for line in table.open()]
    listens = "0A"
    return [
        words[1].partition(":")[0]
        for words in lines[1:]
        if words[3] == listens and words[1].endswith(f":{port:04X}")
    ]


def skip_or_fail(sentence):
    """Skip with a sentence, or fail with it where everything must be there."""
    if os.environ.get("LIGHTCALC_REQUIRE") == "all":
        pytest.fail(sentence)
    pytest.skip(sentence)
