"""Runs are cut to whole units, and leads form a tree that ends at their pads."""

import numpy as np
import pytest
from designs import design, designs, feed, parts, run, some, supply
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.bought import named_wire
from lightcalc.answers.wiring import build_network, cut, wire_up
from lightcalc.design.piece import Lead
from lightcalc.physics.circuit.ladder import solve


def wired_of(made):
    return wire_up(made.supplies[0], made, parts())


@pytest.mark.parametrize(
    ("asked_m", "units"), [(0.05, 1), (0.0999, 1), (0.1, 2), (1.42, 28), (1.45 - 1e-9, 29)]
)
def test_a_run_is_cut_to_the_whole_units_that_fit(asked_m, units):
    # strip-12v-60-warm is cut every 50 mm.
    cut_run = cut(run(length_m=asked_m), parts())
    assert cut_run.units == units
    assert cut_run.length_m == pytest.approx(units * 0.05)


def test_a_feed_at_the_end_of_a_shortened_run_sits_on_its_last_pad():
    cut_run = cut(run(length_m=1.42), parts())
    assert cut_run.pad(1.42) == cut_run.units == 28
    assert cut_run.pad(0.0) == 0
    assert cut_run.pad(0.71) == 14


@some
@given(designs())
def test_every_lead_comes_after_the_one_it_branches_from(made):
    wired = wired_of(made)
    for number, lead in enumerate(wired.leads):
        assert -1 <= lead.parent < number
        before_m = wired.leads[lead.parent].path_m if lead.parent >= 0 else 0.0
        assert lead.path_m == pytest.approx(before_m + lead.lead.length_m)


@some
@given(designs())
def test_the_shares_of_the_drop_along_any_path_add_up_to_no_more_than_all_of_it(made):
    leads = wired_of(made).leads
    totals = []
    for number, lead in enumerate(leads):
        if lead.run is None:
            continue
        total, at = 0.0, number
        while at >= 0:
            total += leads[at].share
            at = leads[at].parent
        totals.append(total)
    assert max(totals) == pytest.approx(1.0)
    assert all(total <= 1.0 + 1e-9 for total in totals)


@some
@given(designs())
def test_each_feed_has_one_lead_and_each_trunk_is_there_once(made):
    wired = wired_of(made)
    ends = [(lead.run, lead.pad) for lead in wired.leads if lead.run is not None]
    assert len(ends) == len(set(ends)) == sum(len(one.feeds) for one in made.runs)
    trunks = [lead.lead.name for lead in wired.leads if lead.run is None]
    assert sorted(trunks) == sorted(trunk.name for trunk in made.trunks)


@some
@given(
    length_m=st.floats(0.2, 5.0),
    share=st.floats(0.05, 0.95),
    strip=st.sampled_from(["strip-12v-60-warm", "strip-12v-rgb-60", "strip-12v-pixel-60"]),
)
def test_splitting_a_lead_into_trunk_and_lead_changes_nothing(length_m, share, strip):
    whole = design(run(strip, feeds=(feed(lead_m=length_m),)))
    trunk = Lead("trunk", share * length_m)
    rest = feed(lead_m=(1.0 - share) * length_m, parent="trunk")
    split = design(run(strip, feeds=(rest,)), trunks=(trunk,))
    wire = named_wire("22 AWG", parts())
    found = []
    for made in (whole, split):
        wired = wired_of(made)
        wires = (wire,) * len(wired.leads)
        found.append(solve(build_network(wired, wires, (40.0,), 0.05, 25.0), 12.0))
    assert found[0].supply_a == pytest.approx(found[1].supply_a, rel=1e-9)
    np.testing.assert_allclose(found[0].runs[0].light, found[1].runs[0].light, rtol=1e-8)


@pytest.mark.parametrize(
    ("strip", "returns"),
    [
        ("strip-12v-60-warm", 1),
        ("strip-24v-tunable-240", 2),
        ("strip-12v-rgb-60", 3),
        ("strip-24v-rgbw-60", 4),
        ("strip-12v-pixel-60", 1),
    ],
)
def test_a_lead_has_one_return_for_each_channel_but_one_for_all_pixels(strip, returns):
    wired = wired_of(design(run(strip)))
    assert wired.returns == returns
    network = build_network(wired, (named_wire("22 AWG", parts()),), (20.0,), 0.0, 20.0)
    assert len(network.leads[0].return_ohm) == returns


@pytest.mark.parametrize(
    ("pack", "converter", "highest_v"),
    [
        ("liion-3s-5200", None, 12.6),
        ("liion-4s-6800", "buck-12v-5a", 12.0),
        ("usb-10000", None, 5.0),
    ],
)
def test_the_highest_volts_are_the_converters_the_sockets_or_the_full_packs(
    pack, converter, highest_v
):
    wired = wired_of(design(supplies=(supply(pack, converter),)))
    assert wired.highest_v == highest_v
