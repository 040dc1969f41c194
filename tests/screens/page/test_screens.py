"""Every screen shows what it is for, and the same numbers as the command line."""

import re
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from lightcalc.answers.answer import answer
from lightcalc.answers.findings.cautions import all_cautions
from lightcalc.design.read import read_design
from lightcalc.folder.place import design_names, read_text
from lightcalc.folder.work import open_work
from lightcalc.screens.page.files_screen import packet_zip
from lightcalc.screens.page.outcome import outcome_of
from lightcalc.screens.page.page import SCREENS

EXAMPLES = Path(__file__).parents[3] / "catalog_examples"


def command_line(*words):
    done = subprocess.run(
        [sys.executable, "-c", "from lightcalc.screens.cli import main; main()", *words],
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
    )
    assert done.returncode in (0, 1), done.stderr
    return " ".join(done.stdout.split())


def test_the_page_opens_on_the_demo_with_its_answers(tab, folder):
    hours, packs, wire, shows = tab.numbers
    sheet = command_line("answer", str(folder / "hall-bench.toml"))
    assert f"Lasts {hours} a charge" in sheet
    assert wire.split(" + ")[0] in sheet
    table = command_line("compare", str(folder / "hall-bench.toml"))
    one, two = packs.split(" or ")
    assert f"takes a charge from {one} to {two}" in table
    assert shows == "Dots hidden, LEDs seen"
    assert tab.test.title[0].value == "Hall bench with a resin seam"


@pytest.mark.parametrize("screen", [place for _, place, _, _ in SCREENS if place != "answers"])
def test_every_screen_has_the_answers_on_top(tab, screen):
    numbers = tab.numbers
    tab.go(screen)
    assert tab.numbers == numbers


def test_a_changed_length_changes_the_answers_as_on_the_command_line(tab, folder):
    before = tab.numbers
    tab.type("runs/0/length", "0.7 m").press("Save")
    assert tab.numbers != before
    sheet = command_line("answer", str(folder / "hall-bench.toml"))
    assert f"Lasts {tab.numbers[0]} a charge" in sheet


def test_another_pack_and_level_change_the_hours(tab, folder):
    tab.type("supplies/0/pack", "lifepo4-8s-12000").type("use/evening/0/level", "20 %")
    tab.press("Save")
    sheet = command_line("answer", str(folder / "hall-bench.toml"))
    assert f"Lasts {tab.numbers[0]} a charge" in sheet


def test_the_other_way_begins_as_two_packs_and_is_edited_alone(tab):
    mine = tab.numbers
    tab.go("packs").press("Two packs")
    assert "two packs" not in tab.test.title[0].value
    names = [box.value for box in tab.test.text_input if box.label == "Name of the supply"]
    assert names == ["seat box", "seat box, first pack", "seat box, second pack"]
    tab.type("other supplies/1/health", "50 %")
    assert tab.numbers == mine
    assert "empties first" in tab.words


def test_the_other_way_may_become_the_design(tab):
    two = tab.numbers[1].split(" or ")[1]
    tab.go("packs").press("Two packs").press("Make the other way my design")
    assert tab.numbers[0] == two
    assert [box.value for box in tab.test.text_input if box.label == "Name of the supply"] == [
        "seat box, first pack",
        "seat box, second pack",
        "seat box",
    ]


def test_the_units_stand_once_among_the_choices(tab):
    tab.go("design")
    tab.test.segmented_control(key="part").set_value("Piece")
    assert tab.run().field("units").options == ["metric", "inch"]


def test_an_other_way_that_was_edited_is_set_aside_before_another_begins(tab, folder):
    tab.go("packs").press("Two packs").press("One pack of twice the cells")
    before = design_names(folder)
    tab.type("other supplies/0/health", "50 %").press("Two packs")
    (aside,) = set(design_names(folder)) - set(before)
    assert 'health = "50 %"' in read_text(folder, aside)
    assert aside in "".join(element.value for element in tab.test.info).replace("\\", "")


def test_sides_swapped_twice_are_as_they_were(tab, folder):
    tab.go("packs").press("Two packs")
    before = open_work(folder, "hall-bench.toml")
    tab.press("Make the other way my design")
    swapped = open_work(folder, "hall-bench.toml")
    assert (swapped.text, swapped.state["other"]) == (before.state["other"], before.text)
    tab.press("Make the other way my design")
    after = open_work(folder, "hall-bench.toml")
    assert (after.text, after.state["other"]) == (before.text, before.state["other"])


def test_charts_answer_each_question(tab):
    tab.go("charts")
    chooser = tab.test.selectbox(key="question")
    for question in chooser.options:
        tab.test.selectbox(key="question").set_value(question)
        tab.run()
        charts = tab.test.get("plotly_chart")
        downloads = [button.label for button in tab.test.get("download_button")]
        assert charts, question
        assert downloads.count("Numbers as CSV") == len(charts), question


def test_the_look_has_a_picture_from_each_eye(tab):
    tab.go("look")
    assert len(tab.test.get("image")) == 4
    assert tab.test.get("plotly_chart")
    tab.test.radio(key="mount").set_value(1)
    tab.run()
    assert len(tab.test.get("image")) == 4


def test_a_piece_that_is_not_drawn_says_how_to_draw_it(tab):
    tab.go("files").test.selectbox(key="open which").set_value("bedside-shelf.toml")
    tab.run().go("look")
    if not tab.test.get("image"):
        assert "not drawn in space" in tab.words


def test_safety_shows_every_caution(tab):
    tab.go("safety")
    for caution in all_cautions():
        assert caution.text in tab.words


@pytest.mark.parametrize("name", ["hall-bench.toml", "bedside-shelf.toml"])
def test_what_applies_comes_first(tab, folder, name):
    tab.go("files").test.selectbox(key="open which").set_value(name)
    words = tab.run().go("safety").words
    applying = answer(*read_design(folder / name)).cautions
    others = [caution for caution in all_cautions() if caution not in applying]
    assert applying
    assert others
    last = max(words.index(caution.text) for caution in applying)
    assert last < min(words.index(caution.text) for caution in others)
    headings = [heading.value for heading in tab.test.subheader]
    assert headings == ["For this design", "For other cells and parts"]


def test_parts_can_be_looked_at_and_taken_away(tab):
    tab.go("files")
    assert tab.test.selectbox(key="parts").value == "example parts"
    labels = [button.label for button in tab.test.get("download_button")]
    assert labels == ["Design", "Answer sheet", "All numbers", "Build packet", "These parts"]


def test_the_build_packet_of_the_page_is_that_of_the_command_line(tmp_path):
    text = (EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8")
    outcome = outcome_of(EXAMPLES, "hall-bench.toml", text)
    with ZipFile(BytesIO(packet_zip(outcome))) as zipped:
        got = {name: zipped.read(name) for name in zipped.namelist()}
    command_line("packet", str(EXAMPLES / "hall-bench.toml"), "--out", str(tmp_path / "paper"))
    written = {one.name: one.read_bytes() for one in (tmp_path / "paper").iterdir()}
    # The folder's own list of its files is no paper.
    del written["packet.txt"]
    assert got == written


def test_each_question_has_the_charts_that_answer_it(tab):
    tab.go("charts")
    drawn = {}
    for question in tab.test.selectbox(key="question").options:
        tab.test.selectbox(key="question").set_value(question)
        titles = re.findall(r"^\*\*(.+)\*\*$", tab.run().words, re.MULTILINE)
        drawn[question] = {title.partition(" of ")[0] for title in titles}
    assert drawn == {
        "How bright is each run along its length?": {
            "Light along each run",
            "Volts along each run",
        },
        "What happens over an evening?": {"One charge"},
        "How long does it last when dimmed?": {"Hours"},
        "How long with a larger pack, or two?": {"Hours against the size"},
        "What does thicker wire bring?": {"Wire and the light"},
        "From what distance do dots show?": {"Dots"},
        "Where does the power go?": {"Where the power"},
    }


def test_the_limit_drawn_is_the_fall_that_was_asked(tab):
    tab.go("design").test.segmented_control(key="part").set_value("Evenings")
    tab.run().type("ask/light_fall", "7 %").go("charts")
    assert "the fall of 7 % asked" in tab.words


def test_the_look_maps_floor_and_wall_and_another_mount_looks_otherwise(tab):
    tab.go("look")
    assert {"**Light on the floor**", "**Light on the wall**"} <= set(tab.words.splitlines())
    before = pictures(tab)
    tab.test.radio(key="mount").set_value(1)
    assert not set(pictures(tab.run())) & set(before)


def pictures(tab):
    """Return where each picture lies, which is told from what is in it."""
    return [image.proto.imgs[0].url for image in tab.test.get("image")]


def test_the_builds_are_compared_in_a_table(tab, folder):
    tab.go("packs")
    table = tab.test.table[0].value
    hours = [one.replace("\\", "").replace("\xa0", " ") for one in table.loc["hours a charge"]]
    assert hours[:2] == tab.numbers[1].split(" or ")


def test_each_side_is_changed_by_its_own_fields(tab):
    two = tab.numbers[1].split(" or ")[1]
    tab.go("packs").press("Two packs")
    assert f"**Lasts**: {two} a charge" in tab.words
    tab.test.segmented_control(key="side part").set_value("Runs")
    tab.run().type("runs/0/length", "0.6 m")
    assert tab.field("other runs/0/length").value == "1.42 m"
    assert f"**Lasts**: {two} a charge" in tab.words
    assert f"**Lasts**: {tab.numbers[0]} a charge" in tab.words


def test_the_first_caution_stands_under_the_answers(tab):
    assert all_cautions()[0].text in tab.words


def test_cautions_are_shown_for_a_design_without_an_answer(tab, another_tab, folder):
    (folder / "hall-bench.toml").write_text("no design [", encoding="utf-8")
    tab.run().go("safety")
    assert not tab.numbers
    for caution in all_cautions():
        assert caution.text in tab.words


def test_how_sure_is_told_when_asked_and_follows_a_change(tab, folder):
    assert not any("Measure this first" in read for read in markdown(tab))
    tab.test.toggle(key="band").set_value(True)
    tab.run()
    sheet = command_line("answer", str(folder / "hall-bench.toml"), "--band")
    told = [read for read in markdown(tab) if read.startswith("Hours a charge: ")]
    assert len(told) == 1
    assert told[0] in sheet
    assert any(read.strip("*").startswith("Measure this first: ") for read in markdown(tab))
    tab.type("runs/0/length", "0.7 m").press("Save")
    sheet = command_line("answer", str(folder / "hall-bench.toml"), "--band")
    after = [read for read in markdown(tab) if read.startswith("Hours a charge: ")]
    assert after != told
    assert after[0] in sheet


def markdown(tab):
    """Every text on the screen, as it is read."""
    return [one.value.replace("\\", "").replace("\u2060", "") for one in tab.test.markdown]


def test_the_version_before_the_last_save_opens_beside_and_nothing_is_written_over(tab, folder):
    first = (folder / "hall-bench.toml").read_bytes()
    offer = "Open the version before the last save"
    tab.go("files")
    assert offer not in [button.label for button in tab.test.button]
    tab.go("answers").type("runs/0/length", "0.7 m").press("Save")
    second = (folder / "hall-bench.toml").read_bytes()
    assert second != first
    tab.go("files").press(offer)
    assert tab.test.selectbox(key="open which").value == "hall-bench before.toml"
    assert (folder / "hall-bench before.toml").read_bytes() == first
    assert (folder / "hall-bench.toml").read_bytes() == second
    assert (folder / ".lightcalc" / "before" / "hall-bench.toml").read_bytes() == first
    # What was opened has no version before it, and the other still offers its own: the same.
    assert offer not in [button.label for button in tab.test.button]
    names = design_names(folder)
    tab.test.selectbox(key="open which").set_value("hall-bench.toml")
    tab.run().press(offer)
    assert tab.test.selectbox(key="open which").value == "hall-bench before.toml"
    assert design_names(folder) == names
    # Once what was opened is changed, another stands beside it.
    tab.go("answers").type("runs/0/length", "0.6 m").go("files")
    tab.test.selectbox(key="open which").set_value("hall-bench.toml")
    tab.run().press(offer)
    assert (folder / "hall-bench before 2.toml").read_bytes() == first
