"""What a verb writes stands under its name whole, or what was there before does."""

import errno
import os

import pytest

from lightcalc.files import clear_halves, put_file, put_folder

FILES = {"packs.csv": b"name\n", "catalogue.toml": b"name = 'a'\n"}


def held(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def full(_descriptor):
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_file_takes_the_place_of_the_one_before(tmp_path):
    for data in (b"old", b"new"):
        put_file(tmp_path / "seated.png", data)
    assert held(tmp_path) == {"seated.png": b"new"}


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_alone_and_is_told_by_name(tmp_path, monkeypatch, step):
    put_file(tmp_path / "seated.png", b"old")
    monkeypatch.setattr(os, step, lambda *_: full(0))
    with pytest.raises(OSError, match="No space") as caught:
        put_file(tmp_path / "seated.png", b"new")
    assert caught.value.filename == str(tmp_path / "seated.png")
    assert held(tmp_path) == {"seated.png": b"old"}


def test_a_file_goes_to_the_disk_before_it_goes_to_its_place(tmp_path, monkeypatch):
    done = []
    put = os.replace
    monkeypatch.setattr(os, "fsync", lambda _: done.append("disk"))
    monkeypatch.setattr(os, "replace", lambda *both: (done.append("place"), put(*both)))
    put_file(tmp_path / "seated.png", b"new")
    assert done == ["disk", "place"]


@pytest.mark.parametrize("inner", ["parts", "a/b/parts"])
def test_a_new_folder_appears_with_all_of_its_files(tmp_path, inner):
    put_folder(tmp_path / inner, FILES)
    assert held(tmp_path / inner) == FILES
    assert not list(tmp_path.rglob(".*"))


def test_a_new_folder_does_not_appear_on_a_full_disk(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space") as caught:
        put_folder(tmp_path / "parts", FILES)
    assert caught.value.filename == str(tmp_path / "parts")
    assert held(tmp_path) == {}


def test_an_empty_folder_that_is_there_takes_files_in_their_order(tmp_path, monkeypatch):
    placed, put = [], os.replace
    monkeypatch.setattr(os, "replace", lambda a, b: (placed.append(b.name), put(a, b)))
    put_folder(tmp_path, FILES)
    assert held(tmp_path) == FILES
    assert placed == list(FILES)


def test_only_what_was_left_half_written_is_cleared(tmp_path):
    half = f".{'0' * 16}.half"
    for name in (half, "mine.half", ".half", f"{half}.txt"):
        (tmp_path / name).write_bytes(b"")
    (tmp_path / f".{'1' * 16}.half").mkdir()
    clear_halves(tmp_path)
    assert half not in held_names(tmp_path)
    assert len(held_names(tmp_path)) == 4


def held_names(folder):
    return {path.name for path in folder.iterdir()}
