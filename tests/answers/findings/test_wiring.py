"""Each finding about runs, wires, fuses, heat and dots appears where it is deserved."""

import re
from dataclasses import replace

import pytest
from designs import catalogue_with, design, evening, feed, mistakes, parts, run, supply

from lightcalc.answers.answer import answer
from lightcalc.answers.findings.wiring import CHANGES
from lightcalc.design.piece import Ask, Lead, Seen
from lightcalc.design.space import Mount


def findings(made, catalogue=None):
    return answer(made, catalogue or parts()).findings


def graded(made, code, catalogue=None):
    return [finding.grade for finding in findings(made, catalogue) if finding.code == code]


def of(*strip, lead=None, use=None, ask=None, seen=(), mounting="bare on wood", **source):
    feeds = (lead or feed(),)
    one = run(*strip, feeds=feeds, seen=seen, mounting=mounting)
    return design(one, supplies=(supply(**source),), use=use, ask=ask)


def placed(away_m, **source):
    """Return a design whose pack lies that far from the one feed, at the end of 50 cm of lead."""
    one = run(length_m=1.0, mounts=(Mount("m", ((0.0, 0.0, 0.4), (1.0, 0.0, 0.4)), "down"),))
    return design(one, supplies=(supply(at_m=(0.0, away_m, 0.4), **source),))


FLOOR_NEAR = (Seen("the floor", 0.01, 0.8),)
FLOOR_FAR = (Seen("the floor", 0.4, 2.0),)
SEAM = (Seen("the seam", 0.05, 1.0, sheet="resin-clear-10", thickness_m=0.02),)
LONG = ("strip-12v-120-warm", 4.0)
PLAIN = of()
CASES = {
    "cut-rounded": ("note", of("strip-12v-60-warm", 1.42), PLAIN),
    "dim": ("caution", of(pack="liion-3s-5200", converter=None), PLAIN),
    "light-fall": ("stop", of(*LONG), PLAIN),
    "connector-current": (
        "stop",
        of(*LONG, connectors=("plug-small-2",), pack="liion-3s-5200", converter="buckboost-12v-4a"),
        of(connectors=("plug-small-2",)),
    ),
    "connector-volts": (
        "stop",
        of(
            "strip-24v-cc-70-warm",
            0.5,
            connectors=("strip-clip-2",),
            pack="liion-6s-5200",
            converter=None,
        ),
        of(connectors=("plug-polarised-2",)),
    ),
    "no-wire": (
        "stop",
        of("strip-5v-60-warm", 2.0, lead=feed(lead_m=30.0), converter="buck-5v-5a"),
        PLAIN,
    ),
    "wire-thin": ("stop", of(lead=feed(wire="28 AWG")), of(lead=feed(wire="18 AWG"))),
    "wire-drop": (
        "caution",
        of("strip-12v-120-warm", 2.0, lead=feed(lead_m=10.0, wire="20 AWG")),
        of("strip-12v-120-warm", 2.0, lead=feed(lead_m=0.5, wire="20 AWG")),
    ),
    "fuse-unfit": ("stop", of(fuse="cartridge-0.5a"), of(fuse="cartridge-1a")),
    "limit-protects": ("note", PLAIN, of(pack="liion-3s-5200", converter=None)),
    "heat": (
        "stop",
        of("strip-24v-tunable-240", 0.5, pack="liion-6s-5200", converter="buckboost-24v-4a"),
        PLAIN,
    ),
    "dots": ("caution", of(seen=FLOOR_NEAR), of(seen=FLOOR_FAR)),
    "lead-short": ("stop", placed(1.2), placed(0.5)),
}


@pytest.mark.parametrize("code", CASES)
def test_a_finding_appears_where_it_is_deserved_and_not_elsewhere(code):
    grade, deserving, innocent = CASES[code]
    assert not mistakes(deserving)
    assert not mistakes(innocent)
    assert graded(deserving, code) == [grade]
    assert graded(innocent, code) == []


def test_no_fuse_says_what_must_change():
    # 5 m of strip at 0.11 ohm/m a rail leave some 6 A for a short at its far end; the load of 3 A
    # asks for a 4 A blade, which opens at 8 A.
    made = of(
        "strip-12v-120-warm", 5.0, lead=feed(lead_m=1.0), pack="liion-3s-5200", converter=None
    )
    (finding,) = [f for f in findings(made) if f.code == "no-fuse"]
    assert finding.grade == "stop"
    assert "opens at the far end" in finding.why
    assert "one more feed" in finding.remedy
    assert finding.figures["far_end_short_a"] < 2.0 * finding.figures["least_rating_a"]


def test_the_one_more_feed_that_no_fuse_asks_for_lets_a_fuse_open():
    one = run("strip-12v-60-warm", 4.0, feeds=(feed(0.0, 1.0),))
    ends = tuple(feed(at_m, 1.0, name=f"lead {at_m}") for at_m in (0.0, 4.0))
    both = run("strip-12v-60-warm", 4.0, feeds=ends)
    straight = (supply("liion-3s-5200", None),)
    assert graded(design(one, supplies=straight), "no-fuse") == ["stop"]
    assert graded(design(both, supplies=straight), "no-fuse") == []


def test_a_fall_in_light_is_a_caution_until_twice_what_was_asked():
    made = of("strip-12v-120-warm", 2.0)
    fall = answer(made, parts()).runs[0].light_fall_ratio
    for times, grades in ((1.1, []), (0.7, ["caution"]), (0.4, ["stop"])):
        strict = of("strip-12v-120-warm", 2.0, ask=Ask(light_fall_ratio=times * fall))
        assert graded(strict, "light-fall") == grades


def test_advice_against_a_fall_in_light_counts_the_feeds_that_are_there():
    ends = tuple(feed(at_m, name=f"lead {at_m}") for at_m in (0.0, 5.0))
    for feeds, advice in ((ends[:1], "at both ends"), (ends, "one more feed")):
        made = design(run("strip-12v-120-warm", 5.0, feeds=feeds), ask=Ask(light_fall_ratio=0.02))
        (finding,) = [f for f in findings(made) if f.code == "light-fall"]
        assert advice in finding.remedy


def test_a_run_whose_length_is_whole_units_is_not_said_to_be_cut():
    # 15 3/4 in are 400.05 mm, eight units and a hair.
    inches = replace(of("strip-12v-60-warm", 15.75 * 0.0254), system="inch")
    assert graded(inches, "cut-rounded") == []


def test_close_to_its_limit_heat_is_a_caution():
    warm = of("strip-12v-120-warm", 0.5)
    room_c = 20.0 + answer(warm, parts()).heat[0].limit_c - answer(warm, parts()).heat[0].strip_c
    assert graded(
        of("strip-12v-120-warm", 0.5, use=evening(temperature_c=room_c - 4.0)), "heat"
    ) == ["caution"]
    assert (
        graded(of("strip-12v-120-warm", 0.5, use=evening(temperature_c=room_c - 14.0)), "heat")
        == []
    )


def test_heat_a_hair_over_its_limit_does_not_read_as_heat_at_its_limit():
    heat = answer(of("strip-12v-120-warm", 0.5), parts()).heat[0]
    start_c = 20.0 + heat.limit_c - heat.strip_c
    for step in range(50):
        hot = evening(temperature_c=start_c + 0.1 * step)
        made = replace(of("strip-12v-120-warm", 0.5, use=hot), system="inch")
        (finding,) = [f for f in findings(made) if f.code == "heat"]
        if finding.grade == "stop":
            break
    assert finding.grade == "stop"
    strip_f, limit_f = re.findall(r"([0-9.]+) °F", finding.why)
    assert float(limit_f) <= float(strip_f) < float(limit_f) + 0.5
    assert ("just over" in finding.why) == (strip_f == limit_f)


def test_advice_against_heat_never_asks_for_the_channel_that_is_there():
    hot = ("strip-24v-tunable-240", 0.5)
    box = {"pack": "liion-6s-5200", "converter": "buckboost-24v-4a"}
    for mounting, advised in (("bare on wood", True), ("aluminium channel let in flush", False)):
        (finding,) = [f for f in findings(of(*hot, mounting=mounting, **box)) if f.code == "heat"]
        assert ("channel" in finding.remedy) == advised
        assert "W/m" in finding.remedy


def test_where_the_room_alone_is_too_warm_no_strip_is_advised():
    made = of(use=evening(temperature_c=58.0), mounting="cast in resin")
    (finding,) = [f for f in findings(made) if f.code == "heat"]
    assert "no strip" in finding.remedy


def test_dots_straight_through_a_sheet_are_not_cured_by_distance():
    (finding,) = [f for f in findings(of(seen=SEAM)) if f.code == "dots"]
    assert "More distance does not help" in finding.remedy
    (glow,) = [f for f in findings(of(seen=FLOOR_NEAR)) if f.code == "dots"]
    assert "Hidden from" in glow.remedy


def test_the_hiding_distance_that_dots_advises_hides_them():
    found = answer(of(seen=FLOOR_NEAR), parts()).dots[0]
    hidden = (Seen("the floor", found.hiding_distance_m * 1.01, 0.8),)
    assert graded(of(seen=hidden), "dots") == []


def test_a_named_fuse_is_held_against_every_demand():
    # A cartridge breaks 35 A; this pack gives 85 A.
    made = of(pack="liion-3s-5200", converter=None, pack_fuse="cartridge-2a")
    (finding,) = [f for f in findings(made) if f.code == "fuse-unfit"]
    assert "breaks the pack's short" in finding.why
    fuse = answer(made, parts()).fuses[0]
    assert (fuse.fuse, fuse.fits) == ("cartridge-2a", False)


def test_a_resettable_fuse_is_never_chosen_but_may_be_named():
    tough = catalogue_with("fuses", "resettable-1.85a", breaking_a=1000.0)
    named = of(pack="liion-3s-5200", converter=None, pack_fuse="resettable-1.85a")
    assert answer(named, tough).fuses[0].fits
    assert answer(named, tough).fuses[0].protected_by == "fuse"
    chosen = answer(of(pack="liion-3s-5200", converter=None), tough).fuses[0]
    assert not chosen.fuse.startswith("resettable")


def test_a_lead_just_as_long_as_the_way_reaches():
    # 0.1 and 0.7 make a little less than 0.8 in binary.
    made = placed(0.8, pack_lead_m=0.1)
    made = replace(made, runs=(replace(made.runs[0], feeds=(feed(0.0, 0.7),)),))
    assert made.supplies[0].at_m[1] > 0.1 + 0.7
    assert graded(made, "lead-short") == []


def test_a_lead_reaches_as_far_as_all_wire_on_its_way():
    # 15 cm of pack lead and 50 cm of lead.
    assert graded(placed(0.64), "lead-short") == []
    assert graded(placed(0.66), "lead-short") == ["stop"]
    assert graded(placed(0.66, pack_lead_m=0.2), "lead-short") == []
    made = placed(1.5)
    branched = replace(made.runs[0], feeds=(feed(0.0, 0.5, parent="trunk"),))
    for trunk_m, grades in ((0.84, ["stop"]), (0.86, [])):
        longer = replace(made, runs=(branched,), trunks=(Lead("trunk", trunk_m),))
        assert graded(longer, "lead-short") == grades
    (finding,) = [one for one in findings(placed(1.2)) if one.code == "lead-short"]
    assert finding.figures == pytest.approx({"away_m": 1.2, "reach_m": 0.65})


def test_without_its_place_nobody_knows_whether_a_lead_reaches():
    nowhere = replace(placed(9.0), supplies=(supply(),))
    assert graded(nowhere, "lead-short") == []


def test_every_change_a_fuse_may_ask_for_has_words():
    from typing import get_args

    from lightcalc.physics.circuit.fuse import Change

    assert set(CHANGES) == set(get_args(Change))
