"""What a supply draws at a level, and where that power goes, column by column."""

from dataclasses import fields, replace

import numpy as np
import pytest
from designs import build, design, designs, evening, feed, few, parts, run, some, supply
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.draw import FULL, Watts, draws, standby_w
from lightcalc.design.piece import Stretch
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.pwm import solve_dimmed

RECEIVER = "receiver-radio-1ch"


def columns_w(watts):
    return sum(getattr(watts, field.name) for field in fields(Watts))


@some
@given(designs(straight=True))
def test_straight_on_a_pack_all_that_leaves_it_is_found_again(made):
    built = build(made)
    for level, drawn in zip(built.charge.levels, built.charge.draws, strict=True):
        mix = dict(level.mix)
        channels = built.wired.runs[0].strip.channels
        shares = tuple(level.level_ratio * mix.get(channel, 1.0) for channel in channels)
        flows = solve_dimmed(built.circuit.network, drawn.volts, shares).supply
        idle_a = built.wired.controller.idle_a if built.wired.controller else 0.0
        leaves_w = drawn.volts * (flows.mean_a + idle_a)
        np.testing.assert_allclose(columns_w(drawn.watts), leaves_w, rtol=1e-6)
        np.testing.assert_allclose(drawn.output_peak_a, flows.peak_a + idle_a, rtol=1e-6)


@some
@given(designs(straight=False))
def test_behind_a_converter_lead_heat_and_load_are_what_leaves_the_terminals(made):
    # A load P behind a resistance R at the volts V draws I = (V - sqrt(V^2 - 4 R P)) / (2 R).
    built = build(made)
    efficiency = built.wired.pack.output_efficiency or 1.0
    if built.circuit.converter is None:
        return
    drawn = draws(built.circuit, (FULL,))[0]
    ohm, volts = built.circuit.pack_lead_ohm, drawn.volts
    leaves_w = columns_w(drawn.watts) * efficiency
    through_w = leaves_w - drawn.watts.pack_lead_heat_w
    solvable = volts**2 > 4.0 * ohm * through_w * 1.0001
    amps = (volts - np.sqrt(np.maximum(volts**2 - 4.0 * ohm * through_w, 0.0))) / (2.0 * ohm)
    np.testing.assert_allclose(leaves_w[solvable], (amps * volts)[solvable], rtol=1e-6)


@some
@given(designs())
def test_no_column_is_ever_below_zero(made):
    for drawn in build(made).charge.draws:
        for field in fields(Watts):
            assert np.all(getattr(drawn.watts, field.name) >= -1e-12), field.name


@some
@given(level=st.floats(0.01, 1.0), straight=st.booleans())
def test_dimming_leaves_the_pulse_as_it_is_and_scales_the_light(level, straight):
    source = supply("liion-3s-5200", None) if straight else supply()
    made = design(supplies=(replace(source, controller=RECEIVER),), use=evening(level))
    full, *dimmed = build(made).charge.draws
    dim = dimmed[0] if dimmed else full
    np.testing.assert_array_equal(dim.peak_w, full.peak_w)
    np.testing.assert_array_equal(dim.output_peak_a, full.output_peak_a)
    np.testing.assert_allclose(dim.light_lm, level * full.light_lm, rtol=1e-12)
    np.testing.assert_allclose(
        dim.watts.lead_heat_w, level * full.watts.lead_heat_w, rtol=1e-9, atol=1e-15
    )


def test_light_follows_led_current_so_watts_and_lumens_of_light_agree():
    built = build(design(supplies=(supply("liion-3s-5200", None),)))
    drawn = draws(built.circuit, (FULL,))[0]
    strip = built.wired.runs[0].strip
    watts_per_m = strip.power_w_per_m * (1.0 - strip.heat_share)
    shining = drawn.light_lm > 1e-6
    lumens_per_watt = drawn.light_lm[shining] / drawn.watts.strip_light_w[shining]
    np.testing.assert_allclose(lumens_per_watt, strip.light_lm_per_m / watts_per_m, rtol=1e-9)


def test_a_dark_pixel_strip_warms_but_gives_no_light():
    source = supply("liion-4s-6800", "buck-12v-5a", controller="receiver-radio-pixel")
    built = build(design(run("strip-12v-pixel-60", 1.0), supplies=(source,)))
    dark = draws(built.circuit, (Stretch(0.0, 60.0),))[0]
    # 20 units of 50 mm draw 2 mA each when dark.
    assert dark.watts.strip_light_w == pytest.approx(0.0, abs=1e-12)
    assert dark.watts.strip_heat_w[0] == pytest.approx(20 * 2e-3 * 12.0, rel=0.01)


@few
@given(length_m=st.sampled_from([3.0, 4.0, 5.0]), limit_a=st.floats(0.6, 1.4))
def test_a_converter_at_its_limit_sags_until_its_current_is_the_limit(length_m, limit_a):
    made = design(
        run(length_m=length_m), supplies=(supply(controller=RECEIVER),), use=evening(0.5, 1.0)
    )
    built = build(made)
    weak = replace(built.circuit, converter=replace(built.circuit.converter, limit_a=limit_a))
    for drawn in draws(weak, (FULL, Stretch(0.3, 60.0))):
        # 4.8 W/m at 12 V from 3 m up is 1.2 A or more less the fall along it; the limit bites.
        if drawn.output_v[0] < 12.0:
            assert drawn.output_peak_a[0] == pytest.approx(limit_a, rel=1e-3)
        else:
            assert drawn.output_peak_a[0] <= limit_a
    assert limit_a > 1.0 or draws(weak, (FULL,))[0].output_v[0] < 12.0


def test_the_table_misses_the_power_between_its_rows_by_less_than_a_thousandth():
    built = build(design(run(length_m=3.0), supplies=(supply("liion-3s-5200", None),)))
    drawn = draws(built.circuit, (FULL,))[0]
    between = (drawn.volts[1:] + drawn.volts[:-1]) / 2.0
    exact = solve(built.circuit.network, between).power.source_w
    table = drawn.at_v(between, drawn.watts.total_w)
    at_work = between > 10.0
    np.testing.assert_allclose(table[at_work], exact[at_work], rtol=1e-3)


def test_standby_is_receiver_pixels_and_what_the_converter_takes_for_them():
    source = supply("liion-4s-6800", "buck-12v-5a", controller="receiver-radio-pixel")
    built = build(design(run("strip-12v-pixel-60", 1.0), supplies=(source,)))
    # Receiver 30 mA and 20 units of 2 mA at 12 V; the buck loses its idle 8 mA or 6 % of that.
    fed_w = (0.030 + 20 * 0.002) * 12.0
    lost_w = max(fed_w * (1 / 0.94 - 1), 0.008 * 14.4)
    assert standby_w(built.circuit, 14.4) == pytest.approx(fed_w + lost_w)


def test_a_bank_draws_more_from_its_cells_than_it_gives():
    made = design(run("strip-5v-60-warm", 0.5), supplies=(supply("usb-10000", None),))
    built = build(made)
    watts = built.charge.draws[0].watts
    given_w = watts.total_w - watts.converter_heat_w
    assert given_w[0] / watts.total_w[0] == pytest.approx(
        parts().packs["usb-10000"].output_efficiency
    )


def test_with_one_colour_dark_only_the_others_draw():
    source = supply(controller="receiver-radio-4ch")
    lead = (feed(lead_m=0.05),)
    built = build(design(run("strip-12v-rgb-60", 0.3, feeds=lead), supplies=(source,)))
    mix = (("green", 0.0), ("blue", 0.0))
    red, full = draws(built.circuit, (Stretch(1.0, 60.0, mix), FULL))
    # Alone on the shared positive rail red loses less volts, so it gives a little more.
    assert 1.0 < red.light_lm[0] / (full.light_lm[0] / 3.0) < 1.05
    assert red.channel_peak_a[0] == pytest.approx(full.channel_peak_a[0], rel=0.05)
    assert red.output_peak_a[0] < 0.4 * full.output_peak_a[0]
