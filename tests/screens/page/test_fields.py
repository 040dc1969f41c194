"""Every field takes what it should, says beside itself what it cannot read, and keeps it."""

import re

import pytest

from lightcalc.design.edit import raw, with_entry, with_value
from lightcalc.folder.place import read_text
from lightcalc.folder.saving import save_text
from lightcalc.screens.page.form_fields import all_form_fields
from lightcalc.screens.page.page import SCREENS
from lightcalc.screens.page.seed import seed
from lightcalc.units import read

# Where the demo, with a trunk and a sheet added, has an entry of each table.
PLACES = {
    "": "",
    "piece": "piece/",
    "runs": "runs/0/",
    "runs.feeds": "runs/0/feeds/0/",
    "runs.seen": "runs/0/seen/0/",
    "trunks": "trunks/0/",
    "supplies": "supplies/0/",
    "use": "use/",
    "use.evening": "use/evening/0/",
    "ask": "ask/",
    "runs.feeds/service": "runs/0/feeds/0/",
    "trunks/service": "trunks/0/",
    "supplies/service": "supplies/0/",
    "joints": "joints/0/",
    "find": "find/",
}
PART_OF = {"": "Piece", "piece": "Piece", "supplies": "Supplies", "use": "Evenings"}
PART_OF |= {"use.evening": "Evenings", "ask": "Evenings", "supplies/service": "Supplies"}
FIELDS = {f"{field.table}.{field.key}": field for field in all_form_fields()}
# Texts that say anything at all: nothing typed into them is wrong, but too much of it.
FREE = {
    "supplies.name",
    "supplies/service.reach",
    "supplies/service.remote",
    "supplies/service.remote_code",
    "joints.name",
    "piece.notes",
    "runs.where",
    "piece.name",
    "runs.name",
    "runs.seen.surface",
}
# What a choice among fixed words means when it is left out of a design.
FIXED = ("metric", "bare on wood", "both sides")
TYPED = ("text", "quantity", "number", "list")
BAD = {"list": "no-such-thing", "number": "many", "quantity": "forty"}


@pytest.fixture
def furnished(folder):
    """A folder whose demo has a trunk that its first feed branches from."""
    seed(folder)
    text = read_text(folder, "hall-bench.toml")
    text = with_entry(text, ("trunks",), {"name": "main trunk", "length": "20 cm"})
    text = with_value(text, ("runs", 0, "feeds", 0, "from"), "main trunk")
    save_text(folder, "hall-bench.toml", text)
    return folder


TABLES = dict.fromkeys(field.table for field in FIELDS.values())


def fields_of(table, *kinds):
    """Return name, place in the demo, and field of each field of a table that is of such a kind."""
    return [
        (name, f"{PLACES[table]}{field.key}", field)
        for name, field in FIELDS.items()
        if field.table == table and field.kind in kinds
    ]


def tables_with(*kinds):
    return [table for table in TABLES if fields_of(table, *kinds)]


def opened(tab, table):
    if table == "find":
        return tab.go("find")
    tab.go("design")
    part = PART_OF.get(table, "Runs")
    if part != "Runs":
        tab.test.segmented_control(key="part").set_value(part)
        tab.run()
    return tab


def bad_for(name, field):
    """Return something that the field cannot mean."""
    if name in FREE or name == "trunks.name":
        return "x" * 501
    return BAD.get(field.kind, "no-such-thing")


def told_beside(tab, place):
    """Return what is said between a field and whatever comes next: the mistakes in it."""
    shown = [element for element in tab.test.main if not hasattr(element, "children")]
    key = tab.field(place).key
    at = next(n for n, element in enumerate(shown) if getattr(element, "key", None) == key)
    found = []
    for element in shown[at + 1 :]:
        if element.type != "markdown" or not element.value.startswith(":red[:material/error:"):
            break
        found.append(element.value.replace("\\", ""))
    return found


@pytest.mark.parametrize("table", tables_with(*TYPED))
def test_what_cannot_be_read_is_told_beside_its_field_and_kept(furnished, another_tab, table):
    tab = opened(another_tab(), table)
    good, fields = tab.numbers, fields_of(table, *TYPED)
    for name, place, field in fields:
        was, bad = tab.field(place).value, bad_for(name, field)
        tab.type(place, bad)
        if name != "supplies.near":  # whatever lies near may be called anything
            assert told_beside(tab, place), name
            assert "answers below are from before" in tab.words, name
            assert tab.numbers == good, name
        assert str(tab.field(place).value).startswith(bad[:100]), name
        tab.type(place, was)
        assert not tab.mistakes, name
        assert tab.numbers == good, name
    for name, place, field in fields:
        tab.type(place, bad_for(name, field))
    again = opened(another_tab(), table)
    for name, place, field in fields:
        assert str(again.field(place).value).startswith(bad_for(name, field)[:100]), name
    assert again.numbers == good


@pytest.mark.parametrize("table", tables_with("choice"))
def test_a_choice_offers_what_there_is_and_keeps_what_is_no_longer_there(
    furnished, another_tab, table
):
    fields = fields_of(table, "choice")
    text = read_text(furnished, "hall-bench.toml")
    for _, place, _ in fields:
        steps = tuple(int(s) if s.isdecimal() else s for s in place.split("/"))
        text = with_value(text, steps, "long-gone")
    save_text(furnished, "hall-bench.toml", text)
    tab = opened(another_tab(), table)
    for name, place, field in fields:
        widget = tab.field(place)
        assert widget.value == "long-gone", name
        assert told_beside(tab, place), name
        assert len(widget.options) > 2, name
        tab.type(place, field.empty if field.empty in FIXED else "")
        assert not any("long-gone" in told for told in told_beside(tab, place)), name
    assert not any("long-gone" in told for told in tab.mistakes)


def test_a_flag_is_written_and_taken_out(furnished, another_tab):
    tab = opened(another_tab(), "supplies")
    before = tab.numbers
    tab.type("supplies/0/switched_off", True)
    assert tab.numbers != before
    tab.type("supplies/0/switched_off", False)
    assert tab.numbers == before


METRIC = re.compile(r"[0-9] ?(?:[cmk]?m|k?g|cm2|degC|lx)\b")


def test_a_design_in_inches_has_its_examples_in_inches(tab):
    opened(tab, "piece").type("units", "inch")
    shown = []
    for part in ("Piece", "Runs", "Supplies", "Evenings"):
        tab.test.segmented_control(key="part").set_value(part)
        tab.run()
        shown += [box.placeholder for box in tab.test.text_input if box.placeholder]
    shown += [box.placeholder for box in tab.go("find").test.text_input]
    assert "5 ft 3 in" in shown
    assert not [example for example in shown if METRIC.search(example)]


@pytest.mark.parametrize("name", [name for name, field in FIELDS.items() if field.inch])
def test_an_example_in_inches_is_near_the_metric_one(name):
    # The last word says what is measured: mass, area, temperature or light, else a length.
    kinds = {"lb": "mass", "oz": "mass", "in2": "area", "degF": "temperature", "fc": "illuminance"}
    field = FIELDS[name]
    for metric, inch in zip(field.example.split(","), field.inch.split(","), strict=True):
        kind = kinds.get(inch.split()[-1], "length")
        assert read(inch, kind) == pytest.approx(read(metric, kind), rel=0.1)


def test_a_length_may_be_typed_in_any_unit(tab):
    before = tab.numbers
    for typed in ("1.42 m", "142 cm", "1420 mm", "55 29/32 in", "4 ft 7.9055 in"):
        tab.type("runs/0/length", "0.5 m")
        assert tab.numbers != before
        tab.type("runs/0/length", typed)
        assert not tab.mistakes, typed
        assert tab.numbers == before, typed


def test_one_wrong_length_is_one_mistake(tab):
    tab.type("runs/0/length", "abc")
    assert len(tab.mistakes) == 1
    assert "1 mistake. The" in tab.words


def test_a_length_takes_the_lines_of_its_run_along_and_the_answers_follow(tab, folder):
    before = tab.numbers
    tab.type("runs/0/length", "1.9 m")
    assert not tab.mistakes
    assert tab.numbers != before
    tab.press("Save")
    mounts = raw(read_text(folder, "hall-bench.toml"))["runs"][0]["mounts"]
    assert {mount["path"][1][0] for mount in mounts} == {"194 cm"}


def test_a_run_longer_than_a_line_with_corners_says_so_once_beside_its_length(folder, another_tab):
    seed(folder)
    text = read_text(folder, "hall-bench.toml")
    bent = [["3.8 cm", "7 cm", "36 cm"], ["1 m", "7 cm", "36 cm"], ["1.462 m", "7 cm", "36 cm"]]
    for mount in (0, 1):
        text = with_value(text, ("runs", 0, "mounts", mount, "path"), bent)
    save_text(folder, "hall-bench.toml", text)
    tab = another_tab().type("runs/0/length", "1.5 m")
    (told,) = [told for told in tab.mistakes if "write length" in told]
    assert '"1538 mm", "70 mm", "360 mm"' in told
    assert "1 mistake. The" in tab.words


def test_answers_from_before_a_mistake_have_no_grade(tab):
    assert "**Fine**" in tab.words
    tab.type("runs/0/length", "abc")
    assert "**Fine**" not in tab.words
    assert "**Caution** Nothing stops" not in tab.words
    assert "**Before the mistake**" in tab.words


def test_a_saved_design_that_cannot_be_used_says_so(tab):
    tab.type("runs/0/length", "abc").press("Save")
    assert "saved; the commands and the packet refuse it" in tab.words


def test_entries_are_added_and_taken_out(tab, folder):
    tab.go("design").press("Add a run")
    names = [box.value for box in tab.test.text_input if box.label == "Name of the run"]
    assert names == ["front rail", "back rail", "new run"]
    assert "answers below are from before" in tab.words
    buttons = [button for button in tab.test.button if button.label == "Take this run out"]
    buttons[-1].click()
    tab.run()
    assert "answers below are from before" not in tab.words


def test_a_second_click_takes_out_no_second_entry(tab):
    tab.go("design").press("Add a run").press("Add a run")
    keys = [button.key for button in tab.test.button if button.label == "Take this run out"]
    tab.test.button(key=keys[0]).click()
    tab.run()
    left = [button.key for button in tab.test.button if button.label == "Take this run out"]
    assert len(left) == len(keys) - 1
    assert not set(left) & set(keys)


def test_a_text_that_is_no_design_is_kept_and_the_forms_come_back(tab):
    tab.go("design")
    tab.test.segmented_control(key="part").set_value("As text")
    tab.run()
    good_text, numbers = tab.field("text").value, tab.numbers
    tab.type("text", "no design [")
    assert tab.numbers == numbers
    assert tab.field("text").value == "no design ["
    tab.type("text", good_text)
    tab.test.segmented_control(key="part").set_value("Runs")
    tab.run()
    assert tab.field("runs/0/length").value == raw(good_text)["runs"][0]["length"]


def test_every_screen_stands_what_cannot_be_read(tab):
    tab.type("runs/0/length", "abc")
    for _, screen, _, _ in SCREENS:
        if screen != "answers":
            assert "answers below are from before" in tab.go(screen).words


# What `catalog_examples` says of one part of each kind that a field offers.
DESCRIBED = {
    "supplies.pack": ("supplies/0/pack", "liion-4s-6800", ("lithium-ion", "6.8 Ah")),
    "runs.strip": ("runs/0/strip", "strip-12v-60-warm", ("12 V", "LEDs every")),
}


@pytest.mark.parametrize("name", DESCRIBED)
def test_a_part_is_found_by_what_it_is(furnished, another_tab, name):
    place, part, words = DESCRIBED[name]
    options = opened(another_tab(), FIELDS[name].table).field(place).options
    (told,) = [option for option in options if option.startswith(f"{part}: ")]
    for word in words:
        assert word.lower() in told.lower()


@pytest.mark.parametrize("screen", ["answers", "design", "find"])
def test_a_field_that_a_browser_draws_late_begins_with_what_the_text_says(tab, screen):
    """What it begins with is told in every run; else it begins empty, and that counts as typed."""
    tab.go(screen)
    for _ in range(2):
        tab.run()
        fields = [*tab.test.text_input, *tab.test.selectbox, *tab.test.multiselect]
        fields = [field for field in fields if (field.key or "").startswith("field ")]
        assert fields
        for field in fields:
            value = {"selectbox": "index", "multiselect": "indices"}.get(field.type, "value")
            begins = field.proto.default
            assert (begins if value != "indices" else list(begins)) == getattr(field, value)
