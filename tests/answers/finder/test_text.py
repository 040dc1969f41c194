"""The text of a design that was found answers exactly as the search said."""

import itertools
import tomllib
from dataclasses import astuple, replace
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer_parts
from lightcalc.answers.finder.choices import BOTH_ENDS, MIDDLE, TWO_PACKS, Choice, Choices
from lightcalc.answers.finder.find import find
from lightcalc.answers.finder.results import Hit
from lightcalc.answers.finder.search import merits_of
from lightcalc.answers.finder.text import text_of_hit
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.edit import raw, with_value
from lightcalc.design.find import OPEN, Find
from lightcalc.design.read import read_design, read_design_table
from lightcalc.problems import Problems

EXAMPLES = Path(__file__).parents[3] / "catalog_examples"
NAMES = ("hall-bench", "display-cabinet", "bedside-shelf")
# A thick wire and a lower level come together, so that half as many are tried.
TURNS = ((None, None), ("wire-16awg", 0.7))


def text_of(name):
    return (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")


def read(text, catalogue):
    return read_design_table(tomllib.loads(text), catalogue, EXAMPLES / "again.toml")


def opened(name, **wanted):
    """Return everything that may change in an example."""
    design, catalogue = read_design(EXAMPLES / f"{name}.toml")
    return Choices(replace(design, find=Find(**wanted)), catalogue)


def written(text, choices, choice):
    return text_of_hit(text, choices, Hit(None, choice, choices.design_of(choice)))


def can_be_built(design, catalogue):
    problems = Problems("")
    check_against_catalogue(design, catalogue, problems)
    return not problems.found


def weighed(design, catalogue):
    return astuple(merits_of(answer_parts(design, catalogue), design, catalogue))


def few_of_each(choices):
    """Return a choice for every build and way to feed, each with other powers."""
    sides = [
        side
        for side in choices.light_sides
        if (side.wire, side.level) in TURNS and side.strips == choices.strip_groups
    ]
    powers = itertools.cycle(
        [
            power
            for power in choices.powers(choices.design.supplies[0])
            if power.converter in (choices.design.supplies[0].converter, None)
        ]
    )
    for side in sides:
        design = choices.lit_by(side)
        for _ in range(40):
            power = next(powers)
            built = design
            for group in choices.supply_groups(design):
                built = choices.powered(built, group, power)
            if can_be_built(built, choices.catalogue):
                yield Choice(side, (power,) * len(choices.supply_groups(design)))
                break


@pytest.mark.parametrize("name", NAMES)
def test_the_text_of_every_way_to_build_answers_as_its_design_does(name):
    choices = opened(name, open=OPEN)
    met = set()
    for choice in few_of_each(choices):
        text = written(text_of(name), choices, choice)
        design = choices.design_of(choice)
        again = read(text, choices.catalogue)
        assert weighed(again, choices.catalogue) == pytest.approx(
            weighed(design, choices.catalogue), rel=1e-9
        ), choice
        assert [len(run.feeds) for run in again.runs] == [len(run.feeds) for run in design.runs]
        sensors = {supply.sensor_at_m for supply in choices.design.supplies}
        assert {supply.sensor_at_m for supply in again.supplies} == sensors
        met |= {choice.light.build, choice.light.feeds, choice.light.wire, choice.light.level}
    assert met >= {TWO_PACKS, MIDDLE, BOTH_ENDS, *TURNS[1]}


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("hall-bench", {"open": ("feeds", "packs")}),
        ("hall-bench", {"open": ("level", "converter"), "light_lm": 1.0}),
        ("bedside-shelf", {"open": ("strip", "packs")}),
        ("display-cabinet", {"open": ("strip", "feeds")}),
    ],
)
def test_the_text_of_each_design_found_answers_as_the_search_said(name, wanted):
    choices = opened(name, **wanted)
    hits = find(choices.design, choices.catalogue).hits
    assert hits
    for hit in hits:
        again = read(text_of_hit(text_of(name), choices, hit), choices.catalogue)
        found = weighed(again, choices.catalogue)
        assert found == pytest.approx(astuple(hit.found.merits), rel=1e-9), hit.found.differs


def first_with(choices, **light):
    return next(
        choice
        for choice in few_of_each(choices)
        if all(getattr(choice.light, key) == value for key, value in light.items())
    )


def comments(text):
    return {line.partition("#")[2].strip() for line in text.splitlines() if "#" in line}


@pytest.mark.parametrize("feeds", [MIDDLE, BOTH_ENDS])
@pytest.mark.parametrize("name", NAMES)
def test_comments_stay_also_beside_a_feed_that_moves(name, feeds):
    choices = opened(name, open=("feeds", "packs"))
    choice = first_with(choices, feeds=feeds, build="as drawn")
    text = text_of(name)
    assert comments(text) - comments(written(text, choices, choice)) == set()


def test_a_feed_that_moves_keeps_its_plug_and_its_joint():
    choices = opened("hall-bench", open=("feeds",))
    text = written(text_of("hall-bench"), choices, first_with(choices, feeds=MIDDLE))
    (feed,) = raw(text)["runs"][0]["feeds"]
    assert feed == {
        "at": "middle",
        # The pack lies 20 cm along the run, which is 1.42 m: 45 cm, and 51 cm less 20 cm on that
        # side of it, and 10 cm to spare.
        "lead": "860 mm",
        "crosses": ["seat to rails"],
        "connector": "plug-small-2",
    }


def test_a_second_feed_has_a_plug_and_a_joint_too_and_the_first_stays_as_it_was():
    choices = opened("hall-bench", open=("feeds",))
    text = written(text_of("hall-bench"), choices, first_with(choices, feeds=BOTH_ENDS))
    plugged = {"crosses": ["seat to rails"], "connector": "plug-small-2"}
    assert raw(text)["runs"][0]["feeds"] == [
        {"at": "start", "lead": "45 cm", **plugged},
        # 45 cm, and 1.42 m less twice 20 cm, and 10 cm to spare.
        {"at": "end", "lead": "1.57 m", **plugged},
    ]


def test_halves_of_a_run_keep_the_plug_of_its_feed():
    choices = opened("bedside-shelf", open=("packs",))
    text = written(text_of("bedside-shelf"), choices, first_with(choices, build=TWO_PACKS))
    for run in raw(text)["runs"]:
        (feed,) = run["feeds"]
        assert feed["crosses"] == ["drawer to case"]
        assert feed["connector"] == "plug-small-2"
        assert feed["connector_side"] == "pack side"


def test_lengths_in_inches_stay_in_inches():
    choices = opened("bedside-shelf", open=("feeds",))
    text = written(text_of("bedside-shelf"), choices, first_with(choices, feeds=MIDDLE))
    # 14 in, and half of 15 3/4 in.
    assert raw(text)["runs"][0]["feeds"][0]["lead"] == "21 7/8 in"


AT_BOTH_ENDS = [
    {"at": "start", "lead": "90 cm", "connector": "plug-polarised-2"},
    {"at": "end", "lead": "45 cm", "crosses": ["seat to rails"], "connector": "plug-small-2"},
]


def fed_at(feeds):
    """Return the bench with other feeds of its first run, their way open, and its text."""
    text = with_value(text_of("hall-bench"), ("runs", 0, "feeds"), feeds)
    catalogue = opened("hall-bench").catalogue
    return Choices(replace(read(text, catalogue), find=Find(open=("feeds",))), catalogue), text


def test_feeds_drawn_where_they_are_wanted_stay_as_they_are():
    choices, text = fed_at(AT_BOTH_ENDS)
    found = raw(written(text, choices, first_with(choices, feeds=BOTH_ENDS)))["runs"]
    assert found[0]["feeds"] == AT_BOTH_ENDS
    assert [feed["at"] for feed in found[1]["feeds"]] == ["start", "end"]


def test_a_new_feed_is_led_from_where_that_takes_the_least_wire():
    choices, text = fed_at(AT_BOTH_ENDS)
    (moved,) = raw(written(text, choices, first_with(choices, feeds=MIDDLE)))["runs"][0]["feeds"]
    # The way from the pack, 51 cm along and 16 cm across, and 10 cm to spare.
    assert (moved["lead"], moved["connector"]) == ("770 mm", "plug-small-2")


def test_a_way_to_feed_that_changes_nothing_is_not_tried():
    choices, _ = fed_at(AT_BOTH_ENDS)
    both = replace(choices.design, runs=choices.design.runs[:1])
    assert BOTH_ENDS in choices.feeds
    assert Choices(both, choices.catalogue).feeds == ("as drawn", MIDDLE)


def test_what_a_converter_is_set_to_goes_with_the_converter():
    text = with_value(text_of("hall-bench"), ("supplies", 0, "output"), "12 V")
    catalogue = opened("hall-bench").catalogue
    choices = Choices(replace(read(text, catalogue), find=Find(open=("converter",))), catalogue)
    outputs = {
        choice.powers[0].converter: raw(written(text, choices, choice))["supplies"][0].get("output")
        for choice in choices.every()
    }
    assert outputs.pop("buck-12v-5a") == "12 V"
    assert set(outputs.values()) == {None}


def test_the_design_as_drawn_is_written_letter_by_letter():
    for name in NAMES:
        choices = opened(name, open=OPEN)
        as_drawn = next(iter(choices.every()))
        assert written(text_of(name), choices, as_drawn) == text_of(name)
