"""What is said for and against a design is true, and names nothing that nobody would notice."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lightcalc.answers.finder.choices import BOTH_ENDS, TWO_PACKS, Choice, Choices, Power
from lightcalc.answers.finder.demands import FALL_STEP, HOURS_STEP, MASS_STEP, PRICE_STEP, ranks_of
from lightcalc.answers.finder.reasons import ALIKE, differs_from, why_it
from lightcalc.answers.finder.results import Merits
from lightcalc.answers.finder.search import Standing
from lightcalc.design.find import OPEN, Find
from lightcalc.design.read import read_design
from lightcalc.units import read

EXAMPLES = Path(__file__).parents[3] / "catalog_examples"
PLAIN = Merits(100.0, 10.0, 0.05, 1.0, 1000.0, True)
MORE = {"dearer": True, "cheaper": False, "longer": True, "shorter": False}
MORE |= {"heavier": True, "lighter": False, "less even": True, "more even": False}


@cache
def choices(name="hall-bench", multiple=1):
    design, catalogue = read_design(EXAMPLES / f"{name}.toml")
    supplies = tuple(replace(one, pack_multiple=multiple) for one in design.supplies)
    return Choices(replace(design, find=Find(open=OPEN), supplies=supplies), catalogue)


def standing(merits=PLAIN, choice=None, of=None):
    made = of or choices()
    choice = choice or next(iter(made.every()))
    return Standing(choice, made.design_of(choice), merits, ranks_of(merits))


def why(one, other):
    return why_it(standing(one), standing(other), choices())


def said(text):
    """Return each difference that is named, with the number beside it, in SI."""
    found = {}
    for number, word in re.findall(r"([0-9][^,;]*?) (cheaper|dearer)", text):
        found[word] = float(number.removesuffix(" EUR"))
    for number, word in re.findall(r"([0-9][0-9a-z .]*?) (longer|shorter)", text):
        found[word] = read(number, "time") / 3600.0
    for number, word in re.findall(r"([0-9][0-9.]* k?g) (lighter|heavier)", text):
        found[word] = read(number, "mass")
    for word, number in re.findall(r"(more even|less even) by ([0-9.]+ %)", text):
        found[word] = read(number, "ratio")
    return found


MERITS_OF_ANY = st.builds(
    Merits,
    price=st.floats(5.0, 2000.0),
    hours_h=st.floats(0.5, 40.0),
    light_fall_ratio=st.floats(0.0, 0.5),
    mass_kg=st.floats(0.05, 30.0),
    light_lm=st.just(1000.0),
    hidden=st.just(True),
)


@given(one=MERITS_OF_ANY, other=MERITS_OF_ANY)
@example(one=PLAIN, other=replace(PLAIN, price=100.99, hours_h=10.19, mass_kg=1.019))
@example(one=PLAIN, other=replace(PLAIN, price=101.1, hours_h=10.21, mass_kg=1.021))
def test_a_difference_is_named_just_when_it_is_a_step_and_with_its_number(one, other):
    text = why(one, other)
    gaps = {
        ("cheaper", "dearer"): (one.price, other.price, PRICE_STEP),
        ("longer", "shorter"): (one.hours_h, other.hours_h, HOURS_STEP),
        ("lighter", "heavier"): (one.mass_kg, other.mass_kg, MASS_STEP),
    }
    numbers, expected = said(text), {}
    for words, (mine, its, step) in gaps.items():
        if abs(mine - its) >= step * min(mine, its):
            (word,) = (word for word in words if MORE[word] == (mine > its))
            expected[word] = abs(mine - its)
    fall = one.light_fall_ratio - other.light_fall_ratio
    if abs(fall) >= FALL_STEP:
        expected["less even" if fall > 0.0 else "more even"] = abs(fall)
    assert set(numbers) == set(expected), text
    for word, gap in expected.items():
        # Two digits, a clock in steps, and whole money.
        slack = 0.5 if word in {"cheaper", "dearer"} and gap >= 1.0 else 0.0
        assert numbers[word] == pytest.approx(gap, rel=0.06, abs=slack + 1e-6), text


def test_gains_come_first_and_what_they_cost_after_but():
    dear = replace(PLAIN, price=120.0, hours_h=12.0, mass_kg=1.5, light_fall_ratio=0.01)
    text = why(dear, PLAIN)
    assert text == "2 h longer and more even by 4 %; but 20 EUR dearer and 500 g heavier"
    assert why(PLAIN, dear) == (
        "20 EUR cheaper and 500 g lighter; but 2 h shorter and less even by 4 %"
    )


def test_what_nobody_would_notice_is_not_a_difference():
    near = replace(PLAIN, price=100.9, hours_h=10.15, light_fall_ratio=0.054, mass_kg=1.015)
    assert why(PLAIN, near) == why(near, PLAIN) == ALIKE


def test_what_is_only_worse_says_so():
    assert why(replace(PLAIN, hours_h=8.0), PLAIN) == (
        "2 h shorter, and better in nothing that anyone would notice"
    )


def test_what_is_not_known_is_said_of_whom_it_is_not_known():
    unknown = replace(PLAIN, price=None, mass_kg=None)
    assert why(PLAIN, unknown) == "of known price and of known mass"
    assert why(unknown, PLAIN).startswith("of unknown price and of unknown mass")
    assert why(unknown, unknown) == ALIKE


def test_masses_are_said_in_ounces_and_pounds_for_a_design_in_inches():
    inches = choices("bedside-shelf")
    one, other = (standing(replace(PLAIN, mass_kg=kg), of=inches) for kg in (1.0, 1.907185))
    assert why_it(one, other, inches) == "2 lb lighter"  # a pound is 0.45359237 kg


def differs(made, power, **light):
    sides = (
        side
        for side in made.light_sides
        if all(getattr(side, key) == value for key, value in light.items())
    )
    return differs_from(standing(choice=Choice(next(sides), (power,)), of=made), made)


BUCK = "buck-12v-5a"


def test_the_design_as_drawn_differs_in_nothing():
    assert differs(choices(), Power("liion-4s-6800", 1, BUCK)) == ()


def test_every_change_is_named():
    power = Power("liion-3s-10400", 2, None)
    changes = differs(choices(), power, build=TWO_PACKS, feeds=BOTH_ENDS, level=0.7)
    assert changes == (
        "two packs, each with runs of its own",
        "each run fed at both ends",
        "70 % at its brightest",
        "each pack liion-3s-10400 with twice the cells",
        "no converter",
    )


def test_twice_the_cells_are_said_in_words_and_so_is_going_back_to_one():
    (one,) = differs(choices(), Power("liion-4s-6800", 2, BUCK))
    assert one == "pack liion-4s-6800 with twice the cells"
    (one,) = differs(choices(), Power("liion-4s-6800", 3, BUCK))
    assert one == "pack liion-4s-6800 with 3 times the cells"
    (one,) = differs(choices(multiple=2), Power("liion-4s-6800", 1, BUCK))
    assert one == "pack liion-4s-6800 with the cells of one"


def test_two_packs_for_one_run_have_a_half_each():
    first, *_ = differs(choices("bedside-shelf"), Power("aa-alkaline-8", 1, None), build=TWO_PACKS)
    assert first == "two packs, each with half of the run"
