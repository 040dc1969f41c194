"""A packet goes where nothing is lost: a new or empty folder, or that of an earlier packet."""

import os

import pytest

from lightcalc.packet.folder import LIST, write_packet
from lightcalc.problems import BadInput

FIRST = {"build-sheet.html": b"one", "wiring-1.svg": b"two", "wiring-2.svg": b"three"}
SECOND = {"build-sheet.html": b"four", "wiring-1.svg": b"two"}


def held(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name != LIST}


@pytest.mark.parametrize("there", [False, True])
def test_a_new_or_empty_folder_takes_a_packet(tmp_path, there):
    folder = tmp_path / "a" / "packet"
    if there:
        folder.mkdir(parents=True)
    write_packet(FIRST, folder)
    assert held(folder) == FIRST


def test_an_earlier_packet_is_replaced_whole(tmp_path):
    write_packet(FIRST, tmp_path)
    (tmp_path / "photo.jpg").write_bytes(b"mine")
    write_packet(SECOND, tmp_path)
    assert held(tmp_path) == {**SECOND, "photo.jpg": b"mine"}


def refused(files, folder):
    before = held(folder)
    with pytest.raises(BadInput) as bad:
        write_packet(files, folder)
    assert held(folder) == before
    return str(bad.value)


def test_a_folder_of_other_files_is_left_alone(tmp_path):
    (tmp_path / "build-sheet.html").write_bytes(b"mine")
    assert "name a new folder" in refused(FIRST, tmp_path)


def test_a_sheet_that_was_written_on_is_left_alone(tmp_path):
    write_packet(FIRST, tmp_path)
    (tmp_path / "wiring-2.svg").write_bytes(b"three, with notes")
    assert "wiring-2.svg: was changed" in refused(SECOND, tmp_path)


def test_a_file_that_came_in_beside_a_packet_is_left_alone(tmp_path):
    write_packet(SECOND, tmp_path)
    (tmp_path / "wiring-2.svg").write_bytes(b"mine")
    assert "wiring-2.svg: is not of the earlier packet" in refused(FIRST, tmp_path)


@pytest.mark.parametrize("text", ["", "Files of this packet\n", "../../etc  x\n"])
def test_a_list_that_no_packet_wrote_is_not_believed(tmp_path, text):
    (tmp_path / LIST).write_text(text)
    assert "no packet.txt of an earlier packet" in refused(FIRST, tmp_path)


def test_a_list_cannot_name_files_outside_the_folder(tmp_path):
    folder, outside = tmp_path / "packet", tmp_path / "mine.txt"
    write_packet(FIRST, folder)
    outside.write_bytes(b"one")
    listed = (folder / LIST).read_text().replace("wiring-2.svg", "../mine.txt")
    (folder / LIST).write_text(listed)
    refused(SECOND, folder)
    assert outside.read_bytes() == b"one"


def test_a_link_is_never_followed(tmp_path):
    folder, outside = tmp_path / "packet", tmp_path / "mine.txt"
    write_packet(FIRST, folder)
    outside.write_bytes(b"one")
    (folder / "build-sheet.html").unlink()
    (folder / "build-sheet.html").symlink_to(outside)
    assert "was changed" in refused(SECOND, folder)


def test_a_packet_that_was_broken_off_can_be_written_again(tmp_path, monkeypatch):
    write_packet(FIRST, tmp_path)
    moved = []

    def breaks(old, new, replace=os.replace):
        if moved:
            raise OSError(28, "No space left", str(new))
        moved.append(new)
        replace(old, new)

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", breaks)
        with pytest.raises(OSError, match="No space"):
            write_packet(SECOND, tmp_path)
    assert len(held(tmp_path)) == len(FIRST)
    write_packet(SECOND, tmp_path)
    assert held(tmp_path) == SECOND


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "packet").write_bytes(b"mine")
    with pytest.raises(BadInput, match="is a file"):
        write_packet(FIRST, tmp_path / "packet")
