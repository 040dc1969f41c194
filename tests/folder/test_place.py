"""What is read lies in the folder, is plain, and is bounded."""

import os
import socket
from pathlib import Path

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from shop_folder import ANY_TEXT, BENCH, KNOWN, SECRET, everything, found_or_told

from lightcalc.folder import place as place_module
from lightcalc.folder.place import catalogue_names, catalogue_path, design_names, read_text
from lightcalc.folder.saving import save_text, text_before
from lightcalc.folder.uploads import take_design, zip_of_catalogue
from lightcalc.folder.work import keep_work, open_work, save_design


def add_catalogue(folder, name):
    inner = folder / name
    inner.mkdir(exist_ok=True)
    (inner / "catalogue.toml").write_text('name = "Parts"\ncurrency = "EUR"\n')
    (inner / "strips.csv").write_text("name\n")
    return inner


def test_designs_and_catalogues_are_listed_and_nothing_else(folder):
    add_catalogue(folder, "parts")
    add_catalogue(folder, ".hidden")
    (folder / "empty").mkdir()
    (folder / "notes.txt").write_text("no design")
    (folder / "folder.toml").mkdir()
    (folder / ".swap.toml").write_text("of an editor")
    assert design_names(folder) == ("bench.toml",)
    assert catalogue_names(folder) == ("parts",)
    add_catalogue(folder, ".")
    assert design_names(folder) == ("bench.toml",)
    assert catalogue_names(folder) == (".", "parts")


def test_a_catalogue_is_found_by_its_name_alone(folder, refused):
    inner = add_catalogue(folder, "parts")
    for name in ("parts", "parts/", "./parts"):
        assert catalogue_path(folder, name) == inner
    for name in (".", "", "./"):
        assert catalogue_path(folder, name) == folder
    for name in ("..", "../outside", "parts/..", "parts/inner", "/etc", "bench.toml", ".lightcalc"):
        refused(catalogue_path, folder, name)


def test_a_file_is_read_in_the_folder_and_one_level_below(folder, refused):
    add_catalogue(folder, "parts")
    assert read_text(folder, "bench.toml", 1000) == BENCH
    assert read_text(folder, "parts/strips.csv", 1000) == "name\n"
    for name in (
        "parts/../bench.toml",
        "./bench.toml",
        "parts//strips.csv",
        "parts/a/b",
        "/etc/hosts",
    ):
        refused(read_text, folder, name, 1000)
    assert "work" not in refused(read_text, folder, ".lightcalc/lock", 1000)


def test_what_is_too_large_missing_or_no_text_is_told_in_a_sentence(folder, refused):
    assert read_text(folder, "bench.toml", len(BENCH)) == BENCH
    assert "larger" in refused(read_text, folder, "bench.toml", len(BENCH) - 1)
    assert "not there" in refused(read_text, folder, "other.toml", 1000)
    (folder / "latin.toml").write_bytes(b'a = 1\nname = "B\xe4nk"\n')
    assert "UTF-8 (line 2)" in refused(read_text, folder, "latin.toml", 1000)
    (folder / "mark.toml").write_bytes(b"\xef\xbb\xbfa = 1\r\n")
    assert read_text(folder, "mark.toml", 1000) == "a = 1\r\n"
    for unusable in (folder / "bench.toml", folder / "none", "a\0b"):
        assert "no folder" in refused(design_names, unusable)


def test_what_is_no_plain_file_is_refused_at_once(folder, refused):
    (folder / "folder.toml").mkdir()
    # Reading a pipe that nobody writes to would never end.
    os.mkfifo(folder / "pipe.toml")
    door = socket.socket(socket.AF_UNIX)
    door.bind(str(folder / "door.toml"))
    door.close()
    for name in ("folder.toml", "pipe.toml", "door.toml"):
        refused(read_text, folder, name, 1000)
        refused(save_text, folder, name, "mine")
        refused(open_work, folder, name)
    assert design_names(folder) == ("bench.toml",)


@pytest.mark.parametrize("target", ["../outside/secret.toml", "bench.toml", "link.toml", "nothing"])
def test_a_link_in_a_files_place_is_refused_wherever_it_leads(folder, outside, refused, target):
    (folder / "link.toml").symlink_to(target)
    before = everything(folder.parent)
    for call in (
        lambda: read_text(folder, "link.toml", 1000),
        lambda: open_work(folder, "link.toml"),
        lambda: save_text(folder, "link.toml", "mine"),
    ):
        assert "link" in refused(call)
    assert design_names(folder) == ("bench.toml",)
    assert everything(folder.parent) == before


def test_a_link_in_a_sub_folders_place_is_refused(folder, outside, refused):
    (folder / "parts").symlink_to(outside)
    assert catalogue_names(folder) == ()
    for call in (
        lambda: catalogue_path(folder, "parts"),
        lambda: read_text(folder, "parts/strips.csv", 1000),
        lambda: zip_of_catalogue(folder, "parts", KNOWN),
    ):
        assert "link" in refused(call)


@pytest.mark.parametrize("file", ["strips.csv", "catalogue.toml", "STRIPS.CSV"])
def test_a_link_among_the_files_of_a_catalogue_is_refused(folder, outside, refused, file):
    inner = add_catalogue(folder, "parts")
    (inner / file).unlink(missing_ok=True)
    (inner / file).symlink_to(outside / "strips.csv")
    assert "link" in refused(catalogue_path, folder, "parts")
    assert "link" in refused(zip_of_catalogue, folder, "parts", KNOWN)


@pytest.mark.parametrize(
    "place",
    ["", "work", "before", "aside", "saving", "lock", "work/bench.toml.json", "before/bench.toml"],
)
def test_links_in_what_the_page_keeps_never_lead_out(folder, outside, refused, place):
    kept = folder / ".lightcalc"
    work = open_work(folder, "bench.toml")
    link = kept / place if place else kept
    if link.is_dir():
        link.rename(folder / "moved")
    else:
        link.unlink(missing_ok=True)
    link.symlink_to(outside / link.name if link.suffix or place == "lock" else outside)
    before = everything(outside)
    calls = [
        lambda: save_text(folder, "bench.toml", "mine"),
        lambda: save_design(folder, work.__class__("bench.toml", "more", saved=work.saved)),
        lambda: keep_work(folder, work.__class__("bench.toml", "more", stamp=work.stamp)),
        lambda: take_design(folder, "new.toml", b"a = 1"),
        lambda: open_work(folder, "bench.toml"),
        lambda: text_before(folder, "bench.toml"),
    ]
    held_back = 0
    for call in calls:
        found, told = found_or_told(call)
        held_back += "link" in told
        assert SECRET not in str(found)
    assert held_back
    assert everything(outside) == before
    assert (folder / "bench.toml").read_text() in (BENCH, "mine")


def test_a_folder_that_becomes_a_link_while_it_is_opened_is_not_read(
    folder, outside, refused, monkeypatch
):
    inner = add_catalogue(folder, "parts")
    opened = os.open

    def swap_and_open(path, *flags):
        if str(path).endswith("strips.csv"):
            inner.rename(folder / "moved")
            inner.symlink_to(outside)
        return opened(path, *flags)

    monkeypatch.setattr(place_module.os, "open", swap_and_open)
    assert "link" in refused(read_text, folder, "parts/strips.csv", 1000)


def test_the_chosen_folder_itself_may_be_reached_by_a_link(folder):
    door = folder.parent / "door"
    door.symlink_to(folder)
    save_text(door, "new.toml", "a = 1")
    assert design_names(door) == design_names(folder) == ("bench.toml", "new.toml")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(name=st.one_of(ANY_TEXT, ANY_TEXT.map(lambda text: f"{text}.toml")), text=st.text())
def test_a_design_of_any_name_is_refused_or_lies_in_the_folder(folder, name, text):
    around = everything(folder.parent)
    _, told = found_or_told(lambda: save_text(folder, name, text))
    event("refused" if told else "taken")
    assert told.isprintable()
    if told:
        assert everything(folder.parent) == around
        return
    new = set(everything(folder.parent)) - set(around) - {f"designs/.lightcalc/before/{name}"}
    assert new <= {f"designs/{name}"}
    assert name in design_names(folder)
    assert open_work(folder, name).text == text.lstrip("\ufeff")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(name=st.one_of(ANY_TEXT, ANY_TEXT.map(lambda text: f"parts/{text}")))
def test_reading_any_name_is_refused_or_stays_in_the_folder(folder, name):
    (folder.parent / "a").write_text(SECRET)
    add_catalogue(folder, "parts")
    for call in (
        lambda: read_text(folder, name, 1000),
        lambda: catalogue_path(folder, name),
        lambda: open_work(folder, name),
        lambda: text_before(folder, name),
    ):
        found, told = found_or_told(call)
        assert told.isprintable()
        assert SECRET not in str(found)
        if isinstance(found, Path):
            assert found in (folder, folder / "parts")
