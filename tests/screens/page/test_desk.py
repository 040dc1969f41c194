"""Nothing that was typed is lost, whatever tabs and files do."""

import shutil
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from lightcalc.design import edit
from lightcalc.design.edit import raw, with_value
from lightcalc.folder.place import design_names, read_text
from lightcalc.folder.saving import save_text
from lightcalc.folder.work import open_work
from lightcalc.problems import BadInput, Problem
from lightcalc.screens.page import desk, outcome

SCRIPT = Path(desk.__file__).with_name("script.py")


def _full(*_args):
    raise BadInput([Problem("hall-bench.toml", "", "cannot be kept: the disk is full.")])


def test_a_new_tab_finds_what_was_typed(tab, another_tab):
    tab.type("runs/0/length", "0.9 m")
    again = another_tab()
    assert again.field("runs/0/length").value == "0.9 m"
    assert again.numbers == tab.numbers


def test_nothing_is_saved_to_the_file_before_it_is_asked_for(tab, folder):
    before = read_text(folder, "hall-bench.toml")
    tab.type("runs/0/length", "0.9 m")
    assert read_text(folder, "hall-bench.toml") == before
    tab.press("Save")
    assert raw(read_text(folder, "hall-bench.toml"))["runs"][0]["length"] == "0.9 m"


def test_two_tabs_that_change_different_fields_keep_both(tab, another_tab, folder):
    other = another_tab()
    tab.type("runs/0/length", "0.9 m")
    other.type("runs/1/length", "0.8 m")
    assert "also changed in another tab" in other.words
    runs = raw(open_work(folder, "hall-bench.toml").text)["runs"]
    assert [run["length"] for run in runs] == ["0.9 m", "0.8 m"]
    assert other.field("runs/0/length").value == "0.9 m"


def test_two_tabs_that_change_the_same_field_lose_neither(tab, another_tab, folder):
    other = another_tab()
    tab.type("runs/0/length", "0.9 m")
    other.type("runs/0/length", "0.8 m")
    assert "nothing is lost" in other.words
    assert other.field("runs/0/length").value == "0.8 m"
    lengths = {
        raw(open_work(folder, name).text)["runs"][0]["length"]
        for name in design_names(folder)
        if name.startswith("hall-bench")
    }
    assert lengths == {"0.9 m", "0.8 m"}


def test_a_tab_left_open_shows_what_another_did_since(tab, another_tab):
    other = another_tab()
    tab.type("runs/0/length", "0.9 m")
    other.run()
    assert other.field("runs/0/length").value == "0.9 m"
    assert "changed in another tab" in other.words


def test_a_file_changed_by_another_program_is_not_overwritten(tab, folder):
    tab.type("runs/0/length", "0.9 m")
    theirs = with_value(read_text(folder, "hall-bench.toml"), ("piece", "notes"), "theirs")
    save_text(folder, "hall-bench.toml", theirs)
    tab.press("Save")
    assert read_text(folder, "hall-bench.toml") == theirs
    assert "left alone" in tab.words
    assert tab.field("runs/0/length").value == "0.9 m"


def test_going_back_to_the_file_shows_it(tab):
    before = tab.numbers
    tab.type("runs/0/length", "0.5 m").go("files").press("Go back to the saved file")
    assert tab.numbers == before


def test_a_disk_that_takes_nothing_is_told_and_what_was_typed_stays(tab, monkeypatch):
    monkeypatch.setattr(desk, "keep_work", _full)
    tab.type("runs/0/length", "0.9 m")
    assert "the disk is full" in tab.words
    assert tab.field("runs/0/length").value == "0.9 m"
    tab.run()
    assert tab.field("runs/0/length").value == "0.9 m"


def test_names_from_files_are_never_markup(tab, folder):
    hostile = "<img src=x onerror=alert(1)> [a](javascript:alert(1)) **b** $x$ :smile: `c`"
    text = with_value(read_text(folder, "hall-bench.toml"), ("piece", "name"), hostile)
    text = with_value(text, ("runs", 0, "name"), hostile[:60])
    save_text(folder, "hall-bench.toml", text)
    tab.run()
    shown = tab.test.title[0].value
    assert shown.replace("\\", "").replace("\u2060", "") == hostile
    texts = [*tab.test.markdown, *tab.test.caption, *tab.test.title, *tab.test.header]
    assert texts
    assert not any(getattr(element.proto, "allow_html", False) for element in texts)


def test_what_is_typed_just_before_the_sides_are_swapped_is_in_the_other_way(tab):
    tab.go("packs").press("Two packs")
    tab.test.segmented_control(key="side part").set_value("Runs")
    tab.run()
    tab.field("runs/0/length").set_value("0.9 m")
    tab.press("Make the other way my design")
    assert tab.field("other runs/0/length").value == "0.9 m"


@pytest.mark.parametrize(
    ("begun", "typed"),
    [("", ("# theirs\n", "# mine\n")), ("not yet [", ("theirs [", "mine ["))],
)
def test_two_tabs_that_write_whole_texts_lose_neither(tab, another_tab, folder, begun, typed):
    if begun:
        save_text(folder, "hall-bench.toml", begun)
    text = "" if begun else read_text(folder, "hall-bench.toml")
    tabs = [tab.go("design"), another_tab().go("design")]
    for one in tabs:
        one.test.segmented_control(key="part").set_value("As text")
        one.run()
    for one, start in zip(tabs, typed, strict=True):
        one.type("text", start + text)
    texts = {open_work(folder, name).text for name in design_names(folder)}
    assert {start + text for start in typed} <= texts


def test_what_the_disk_did_not_take_is_kept_beside_what_another_tab_changed(
    tab, another_tab, folder, monkeypatch
):
    other = another_tab()
    with monkeypatch.context() as for_now:
        for_now.setattr(desk, "keep_work", _full)
        tab.type("runs/0/length", "0.9 m")
    other.type("runs/1/length", "0.8 m")
    tab.type("ask/hours_a_charge", "7 h")
    assert "nothing is lost" in tab.words
    assert tab.field("runs/0/length").value == "0.9 m"
    assert tab.field("ask/hours_a_charge").value == "7 h"
    assert raw(open_work(folder, "hall-bench.toml").text)["runs"][1]["length"] == "0.8 m"


def test_a_full_disk_and_another_tab_at_once_lose_nothing(tab, another_tab, monkeypatch):
    another_tab().type("runs/0/length", "0.8 m")
    monkeypatch.setattr(desk, "keep_both", _full)
    tab.type("runs/0/length", "0.9 m")
    assert "the disk is full" in tab.words
    assert tab.field("runs/0/length").value == "0.9 m"


def test_a_design_that_cannot_be_opened_leaves_the_others_open(tab, another_tab, folder):
    (folder / "hall-bench.toml").write_bytes(b"\xff")
    again = another_tab()
    assert "no text in UTF-8" in again.words
    assert len(again.numbers) == 4


@pytest.mark.parametrize("begun", ["piece = 3", "use = 3", "runs = 'a'", "[[piece]]"])
def test_forms_stand_where_a_text_has_no_table(tab, folder, begun):
    save_text(folder, "hall-bench.toml", begun)
    tab.go("design")
    for part, place in (("Piece", "piece/name"), ("Evenings", "use/room")):
        tab.test.segmented_control(key="part").set_value(part)
        tab.run().type(place, "9")


def test_a_number_of_400_digits_is_shown_as_any_other(tab):
    tab.go("design")
    tab.test.segmented_control(key="part").set_value("Supplies")
    tab.run().type("supplies/0/pack_multiple", "9" * 400)
    assert tab.field("supplies/0/pack_multiple").value == "9" * 400


def test_a_number_too_long_to_be_written_leaves_the_forms_standing(tab, folder):
    text = with_value(read_text(folder, "hall-bench.toml"), ("runs", 0, "length"), 123)
    save_text(folder, "hall-bench.toml", text.replace("length = 123", "length = 0x" + "f" * 5000))
    tab.run()
    assert tab.field("runs/0/length").value == "a number too long to show"


@pytest.mark.parametrize("named", ["../outside", "{outside}", "inside/../../outside"])
def test_parts_outside_the_folder_are_not_read(tab, folder, named):
    outside = folder.parent / "outside"
    shutil.copytree(folder / "example parts", outside)
    before = tab.numbers
    text = read_text(folder, "hall-bench.toml")
    for parts, found in (("example parts", True), (named.format(outside=outside), False)):
        tab.go("design").test.segmented_control(key="part").set_value("As text")
        tab.run().type("text", with_value(text, ("catalogue",), parts))
        assert tab.numbers == before
        assert ("answers below are from before" not in tab.words) == found
    assert "leads to another folder" in tab.words


def test_an_address_opens_nothing_outside_the_folder(folder, tab):
    (folder.parent / "secret.toml").write_text("# secret", encoding="utf-8")
    for asked in ("../secret.toml", str(folder.parent / "secret.toml"), "none.toml"):
        page = AppTest.from_file(str(SCRIPT), default_timeout=60)
        page.query_params["design"] = asked
        page.run()
        assert not page.exception
        assert page.title[0].value == tab.test.title[0].value
        assert "hall-bench.toml" in page.query_params["design"]


def test_what_is_typed_is_parsed_once_and_the_parts_are_not_read_again(tab, monkeypatch):
    tab.go("design")
    parsed, read = [], []
    parse, read_catalogue = edit.tomlkit.parse, outcome.read_catalogue
    monkeypatch.setattr(edit.tomlkit, "parse", lambda text: parsed.append(text) or parse(text))
    monkeypatch.setattr(
        outcome, "read_catalogue", lambda place: read.append(place) or read_catalogue(place)
    )
    before = tab.field("runs/0/length").value
    tab.run()
    assert not parsed
    tab.type("runs/0/length", "0.917 m")
    # Once the old text, to change it and keep its comments, and once the new one.
    assert len(parsed) == len(set(parsed)) == 2
    assert f'length = "{before}"' in parsed[0]
    assert not read
