"""Real disks that are full or cannot be written: the old text stays, and the maker is told."""

import os
import shutil
import subprocess
import sys

import pytest

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


def test_a_folder_that_cannot_be_written_is_told_and_read(tmp_path):
    held_to_modes = ()
    if not os.geteuid():
        # The administrator may write anywhere, unless that right is given up.
        held_to_modes = ("setpriv", "--bounding-set=-dac_override,-dac_read_search")
        if not shutil.which("setpriv") or run(*held_to_modes, "true").returncode:
            pytest.skip("run by the administrator, who may write anywhere, and with no setpriv")
    save(tmp_path, "mode", "cannot be written", *held_to_modes)
