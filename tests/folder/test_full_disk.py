"""Real disks that are full or cannot be written: the old text stays, and the maker is told."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from shop_folder import everything

from lightcalc.packet.folder import write_packet

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"

SAVE = """
import resource, subprocess, sys
from dataclasses import replace
from pathlib import Path
from lightcalc.folder.place import read_text
from lightcalc.folder.saving import save_text
from lightcalc.folder.uploads import take_catalogue
from lightcalc.folder.work import keep_work, open_work, save_design
from lightcalc.problems import BadInput

folder, setting, told = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
OLD = "a = 1"
save_text(folder, "bench.toml", OLD)
work = keep_work(folder, replace(open_work(folder, "bench.toml"), text="typed"))
fill_or_shut = {
    "limit": lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000)),
    "fill": lambda: fill(folder / "filling"),
    "shut": lambda: subprocess.run(["mount", "-o", "remount,ro", folder], check=True),
    "mode": lambda: [path.chmod(0o555) for path in (folder, *folder.rglob("*")) if path.is_dir()],
}

def fill(path):
    try:
        with path.open("wb", buffering=0) as file:
            while True:
                file.write(bytes(4096))
    except OSError:
        pass

fill_or_shut[setting]()
large = "b = 2\\n" * 20_000
files = [("catalogue.toml", large.encode())]
for call in (
    lambda: save_text(folder, "bench.toml", large),
    lambda: save_text(folder, "new.toml", large),
    lambda: keep_work(folder, replace(work, text=large)),
    lambda: save_design(folder, replace(work, text=large)),
    lambda: take_catalogue(folder, "parts", files, ["catalogue.toml"]),
):
    try:
        call()
    except BadInput as bad:
        assert told in str(bad), bad
    else:
        raise SystemExit("was not refused")
    assert read_text(folder, "bench.toml", 1000) == OLD
    assert open_work(folder, "bench.toml") == work
    assert {path.name for path in folder.iterdir()} <= {".lightcalc", "bench.toml", "filling"}
    assert not list((folder / ".lightcalc" / "saving").iterdir())
if setting == "fill":
    (folder / "filling").unlink()
    save_text(folder, "bench.toml", "c = 3")
    assert read_text(folder, "bench.toml", 1000) == "c = 3"
print("held")
"""
# A disk of its own in memory, seen by this program alone.
OWN_DISK = 'mount -t tmpfs -o size=128k none "$1" && exec "${@:2}"'


def run(*words, **more):
    return subprocess.run(words, capture_output=True, text=True, check=False, timeout=60, **more)


def save(folder, setting, told, *before):
    done = run(*before, sys.executable, "-c", SAVE, folder, setting, told)
    assert done.stdout == "held\n", done.stdout + done.stderr


def test_a_limit_to_the_size_of_files_is_told_as_a_full_disk(tmp_path):
    save(tmp_path, "limit", "disk is full")


@pytest.fixture
def own_disk(tmp_path):
    """Return what a program is started with to find a small disk of its own in a folder."""
    start = ("unshare", "--map-root-user", "--mount", "bash", "-c", OWN_DISK, "bash", tmp_path)
    if not shutil.which("unshare") or run(*start, "true").returncode:
        pytest.skip("this machine lets no program have a disk of its own")
    return start


def test_a_full_disk_is_told_and_nothing_is_lost(tmp_path, own_disk):
    save(tmp_path, "fill", "disk is full", *own_disk)


def test_a_disk_that_cannot_be_written_is_told_and_read(tmp_path, own_disk):
    save(tmp_path, "shut", "cannot be written", *own_disk)


# The administrator may write anywhere, unless that right is given up.
HELD_TO_MODES = () if os.geteuid() else ("setpriv", "--bounding-set=-dac_override,-dac_read_search")


@pytest.fixture
def held_to_modes():
    """Skip where no program can be held to what the modes of a folder allow."""
    if HELD_TO_MODES and (not shutil.which("setpriv") or run(*HELD_TO_MODES, "true").returncode):
        pytest.skip("run by the administrator, who may write anywhere, and with no setpriv")


def test_a_folder_that_cannot_be_written_is_told_and_read(tmp_path, held_to_modes):
    save(tmp_path, "mode", "cannot be written", *HELD_TO_MODES)


VERBS = """
import resource, sys
from pathlib import Path
from lightcalc.screens.cli import main

folder, setting, *line = sys.argv[1:]
if setting == "limit":
    resource.setrlimit(resource.RLIMIT_FSIZE, (600, 600))
else:
    Path(folder).chmod(0o555)
sys.argv = ["lightcalc", *line]
main()
"""
LINES = {
    "packet": ("packet", "bench.toml", "--out", "shut/new"),
    "bench": ("bench", "bench.toml", "readings.toml", "--out", "shut/new"),
    "catalog": ("catalog", "new", "shut/new"),
    "find": ("find", "bench.toml", "--open", "pack", "--save", "shut"),
    "look": ("look", "bench.toml", "--out", "shut/new"),
    "look where one was": ("look", "bench.toml", "--out", "shut/old"),
    "packet where one was": ("packet", "bench.toml", "--out", "shut/old"),
}


@pytest.mark.parametrize("setting", ["limit", "mode"])
@pytest.mark.parametrize("line", LINES.values(), ids=LINES)
def test_a_verb_that_cannot_write_tells_where_and_leaves_what_was_there(
    tmp_path, line, setting, held_to_modes
):
    """A disk that is full, or a folder that cannot be written: one sentence, and nothing half."""
    (tmp_path / "parts").symlink_to(EXAMPLES)
    text = (EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8")
    (tmp_path / "bench.toml").write_text('catalogue = "parts"\n' + text, encoding="utf-8")
    shutil.copy(EXAMPLES / "hall-bench-mended-readings.toml", tmp_path / "readings.toml")
    old = tmp_path / "shut" / "old"
    old.mkdir(parents=True)
    if line[0] == "packet":
        write_packet({"build-sheet.html": b"old"}, old)
    elif line[0] == "look":
        (old / "light-on-floor.csv").write_text("old")
    if setting == "mode":
        old.chmod(0o555)
    before = everything(tmp_path / "shut")
    words = (*HELD_TO_MODES, sys.executable, "-c", VERBS, tmp_path / "shut", setting, *line)
    done = run(*words, cwd=tmp_path, env={**os.environ, "HOME": str(tmp_path)})
    assert done.returncode == 2, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert re.search("File too large|Permission denied|disk is full|cannot be written", done.stderr)
    assert re.search(r"shut|new|old|bench-1\.toml", done.stderr)
    after = everything(tmp_path / "shut")
    changed = {path for path in after if after[path] != before.get(path)} - {"old/packet.txt"}
    assert not changed
    assert set(after) >= set(before)
