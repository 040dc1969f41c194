"""What a design says of joints, packs and remotes is read whole, or each mistake is told."""

import math

import pytest

from lightcalc.design.service import Crossing, Joint, Service
from lightcalc.problems import BadInput


@pytest.fixture
def bench(sketch):
    """A bench whose back run crosses a joint with a plug, and whose pack is held."""
    sketch.put("joints", [{"name": "seat to base", "reached_from": "Pack side"}])
    sketch.put("runs.1.feeds.0.crosses", ["seat to base"])
    sketch.put("runs.1.feeds.0.connector", "plug-small-2")
    sketch.put("runs.1.feeds.0.connector_side", "pack side")
    sketch.put("supplies.0.controller", "receiver-radio-1ch")
    for key, value in {
        "reach": "lift off the seat",
        "held_by": "Hook and loop",
        "held_area": "40 cm2",
        "overhead": True,
        "box": "wood",
        "sees_user": False,
        "remote": "hall remote",
        "remote_code": "A",
    }.items():
        sketch.put(f"supplies.0.{key}", value)
    return sketch


def test_all_that_is_said_of_service_comes_out(bench):
    design = bench.read()
    assert design.joints == (Joint("seat to base", True, "pack side"),)
    lead = design.runs[1].feeds[0].lead
    assert lead.crossing == Crossing(("seat to base",), "plug-small-2", "pack side")
    said = design.supplies[0].service
    assert said.held_area_m2 == pytest.approx(0.004)
    assert said == Service(
        reach="lift off the seat",
        held_by="hook and loop",
        held_area_m2=said.held_area_m2,
        overhead=True,
        box="wood",
        sees_user=False,
        remote="hall remote",
        remote_code="A",
    )


def test_a_design_that_says_nothing_of_service_holds_nothing(sketch):
    design = sketch.read()
    assert design.joints == ()
    assert design.supplies[0].service == Service()
    assert design.supplies[0].crossing == design.runs[0].feeds[0].lead.crossing == Crossing()


@pytest.mark.parametrize(
    ("place", "value", "sentence"),
    [
        ("joints", "seat", 'joints: found "seat"; write each one like this: [[joints]] on a line'),
        ("joints.0.name", ..., "joints.1.name: is missing"),
        ("joints.0.removable", "yes", 'found "yes"; write true or false, with no quotes.'),
        ("joints.0.reached_from", "above", 'found "above"; allowed are: pack side, strip side'),
        ("joints.0.side", "x", "joints.seat to base.side: is not a known key"),
        ("joints.1", {"name": "seat to base"}, 'found "seat to base" 2 times'),
        ("runs.1.feeds.0.crosses", ["seat to bas"], 'did you mean "seat to base"?'),
        ("runs.1.feeds.0.crosses", "seat", 'found "seat"; write a list of texts'),
        ("runs.1.feeds.0.connector", "plug", 'found "plug", which is no connector'),
        ("runs.1.feeds.0.connector", ..., "connector_side: stands alone"),
        ("runs.1.feeds.0.connector_side", "left", 'found "left"; allowed are: pack side, strip'),
        ("trunks.0.crosses", ["lid"], 'trunks.trunk.crosses: found "lid", which is no joint'),
        ("supplies.0.crosses", ["lid"], 'supplies.main.crosses: found "lid", which is no joint'),
        ("supplies.0.connector", "plug-small-2", "supplies.main.connector: is not a known key"),
        ("supplies.0.sealed", True, 'sealed: is true, and reach says "lift off the seat"'),
        ("supplies.0.held_by", "glue", 'found "glue"; allowed are: hook and loop, clips'),
        ("supplies.0.held_by", "clips", 'held_area: goes with held_by = "hook and loop"'),
        ("supplies.0.held_by", ..., 'held_area: goes with held_by = "hook and loop"'),
        ("supplies.0.held_count", 2, 'held_count: goes with held_by = "clips" or "screws"'),
        ("supplies.0.held_count", 1.5, "held_count: found 1.5; write a whole number"),
        ("supplies.0.held_area", "40 cm", "held_area: "),
        ("supplies.0.held_area", "2 m2", "it must be from"),
        ("supplies.0.box", "paper", 'found "paper"; allowed are: wood, plastic, metal.'),
        ("supplies.0.sees_user", "yes", 'found "yes"; write true or false'),
        ("supplies.0.controller", ..., "remote_code: goes with a receiver"),
        ("supplies.0.controller", "dimmer-smooth-1ch", "sees_user: goes with a receiver"),
    ],
)
def test_each_mistake_is_told_with_its_place_and_fix(bench, place, value, sentence):
    told = bench.put(place, value).told()
    assert any(sentence in one for one in told), told


def test_a_hostile_name_of_a_joint_is_shown_without_its_signs(bench):
    bench.put("runs.1.feeds.0.crosses", ["\u202e<b>=1"])
    told = "\n".join(bench.told())
    assert "\u202e" not in told


JUNK = [
    None,
    True,
    -1,
    1.5,
    math.nan,
    10**400,
    "",
    "é\u202e\0",
    "a" * 700,
    [],
    {},
    [[]],
    [None],
    "3 kg",
]
KEYS = [
    *(f"joints.0.{key}" for key in ("name", "removable", "reached_from")),
    *(f"runs.1.feeds.0.{key}" for key in ("crosses", "connector", "connector_side")),
    *(
        f"supplies.0.{key}"
        for key in [
            "crosses",
            "connector_side",
            "reach",
            "sealed",
            "held_by",
            "held_area",
            "held_count",
            "overhead",
            "box",
            "sees_user",
            "sensor_at",
            "remote",
            "remote_code",
        ]
    ),
]


@pytest.mark.parametrize("place", KEYS)
def test_junk_under_any_key_is_told_in_sentences_or_let_be(bench, place):
    for junk in JUNK:
        try:
            bench.put(place, junk).read()
        except BadInput as bad:
            for problem in bad.problems:
                assert str(problem).isprintable()
                assert len(str(problem)) < 900
