"""The cut list holds every run and every conductor once, with the allowance it states."""

from dataclasses import replace

import pytest
from designs import build, catalogue_with, design, designs, feed, parts, run, some, supply
from hypothesis import given
from pieces import answered, example

from lightcalc.answers.answer import answer
from lightcalc.answers.cost import _copper
from lightcalc.design.piece import Lead
from lightcalc.design.service import Crossing, Joint
from lightcalc.packet.conductors import MINUS, PLUS
from lightcalc.packet.cut_list import ALLOWANCES, cut_list

METRIC = ALLOWANCES["metric"]


def cuts_of(made, catalogue=None):
    catalogue = catalogue or parts()
    return cut_list(made, catalogue, answer(made, catalogue))


@some
@given(designs())
def test_every_run_is_cut_once_and_reels_are_whole(made):
    found = cuts_of(made)
    cut = [one for strip in found.strips for reel in strip.reels for one in reel.cuts]
    assert sorted(one.run for one in cut) == sorted(one.name for one in made.runs)
    lengths = {one.run: one.cut_length_m for one in answer(made, parts()).runs}
    for one in cut:
        assert one.length_m == pytest.approx(lengths[one.run])
        assert one.end_m - one.start_m == pytest.approx(one.length_m)
    for strip in found.strips:
        for reel in strip.reels:
            used_m = sum(one.length_m for one in reel.cuts)
            whole_m = used_m + reel.offcut_m
            assert -1e-9 < strip.reel_m - whole_m < strip.cut_unit_m + 1e-9
            ends = [0.0, *(one.end_m for one in reel.cuts)]
            assert [one.start_m for one in reel.cuts] == ends[:-1]


@some
@given(designs())
def test_the_copper_as_drawn_is_what_the_price_counts(made):
    # What the price of an answer counts, conductor by conductor, is drawn independently of this.
    built = build(made, parts())
    counted = {}
    for name, length_m in _copper(built.wired, built.sized):
        counted[name] = counted.get(name, 0.0) + length_m
    found = cuts_of(made)
    name = built.wired.supply.name
    here = [one for one in found.wires if one.supply == name and not one.is_jumper]
    drawn = {}
    for one in here:
        drawn[one.wire] = drawn.get(one.wire, 0.0) + one.drawn_m
    assert drawn == pytest.approx(counted)


@some
@given(designs())
def test_totals_are_the_sums_of_the_cuts(made):
    found = cuts_of(made)
    for total in found.wire_totals:
        some_cuts = [o for o in found.wires if (o.wire, o.colour) == (total.wire, total.colour)]
        assert total.cuts_count == len(some_cuts)
        assert total.length_m == pytest.approx(sum(o.drawn_m + o.allowance_m for o in some_cuts))
    assert sum(t.cuts_count for t in found.wire_totals) == len(found.wires)


def test_the_demo_is_cut_as_counted_by_hand():
    # Two runs of 28 units of 50 mm from a reel of 100; leads of 45 and 95 cm with a plug each
    # (25 mm at four ends, a loop of 100 mm), a pack lead of 15 cm with one (and a loop of 50 mm),
    # and jumpers of 15 cm from converter to controller and on to where the two leads join.
    made, catalogue, answered_ = example("hall-bench")
    found = cut_list(made, catalogue, answered_)
    (strip,) = found.strips
    (reel,) = strip.reels
    assert [(c.run, c.units_count) for c in reel.cuts] == [("front rail", 28), ("back rail", 28)]
    assert (reel.offcut_units_count, strip.proved) == (44, True)
    lengths = {(t.size, t.colour): t.length_m for t in found.wire_totals}
    assert lengths == pytest.approx(
        {
            ("20 AWG", "red"): 0.45 + 0.95 + 0.4 + 2 * 0.2,
            ("20 AWG", "black"): 0.45 + 0.95 + 0.4 + 2 * 0.2,
            ("22 AWG", "red"): 0.15 + 0.15,
            ("22 AWG", "black"): 0.15 + 0.15,
        }
    )


def test_a_lead_to_three_colours_is_cut_four_times_and_pixels_twice():
    for strip, count in (("strip-12v-rgb-60", 4), ("strip-12v-pixel-60", 2)):
        found = cuts_of(design(run(strip, 1.0)))
        lead = [one for one in found.wires if one.lead == "rail lead"]
        assert [one.sign for one in lead] == [PLUS, *[MINUS] * (count - 1)]
        assert any("data wire" in note for note in found.notes) == (count == 2)


def test_a_connector_at_a_joint_takes_two_more_ends():
    lengths = []
    for plug in (None, "plug-small-2"):
        lead = Lead("lead", 0.5, crossing=Crossing(("seat",), plug))
        made = design(run(feeds=(replace(feed(), lead=lead),)))
        found = cuts_of(replace(made, joints=(Joint("seat"),)))
        cut = next(one for one in found.wires if one.lead == "lead")
        assert cut.joints == (("seat",) if plug else ())
        lengths.append(cut.length_m)
    assert lengths[1] - lengths[0] == pytest.approx(2 * METRIC.end_m)


def test_a_trunk_named_like_a_feed_is_still_cut_to_its_own_length():
    trunk = Lead("rail lead", 2.0, crossing=Crossing(("seat",), "plug-small-2"))
    one = run(feeds=(feed(lead_m=0.3, parent="rail lead", name="rail lead"),))
    made = replace(design(one, trunks=(trunk,)), joints=(Joint("seat"),))
    drawn = [(one.drawn_m, one.joints) for one in cuts_of(made).wires[2:6]]
    assert drawn == [(2.0, ("seat",))] * 2 + [(0.3, ())] * 2


def test_a_run_longer_than_a_reel_is_flagged_and_not_cut():
    short = catalogue_with("strips", "strip-12v-60-warm", reel_m=1.0)
    found = cuts_of(design(run(length_m=1.5), run(name="other", length_m=0.9)), short)
    (strip,) = found.strips
    assert strip.too_long == ("rail",)
    assert [cut.run for reel in strip.reels for cut in reel.cuts] == ["other"]
    assert any("rail is longer than a reel" in note for note in found.notes)


def test_supplies_share_the_reels_of_one_strip():
    both = design(
        run(name="a", length_m=2.5),
        run(name="b", length_m=2.5, supply="second"),
        supplies=(supply(), supply(name="second")),
    )
    (strip,) = cuts_of(both).strips
    assert len(strip.reels) == 1
    assert strip.longest_offcut_m == 0.0


def test_inches_have_allowances_of_whole_inches():
    made = replace(design(), system="inch")
    found = cut_list(*answered(made))
    assert "1 in at each end" in found.notes[0]
    assert "loop of 4 in" in found.notes[0]
    lead = next(one for one in found.wires if one.lead == "rail lead")
    assert lead.allowance_m == pytest.approx(6 * 0.0254)


def jumpers_of(made):
    return [one for one in cuts_of(made).wires if one.is_jumper]


def test_a_jumper_joins_converter_and_controller_and_one_more_several_leads():
    # A single lead goes on the terminals itself, and a pack lead reaches the first part.
    several = (run(), run(name="other"))
    wanted = {
        (False, False, False): [],
        (True, False, False): [],
        (True, True, False): ["converter to controller"],
        (False, True, True): ["controller to leads"],
        (True, False, True): ["converter to leads"],
        (True, True, True): ["converter to controller", "controller to leads"],
    }
    for (converter, controller, leads), ways in wanted.items():
        source = supply(
            "liion-3s-10400" if not converter else "liion-4s-6800",
            "buck-12v-5a" if converter else None,
            controller="receiver-radio-1ch" if controller else None,
        )
        found = jumpers_of(design(*(several if leads else several[:1]), supplies=(source,)))
        assert [one.lead for one in found] == [
            f"box jumper, {way}" for way in ways for _ in range(2)
        ]
        assert [one.sign for one in found] == [PLUS, MINUS] * len(ways)
        assert all(one.drawn_m == 0.15 for one in found)
        assert all(one.length_m == pytest.approx(0.2) for one in found)


def test_a_jumper_to_the_leads_has_a_return_for_each_channel():
    strips = [run("strip-12v-rgb-60", 1.0, name=name) for name in ("one", "two")]
    found = jumpers_of(design(*strips, supplies=(supply(controller="receiver-radio-4ch"),)))
    assert [one.sign for one in found] == [PLUS, MINUS, PLUS, MINUS, MINUS, MINUS]


@some
@given(designs())
def test_a_jumper_carries_all_that_its_supply_gives(made):
    # Wires after a converter stand its limit; the thickest of those that leave the supply does.
    built = answer(made, parts())
    for one in cuts_of(made).wires:
        if one.is_jumper:
            like = [wire for wire in built.wires if wire.wire == one.wire]
            peak_a = next(s.output_peak_a for s in built.supplies if s.supply == one.supply)
            named = any(wire.chosen_by == "you" for wire in built.wires)
            assert named or max(wire.ampacity_a for wire in like) >= peak_a


def test_the_length_of_a_jumper_is_said_to_be_assumed():
    for system, length in (("metric", "150 mm"), ("inch", "6 in")):
        made = replace(design(run(), run(name="other")), system=system)
        found = cut_list(*answered(made))
        assert any(f"{length} is assumed" in note for note in found.notes)
    alone = cut_list(*answered(design()))
    assert not any("assumed" in note for note in alone.notes)
