"""Fuses meet every demand, worked out again here from the parts' own figures."""

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
    parts,
    run,
    some,
    supply,
)
from hypothesis import given

from lightcalc.answers.fuses import PACK_SIDE, SOCKET, STRIP_SIDE
from lightcalc.design.piece import Lead
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.wire import ampacity_a

# IEC 60228 and common tables: copper gains 0.393 % of its 20 degC resistance for each kelvin.
COPPER_PER_K = 0.00393
# ISO 8820-3 and IEC 60127-2 kinds lose little in a warm place; the table says 0.15 and 0.2 %.
DERATING_PER_K = {"blade": 0.0015, "cartridge": 0.002}
ADIABATIC_A2S_PER_M4 = 115.0e6**2
PASSES_A2S = {"blade": 6.1, "cartridge": 4.8}


def fuses_of(made, catalogue=None):
    return {fuse.place: fuse for fuse in build(made, catalogue).sized.fuses}


def hot_ohm_per_m(wire, hot_c):
    return wire.size.resistance_20c_ohm_per_m * (1.0 + COPPER_PER_K * (hot_c - 20.0))


@some
@given(designs())
def test_a_chosen_fuse_meets_every_demand(made):
    built = build(made)
    ambient_c = max(made.use.temperature_c, 20.0) + 10.0
    for fuse in built.sized.fuses:
        chosen, duty = fuse.choice.chosen, fuse.duty
        if chosen is None:
            continue
        part = parts().fuses[chosen.name]
        load_a = sum(branch.continuous_a for branch in duty.branches)
        rating_a = part.rating_a * (1.0 - DERATING_PER_K[part.kind] * (ambient_c - 25.0))
        assert rating_a >= 1.25 * load_a * (1 - 1e-9)
        wires = [lead.wire for lead in duty.leads]
        limit_a = duty.source.limit_a
        weakest_a = min(ampacity_a(wire, ambient_c) for wire in wires)
        assert part.rating_a <= weakest_a * (1 + 1e-9)
        assert part.volts_v >= duty.source.full_v
        strongest_ohm = duty.source.full_ohm + duty.source.wiring_20c_ohm
        assert part.breaking_a >= (limit_a or duty.source.full_v / strongest_ohm) * (1 - 1e-9)
        thinnest_m2 = min(wire.size.area_m2 for wire in wires)
        let_through = PASSES_A2S[part.kind] * part.rating_a**2
        assert let_through <= ADIABATIC_A2S_PER_M4 * thinnest_m2**2
        if limit_a is None:
            assert far_short_a(built, fuse) >= part.rating_a * part.opens_at_ratio * (1 - 1e-3)
        elif limit_a > weakest_a:
            assert limit_a >= part.rating_a * part.opens_at_ratio


def far_short_a(built, fuse):
    """Least current into a short at the end of any branch: weak pack, hot wires, hot rails."""
    source, feeder = fuse.duty.source, fuse.duty.feeder
    found = []
    for branch in fuse.duty.branches:
        ohm = source.weak_ohm + source.wiring_20c_ohm + fuse.choice.chosen.resistance_ohm
        for lead in (branch.lead, feeder) if feeder else (branch.lead,):
            ohm += hot_ohm_per_m(lead.wire, lead.wire.insulation_c) * lead.loop_length_m
            ohm += lead.contact_ohm
        ohm += branch.strip_loop_ohm * (1.0 + COPPER_PER_K * (branch.strip_c - 20.0))
        found.append(source.weak_v / ohm)
    return min(found)


@some
@given(designs())
def test_the_pack_fuse_breaks_what_the_strongest_pack_gives(made):
    fuse = fuses_of(made).get(PACK_SIDE)
    if fuse is None or fuse.choice.chosen is None:
        return
    # The maker's short-circuit current, less a hand's width of wire before the fuse.
    part = parts().packs[made.supplies[0].pack]
    short_a = part.prospective_a * made.supplies[0].pack_multiple
    assert fuse.choice.prospective_a <= 1.5 * short_a
    assert fuse.choice.prospective_a >= 0.5 * short_a
    assert fuse.choice.chosen.breaking_a >= fuse.choice.prospective_a


def test_the_fuse_comes_first_so_that_the_wire_stands_it():
    # The cartridges on offer break 35 A and this pack gives some 90 A: only blades are left, and
    # 1.5 A of load takes a 2 A blade, whatever smaller cartridge would carry it.
    built = build(design(run("strip-12v-120-warm", 1.3), supplies=(supply("liion-3s-5200", None),)))
    fuse = built.sized.fuses[0]
    assert fuse.choice.chosen.kind == "blade"
    for wire in (*built.sized.leads, built.sized.pack_lead):
        assert wire.check.ampacity_a >= fuse.choice.chosen.rating_a


def test_wires_after_a_converter_stand_its_limit_unless_a_fuse_opens_below_it():
    alone = build(design(supplies=(supply(),)))
    fused = build(design(supplies=(supply(fuse="blade-2a"),)))
    # The converter limits itself to 5 A; a 2 A blade opens at 4 A.
    assert alone.sized.leads[0].duty.fuse_a == 5.0
    assert fused.sized.leads[0].duty.fuse_a == 2.0
    slow = build(design(supplies=(supply(fuse="blade-3a"),)))
    # A 3 A blade opens at 6 A only, which never flows, so it protects nothing.
    assert slow.sized.leads[0].duty.fuse_a == 5.0


def test_before_a_converter_on_a_bank_the_lead_stands_the_socket_and_after_it_the_converter():
    made = design(run(length_m=0.5), supplies=(supply("usb-20000", "boost-12v-1a5"),))
    built = build(made)
    assert built.sized.pack_lead.duty.fuse_a == parts().packs["usb-20000"].output_max_a == 3.0
    assert built.sized.leads[0].duty.fuse_a == 1.5
    assert [fuse.place for fuse in built.sized.fuses] == [STRIP_SIDE]


@pytest.mark.parametrize(
    ("source", "places"),
    [
        (supply("liion-3s-5200", None), [PACK_SIDE]),
        (supply(), [PACK_SIDE, STRIP_SIDE]),
        (supply("usb-10000", None), [SOCKET]),
    ],
)
def test_there_is_a_fuse_wherever_a_source_of_its_own_begins(source, places):
    strip = "strip-5v-60-warm" if source.pack.startswith("usb") else "strip-12v-60-warm"
    assert list(fuses_of(design(run(strip, 0.5), supplies=(source,)))) == places


@pytest.mark.parametrize(
    ("places_m", "reach_m"),
    [
        ((0.0,), [2.0]),
        ((2.0,), [2.0]),
        ((1.0,), [1.0]),
        ((0.0, 2.0), [1.0, 1.0]),
        ((0.0, 1.5), [0.75, 0.75]),
        ((0.5, 1.0), [0.5, 1.0]),
    ],
)
def test_the_far_end_of_a_feed_is_half_way_to_the_next_or_the_end_of_the_run(places_m, reach_m):
    feeds = tuple(feed(at_m, name=f"lead {n}") for n, at_m in enumerate(places_m))
    built = build(design(run(length_m=2.0, feeds=feeds)))
    strip = built.wired.runs[0].strip
    branches = built.sized.fuses[-1].duty.branches
    found = [branch.strip_loop_ohm / (2.0 * strip.rail_ohm_per_m) for branch in branches]
    assert found == pytest.approx(reach_m)


def test_a_branch_counts_its_whole_path_as_if_of_the_thinnest_wire_in_it():
    trunk = Lead("trunk", 1.0, "14 AWG")
    made = design(run(feeds=(feed(lead_m=0.5, wire="24 AWG", parent="trunk"),)), trunks=(trunk,))
    (branch,) = build(made).sized.fuses[-1].duty.branches
    assert branch.lead.loop_length_m == pytest.approx(3.0)
    assert branch.lead.wire.size.name == "24 AWG"


@some
@given(designs())
def test_the_fuse_carries_all_branches_together(made):
    built = build(made)
    for fuse in built.sized.fuses:
        if fuse.place == PACK_SIDE and built.circuit.converter is not None:
            expected_a = most_a = built.sized.pack_peak_a
        else:
            flows = solve(built.circuit.network, built.wired.highest_v)
            expected_a = float(flows.supply_a)
            # Feeds of one run may drive current round between them; branches count it in full.
            most_a = float(np.abs(flows.lead_a[list(built.circuit.network.feeds)]).sum())
        assert fuse.duty.continuous_a >= 0.97 * expected_a
        assert fuse.duty.continuous_a <= 1.35 * max(expected_a, most_a) + 0.01


def test_the_pack_fuse_is_held_against_the_short_circuit_current_of_the_sheet():
    made = design(supplies=(supply("liion-3s-5200", None),))
    for short_a in (85.0, 300.0):
        catalogue = catalogue_with("packs", "liion-3s-5200", prospective_a=short_a)
        source = fuses_of(made, catalogue)[PACK_SIDE].duty.source
        assert source.full_v / source.full_ohm == pytest.approx(short_a, rel=0.2)
        assert source.full_v / source.full_ohm >= short_a * (1 - 1e-9)
        # Weakest of all is an old pack at its cut-off, at the high end of its resistance.
        part = catalogue.packs["liion-3s-5200"]
        assert source.weak_v == part.cutoff_v
        assert source.weak_ohm > source.full_ohm * (1.0 + part.resistance_tolerance)


def test_a_colder_or_older_pack_gives_the_fuse_less_to_open_on():
    made = design(supplies=(supply("liion-3s-5200", None),))
    usual = fuses_of(made)[PACK_SIDE].choice.far_short_a
    cold = fuses_of(replace(made, use=evening(temperature_c=-20.0)))[PACK_SIDE].choice.far_short_a
    old = fuses_of(replace(made, supplies=(replace(made.supplies[0], health_ratio=0.3),)))[
        PACK_SIDE
    ].choice.far_short_a
    assert cold < usual
    assert old < usual
