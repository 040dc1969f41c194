"""A file is saved whole or not at all, and how it was before is kept."""

import errno
import os
import stat
import threading

import pytest
from filelock import FileLock
from shop_folder import BENCH, everything

from lightcalc.folder import saving as saving_module
from lightcalc.folder.place import design_names, read_text
from lightcalc.folder.saving import add_file, add_folder, save_text, saving, text_before


def leftovers(folder):
    return sorted((folder / ".lightcalc" / "saving").iterdir())


def failing(code):
    def fail(*words, **more):
        raise OSError(code, os.strerror(code))

    return fail


def test_the_text_before_a_save_is_kept(folder):
    assert text_before(folder, "bench.toml") is None
    save_text(folder, "bench.toml", "second")
    assert text_before(folder, "bench.toml") == BENCH
    # Pressing the button again must not put the same text in the place of the older one.
    save_text(folder, "bench.toml", "second")
    assert text_before(folder, "bench.toml") == BENCH
    save_text(folder, "bench.toml", "third")
    assert text_before(folder, "bench.toml") == "second"
    assert read_text(folder, "bench.toml", 1000) == "third"


def test_a_file_that_others_may_read_stays_so(folder):
    (folder / "bench.toml").chmod(0o640)
    save_text(folder, "bench.toml", "second")
    assert stat.S_IMODE((folder / "bench.toml").stat().st_mode) == 0o640


def test_a_text_goes_to_the_disk_before_it_goes_to_its_place(folder, monkeypatch):
    done = []
    sync, put = os.fsync, saving_module.Path.replace

    def note_sync(descriptor):
        kind = "folder" if stat.S_ISDIR(os.fstat(descriptor).st_mode) else "file"
        done.append((kind, os.fstat(descriptor).st_ino))
        sync(descriptor)

    def note_put(source, target):
        done.append(("put", source.stat().st_ino))
        return put(source, target)

    monkeypatch.setattr(saving_module.os, "fsync", note_sync)
    monkeypatch.setattr(saving_module.Path, "replace", note_put)
    save_text(folder, "bench.toml", "second")
    new = (folder / "bench.toml").stat().st_ino
    here = folder.stat().st_ino
    steps = [done.index(step) for step in (("file", new), ("put", new), ("folder", here))]
    assert steps == sorted(steps)
    assert [kind for kind, _ in done] == ["file", "put", "folder"] * 2


FULL, SHUT = "disk is full", "cannot be written"
REFUSALS = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EROFS: SHUT,
    errno.EACCES: SHUT,
    errno.EIO: os.strerror(errno.EIO),
}


@pytest.mark.parametrize("code", REFUSALS, ids=errno.errorcode.get)
@pytest.mark.parametrize("step", ["fsync", "replace", "mkdir", "open"])
def test_a_disk_that_refuses_is_told_and_the_old_file_stays(
    folder, refused, monkeypatch, code, step
):
    if step == "mkdir":
        # Nothing was kept here before.
        (folder / ".lightcalc" / "lock").unlink()
        for inner in (folder / ".lightcalc").iterdir():
            inner.rmdir()
    before = everything(folder)
    with monkeypatch.context() as patch:
        owner = saving_module.os if step == "fsync" else saving_module.Path
        patch.setattr(owner, step, failing(code))
        assert REFUSALS[code] in refused(save_text, folder, "bench.toml", "second")
    assert everything(folder) == before
    save_text(folder, "bench.toml", "second")
    assert leftovers(folder) == []


def test_a_file_that_another_program_is_reading_is_tried_again(folder, refused, monkeypatch):
    put, tries = saving_module.Path.replace, []

    def busy(source, target):
        tries.append(target)
        if len(tries) < 4:
            raise PermissionError(errno.EACCES, "in use")
        return put(source, target)

    monkeypatch.setattr(saving_module.Path, "replace", busy)
    monkeypatch.setattr(saving_module, "_TRY_AGAIN_S", 0.0)
    save_text(folder, "new.toml", "text")
    assert read_text(folder, "new.toml", 100) == "text"


def test_leftovers_of_killed_saves_are_never_designs_and_go_at_the_next_save(folder):
    half = folder / ".lightcalc" / "saving"
    (half / "half.toml").write_text("half")
    (half / "parts").mkdir()
    (half / "parts" / "strips.csv").write_text("half")
    (half / "link").symlink_to(folder)
    assert design_names(folder) == ("bench.toml",)
    save_text(folder, "bench.toml", "second")
    assert leftovers(folder) == []
    assert text_before(folder, "bench.toml") == BENCH


def test_what_no_design_file_can_hold_is_refused_and_the_old_file_stays(folder, refused):
    assert "line 2" in refused(save_text, folder, "bench.toml", "a = 1\nb = '\ud800'")
    assert "200 kB" in refused(save_text, folder, "bench.toml", "x" * 200_001)
    assert read_text(folder, "bench.toml", 1000) == BENCH


def test_a_file_too_large_to_be_a_design_is_not_written_over(folder, refused):
    (folder / "large.toml").write_bytes(b"x" * 200_001)
    assert "larger" in refused(save_text, folder, "large.toml", "small")
    assert (folder / "large.toml").stat().st_size == 200_001


def test_new_files_and_folders_never_take_the_place_of_others(folder, refused, monkeypatch):
    (folder / "parts").mkdir()
    (folder / "parts" / "mine.txt").write_text("mine")
    before = everything(folder)

    def add(what, *words):
        with saving(folder, "new") as base:
            what(base, *words)

    refused(add, add_file, folder / "bench.toml", b"other")
    refused(add, add_folder, folder / "parts", {"strips.csv": b"other"})
    monkeypatch.setattr(saving_module.os, "link", failing(errno.EPERM))
    refused(add, add_file, folder / "bench.toml", b"other")
    assert everything(folder) == before
    # As on a memory stick, where a file has one name only.
    add(add_file, folder / "new.toml", b"new")
    assert read_text(folder, "new.toml", 100) == "new"
    assert leftovers(folder) == []


def test_one_saves_at_a_time_and_whoever_waits_too_long_is_told(folder, refused, monkeypatch):
    monkeypatch.setattr(saving_module, "LONGEST_WAIT_S", 0.05)
    held, done = threading.Event(), threading.Event()

    def hold():
        with FileLock(folder / ".lightcalc" / "lock"):
            held.set()
            done.wait(10)

    holder = threading.Thread(target=hold)
    holder.start()
    held.wait(10)
    try:
        assert "another window" in refused(save_text, folder, "bench.toml", "second")
        assert read_text(folder, "bench.toml", 1000) == BENCH
    finally:
        done.set()
        holder.join()
    save_text(folder, "bench.toml", "second")
