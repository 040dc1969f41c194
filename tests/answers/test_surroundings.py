"""Dots on the surfaces a run lights, and warmth where it is stuck."""

from dataclasses import replace

import pytest
from designs import build, design, evening, feed, few, parts, run, supply
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.answer import answer
from lightcalc.answers.surroundings import heat_answer, unit_heat_w_per_m
from lightcalc.design.piece import Seen, Stretch, Use
from lightcalc.tables.mountings import heat_limits

FLOOR = Seen("the floor", distance_m=0.03, viewer_distance_m=0.8)


def heat_of(strip, volts, room_c=20.0, mounting="bare on wood"):
    made = design(run(strip, 0.5, mounting=mounting))
    return heat_answer(build(made).wired.runs[0], volts, evening(temperature_c=room_c))


@pytest.mark.parametrize("name", sorted(parts().strips))
def test_at_rated_volts_the_heat_is_the_rated_share_of_the_rated_power(name):
    strip = parts().strips[name]
    heat = unit_heat_w_per_m(strip, strip.rated_v)
    assert heat == pytest.approx(strip.power_w_per_m * strip.heat_share, rel=1e-9)


@pytest.mark.parametrize("name", sorted(parts().strips))
def test_above_rated_volts_a_strip_is_warmer(name):
    strip = parts().strips[name]
    above = unit_heat_w_per_m(strip, 1.1 * strip.rated_v)
    assert above > unit_heat_w_per_m(strip, strip.rated_v)
    if strip.kind == "constant-current":
        # The current is held, so all of the tenth more is heat.
        more = 0.1 * strip.power_w_per_m
        assert above == pytest.approx(strip.power_w_per_m * strip.heat_share + more, rel=1e-6)


def test_a_strip_straight_on_a_full_pack_is_judged_at_the_full_packs_volts():
    straight = design(supplies=(supply("lifepo4-4s-6000", None),))
    behind = design(supplies=(supply(),))
    hot, usual = (answer(made, parts()).heat[0] for made in (straight, behind))
    assert hot.heat_w_per_m > 1.3 * usual.heat_w_per_m
    assert hot.strip_c > usual.strip_c


@few
@given(room_c=st.floats(-20.0, 55.0))
def test_the_heat_that_may_be_shed_brings_the_strip_to_its_limit(room_c):
    found = heat_of("strip-12v-120-warm", 12.0, room_c)
    below = found.heat_w_per_m < found.shed_w_per_m
    assert below == (found.strip_c < found.limit_c)
    assert found.rise_k == pytest.approx(found.strip_c - room_c)


def test_the_coolest_of_all_limits_counts():
    resin = heat_of("strip-12v-60-warm", 12.0, mounting="cast in resin")
    assert (resin.limited_by, resin.limit_c) == ("casting resin", heat_limits()["casting resin"])
    wood = heat_of("strip-12v-60-warm", 12.0)
    assert wood.limit_c == parts().strips["strip-12v-60-warm"].max_c


def dots_of(seen=FLOOR, use=None, strip="strip-12v-60-warm", **changes):
    source = supply(controller="receiver-radio-4ch", **changes)
    made = design(run(strip, 1.0, seen=(seen,)), supplies=(source,), use=use)
    return answer(made, parts()).dots[0]


def test_dots_are_judged_when_the_evening_is_brightest():
    brief = Use((Stretch(0.1, 9000.0), Stretch(1.0, 60.0)))
    assert dots_of(use=brief) == dots_of(use=evening(1.0))
    assert dots_of(use=evening(0.1)).multiple_ratio < dots_of(use=evening(1.0)).multiple_ratio


def test_with_one_colour_lit_the_dots_are_as_far_apart_as_that_colours_leds():
    # On the tunable strip warm and cool take turns, so each alone has twice the pitch.
    warm = Use((Stretch(1.0, 3600.0, (("cool", 0.0),)),))
    alone, both = (dots_of(strip="strip-12v-tunable-120", use=use) for use in (warm, evening(1.0)))
    assert alone.contrast_ratio > 5.0 * both.contrast_ratio
    assert alone.hiding_distance_m > 1.5 * both.hiding_distance_m


def test_more_distance_and_a_denser_strip_hide_the_dots():
    near = dots_of(replace(FLOOR, distance_m=0.01))
    far = dots_of(replace(FLOOR, distance_m=0.3))
    dense = dots_of(replace(FLOOR, distance_m=0.01), strip="strip-12v-120-warm")
    assert near.verdict == "plain"
    assert far.verdict == "hidden"
    assert dense.multiple_ratio < near.multiple_ratio
    assert near.distance_m < near.hiding_distance_m < far.distance_m


def test_through_clear_resin_the_leds_are_seen_at_any_distance():
    for distance_m in (0.02, 0.2):
        seen = Seen("the seam", distance_m, 1.0, sheet="resin-clear-10", thickness_m=0.02)
        found = dots_of(seen)
        assert found.verdict == "plain"
        assert found.straight_multiple_ratio > 10.0
        assert found.remedy == "scattering layer"
    assert dots_of(FLOOR).straight_multiple_ratio is None


def test_a_run_that_gives_no_light_shows_no_dots():
    made = design(
        run("strip-12v-60-warm", 0.5, seen=(FLOOR,), feeds=(feed(),)),
        supplies=(supply("aa-alkaline-4", None),),
    )
    assert answer(made, parts()).dots[0].verdict == "hidden"
