"""The page shows what the command line prints for the same file, and changes with the design."""

import re

from maker import shown
from served import lasts, one_or_two, to_buy

HOURS, PACKS = "Hours a charge", "One pack or two?"
WIRING, SHOWS = "Wire and fuse", "Dots and LEDs"
WIRES_HEADING = "set by"


def _same_as_printed(maker, name):
    """Hold all that the first screen says against the command line on the file in the folder."""
    served = maker.served
    sheet = served.printed("answer", name)
    hours, low, high = lasts(sheet)
    assert maker.number(HOURS) == hours
    assert f"likely {low} to {high}" in maker.card(HOURS)
    wires, fuses = to_buy(sheet)
    assert f"Buy wire {wires}; fuse {fuses}." in maker.card(WIRING)
    numbers = served.numbers("answer", name)
    shown_wires = maker.table(WIRES_HEADING)
    assert [row[0] for row in shown_wires] == [wire["lead"] for wire in numbers["wires"]]
    assert [row[3] for row in shown_wires] == [wire["size"] for wire in numbers["wires"]]
    ratings = {f"{fuse['rating_a']:g} A" for fuse in numbers["fuses"] if fuse["rating_a"]}
    assert set(re.findall(r"[\d.]+ A(?= fuse)", maker.number(WIRING))) <= ratings
    one, two = one_or_two(served.printed("compare", name))
    assert maker.number(PACKS) == f"{one} or {two}"
    first = min(numbers["supplies"], key=lambda supply: supply["hours_h"])
    whole, _, minutes = hours.removesuffix(" min").partition(" h")
    # Hours are shown to the half hour or to the hour.
    assert abs(int(whole) + int(minutes or 0) / 60 - first["hours_h"]) <= 0.5


def test_the_page_opens_on_the_demo_with_its_four_answers(maker):
    maker.open()
    assert maker.page.get_by_role("heading", level=1).inner_text() == "Hall bench with a resin seam"
    for question in (HOURS, PACKS, WIRING, SHOWS):
        assert maker.number(question)
    _same_as_printed(maker, "hall-bench.toml")


def test_the_page_opens_on_every_example_with_the_numbers_of_the_command_line(maker):
    for name in ("bedside-shelf.toml", "display-cabinet.toml"):
        maker.open(name)
        hours, low, high = lasts(maker.served.printed("answer", name))
        assert maker.number(HOURS) == hours
        assert f"likely {low} to {high}" in maker.card(HOURS)


def test_a_changed_length_pack_and_level_give_the_numbers_of_the_command_line(maker, bench):
    maker.open(bench)
    before = maker.number(HOURS)
    maker.type("Length of front rail", "0.9 m")
    maker.save()
    assert maker.number(HOURS) != before
    _same_as_printed(maker, bench)
    assert 'length = "0.9 m"' in (maker.served.folder / bench).read_text(encoding="utf-8")
    before = maker.number(HOURS)
    maker.choose("Pack of seat box", "liion-6s-5200")
    maker.save()
    assert maker.number(HOURS) != before
    _same_as_printed(maker, bench)
    maker.type("Brightness for 2 h 30 min", "25 %")
    maker.save()
    _same_as_printed(maker, bench)


def test_inches_are_answered_in_inches(maker, bench):
    maker.open(bench)
    maker.type("Length of back rail", "3 ft 2 1/2 in")
    maker.save()
    _same_as_printed(maker, bench)


def test_a_field_that_cannot_be_read_says_so_beside_itself_and_the_last_answers_stay(maker, bench):
    maker.open(bench)
    before = maker.number(HOURS)
    maker.type("Length of front rail", "about two metres")
    maker.sees("The answers below are from before that.")
    maker.rest()
    maker.holds("Length of front rail", "about two metres")
    assert maker.number(HOURS) == before
    field = maker.field("Length of front rail").bounding_box()
    sentences = maker.page.locator(".st-key-knobs [data-testid='stMarkdown']")
    assert sentences.count() == 1
    sentence = sentences.first.bounding_box()
    assert 0 <= sentence["y"] - field["y"] - field["height"] < 60
    assert abs(sentence["x"] - field["x"]) < 40
    maker.type("Length of front rail", "1.2 m")
    maker.page.get_by_text("The answers below are from before that.").wait_for(state="detached")
    maker.save()
    _same_as_printed(maker, bench)


def test_the_other_way_begins_as_two_packs_and_can_be_edited_and_taken(maker, bench):
    maker.open(bench, "packs")
    maker.press("Two packs")
    served = maker.served
    other = maker.page.locator(".st-key-side-other")
    _, two = one_or_two(served.printed("compare", bench))
    assert f"Lasts: {two} a charge" in shown(other.inner_text())
    maker.ran(maker.page.get_by_text("Evenings", exact=True).click)
    level = other.get_by_label("Brightness", exact=True).first
    level.fill("20 %")
    maker.ran(lambda: level.press("Enter"))
    dimmed = shown(other.inner_text())
    assert f"Lasts: {two} a charge" not in dimmed
    assert f"Lasts: {lasts(served.printed('answer', bench))[0]} a charge" in shown(
        maker.page.locator(".st-key-side-mine").inner_text()
    )
    maker.press("Make the other way my design")
    maker.save()
    hours, low, high = lasts(served.printed("answer", bench))
    assert f"Lasts: {hours} a charge, likely {low} to {high}" in dimmed
    assert maker.number(HOURS) == hours
