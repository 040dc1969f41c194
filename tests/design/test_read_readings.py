"""Bench readings are read whole or not at all, with every mistake told in one go."""

from dataclasses import replace
from pathlib import Path

import pytest

from lightcalc.design.read import read_design
from lightcalc.design.read_readings import far_end_m, read_readings
from lightcalc.design.readings import USUAL_ACCURACY, Accuracy
from lightcalc.problems import BadInput

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
HALL, CABINET, SHELF = (
    read_design(EXAMPLES / f"{name}.toml")
    for name in ("hall-bench", "display-cabinet", "bedside-shelf")
)
VOLTS = 'at = "start"\nvolts = "11.9 V"'
FRONT = 'run = "front rail"'


@pytest.fixture
def reads(tmp_path):
    def read(*entries, head="", drawn=HALL):
        path = tmp_path / "readings.toml"
        path.write_text(head + "".join(f"\n[[readings]]\n{entry}\n" for entry in entries))
        return read_readings(path, *drawn)

    return read


@pytest.fixture
def told(reads):
    def tell(*entries, **changes):
        with pytest.raises(BadInput) as caught:
            reads(*entries, **changes)
        return [str(problem) for problem in caught.value.problems]

    return tell


def one(readings):
    (reading,) = readings.readings
    return reading


def test_the_example_is_read():
    found = read_readings(EXAMPLES / "hall-bench-readings.toml", *HALL)
    assert len(found.readings) == 11
    assert {reading.probe.supply for reading in found.readings} == {"seat box"}
    assert found.notes.startswith("Pack charged overnight")


def test_volts_on_a_run_come_out_in_si_with_the_place_in_metres(reads):
    reading = one(reads(f'{FRONT}\nat = "far end"\nvolts = "11400 mV"\nname = "second try"'))
    assert reading.value == pytest.approx(11.4)
    assert (reading.name, reading.meter) == ("second try", USUAL_ACCURACY["voltage"])
    probe = reading.probe
    assert (probe.place, probe.run, probe.quantity) == ("pad", "front rail", "voltage")
    assert probe.at_m == pytest.approx(1.4)


@pytest.mark.parametrize(
    ("at", "place", "at_m"),
    [
        ("start", "pad", 0.0),
        ("End", "pad", 1.4),
        ("middle", "pad", 0.7),
        ("30 cm", "pad", 0.3),
        ("1 ft", "pad", 0.3048),
        ("feed", "pad", 0.0),
        ("lead 1", "lead", 0.0),
    ],
)
def test_places_on_a_run_as_people_write_them(reads, at, place, at_m):
    probe = one(reads(f'{FRONT}\nat = "{at}"\nvolts = "-3 V"')).probe
    assert (probe.place, probe.at_m) == (place, pytest.approx(at_m))


def test_the_far_end_is_as_far_from_every_feed_as_can_be():
    design, catalogue = CABINET
    left, _, top = design.runs
    # Fed at both ends the middle is darkest; fed in the middle an end is.
    assert far_end_m(left, catalogue.strips[left.strip]) == pytest.approx(0.6)
    assert far_end_m(top, catalogue.strips[top.strip]) == pytest.approx(0.7)


def test_currents_are_of_a_run_of_a_feed_or_of_a_supply(reads):
    run = 'run = "left side"\namps = "1 A"'
    found = reads(
        run,
        f'{run}\nat = "feed 2"\nlevel = "40 %"',
        'amps = "2 A"',
        'at = "output"\namps = "2 A"',
        drawn=CABINET,
    )
    probes = [reading.probe for reading in found.readings]
    assert [probe.place for probe in probes] == ["run", "lead", "pack", "output"]
    assert (probes[1].feed, probes[1].level_ratio) == (1, 0.4)


def test_volts_of_a_pack_lit_and_rested_and_times(reads):
    found = reads(
        'at = "pack"\nvolts = "16.7 V"\nstate = "rested"',
        'at = "pack"\nvolts = "15 V"\nlit = "90 min"\nlevel = "60 %"',
        'time = "7 h 10 min"',
    )
    rested, lit, time = (reading.probe for reading in found.readings)
    assert (rested.rested, rested.lit_s) == (True, 0.0)
    assert (lit.rested, lit.lit_s, lit.level_ratio) == (False, 5400.0, 0.6)
    assert (time.place, time.until) == ("light", "out")
    half = one(reads('time = "3 h"\nuntil = "half light"', drawn=SHELF)).probe
    assert half.until == "half light"


def test_accuracy_is_of_the_file_or_of_one_reading(reads):
    head = '[meter]\nvolts = "0.5 %"\namps = "2 % + 10 mA"\n'
    amps = f'{FRONT}\namps = "500 mA"'
    found = reads(
        f"{FRONT}\n{VOLTS}", amps, f'{amps}\nmeter = "30 mA"', 'time = "7 h"', head=head
    ).readings
    assert found[0].meter == Accuracy(0.005, 0.0)
    assert found[1].meter == Accuracy(0.02, pytest.approx(0.01))
    assert found[2].meter == Accuracy(0.0, pytest.approx(0.03))
    assert found[3].meter == USUAL_ACCURACY["time"]


def test_every_mistake_is_told_at_once(told):
    found = told(
        'run = "frnt rail"\nat = "start"\nvolts = "11.9 V"',
        f'{FRONT}\nat = "strat"\nvolts = "11.9 V"',
        f'{FRONT}\nat = "start"',
        f'{FRONT}\nvolts = "11.9 V"\namps = "1 A"',
        f'{FRONT}\nat = "start"\nvolts = "11.9"',
        head="format = 9\nspeed = 3\n",
    )
    text = "\n".join(found)
    assert len(found) == 7
    for words in (
        "format: found 9",
        "speed: is not a known key",
        'did you mean "front rail"?',
        'did you mean "start"?',
        "found no value",
        "found volts and amps",
        "a voltage needs a unit",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (f'{FRONT}\n{VOLTS}\nlevel = "60 %"', "a dimmer chops the light"),
        (f'{FRONT}\ntime = "3 h"', "is of a whole supply"),
        (f'{FRONT}\nvolts = "11.9 V"', "write where on the run"),
        (f'{FRONT}\nat = "2 m"\nvolts = "11.9 V"', "the run is 1.42 m long"),
        (f'{FRONT}\nat = "feed 2"\nvolts = "11.9 V"', "the run has 1, counted from 1"),
        (f'{FRONT}\nat = "start"\namps = "1 A"', "the current is of the whole run"),
        (f'{FRONT}\nat = "start"\nvolts = "230 V"', "it must be from -60 V to 60 V"),
        ('volts = "16 V"', 'write at = "pack" or at = "output"'),
        ('at = "battery"\nvolts = "16 V"', "allowed are: pack, output"),
        ('supply = "box"\nat = "pack"\nvolts = "16 V"', 'found "box"'),
        ('at = "pack"\namps = "1 A"\nstate = "rested"', "gives no current"),
        ('time = "3 h"\nuntil = "half light"', "a converter holds the light"),
        ('at = "pack"\nvolts = "-1 V"', "it must be from 0 to 60 V"),
        (f'{FRONT}\n{VOLTS}\nmeter = "good"', 'meter = "1 % + 0.05 V"'),
        (f'{FRONT}\n{VOLTS}\nmeter = "70 %"', "it must be from 0 to 50 %"),
        (f'{FRONT}\n{VOLTS}\nchannel = "red"', "is not a known key"),
    ],
)
def test_what_makes_no_sense_is_told_with_the_fix(told, entry, words):
    found = told(entry)
    assert any(words in sentence for sentence in found), found


def test_places_that_a_source_does_not_have_are_refused(told, reads):
    assert "there is no converter" in told('at = "output"\nvolts = "12 V"', drawn=SHELF)[0]
    assert "several returns" in told('run = "top"\nat = "end"\nvolts = "23 V"', drawn=CABINET)[0]
    warm = reads('run = "top"\nat = "end"\nvolts = "23 V"\nchannel = "cool"', drawn=CABINET)
    assert one(warm).probe.channel == 1
    assert (
        'Write "feed 1"'
        in told('run = "left side"\nat = "feed"\nchannel = "warm"\nvolts = "23 V"', drawn=CABINET)[
            0
        ]
    )


def test_a_misspelt_key_is_told_and_not_only_missed(told):
    (text,) = told(f'{FRONT}\nat = "start"\nvolt = "11.9 V"')
    assert text.endswith('volt: is not a known key; did you mean "volts"?')


def test_a_piece_in_inches_is_told_of_in_inches(told):
    design, catalogue = HALL
    drawn = (replace(design, system="inch"), catalogue)
    (text,) = told(f'{FRONT}\nat = "80 in"\nvolts = "11.9 V"', drawn=drawn)
    assert text.endswith('found "80 in"; the run is 4 ft 7 7/8 in long.')  # 1.42 m
    (text,) = told(f'{FRONT}\nat = "80 in"\nvolts = "11.9 V"')
    assert text.endswith("the run is 1.42 m long.")


def test_readings_in_place_of_the_design_are_known_for_what_they_are():
    with pytest.raises(BadInput, match="the design comes first: bench DESIGN READINGS"):
        read_design(EXAMPLES / "hall-bench-readings.toml")


def test_a_file_with_no_readings_is_refused(told):
    assert "write at least one" in told()[0]
