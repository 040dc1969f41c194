"""The screen that searches: what it finds, going on with it, and saying when it no longer holds."""

import pytest

from lightcalc.design.edit import raw, with_entry, with_value
from lightcalc.folder.place import design_names, read_text
from lightcalc.folder.saving import save_text
from lightcalc.folder.work import open_work
from lightcalc.screens.page.seed import seed

DEMO = "hall-bench.toml"


def hold(folder, *pairs):
    """Write the demo with some values set: little is open, so that a search is short."""
    seed(folder)
    text = with_value(read_text(folder, DEMO), ("find", "open"), ["feeds"])
    for place, value in pairs:
        text = with_value(text, place, value)
    save_text(folder, DEMO, text)


@pytest.fixture
def searched(folder, another_tab):
    """The screen after a search."""
    hold(folder)
    return another_tab().go("find").press("Search")


def notices(tab):
    return "".join(element.value for element in tab.test.info).replace("\\", "")


def takes(tab):
    """Return the labels of the buttons that take a design, in their order."""
    return [button.label for button in tab.test.button if button.label.startswith("Take ")]


def other_feeds(folder):
    other = open_work(folder, DEMO).state["other"]
    return [feed["at"] for run in raw(other)["runs"] for feed in run["feeds"]]


def number_of(tab, words):
    """Return the number of the design that is said to differ so."""
    shown = (line for line in tab.words.splitlines() if line.startswith("**") and words in line)
    return next(shown).removeprefix("**").partition(".")[0]


def test_a_search_shows_what_it_found_and_how_it_was_searched(searched):
    assert "all that is asked" in searched.words
    assert "Open: feeds." in searched.words
    table = searched.test.table[0].value
    assert next(iter(table.columns)) == "price"
    assert [str(name) for name in table.index][-1] == "as drawn"
    assert takes(searched) == [f"Take {n} as the other way" for n in range(1, len(table))]
    assert searched.test.get("plotly_chart")
    assert "Numbers as CSV" in [button.label for button in searched.test.get("download_button")]


def test_nothing_is_searched_before_it_is_asked_for(folder, another_tab):
    hold(folder)
    tab = another_tab().go("find")
    assert not takes(tab)
    assert "all that is asked" not in tab.words


def test_what_was_found_becomes_the_other_way(searched, folder):
    number = number_of(searched, "fed at the middle")
    mine = read_text(folder, DEMO)
    searched.press(f"Take {number} as the other way")
    assert f"Number {number} is now the other way" in notices(searched)
    assert set(other_feeds(folder)) == {"middle"}
    assert open_work(folder, DEMO).text == mine
    assert "The other way" in searched.go("packs").words


def test_another_one_takes_its_place_and_nothing_is_set_aside(searched, folder):
    before = design_names(folder)
    for label in takes(searched):
        searched.press(label)
    assert design_names(folder) == before


def test_an_other_way_that_was_edited_is_set_aside_first(folder, another_tab):
    hold(folder, (("find", "open"), ["feeds", "pack", "packs"]))
    searched = another_tab().go("find").press("Search")
    before = design_names(folder)
    searched.press(takes(searched)[0]).go("packs")
    searched.type("other supplies/0/health", "50 %")
    searched.go("find").press(takes(searched)[1])
    (aside,) = set(design_names(folder)) - set(before)
    assert 'health = "50 %"' in read_text(folder, aside)
    assert aside in notices(searched)


def test_a_result_for_the_design_before_a_change_says_so_and_is_not_taken(searched, folder):
    searched.type("find/price", "500")
    assert "search again to take that in" in notices(searched)
    searched.press(takes(searched)[0])
    assert "search again first" in notices(searched)
    assert not open_work(folder, DEMO).state.get("other")
    searched.press("Search")
    assert "search again" not in notices(searched)
    assert "a price of at most 500 EUR" in searched.words


def test_what_was_found_for_one_design_is_not_shown_beside_another(searched):
    searched.go("files").test.selectbox(key="open which").set_value("bedside-shelf.toml")
    searched.run().go("find")
    assert "Bedside shelf" in searched.test.title[0].value
    assert not takes(searched)


def test_nothing_found_says_what_would_have_to_give_way(folder, another_tab):
    hold(folder, (("find", "price"), 20))
    tab = another_tab().go("find").press("Search")
    assert "Nothing that can be built" in tab.words
    assert "you asked for a price of at most 20 EUR" in tab.words
    assert not takes(tab)


def test_a_design_with_a_mistake_is_not_searched(folder, another_tab):
    hold(folder)
    tab = another_tab()
    tab.type("runs/0/length", "abc").go("find")
    (button,) = (button for button in tab.test.button if button.label == "Search")
    assert button.disabled


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
    assert raw(read_text(folder, DEMO)).get("find") is None  # until it is saved


def test_the_order_in_which_one_chooses_what_matters_is_kept(folder, another_tab):
    seed(folder)
    tab = another_tab().go("find")
    (chosen,) = (one for one in tab.test.multiselect if one.key.endswith("find/matters"))
    chosen.set_value(["mass", "price"])
    tab.run()
    assert raw(open_work(folder, DEMO).text)["find"]["matters"] == ["mass", "price"]


HOSTILE = "<b>x</b> *y* $z$ [a](b) :red[c]"


def test_names_are_shown_letter_by_letter(folder, another_tab):
    """Of a piece, and of a supply beside another, since parts have names of plain letters."""
    hold(folder, (("piece", "name"), HOSTILE), (("find", "open"), ["converter"]))
    text = read_text(folder, DEMO)
    second = {**raw(text)["supplies"][0], "name": HOSTILE, "pack": "lifepo4-4s-6000"}
    text = with_entry(text, ("supplies",), second)
    for number, name in enumerate(("seat box", HOSTILE)):
        text = with_value(text, ("runs", number, "supply"), name)
    save_text(folder, DEMO, with_value(text, ("ask", "hours_a_charge"), "1 h"))
    tab = another_tab().go("find").press("Search")
    assert any(f"({HOSTILE})" in line for line in tab.words.splitlines())
    for element in [*tab.test.markdown, *tab.test.caption]:
        assert "<b>" not in element.value
        assert "*y*" not in element.value
        assert "$z$" not in element.value
