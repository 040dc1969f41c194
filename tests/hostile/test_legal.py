"""Readings and searches at the ends of what is allowed have an answer, and are no fault."""

import time

import doors
import legal
import pytest
from hypothesis import given, settings

hostile = settings(settings.get_profile("hostile"), max_examples=25)


@pytest.mark.parametrize("name", legal.BENCHES)
def test_readings_at_the_ends_of_what_is_allowed_are_compared(name):
    drawn, catalogue = doors.read_design(doors.EXAMPLES / name)
    runs, supply, straight = legal.BENCHES[name]
    verdicts = set()

    @hostile
    @given(text=legal.readings(runs, supply, straight=straight))
    def case(text):
        verdicts.add(doors.refitted(drawn, catalogue, text))

    case()
    assert len(verdicts - {"refused"}) > 1


@pytest.mark.parametrize("meter", ["", 'meter = "0 % + 0 V"'])
@pytest.mark.parametrize("volts", ["-60 V", "60 V", "0 V"])
def test_one_reading_that_nothing_explains_is_told_as_that(volts, meter):
    """The likeliest figures then lay where the wiring has no solution."""
    drawn, catalogue = doors.read_design(doors.EXAMPLES / "hall-bench.toml")
    text = f'[[readings]]\nrun = "back rail"\nat = "start"\nvolts = "{volts}"\n{meter}'
    assert doors.refitted(drawn, catalogue, text) != "refused"


@settings(hostile, max_examples=15)
@given(wanted=legal.searches())
def test_searches_at_the_ends_of_what_is_allowed_find_or_say_what_gives_way(shop, wanted):
    asked, ask = wanted
    text = doors.DEMO.replace(
        '[ask]\nhours_a_charge = "6 h"\nlight_fall = "10 %"', f"{ask}\n\n{asked}"
    )
    assert asked in text
    drawn, catalogue = doors.read_design(shop.write("bench.toml", text))
    end = time.monotonic() + 1.0
    # Searched to the end or for a second, as when a maker presses Ctrl-C.
    doors.searched(drawn, catalogue, lambda _: time.monotonic() > end)


@pytest.mark.parametrize(
    "words",
    [
        ("--most", "0"),
        ("--most", "1001"),
        ("--most", "1e3"),
        ("--open", "wood"),
        ("--open", ""),
        ("--matters", "\x1b[31m"),
        ("--open",),
        ("--save", "/dev/null"),
        ("--save", "/proc/none"),
        ("--catalog", "/dev/zero"),
    ],
    ids=" ".join,
)
def test_flags_of_a_search_that_cannot_be_used_are_told_so(words):
    demo = str(doors.EXAMPLES / "hall-bench.toml")
    # What is already fixed is found soonest; where to save is known only after that.
    open_one = () if "--open" in words else ("--open", "wire")
    assert doors.flags(["find", demo, *open_one, *words], seconds=20).exit_code == 2
