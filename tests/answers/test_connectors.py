"""Connectors have a resistance: it counts in the lead they sit in, in every way to an answer."""

from dataclasses import replace

import numpy as np
import pytest
from designs import (
    build,
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

from lightcalc.answers.answer import answer, answer_parts
from lightcalc.answers.curves.light import wire_curves
from lightcalc.answers.wiring import build_network, wire_up
from lightcalc.design.piece import Lead
from lightcalc.design.service import Crossing, Joint
from lightcalc.physics.circuit.ladder import solve

PLUG = "plug-small-2"
# The catalogue's figure of one mated contact.
CONTACT_OHM = 0.010


def named(made, wire="18 AWG"):
    """The design with its wires named, so that a connector cannot change them."""
    runs = tuple(
        replace(
            one,
            feeds=tuple(replace(f, lead=replace(f.lead, wire=wire)) for f in one.feeds),
        )
        for one in made.runs
    )
    trunks = tuple(replace(trunk, wire=wire) for trunk in made.trunks)
    supplies = tuple(replace(one, pack_wire=wire) for one in made.supplies)
    return replace(made, runs=runs, trunks=trunks, supplies=supplies)


def with_plugs(made, count, *, of=PLUG):
    """The design with so many joints in the first feed lead of its first run, a plug at each."""
    crossing = Crossing(tuple(f"joint {n}" for n in range(count)), of if count else None)
    first = made.runs[0]
    lead = replace(first.feeds[0].lead, crossing=crossing)
    feeds = (replace(first.feeds[0], lead=lead), *first.feeds[1:])
    joints = tuple(Joint(name) for name in ("seat", *crossing.joints))
    return replace(made, runs=(replace(first, feeds=feeds), *made.runs[1:]), joints=joints)


def one_feed_each(made):
    return replace(made, runs=tuple(replace(one, feeds=one.feeds[:1]) for one in made.runs))


@few
@given(designs(straight=False))
def test_a_plug_never_brightens_the_run_that_is_fed_through_it_alone(made):
    made = named(one_feed_each(made))
    used = {one.feeds[0].lead.parent for one in made.runs}
    used |= {trunk.parent for trunk in made.trunks if trunk.name in used}
    made = replace(made, trunks=tuple(trunk for trunk in made.trunks if trunk.name in used))
    assert not mistakes(made)
    before = 2.0
    for count in range(3):
        light = answer(with_plugs(made, count), parts()).runs[0].dimmest_light_ratio
        assert light <= before + 1e-9
        before = light


@pytest.mark.parametrize("strip", ["strip-12v-60-warm", "strip-12v-rgb-60", "strip-12v-pixel-60"])
def test_two_plugs_in_one_lead_are_one_of_double_resistance(strip):
    made = named(design(run(strip, length_m=1.0)))
    doubled = catalogue_with("connectors", PLUG, resistance_ohm=2 * CONTACT_OHM)
    twice = answer(with_plugs(made, 2), parts())
    once = answer(with_plugs(made, 1), doubled)
    assert twice.runs[0].profile == once.runs[0].profile
    assert twice.supplies[0].hours_h == once.supplies[0].hours_h
    assert [wire.drop_v for wire in twice.wires] == [wire.drop_v for wire in once.wires]


def test_a_plug_costs_the_current_times_its_two_contacts():
    plain = named(design(run(length_m=1.0)))
    wire = answer(with_plugs(plain, 1), parts()).wires[1]
    bare = answer(plain, parts()).wires[1]
    lost_v, copper_v = wire.start_v - wire.end_v, bare.start_v - bare.end_v
    per_a = lost_v / wire.full_level_a - copper_v / bare.full_level_a
    assert per_a == pytest.approx(2 * CONTACT_OHM, rel=1e-6)
    assert wire.contact_drop_v == pytest.approx(wire.peak_a * 2 * CONTACT_OHM)
    assert wire.contact_share_ratio == pytest.approx(wire.contact_drop_v / wire.drop_v)
    assert bare.contact_drop_v == bare.contact_share_ratio == 0.0


def test_of_a_lead_with_several_returns_each_goes_through_a_contact_of_its_own():
    made = with_plugs(design(run("strip-12v-rgb-60", 1.0)), 1, of="strip-clip-4")
    found, bare = (build(one).circuit.network.leads[0] for one in (made, with_plugs(made, 0)))
    # The catalogue says 30 mohm of one contact of that clip.
    assert found.positive_ohm - bare.positive_ohm == pytest.approx(0.030)
    assert np.subtract(found.return_ohm, bare.return_ohm) == pytest.approx([0.030] * 3)


def test_straight_on_a_pack_a_plug_costs_as_much_in_the_pack_lead_as_in_the_only_feed_lead():
    box = supply("liion-3s-5200", None, pack_fuse="blade-2a")
    there = named(design(run(length_m=1.0), supplies=(replace(box, connectors=(PLUG,)),)))
    here = with_plugs(named(design(run(length_m=1.0), supplies=(box,))), 1)
    found, other = answer(there, parts()), answer(here, parts())
    assert found.runs[0].dimmest_v == pytest.approx(other.runs[0].dimmest_v, rel=1e-9)
    assert found.supplies[0].hours_h == pytest.approx(other.supplies[0].hours_h, rel=1e-9)
    assert found.fuses[0].far_end_short_a == pytest.approx(other.fuses[0].far_end_short_a)


def test_a_plug_in_a_trunk_counts_for_every_run_behind_it():
    trunk = Lead("trunk", 1.0, "18 AWG", crossing=Crossing((), PLUG))
    leads = [feed(0.0, 0.5, wire="18 AWG", parent="trunk", name=f"lead {n}") for n in range(2)]
    runs = [run(name=f"run {n}", length_m=1.0, feeds=(leads[n],)) for n in range(2)]
    bare = replace(trunk, crossing=Crossing())
    lit = [answer(design(*runs, trunks=(one,)), parts()) for one in (bare, trunk)]
    for before, after in zip(*(found.runs for found in lit), strict=True):
        assert after.dimmest_light_ratio < before.dimmest_light_ratio
    assert lit[1].wires[1].contact_share_ratio > lit[1].wires[2].contact_share_ratio == 0.0


@some
@given(designs(), st.floats(0.5, 1.0))
def test_what_connectors_lose_is_heat_of_their_leads_and_the_balance_still_closes(made, share):
    wired = wire_up(made.supplies[0], made, parts())
    built = build(made)
    network = build_network(
        wired, built.sized.lead_wires, (40.0,) * len(wired.runs), 0.05, made.use.temperature_c
    )
    found = solve(network, share * wired.highest_v)
    contacts = np.array([lead.contact_ohm for lead in wired.leads])
    lost_w = contacts @ (found.lead_a**2 + (found.lead_return_a**2).sum(axis=-1))
    copper = [
        (lead.positive_ohm - ohm, np.array(lead.return_ohm) - ohm)
        for lead, ohm in zip(network.leads, contacts, strict=True)
    ]
    copper_w = sum(
        out * found.lead_a[k] ** 2 + (back * found.lead_return_a[k] ** 2).sum()
        for k, (out, back) in enumerate(copper)
    )
    power = found.power
    assert power.lead_w == pytest.approx(copper_w + lost_w, rel=1e-9, abs=1e-12)
    used_w = power.series_w + power.lead_w + power.rail_w + sum(r.strip_w for r in found.runs)
    assert used_w == pytest.approx(float(power.source_w), rel=1e-6, abs=1e-9)


def test_a_short_at_the_far_end_goes_through_the_connectors_on_its_way():
    box = supply("liion-3s-5200", None, pack_fuse="blade-2a")
    plain = named(design(run(length_m=1.0), supplies=(box,)))
    (bare,), (plugged,) = (answer(with_plugs(plain, n), parts()).fuses for n in (0, 1))
    # A bare pack drives its volts through all ohms of the loop: 1 / amps grows by ohms over volts.
    cutoff_v = parts().packs["liion-3s-5200"].cutoff_v
    grown = 1.0 / plugged.far_end_short_a - 1.0 / bare.far_end_short_a
    assert grown == pytest.approx(2 * CONTACT_OHM / cutoff_v, rel=1e-6)


def test_curves_over_wires_begin_with_the_connectors_drop():
    made = with_plugs(design(run(length_m=1.0)), 2)
    (curve,) = wire_curves(made, parts())
    wire = answer(made, parts()).wires[1]
    at = curve.sizes.index(wire.size)
    assert curve.lead_drop_ratio[at] == pytest.approx(wire.drop_ratio)
    assert curve.dimmest_light_ratio[at] == pytest.approx(
        answer(made, parts()).runs[0].dimmest_light_ratio
    )
    # However thick the wire, its plugs remain.
    assert min(curve.lead_drop_ratio) > wire.contact_drop_v / 12.0


def test_connectors_that_take_more_than_their_lead_may_lose_are_told():
    worn = catalogue_with("connectors", PLUG, resistance_ohm=0.8)
    made = with_plugs(named(design(run(length_m=1.0), use=evening())), 1)

    def told(catalogue):
        (part,) = answer_parts(made, catalogue)
        return [one for one in part.findings if one.code == "connector-drop"]

    assert told(parts()) == []
    (one,) = told(worn)
    assert one.grade == "caution"
    assert one.figures["contact_drop_ratio"] + one.figures["drop_ratio"] > 0.03
