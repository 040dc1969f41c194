"""The screen that searches: what it finds, and going on with it."""

from lightcalc.design.edit import raw, with_value
from lightcalc.folder.place import read_text
from lightcalc.folder.saving import save_text
from lightcalc.screens.page.seed import seed


def search_few(folder, another_tab):
    """A page whose design leaves little open, searched."""
    seed(folder)
    text = read_text(folder, "hall-bench.toml")
    save_text(folder, "hall-bench.toml", with_value(text, ("find", "open"), ["feeds"]))
    tab = another_tab().go("find")
    return tab.press("Search")


def test_a_search_shows_what_it_found_and_how_it_was_searched(folder, another_tab):
    tab = search_few(folder, another_tab)
    assert "all that is asked" in tab.words
    assert "Open: feeds." in tab.words
    assert any(button.label == "Begin the other way with this" for button in tab.test.button)


def test_what_was_found_becomes_the_other_way(folder, another_tab):
    tab = search_few(folder, another_tab)
    labels = [m.value for m in tab.test.markdown if m.value.startswith("**") and "iddle" in m.value]
    assert labels, "a feed in the middle is among what is found"
    tab.press("Begin the other way with this")
    tab.go("packs")
    assert "The other way" in tab.words


def test_a_result_for_another_design_says_so(folder, another_tab):
    tab = search_few(folder, another_tab)
    tab.type("find/price", "500")
    assert "search again" in tab.words


def test_what_may_change_is_chosen_from_a_list_and_kept(folder, another_tab):
    seed(folder)
    tab = another_tab().go("find")
    (chosen,) = (one for one in tab.test.multiselect if one.key.endswith("find/open"))
    chosen.set_value(["pack", "wire"])
    tab.run()
    again = another_tab().go("find")
    (chosen,) = (one for one in again.test.multiselect if one.key.endswith("find/open"))
    assert chosen.value == ["pack", "wire"]
    assert not again.mistakes
    assert raw(read_text(folder, "hall-bench.toml")).get("find") is None  # until it is saved
