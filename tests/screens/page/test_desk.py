"""Nothing that was typed is lost, whatever tabs and files do."""

from lightcalc.design.edit import raw, with_value
from lightcalc.folder.place import design_names, read_text
from lightcalc.folder.saving import save_text
from lightcalc.folder.work import open_work


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
    from lightcalc.problems import BadInput, Problem
    from lightcalc.screens.page import desk

    def full(*_args):
        raise BadInput([Problem("hall-bench.toml", "", "cannot be kept: the disk is full.")])

    monkeypatch.setattr(desk, "keep_work", full)
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
