"""Readings and searches at the ends of what is allowed have an answer, and are no fault."""

import time

import doors
import legal
import pytest
from hypothesis import given, settings

from lightcalc.answers.bench.bench import bench
from lightcalc.answers.finder.find import find
from lightcalc.design.read_readings import readings_in
from lightcalc.screens.bench_sheet import bench_sheet
from lightcalc.screens.find_sheet import find_sheet
from lightcalc.screens.json_door import to_json

hostile = settings(settings.get_profile("hostile"), max_examples=25)
# A converter, none, and a bank: runs of the design, its supply, whether straight on a pack.
BENCHES = {
    "hall-bench.toml": (("front rail", "back rail"), "seat box", False),
    "bedside-shelf.toml": (("shelf edge",), "drawer", True),
}


def refitted(drawn, catalogue, text):
    """Refit a design from a text of readings; hold that the answer can be shown both ways."""
    try:
        found = readings_in(text, "readings.toml", drawn, catalogue)
    except doors.BadInput as bad:
        return doors.told(bad)
    with doors.watched(10), doors.numbers_alone():
        result = bench(drawn, catalogue, found)
    assert all(doors.math.isfinite(value) for _, value in doors.floats_in(result))
    doors.json.loads(to_json(result))
    doors.on_one_screen(bench_sheet(result))
    return result.verdict


@pytest.mark.parametrize("name", BENCHES)
def test_readings_at_the_ends_of_what_is_allowed_are_compared(name):
    drawn, catalogue = doors.read_design(doors.EXAMPLES / name)
    runs, supply, straight = BENCHES[name]
    verdicts = set()

    @hostile
    @given(text=legal.readings(runs, supply, straight=straight))
    def case(text):
        verdicts.add(refitted(drawn, catalogue, text))

    case()
    assert len(verdicts - {"refused"}) > 1


@pytest.mark.parametrize("meter", ["", 'meter = "0 % + 0 V"'])
@pytest.mark.parametrize("volts", ["-60 V", "60 V", "0 V"])
def test_one_reading_that_nothing_explains_is_told_as_that(volts, meter):
    """The likeliest figures then lay where the wiring has no solution."""
    drawn, catalogue = doors.read_design(doors.EXAMPLES / "hall-bench.toml")
    text = f'[[readings]]\nrun = "back rail"\nat = "start"\nvolts = "{volts}"\n{meter}'
    assert refitted(drawn, catalogue, text) != "refused"


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
    with doors.numbers_alone():
        # Searched to the end or for a second, as when a maker presses Ctrl-C.
        result = find(drawn, catalogue, lambda _: time.monotonic() > end).search
    assert all(doors.math.isfinite(value) for _, value in doors.floats_in(result))
    doors.json.loads(to_json(result))
    doors.on_one_screen(find_sheet(result, 1000))


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
