"""Each finding about power appears where it is deserved, with its grade, and nowhere else."""

import math
import re

import pytest
from designs import (
    catalogue_with,
    design,
    designs,
    evening,
    feed,
    few,
    mistakes,
    parts,
    run,
    some,
    supply,
)
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.answer import answer
from lightcalc.answers.findings.finding import GRADES, Finding, worst_first
from lightcalc.design.piece import Ask

RADIO = "receiver-radio-1ch"
UNITS = ("_a", "_v", "_w", "_wh", "_h", "_d", "_m", "_c", "_hz", "_ratio", "_w_per_m")
UNITS += ("_kg", "_n", "_db", "_years", "_count")
FIVE = ("strip-5v-60-warm", 0.5)


def findings(made, catalogue=None):
    return answer(made, catalogue or parts()).findings


def graded(made, code, catalogue=None):
    return [finding.grade for finding in findings(made, catalogue) if finding.code == code]


def asked(hours, **changes):
    return design(ask=Ask(charge_s=hours * 3600.0), **changes)


def of(*strip, use=None, **source):
    """Return a design of one run and one supply."""
    return design(run(*strip), supplies=(supply(**source),), use=use)


PLAIN = of()
PAIR = tuple(run("strip-12v-120-warm", 2.5, name=name) for name in ("front", "back"))
BANK = {"pack": "usb-20000", "converter": None}
CASES = {
    "no-light": ("stop", of("strip-5v-60-warm", 0.05, pack="usb-20000", converter=None), PLAIN),
    "hours-short": ("stop", asked(24.0), asked(6.0)),
    "hours-close": ("caution", asked(11.5), asked(6.0)),
    "pack-current": (
        "stop",
        of("strip-12v-120-warm", 2.0, pack="nimh-aa-4-2000", converter="boost-12v-1a5"),
        of("strip-12v-120-warm", 0.5, pack="nimh-aa-4-2000", converter="boost-12v-1a5"),
    ),
    "bank-limit": ("stop", of("strip-5v-pixel-60", 1.5, **BANK), of(*FIVE, **BANK)),
    "bank-sleeps": (
        "caution",
        of(*FIVE, **BANK, controller=RADIO),
        of(*FIVE, pack="usb-20000-stays-on", converter=None, controller=RADIO),
    ),
    "pack-temperature": ("stop", of(use=evening(temperature_c=-15.0)), PLAIN),
    "flat-unlit": ("caution", of(controller=RADIO), of(controller=RADIO, switched_off=True)),
    "pack-shipping": ("note", of(pack="lifepo4-8s-12000", converter="buck-12v-5a"), PLAIN),
    "converter-limit": (
        "stop",
        of("strip-12v-120-warm", 4.0, pack="liion-1s-10000", converter="boost-12v-1a5"),
        PLAIN,
    ),
    "converter-warm": (
        "caution",
        of("strip-12v-120-warm", 2.5, pack="liion-3s-5200", converter="buckboost-adjustable-2a"),
        of("strip-12v-120-warm", 2.5),
    ),
    "no-dimmer": ("stop", of(use=evening(0.5)), of(use=evening(0.5), controller=RADIO)),
    "controller-current": (
        "stop",
        design(*PAIR, supplies=(supply(controller="dimmer-touch-1ch"),)),
        design(*PAIR, supplies=(supply(controller=RADIO),)),
    ),
    "controller-volts": (
        "stop",
        of(*FIVE, converter="buck-5v-5a", controller="receiver-radio-4ch"),
        of(*FIVE, converter="buck-5v-5a", controller=RADIO),
    ),
    "flicker": (
        "note",
        of(use=evening(0.5), controller="receiver-infrared-1ch"),
        of(use=evening(0.5), controller=RADIO),
    ),
    "overvolt": (
        "stop",
        of(pack="liion-4s-6800", converter=None),
        of(pack="liion-3s-5200", converter=None),
    ),
    "dims-with-pack": ("note", of(pack="liion-3s-5200", converter=None), PLAIN),
}


@pytest.mark.parametrize("code", CASES)
def test_a_finding_appears_where_it_is_deserved_and_not_elsewhere(code):
    grade, deserving, innocent = CASES[code]
    assert not mistakes(deserving)
    assert not mistakes(innocent)
    assert graded(deserving, code) == [grade]
    assert graded(innocent, code) == []


def test_a_plain_design_has_nothing_to_stop_it():
    assert [finding for finding in findings(PLAIN) if finding.grade == "stop"] == []


def test_near_its_limit_a_pack_is_a_caution_and_past_it_a_stop():
    made = of("strip-12v-120-warm", 1.5, pack="liion-3s-5200", converter="buckboost-12v-4a")
    peak_a = answer(made, parts()).supplies[0].pack_peak_a
    for allowed_a, grades in (
        (1.5 * peak_a, []),
        (1.1 * peak_a, ["caution"]),
        (0.9 * peak_a, ["stop"]),
    ):
        catalogue = catalogue_with("packs", "liion-3s-5200", max_amps=allowed_a)
        assert graded(made, "pack-current", catalogue) == grades


@pytest.mark.parametrize(
    ("pack", "strip", "grades"),
    [
        # Full volts over rated volts: 1.05, 1.07, 1.4; regulated strips are no safer.
        ("liion-3s-5200", "strip-12v-cc-60-warm", []),
        ("aa-alkaline-8", "strip-12v-60-warm", ["caution"]),
        ("liion-4s-6800", "strip-12v-pixel-60", ["stop"]),
        ("liion-4s-6800", "strip-12v-cc-60-warm", ["stop"]),
    ],
)
def test_too_many_volts_are_found_on_every_kind_of_strip(pack, strip, grades):
    assert graded(of(strip, 0.5, pack=pack, converter=None), "overvolt") == grades


def test_a_controller_that_starves_before_the_pack_is_empty_is_a_caution():
    made = of(
        "strip-12v-rgb-60",
        0.5,
        pack="liion-3s-5200",
        converter=None,
        controller="receiver-infrared-3ch",
    )
    assert graded(made, "controller-volts") == ["caution"]


def test_a_boost_converter_below_the_packs_volts_lets_them_through():
    made = of("strip-12v-60-warm", 0.5, pack="liion-3s-5200", converter="boost-12v-3a")
    wide = catalogue_with("converters", "boost-12v-3a", input_max_v=20.0)
    assert not mistakes(made, wide)
    assert graded(made, "boost-passes", wide) == ["caution"]
    assert graded(of(), "boost-passes", wide) == []


def test_a_dimmer_on_a_sleeping_bank_is_a_note_and_no_controller_is_nothing():
    dimmer = of(*FIVE, **BANK, controller="dimmer-inline-1ch")
    assert graded(dimmer, "bank-sleeps") == ["note"]
    assert graded(of(*FIVE, **BANK), "bank-sleeps") == []
    assert graded(of(*FIVE, **BANK, controller=RADIO, switched_off=True), "bank-sleeps") == []


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ({"pack": "aa-alkaline-4", "converter": None}, "volts are too low for the LEDs"),
        (
            {"pack": "aa-alkaline-4", "converter": "buckboost-adjustable-2a"},
            "too low for the converter",
        ),
        ({"pack": "usb-20000", "converter": None}, "switches itself off"),
    ],
)
def test_no_light_says_why(source, words):
    bank = source["pack"] == "usb-20000"
    strip = ("strip-5v-60-warm", 0.05) if bank else ("strip-12v-60-warm", 2.0)
    (finding,) = [f for f in findings(of(*strip, **source)) if f.code == "no-light"]
    assert words in finding.why


@few
@given(short_by=st.floats(1.05, 8.0))
def test_the_cells_that_hours_short_asks_for_are_about_enough(short_by):
    box = (supply(switched_off=True),)
    lasts_h = answer(of(switched_off=True), parts()).supplies[0].hours_h
    made = asked(lasts_h * short_by, supplies=box)
    (finding,) = [f for f in findings(made) if f.code == "hours-short"]
    times = float(re.search(r"about ([\d.]+) times", finding.remedy).group(1))
    assert times == pytest.approx(short_by, rel=0.06)
    more = math.ceil(times * 1.1)
    enough = asked(lasts_h * short_by, supplies=(supply(pack_multiple=more, switched_off=True),))
    assert graded(enough, "hours-short") == []


def test_the_limit_finding_states_what_full_level_would_take():
    made = of("strip-12v-120-warm", 4.0, pack="liion-1s-10000", converter="boost-12v-1a5")
    (finding,) = [f for f in findings(made) if f.code == "converter-limit"]
    # 38.4 W at 12 V are 3.2 A, less the fall along the run.
    assert 2.0 < finding.figures["wanted_a"] < 3.2
    assert finding.figures["limit_a"] == 1.5


@some
@given(designs())
def test_every_finding_is_a_sentence_with_figures_in_named_units(made):
    found = findings(made)
    assert [GRADES.index(f.grade) for f in found] == sorted(GRADES.index(f.grade) for f in found)
    for finding in found:
        assert finding.why.endswith(".")
        assert finding.remedy.endswith(".")
        assert finding.why[0].isupper() or finding.why[0].isdigit()
        assert finding.where
        for key, value in finding.figures.items():
            assert key.endswith(UNITS), key
            assert math.isfinite(value), (finding.code, key)
        assert "nan" not in f"{finding.why} {finding.remedy}".lower().split()


def test_findings_of_one_grade_keep_their_order():
    made = [
        Finding(str(n), grade, "", "", "")
        for n, grade in enumerate(["note", "stop", "note", "stop"])
    ]
    assert [finding.code for finding in worst_first(made)] == ["1", "3", "0", "2"]


def test_each_of_several_supplies_has_findings_of_its_own():
    made = design(
        run(name="front"),
        run(name="back", supply="spare"),
        supplies=(
            supply(controller=RADIO),
            supply(name="spare", controller=RADIO, switched_off=True),
        ),
    )
    assert graded(made, "flat-unlit") == ["caution"]
    assert len(answer(made, parts()).supplies) == 2
    assert feed().lead.wire is None
