"""Light against the wire and dots against the distance: they join up with the answer."""

from dataclasses import replace

import numpy as np
import pytest
from designs import (
    catalogue_with,
    design,
    designs,
    evening,
    feed,
    few,
    groups,
    lengths,
    parts,
    run,
    some,
    sources,
    supply,
)
from example_parts import EXAMPLES
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.answer import answer, answer_parts
from lightcalc.answers.curves.light import distance_curves, wire_curves
from lightcalc.answers.surroundings import dots_answers
from lightcalc.design.piece import Ask, Seen
from lightcalc.design.read import read_design
from lightcalc.tables.wires import standard_sizes

NAMES = ("hall-bench", "bedside-shelf", "display-cabinet")


def example(name):
    return read_design(EXAMPLES / f"{name}.toml")


def all_of(size, made):
    """Return the design with every lead and trunk of one size."""

    def sized(lead):
        return replace(lead, wire=size)

    runs = tuple(
        replace(one, feeds=tuple(replace(each, lead=sized(each.lead)) for each in one.feeds))
        for one in made.runs
    )
    return replace(made, runs=runs, trunks=tuple(map(sized, made.trunks)))


SIZES = st.sampled_from(["28 AWG", "22 AWG", "0.5 mm2", "18 AWG", "2.5 mm2"])


@some
@given(made=designs(), size=SIZES)
def test_at_the_size_of_all_leads_a_run_is_as_the_answer_says(made, size):
    made = all_of(size, made)
    for run_answer, curve in zip(
        answer(made, parts()).runs, wire_curves(made, parts()), strict=True
    ):
        assert curve.run == run_answer.run
        assert curve.chosen_size == size
        assert set(curve.lead_sizes) == {size}
        at = curve.sizes.index(size)
        fall, dimmest = curve.light_fall_ratio[at], curve.dimmest_light_ratio[at]
        assert fall == pytest.approx(run_answer.light_fall_ratio, rel=1e-6, abs=2e-9)
        assert dimmest == pytest.approx(run_answer.dimmest_light_ratio, rel=1e-6, abs=2e-9)


@pytest.mark.parametrize("chosen", ["22 AWG", "2.5 mm2"])
@pytest.mark.parametrize("asked", ["28 AWG", "18 AWG"])
@pytest.mark.parametrize("name", NAMES)
def test_so_it_is_at_a_size_that_the_leads_do_not_have(name, chosen, asked):
    # Fuse and pack lead are named, so that the answer's own do not follow the leads.
    made, catalogue = example(name)
    (box,) = made.supplies
    straight = box.converter is None
    box = replace(
        box, pack_wire="14 AWG", pack_fuse="blade-5a", fuse=None if straight else "blade-5a"
    )
    made = replace(made, supplies=(box,))
    found = answer(all_of(asked, made), catalogue)
    curves = wire_curves(all_of(chosen, made), catalogue)
    for run_answer, curve in zip(found.runs, curves, strict=True):
        at = curve.sizes.index(asked)
        fall, dimmest = curve.light_fall_ratio[at], curve.dimmest_light_ratio[at]
        assert fall == pytest.approx(run_answer.light_fall_ratio, rel=1e-6, abs=2e-9)
        assert dimmest == pytest.approx(run_answer.dimmest_light_ratio, rel=1e-6, abs=2e-9)


def test_where_the_limit_of_a_converter_bites_all_runs_lose_light_together():
    # A limit of 1 A, while two runs of 2 m want more than 3 A: with thick wires too.
    weak = catalogue_with("converters", "buck-12v-5a", output_max_a=1.0)
    made = all_of("18 AWG", design(run(name="a", length_m=2.0), run(name="b", length_m=2.0)))
    found = answer(made, weak)
    assert found.supplies[0].output_v < 11.0
    for run_answer, curve in zip(found.runs, wire_curves(made, weak), strict=True):
        at = curve.sizes.index("18 AWG")
        dimmest, fall = curve.dimmest_light_ratio[at], curve.light_fall_ratio[at]
        assert dimmest == pytest.approx(run_answer.dimmest_light_ratio, rel=1e-6)
        assert fall == pytest.approx(run_answer.light_fall_ratio, rel=1e-6)
        # LEDs give light as current goes through them, and the converter lets no more through.
        assert np.ptp(curve.dimmest_light_ratio) < 1e-4


@st.composite
def one_lead(draw):
    """Draw a design of one run with one feed and any supply that may feed it."""
    strip = draw(st.sampled_from([name for group in groups() for name in group]))
    pack, converter, controller = draw(st.sampled_from(sources(strip)))
    made = run(strip, draw(lengths(0.5, 2.0)), feeds=(feed(lead_m=draw(lengths(0.1, 4.0))),))
    return design(made, supplies=(supply(pack, converter, controller=controller),))


@some
@given(made=one_lead())
def test_thicker_copper_never_lowers_the_light_nor_raises_the_drop(made):
    # With one lead; with several a run that gets more may leave less for another. In one system of
    # sizes: a metric one has the most ohms IEC 60228 allows, more than an AWG a little thinner.
    (curve,) = wire_curves(made, parts())
    assert np.all(np.diff(curve.area_mm2) > 0.0)
    for system in ("AWG", "mm2"):
        own = [at for at, size in enumerate(curve.sizes) if size.endswith(system)]
        assert np.all(np.diff(np.array(curve.dimmest_light_ratio)[own]) >= -1e-9)
        assert np.all(np.diff(np.array(curve.lead_drop_ratio)[own]) <= 0.0)


@some
@given(made=one_lead())
def test_the_thinnest_that_suits_is_the_one_the_answer_takes(made):
    (curve,) = wire_curves(made, parts())
    wire = next(one for one in answer(made, parts()).wires if one.lead == "lead")
    at = curve.sizes.index(curve.chosen_size)
    assert curve.chosen_size == wire.size
    assert curve.lead_drop_ratio[at] == pytest.approx(wire.drop_ratio, rel=1e-9)
    if any(curve.suits):
        assert curve.sizes[curve.suits.index(True)] == wire.size


@few
@given(made=designs(), size=SIZES)
def test_a_size_suits_when_the_answer_finds_nothing_against_it(made, size):
    made = all_of(size, made)
    found = answer(made, parts())
    bad = {
        finding.where
        for finding in found.findings
        if finding.code in ("wire-thin", "wire-drop", "no-wire")
    }
    trunks = {trunk.name: trunk for trunk in made.trunks}
    for one, curve in zip(made.runs, wire_curves(made, parts()), strict=True):
        names = set()
        for each in one.feeds:
            lead = each.lead
            while lead is not None:
                names.add(f"lead {lead.name}")
                lead = trunks.get(lead.parent)
        assert curve.suits[curve.sizes.index(size)] == (not names & bad)


def test_the_drop_is_that_of_the_whole_way_to_a_run():
    made, catalogue = example("display-cabinet")
    drops = {one.lead: one.drop_ratio for one in answer(all_of("18 AWG", made), catalogue).wires}
    trunks = {trunk.name: trunk for trunk in made.trunks}
    for one, curve in zip(made.runs, wire_curves(all_of("18 AWG", made), catalogue), strict=True):
        ways = []
        for each in one.feeds:
            lead, way = each.lead, 0.0
            while lead is not None:
                way, lead = way + drops[lead.name], trunks.get(lead.parent)
            ways.append(way)
        at = curve.sizes.index("18 AWG")
        assert curve.lead_drop_ratio[at] == pytest.approx(max(ways), rel=1e-9)


def test_a_catalogue_with_one_wire_is_shown_beside_the_sizes_sold_everywhere():
    name = "wire-20awg"
    only = replace(parts(), wires={name: parts().wires[name]})
    made = replace(design(ask=Ask(light_fall_ratio=0.2, lead_drop_ratio=0.05)), system="metric")
    (metric,) = wire_curves(made, only)
    assert set(metric.sizes) == {"20 AWG", *(size.name for size in standard_sizes("mm2"))}
    (inch,) = wire_curves(replace(made, system="inch"), only)
    assert set(inch.sizes) == {size.name for size in standard_sizes("AWG")}
    assert (inch.asked_fall_ratio, inch.asked_drop_ratio) == (0.2, 0.05)


def test_every_stranded_size_of_the_catalogue_stands_once():
    (curve,) = wire_curves(design(), parts())
    offered = {wire.size.name for wire in parts().wires.values() if wire.construction == "stranded"}
    assert len(curve.sizes) == len(offered)
    assert set(curve.sizes) == offered


@pytest.mark.parametrize("name", NAMES)
def test_at_the_drawn_distance_dots_are_as_the_answer_says(name):
    made, catalogue = example(name)
    curves, found = distance_curves(made, catalogue), answer(made, catalogue).dots
    assert len(curves) == len(found) > 0
    for curve, dots in zip(curves, found, strict=True):
        assert (curve.run, curve.surface) == (dots.run, dots.surface)
        at = curve.distance_m.index(dots.distance_m)
        assert curve.drawn_distance_m == dots.distance_m
        assert curve.contrast_ratio[at] == curve.drawn_contrast_ratio == dots.contrast_ratio
        assert curve.threshold_ratio[at] == dots.threshold_ratio
        assert curve.verdicts[at] == dots.verdict
        assert curve.hiding_distance_m == dots.hiding_distance_m


def seen(distance_m, **changes):
    surface = Seen("the wall", distance_m, 1.5, **changes)
    return design(run(seen=(surface,)), use=evening(0.6))


@few
@given(distance_m=st.floats(0.005, 0.6))
def test_contrast_falls_with_distance_and_meets_the_threshold_where_dots_hide(distance_m):
    (curve,) = distance_curves(seen(distance_m), parts())
    assert np.all(np.diff(curve.distance_m) > 0.0)
    assert np.all(np.diff(curve.contrast_ratio) <= 0.0)
    at = curve.distance_m.index(curve.hiding_distance_m)
    assert curve.contrast_ratio[at] == pytest.approx(curve.threshold_ratio[at], rel=1e-6)
    assert curve.distance_m[0] < curve.hiding_distance_m < curve.distance_m[-1]
    for distance, verdict in zip(curve.distance_m, curve.verdicts, strict=True):
        if distance != curve.hiding_distance_m:
            assert (verdict == "hidden") == (distance > curve.hiding_distance_m)


@few
@given(distance_m=st.floats(0.005, 0.6), place=st.integers(0, 23))
def test_any_distance_of_a_curve_is_what_a_design_drawn_there_gets(distance_m, place):
    made = seen(distance_m)
    (curve,) = distance_curves(made, parts())
    there = curve.distance_m[place]
    (part,) = answer_parts(seen(there), parts())
    (dots,) = dots_answers(part.wired.runs[0], part.runs[0], made.use, parts())
    assert curve.contrast_ratio[place] == pytest.approx(dots.contrast_ratio, rel=1e-12)
    assert curve.verdicts[place] == dots.verdict


def test_through_a_clear_sheet_dots_show_though_the_glow_is_even():
    clear = max(parts().sheets.values(), key=lambda sheet: sheet.straight_share)
    (curve,) = distance_curves(seen(0.1, sheet=clear.name), parts())
    assert curve.hiding_distance_m is None
    assert "hidden" not in curve.verdicts


@pytest.mark.parametrize("curves", [wire_curves, distance_curves])
@pytest.mark.parametrize("name", NAMES)
def test_parts_at_hand_change_nothing(curves, name):
    made, catalogue = example(name)
    assert curves(made, catalogue, answer_parts(made, catalogue)) == curves(made, catalogue)
