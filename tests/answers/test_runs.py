"""Runs at full level: volts, current and light along them."""

from itertools import pairwise

import numpy as np
import pytest
from designs import build, design, designs, feed, few, parts, run, some, supply
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.runs import run_answers
from lightcalc.physics.circuit.ladder import solve

STRIPS = [
    "strip-12v-60-warm",
    "strip-12v-120-warm",
    "strip-12v-cc-60-warm",
    "strip-12v-tunable-120",
]


def runs_of(built, volts=None):
    """Answer the runs of a supply at full level, at its usual volts unless told otherwise."""
    volts = built.wired.output_v if volts is None else volts
    return run_answers(built.circuit, solve(built.circuit.network, volts))


def answer_of(one):
    # The fuse is given, so that its resistance stays when the wires change.
    built = build(design(one, supplies=(supply(fuse="blade-5a"),)))
    return runs_of(built)[0]


def fed_at(strip, length_m, *places, lead_m=0.5, wire="18 AWG"):
    feeds = tuple(
        feed(at_m, lead_m, wire=wire, name=f"lead {number}") for number, at_m in enumerate(places)
    )
    return answer_of(run(strip, length_m, feeds=feeds))


@some
@given(designs())
def test_the_profile_adds_up_to_the_run(made):
    built = build(made)
    for cut_run, found in zip(built.wired.runs, runs_of(built), strict=True):
        profile = found.profile
        assert len(profile.unit_a) == len(profile.unit_v) == found.cut_units_count
        assert sum(profile.unit_a) == pytest.approx(found.amps_a, rel=1e-9)
        lumens = np.mean(profile.light_ratio) * cut_run.strip.light_lm_per_m * found.cut_length_m
        assert found.light_lm == pytest.approx(lumens, rel=1e-9, abs=1e-12)
        assert min(profile.light_ratio) == found.dimmest_light_ratio
        brightest = max(*profile.light_ratio, 1e-12)
        fall = 1.0 - min(profile.light_ratio) / brightest
        assert found.light_fall_ratio == pytest.approx(fall, abs=1e-9)
        assert sum(c.amps_a for c in found.channels) <= found.amps_a * (1 + 1e-9)


def test_one_unit_at_rated_volts_gives_its_rated_light_and_power():
    found = fed_at("strip-12v-60-warm", 0.05, 0.0, lead_m=0.001, wire="14 AWG")
    # 4.8 W/m and 450 lm/m over 50 mm, less what half a unit of rail takes.
    assert found.strip_w == pytest.approx(0.24, rel=2e-3)
    assert found.light_lm == pytest.approx(22.5, rel=2e-3)


def test_volts_along_a_constant_current_run_follow_the_sum_of_what_flows_beyond():
    # Each unit draws i; rails of r ohm/m carry all units beyond. Fed at the start, unit k of n
    # (middles at half units) loses 2 r u i (n / 2 + sum over j = 1..k of (n - j)), u a unit's
    # length: textbook superposition of a ladder of equal current sinks.
    strip = parts().strips["strip-12v-cc-60-warm"]
    found = fed_at(strip.name, 2.0, 0.0)
    count = found.cut_units_count
    sink_a = strip.power_w_per_m * strip.cut_unit_m / strip.rated_v
    warm = build(design(run(strip.name, 2.0))).circuit.network.runs[0].positive_ohm_per_m
    beyond = count / 2 + sum(count - j for j in range(1, count))
    lost_v = 2.0 * warm * strip.cut_unit_m * sink_a * beyond
    assert found.fed_v - found.dimmest_v == pytest.approx(lost_v, rel=1e-3)
    assert found.dimmest_at_m == pytest.approx(2.0 - strip.cut_unit_m / 2)


@few
@given(strip=st.sampled_from(STRIPS), metres=st.floats(0.5, 5.0))
def test_feeding_at_both_ends_never_raises_the_fall_in_light(strip, metres):
    one = fed_at(strip, metres, 0.0)
    both = fed_at(strip, metres, 0.0, metres)
    assert both.light_fall_ratio <= one.light_fall_ratio + 1e-9
    assert both.dimmest_light_ratio >= one.dimmest_light_ratio - 1e-9


@few
@given(strip=st.sampled_from(STRIPS), metres=st.floats(0.5, 5.0), lead_m=st.floats(0.2, 5.0))
def test_thicker_leads_never_dim_a_run(strip, metres, lead_m):
    lights = [
        fed_at(strip, metres, 0.0, lead_m=lead_m, wire=wire).dimmest_light_ratio
        for wire in ("24 AWG", "22 AWG", "20 AWG", "18 AWG", "16 AWG", "14 AWG")
    ]
    assert all(thick >= thin - 1e-9 for thin, thick in pairwise(lights))


@few
@given(strip=st.sampled_from(STRIPS), metres=st.floats(0.3, 5.0))
def test_a_run_fed_at_its_end_is_the_mirror_of_one_fed_at_its_start(strip, metres):
    start, end = fed_at(strip, metres, 0.0), fed_at(strip, metres, metres)
    np.testing.assert_allclose(start.profile.unit_v, end.profile.unit_v[::-1], rtol=1e-6)


@few
@given(strip=st.sampled_from(STRIPS), metres=st.floats(0.3, 4.5))
def test_a_longer_run_falls_more(strip, metres):
    short, longer = fed_at(strip, metres, 0.0), fed_at(strip, metres + 0.5, 0.0)
    assert longer.light_fall_ratio >= short.light_fall_ratio - 1e-9


def test_light_falls_more_than_volts_on_a_resistor_strip_and_not_at_all_on_a_regulated_one():
    resistor = fed_at("strip-12v-120-warm", 4.0, 0.0)
    regulated = fed_at("strip-12v-cc-60-warm", 1.0, 0.0)
    assert resistor.light_fall_ratio > 2.0 * resistor.volts_fall_ratio > 0.0
    assert regulated.light_fall_ratio == pytest.approx(0.0, abs=1e-6)
    assert regulated.volts_fall_ratio > 0.0


def test_runs_are_judged_at_the_volts_that_a_sagging_converter_still_holds():
    source = supply("liion-1s-10000", "boost-12v-1a5")
    made = design(run("strip-12v-120-warm", 5.0), supplies=(source,))
    weak = design(run("strip-12v-120-warm", 5.0), supplies=(supply(),))
    low, full = (build(one) for one in (made, weak))
    held_v = low.charge.draws[0].output_v[0]
    assert held_v < 12.0
    dim = runs_of(low, held_v)[0]
    assert dim.light_lm < runs_of(full, 12.0)[0].light_lm
    assert dim.amps_a == pytest.approx(1.5, rel=2e-3)
