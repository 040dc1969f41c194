"""What holds for the answer of any design."""

import dataclasses
import math
from collections.abc import Mapping

import pytest
from designs import (
    catalogue_with,
    design,
    designs,
    evening,
    feed,
    mistakes,
    parts,
    run,
    some,
    supply,
)
from hypothesis import given

from lightcalc.answers.answer import answer
from lightcalc.design.piece import Ask, Lead


def numbers(value, place="answer"):
    """Every float in a result, with its place."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from numbers(getattr(value, field.name), f"{place}.{field.name}")
    elif isinstance(value, Mapping):
        for key, entry in value.items():
            yield from numbers(entry, f"{place}[{key}]")
    elif isinstance(value, list | tuple):
        for number, entry in enumerate(value):
            yield from numbers(entry, f"{place}[{number}]")
    elif isinstance(value, float):
        yield place, value


def check_numbers(made, catalogue=None):
    found = answer(made, catalogue or parts())
    seen = 0
    for place, value in numbers(found):
        assert math.isfinite(value), (place, value)
        seen += 1
    assert seen > 100
    return found


@some
@given(designs())
def test_every_number_of_an_answer_is_finite(made):
    check_numbers(made)


ONE_UNIT = run("strip-12v-60-warm", 0.05)
ENDS = (feed(0.0, name="near"), feed(5.0, name="far"))
RADIO = "receiver-radio-1ch"
EXTREMES = {
    "one cut unit": design(ONE_UNIT),
    "one cut unit fed at both ends": design(
        run("strip-12v-60-warm", 0.05, feeds=(feed(0.0, name="a"), feed(0.05, name="b")))
    ),
    "a whole reel": design(
        run("strip-24v-168-warm", 10.0), supplies=(supply("liion-6s-5200", None),)
    ),
    "dimmed to a thousandth": design(supplies=(supply(controller=RADIO),), use=evening(0.001)),
    "frost": design(use=evening(temperature_c=-20.0)),
    "heat": design(use=evening(temperature_c=60.0)),
    "a pack that sags too low for its converter": design(
        run(length_m=2.0), supplies=(supply("aa-alkaline-4", "buckboost-adjustable-2a"),)
    ),
    "a pack too weak to start": design(
        run("strip-12v-120-warm", 5.0, feeds=ENDS),
        supplies=(supply("aa-alkaline-8", None, health_ratio=0.2),),
        use=evening(temperature_c=-20.0),
    ),
    "a pack too low for the LEDs": design(supplies=(supply("aa-alkaline-4", None),)),
    "a bank that falls asleep": design(
        run("strip-5v-60-warm", 0.05), supplies=(supply("usb-20000", None),)
    ),
    "pixels by the reel": design(
        run("strip-5v-pixel-60", 5.0, feeds=ENDS),
        supplies=(supply("liion-4s-6800", "buck-5v-5a", controller="receiver-radio-pixel"),),
    ),
    "an evening of a minute a year": design(use=evening(hours=1 / 60, evenings_a_week=0.02)),
}


@pytest.mark.parametrize("extreme", EXTREMES)
def test_at_the_extremes_numbers_stay_finite(extreme):
    assert not mistakes(EXTREMES[extreme])
    check_numbers(EXTREMES[extreme])


def test_a_pack_that_leaks_nothing_and_is_switched_off_lasts_long_but_not_forever():
    tight = catalogue_with("packs", "liion-4s-6800", self_discharge_per_month=0.0)
    check_numbers(design(supplies=(supply(switched_off=True),)), tight)


def test_every_part_of_a_design_is_answered_once():
    trunk = Lead("trunk", 0.4)
    front = run(name="front", feeds=(feed(parent="trunk", name="front lead"),))
    back = run(name="back", supply="other", feeds=(feed(name="back lead"),))
    made = design(front, back, supplies=(supply(), supply(name="other")), trunks=(trunk,))
    found = answer(made, parts())
    assert [one.run for one in found.runs] == ["front", "back"]
    assert [one.supply for one in found.supplies] == ["box", "other"]
    leads = sorted(wire.lead for wire in found.wires)
    assert leads == ["back lead", "box pack lead", "front lead", "other pack lead", "trunk"]
    assert {fuse.supply for fuse in found.fuses} == {"box", "other"}


def test_an_answer_stops_when_a_finding_does():
    assert not answer(design(), parts()).stops
    assert answer(design(use=evening(temperature_c=-20.0)), parts()).stops


def test_what_was_asked_is_repeated_in_hours():
    assert answer(design(ask=Ask(charge_s=7200.0)), parts()).asked_h == 2.0
    assert answer(design(), parts()).asked_h is None


def test_a_connector_is_two_contacts_in_the_way():
    # 30 mohm a contact for plug-usb; the current goes out through one and back through one.
    plain = design(supplies=(supply("liion-3s-5200", None),))
    plugged = design(supplies=(supply("liion-3s-5200", None, connectors=("plug-usb",)),))
    without, through = (answer(made, parts()).runs[0] for made in (plain, plugged))
    assert without.fed_v - through.fed_v == pytest.approx(2 * 0.030 * through.amps_a, rel=0.15)


def test_the_same_design_is_answered_the_same_twice():
    made = design(use=evening(0.4, 1.0), supplies=(supply(controller="receiver-radio-1ch"),))
    assert answer(made, parts()) == answer(made, parts())
