"""Numbers and codes in the maker's words."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc import units
from lightcalc.answers import endurance
from lightcalc.answers.words import CHEMISTRIES, DECIDED_BY, ENDED_BY, REMEDIES, VERDICTS, Shower
from lightcalc.parts.kinds import Chemistry
from lightcalc.physics.circuit.wire import Demand
from lightcalc.physics.dots.dots import Remedy, Visibility

METRIC, INCH = Shower("metric"), Shower("inch")


def test_every_code_of_the_answers_has_its_words():
    usual = {*endurance.ENDED_BY.values(), "converter", "ran down unlit", "auto-off"}
    assert usual <= set(ENDED_BY)
    assert {str(verdict) for verdict in Visibility} == set(VERDICTS)
    assert {str(remedy) for remedy in Remedy} == set(REMEDIES)
    assert {*get_args(Demand), "thinnest on offer"} == set(DECIDED_BY)
    assert set(get_args(Chemistry)) == set(CHEMISTRIES)


def test_words_for_codes_are_sentences():
    for words in (*ENDED_BY.values(), *VERDICTS.values(), *filter(None, REMEDIES.values())):
        assert words.endswith(".")


def test_one_shower_shows_one_system():
    # 5 ft 3 in is 1.6002 m, 20 degC is 68 degF and 2 lb are 907.2 g (NIST SP 811, appendix B).
    assert (METRIC.length(1.6002), INCH.length(1.6002)) == ("1.6 m", "5 ft 3 in")
    assert (METRIC.temperature(20.0), INCH.temperature(20.0)) == ("20 °C", "68 °F")
    assert (METRIC.mass(0.9072), INCH.mass(0.9072)) == ("910 g", "2 lb")
    assert (METRIC.power_per_length(14.4), INCH.power_per_length(14.4)) == ("14 W/m", "4.4 W/ft")
    assert METRIC.volts(12.0) == INCH.volts(12.0) == "12 V"


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (METRIC.hours(2.5), "2 h 30 min"),
        (METRIC.amps(0.52), "520 mA"),
        (METRIC.power(12.34), "12 W"),
        (METRIC.light(590.4), "590 lm"),
        (METRIC.ratio(0.9234), "92 %"),
        (METRIC.number(104.3), "100"),
        (METRIC.number(12345.6), "12,000"),
        (METRIC.ratio(1e-6), "below 0.01 %"),
        (METRIC.ratio(0.027), "2.7 %"),
        (METRIC.days(1.2), "about 1 day"),
        (METRIC.long_time(14.6), "15 days"),
        (METRIC.years(1.02), "1 year"),
        (METRIC.meter_volts(11.876), "11.88 V"),
        (METRIC.meter_volts(5.082), "5.08 V"),
        (METRIC.meter_volts(0.0042), "4.2 mV"),
        (METRIC.named("hours_h", 2.5), "2 h 30 min"),
        (METRIC.named("packs_count", 1234), "1,234"),
        (METRIC.named("decided_by", "mechanical minimum"), "strength"),
        (METRIC.named("surface", "the floor"), "the floor"),
        (METRIC.days(15.2), "about 15 days"),
        (METRIC.days(1000.0), "about 2.7 years"),
        (METRIC.days(1e7), "about 10 years or more"),
    ],
)
def test_numbers_have_the_digits_that_are_known(shown, text):
    assert shown == text


@given(st.floats(0.01, 1e4))
def test_what_is_shown_can_be_read_again(hours_h):
    # Two digits: never off by more than a twentieth.
    assert units.read(METRIC.hours(hours_h), "time") == pytest.approx(hours_h * 3600.0, rel=0.051)


@given(st.floats(0.0, 1e6))
def test_a_pattern_is_far_below_near_or_far_above_what_the_eye_can_see(times):
    text = METRIC.multiple(times)
    assert text.endswith("what the eye can just see")
    assert text.startswith("far below") == (times < 0.1)
    assert text.startswith("more than 100 times") == (times > 100.0)


def test_a_code_that_has_no_words_is_a_mistake_of_the_program():
    with pytest.raises(KeyError):
        METRIC.named("decided_by", "the moon")
