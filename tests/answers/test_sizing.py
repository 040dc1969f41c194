"""Wires meet every demand, worked out again here from the parts' own figures."""

import pytest
from designs import (
    build,
    design,
    designs,
    feed,
    few,
    parts,
    run,
    some,
    supply,
)
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.answer import answer
from lightcalc.design.piece import Lead
from lightcalc.physics.circuit.ladder import solve


@some
@given(designs())
def test_every_wire_chosen_stands_its_load_and_what_protects_it(made):
    built = build(made)
    for wire in (*built.sized.leads, built.sized.pack_lead):
        if wire.named or wire.choice.chosen is None:
            continue
        assert wire.check.ampacity_a >= wire.duty.peak_a
        assert wire.check.ampacity_a >= wire.duty.fuse_a
        assert wire.check.drop_ratio <= wire.duty.allowed_drop_ratio * (1 + 1e-9)


@few
@given(metres=st.floats(0.2, 4.0), more=st.floats(0.1, 6.0), load_m=st.floats(0.3, 5.0))
def test_a_longer_lead_never_takes_thinner_wire(metres, more, load_m):
    areas = [
        build(design(run("strip-12v-120-warm", load_m, feeds=(feed(lead_m=length),))))
        .sized.leads[0]
        .check.wire.size.area_m2
        for length in (metres, metres + more)
    ]
    assert areas[1] >= areas[0]


@few
@given(
    metres=st.floats(0.1, 4.0),
    more=st.floats(0.05, 1.0),
    pack=st.sampled_from(["liion-4s-6800", "liion-3s-5200", "sla-12v-7ah"]),
)
def test_a_longer_run_never_takes_thinner_wire(metres, more, pack):
    source = supply(pack, "buck-12v-5a" if pack == "liion-4s-6800" else None)
    sizes = []
    for length in (metres, metres + more):
        made = design(
            run("strip-12v-120-warm", length, feeds=(feed(lead_m=1.5),)), supplies=(source,)
        )
        sized = build(made).sized
        sizes.append([w.check.wire.size.area_m2 for w in (*sized.leads, sized.pack_lead)])
    assert all(longer >= short for short, longer in zip(*sizes, strict=True))


def test_each_colour_has_a_return_of_its_own_so_its_lead_loses_less():
    # With three returns the loop is 1 + 1/3 lengths at full current in the positive conductor.
    one, three = (
        build(design(run(strip, 1.0, feeds=(feed(lead_m=2.0),)))).sized.leads[0]
        for strip in ("strip-12v-60-warm", "strip-12v-rgb-60")
    )
    assert one.duty.loop_length_m == pytest.approx(4.0)
    assert three.duty.loop_length_m == pytest.approx(2.0 * 4 / 3)
    assert one.length_m == three.length_m == 2.0


def test_the_drop_that_a_lead_is_sized_for_is_the_drop_it_has():
    built = build(design(run("strip-12v-rgb-60", 1.0, feeds=(feed(lead_m=2.0, wire="20 AWG"),))))
    solution = solve(built.circuit.network, 12.0)
    fed_v = float(solution.feed_v[0].mean())
    # Receiver, fuse and connector come first; the lead itself takes the rest.
    lead_w = float(solution.power.lead_w)
    lost_v = lead_w / float(solution.supply_a)
    assert built.sized.leads[0].check.drop_v == pytest.approx(lost_v, rel=0.1)
    assert fed_v < 12.0 - lost_v * 0.99


@some
@given(designs())
def test_the_drops_along_a_path_of_chosen_wires_stay_within_what_was_asked(made):
    built = build(made)
    leads, sized = built.wired.leads, built.sized.leads
    for number, lead in enumerate(leads):
        path, at = [], number
        while at >= 0:
            path.append(sized[at])
            at = leads[at].parent
        if lead.run is not None and all(w.choice.chosen and not w.named for w in path):
            drop = sum(wire.check.drop_ratio for wire in path)
            assert drop <= made.ask.lead_drop_ratio * (1 + 1e-9)


def test_a_trunk_and_its_lead_share_the_drop_that_was_asked():
    trunk = Lead("trunk", 3.0)
    one = run("strip-12v-120-warm", 1.2, feeds=(feed(lead_m=3.0, parent="trunk"),))
    whole = run("strip-12v-120-warm", 1.2, feeds=(feed(lead_m=6.0),))
    split = build(design(one, trunks=(trunk,))).sized.leads
    joined = build(design(whole)).sized.leads
    assert {wire.check.wire.name for wire in split} == {joined[0].check.wire.name}
    assert sum(wire.check.drop_ratio for wire in split) <= 0.03


def test_both_systems_of_sizes_are_answered_and_the_thinner_one_is_used():
    wire = answer(design(), parts()).wires[1]
    assert wire.smallest_awg == "20 AWG"
    assert wire.smallest_mm2 == "0.75 mm2"
    assert wire.size == "20 AWG"
    assert wire.loop_length_m == pytest.approx(2.0 * wire.length_m)


def test_a_named_wire_is_checked_and_kept():
    made = design(run(feeds=(feed(wire="28 AWG"),)))
    wire = answer(made, parts()).wires[1]
    assert (wire.size, wire.chosen_by) == ("28 AWG", "you")
    assert "wire-thin" in [finding.code for finding in answer(made, parts()).findings]
