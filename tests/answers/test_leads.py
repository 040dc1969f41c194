"""Every lead at full level: what flows in it, and the volts at both of its ends."""

import pytest
from designs import design, designs, feed, parts, run, some, supply
from hypothesis import given

from lightcalc.answers.answer import answer
from lightcalc.answers.wiring import wire_up
from lightcalc.design.piece import Lead


def taken(amps):
    return pytest.approx(amps, rel=1e-6, abs=1e-7)


@some
@given(designs())
def test_currents_add_up_from_the_supply_to_every_run(made):
    found = answer(made, parts())
    wired = wire_up(made.supplies[0], made, parts())
    wires = found.wires[1:]
    assert [wire.lead for wire in wires] == [lead.lead.name for lead in wired.leads]
    for number, wire in enumerate(wires):
        branches = [k for k, lead in enumerate(wired.leads) if lead.parent == number]
        if branches:
            assert sum(wires[k].full_level_a for k in branches) == taken(wire.full_level_a)
    for one in found.runs:
        assert sum(at.amps_a for at in one.feeds) == taken(one.amps_a)
        for at in one.feeds:
            assert sum(channel.amps_a for channel in at.channels) == taken(at.amps_a)


@some
@given(designs())
def test_a_lead_starts_with_the_volts_where_it_branches_and_ends_with_those_of_its_feed(made):
    found = answer(made, parts())
    wired = wire_up(made.supplies[0], made, parts())
    wires = found.wires[1:]
    ends = {at.lead: at for one in found.runs for at in one.feeds}
    for wire, lead in zip(wires, wired.leads, strict=True):
        if lead.parent >= 0:
            assert wire.start_v == wires[lead.parent].end_v
        if wire.lead in ends:
            assert ends[wire.lead].volts_v == taken(wire.end_v)
            assert ends[wire.lead].volts_v == min(c.volts_v for c in ends[wire.lead].channels)


@some
@given(designs())
def test_nothing_gains_volts_on_its_way_from_the_pack(made):
    found = answer(made, parts())
    pack = found.wires[0]
    assert pack.end_v <= pack.start_v
    assert pack.start_v == wire_up(made.supplies[0], made, parts()).pack.nominal_v or (
        found.supplies[0].socket_peak_a is not None
    )
    if not found.supplies[0].converter:
        assert all(wire.start_v <= pack.end_v + 1e-9 for wire in found.wires[1:])


def test_a_lead_loses_what_ohms_law_says():
    one = run(length_m=1.0, feeds=(feed(0.0, 2.0, wire="20 AWG", name="long lead"),))
    found = answer(design(one, supplies=(supply(),)), parts())
    wire = found.wires[1]
    # 20 AWG is 33.31 ohm/km at 20 degC when solid (ASTM B258), some 2 % more when stranded
    # (ASTM B286); the loop is 4 m.
    lost_v = wire.full_level_a * 4.0 * 0.03331
    assert lost_v < wire.start_v - wire.end_v < 1.03 * lost_v


def test_power_out_of_the_pack_is_more_than_reaches_the_runs_by_what_the_converter_loses():
    found = answer(design(run(length_m=1.0)), parts())
    pack, lead = found.wires
    share = lead.start_v * lead.full_level_a / (pack.end_v * pack.full_level_a)
    # The label says 94 % at full load; at a fifth of it the idle current still counts.
    assert 0.85 < share < 0.95


def test_a_feed_is_at_the_pad_nearest_to_where_it_was_asked():
    one = run(length_m=1.5, feeds=(feed(0.0), feed(0.76)))
    (found,) = answer(design(one), parts()).runs
    # Pads of this strip are 50 mm apart.
    assert [at.at_m for at in found.feeds] == pytest.approx([0.0, 0.75])


def test_each_colour_of_a_strip_has_a_return_and_pixels_share_theirs():
    tunable = design(
        run("strip-24v-tunable-240"), supplies=(supply("liion-4s-6800", "buckboost-24v-2a"),)
    )
    (found,) = answer(tunable, parts()).runs
    assert [channel.channel for channel in found.feeds[0].channels] == ["warm", "cool"]
    pixels = design(run("strip-12v-pixel-60", 0.5))
    (found,) = answer(pixels, parts()).runs
    assert [channel.channel for channel in found.feeds[0].channels] == ["all"]


def test_of_two_feeds_the_one_with_the_longer_thinner_lead_gives_less():
    trunk = Lead("trunk", 3.0, "28 AWG")
    feeds = (feed(0.0, 0.1, name="near"), feed(1.5, 0.1, parent="trunk", name="far"))
    found = answer(design(run(feeds=feeds), trunks=(trunk,)), parts())
    near, far = found.runs[0].feeds
    assert near.amps_a > far.amps_a
    assert near.amps_a + far.amps_a == taken(found.runs[0].amps_a)
