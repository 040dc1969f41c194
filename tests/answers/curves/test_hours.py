"""Hours against the evening, the level and the size of the pack: they join up with the answer."""

import math
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
    parts,
    run,
    some,
    supply,
)
from example_parts import EXAMPLES
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.answer import answer, answer_parts
from lightcalc.answers.compare import DOUBLE, ONE, TWO, compare
from lightcalc.answers.curves.hours import (
    MOST_EVENINGS,
    PACK_SIZES,
    evening_curves,
    level_curves,
    pack_size_curves,
)
from lightcalc.answers.endurance import HALF
from lightcalc.design.piece import Ask, Stretch
from lightcalc.design.read import read_design

HOUR_S = 3600.0


def example(name):
    return read_design(EXAMPLES / f"{name}.toml")


def one_evening(made, catalogue=None):
    """Return the curve of the first supply, and what the answer says of it."""
    catalogue = catalogue or parts()
    return evening_curves(made, catalogue)[0], answer(made, catalogue).supplies[0]


def lasting_evening(level=1.0, **changes):
    """Return one evening so long that every charge ends in it."""
    return evening(level, hours=160.0, evenings_a_week=1.0, **changes)


@some
@given(made=designs())
def test_an_evening_curve_ends_at_the_hours_of_the_answer(made):
    curve, found = one_evening(made)
    assert curve.time_h[-1] == pytest.approx(found.hours_h, rel=1e-9, abs=1e-9)
    assert curve.time_h[0] == 0.0
    assert np.all(np.diff(curve.time_h) >= 0.0)
    columns = (curve.time_h, curve.level_ratio, curve.light_ratio, curve.pack_v, curve.pack_a)
    lengths = {len(column) for column in columns}
    assert len(lengths) == 1


@some
@given(made=designs())
def test_evenings_end_every_so_many_lit_hours(made):
    curve, found = one_evening(made)
    lit_h = math.fsum(stretch.duration_s for stretch in made.use.stretches) / HOUR_S
    ends = np.array(curve.evening_ends_h)
    assert ends / lit_h == pytest.approx(np.round(ends / lit_h), abs=1e-6)
    if 0.0 < found.evenings_per_charge_count <= MOST_EVENINGS:
        assert len(ends) == math.floor(found.evenings_per_charge_count + 1e-9)


@some
@given(made=designs())
def test_levels_follow_the_stretches_of_the_evening(made):
    curve, found = one_evening(made)
    if not 0.0 < found.evenings_per_charge_count <= MOST_EVENINGS:
        return
    stretches = made.use.stretches
    ends_s = np.cumsum([stretch.duration_s for stretch in stretches])
    time_s = np.array(curve.time_h) * HOUR_S
    middles_s, spans_s = (time_s[1:] + time_s[:-1]) / 2, np.diff(time_s)
    for place in np.flatnonzero(spans_s > 1e-3):
        lit = stretches[int(np.searchsorted(ends_s, middles_s[place] % ends_s[-1]))]
        assert curve.level_ratio[place] == curve.level_ratio[place + 1] == lit.level_ratio


@few
@given(level=st.sampled_from([0.3, 1.0]), pack=st.sampled_from(["liion-4s-6800", "sla-12v-7ah"]))
def test_what_flows_in_lit_hours_adds_up_to_what_the_pack_gives(level, pack):
    # With a hard switch and no self-discharge nothing goes in the dark: the mean current over the
    # lit hours is all of the charge, here that of one discharge at the only level.
    full = catalogue_with("packs", pack, self_discharge_per_month=0.0)
    made = design(
        use=evening(level, hours=1.5),
        supplies=(supply(pack, "buckboost-12v-4a", switched_off=True),),
    )
    curve, _ = one_evening(made, full)
    (part,) = answer_parts(made, full)
    given_coulomb = float(
        part.charge.curves[part.charge.number_of(made.use.stretches[0])].totals.charge_coulomb
    )
    flowed = float(np.trapezoid(curve.pack_a, np.array(curve.time_h) * HOUR_S))
    assert flowed == pytest.approx(given_coulomb, rel=1e-3)


@pytest.mark.parametrize(
    ("pack", "converter"), [("liion-4s-6800", "buck-12v-5a"), ("liion-3s-5200", None)]
)
def test_one_evening_to_the_end_is_the_charge_at_full_level(pack, converter):
    full = catalogue_with("packs", pack, self_discharge_per_month=0.0)
    made = design(use=lasting_evening(), supplies=(supply(pack, converter),))
    curve, found = one_evening(made, full)
    within = np.array(found.series.time_h) <= curve.time_h[-1]
    for name in ("pack_v", "pack_a"):
        expected = np.array(getattr(found.series, name))[within]
        told = np.interp(found.series.time_h, curve.time_h, getattr(curve, name))[within]
        assert told == pytest.approx(expected, rel=3e-3)


@pytest.mark.parametrize("level", [0.1, 0.6, 1.0])
def test_behind_a_converter_light_is_the_level_until_the_end(level):
    curve, found = one_evening(design(use=lasting_evening(level)))
    assert found.hours_h > 0.0
    assert curve.light_ratio == pytest.approx([level] * len(curve.time_h), rel=1e-9)


def test_straight_on_a_pack_light_fades_to_half_and_then_no_longer_counts():
    made = design(use=lasting_evening(), supplies=(supply("d-alkaline-8", None),))
    curve, found = one_evening(made)
    assert found.ended_by == "half light"
    assert curve.light_ratio[0] == pytest.approx(1.0, rel=1e-9)
    assert curve.light_ratio[-1] == pytest.approx(HALF, rel=1e-3)
    assert np.all(np.diff(curve.light_ratio) <= 1e-12)


def test_of_very_many_evenings_a_selection_is_drawn_from_the_first_to_the_last():
    made = design(
        run(length_m=0.5),
        use=evening(0.2, 0.5, hours=0.1),
        supplies=(supply(switched_off=True),),
    )
    curve, found = one_evening(made)
    assert found.evenings_per_charge_count > 2 * MOST_EVENINGS
    assert curve.evening_ends_h[0] == pytest.approx(0.1, rel=1e-9)
    assert len(curve.evening_ends_h) <= MOST_EVENINGS
    assert found.hours_h - curve.evening_ends_h[-1] < 2 * found.hours_h / MOST_EVENINGS
    assert set(curve.level_ratio) == {0.2, 0.5}


def test_a_supply_that_gives_no_light_has_one_dark_entry():
    bank = next(pack for pack in parts().packs.values() if pack.auto_off_a)
    strip = next(one for one in parts().strips.values() if one.rated_v == bank.output_v)
    made = design(
        run(strip.name, strip.cut_unit_m),
        use=evening(0.001),
        supplies=(supply(bank.name, None),),
    )
    curve, found = one_evening(made)
    assert found.ended_by == "auto-off"
    assert curve.time_h == curve.level_ratio == curve.light_ratio == curve.pack_a == (0.0,)
    assert curve.pack_v == pytest.approx((bank.full_v,), rel=1e-6)
    assert curve.evening_ends_h == ()


@some
@given(made=designs())
def test_a_level_of_the_evening_lasts_as_long_as_the_answer_says(made):
    (curve,) = level_curves(made, parts())
    (found,) = answer(made, parts()).supplies
    keys = dict.fromkeys([(1.0, ()), *((one.level_ratio, one.mix) for one in made.use.stretches)])
    told = dict(zip(curve.level_ratio, curve.hours_h, strict=True))
    for (level, mix), level_answer in zip(keys, found.levels, strict=True):
        if mix == curve.mix:
            assert told[level] == pytest.approx(level_answer.hours_h, rel=1e-9, abs=1e-12)
            assert level in curve.levels_used_ratio or level == 1.0
    assert set(curve.levels_used_ratio) <= set(curve.level_ratio)


@some
@given(made=designs())
def test_more_light_never_lasts_longer(made):
    (curve,) = level_curves(made, parts())
    assert np.all(np.diff(curve.level_ratio) > 0.0)
    assert np.all(np.diff(curve.hours_h) <= 1e-9 * np.array(curve.hours_h[1:]))


def test_a_level_has_the_band_of_its_supply():
    made = design(use=evening(0.6))
    (curve,) = level_curves(made, parts())
    (found,) = answer(made, parts()).supplies
    for low, hours, high in zip(curve.hours_low_h, curve.hours_h, curve.hours_high_h, strict=True):
        assert low / hours == pytest.approx(found.hours_low_h / found.hours_h, rel=1e-9)
        assert high / hours == pytest.approx(found.hours_high_h / found.hours_h, rel=1e-9)


def test_levels_keep_the_mix_that_is_lit_longest():
    made, catalogue = example("display-cabinet")
    (curve,) = level_curves(made, catalogue)
    longest = max(made.use.stretches, key=lambda stretch: stretch.duration_s)
    assert curve.mix == longest.mix
    assert curve.levels_used_ratio == (longest.level_ratio,)
    alike = tuple(replace(one, mix=()) for one in made.use.stretches)
    (plain,) = level_curves(replace(made, use=replace(made.use, stretches=alike)), catalogue)
    assert plain.mix == ()
    assert plain.levels_used_ratio == tuple(sorted(one.level_ratio for one in alike))


def test_a_bank_stays_on_above_a_level_and_sleeps_below_it():
    bank = next(pack for pack in parts().packs.values() if pack.auto_off_a)
    strip = next(one for one in parts().strips.values() if one.rated_v == bank.output_v)
    made = design(run(strip.name, 1.0), supplies=(supply(bank.name, None),))
    amps = answer(made, parts()).supplies[0].socket_peak_a
    level = bank.auto_off_a / amps
    assert 0.05 < level < 1.0, "the strip must be one that a bank can miss"
    (curve,) = level_curves(made, parts())
    assert curve.stays_on == tuple(one >= level for one in curve.level_ratio)


def test_any_other_pack_stays_on_at_every_level():
    (curve,) = level_curves(design(), parts())
    assert all(curve.stays_on)


def builds_of(made, catalogue=None):
    return {curve.build: curve for curve in pack_size_curves(made, catalogue or parts())}


@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_the_named_pack_lasts_as_long_as_the_comparison_says(name):
    made, catalogue = example(name)
    curves = builds_of(made, catalogue)
    assert list(curves) == [ONE, TWO, DOUBLE]
    for build in compare(made, catalogue).builds:
        assert curves[build.build].named_hours_h == pytest.approx(build.hours_h, rel=1e-9)


@few
@given(made=designs(most_runs=2, most_units=20))
def test_so_it_does_for_any_design(made):
    curves = builds_of(made)
    for build in compare(made, parts()).builds:
        assert curves[build.build].named_hours_h == pytest.approx(build.hours_h, rel=1e-9)


@few
@given(made=designs(most_runs=2, most_units=20))
def test_more_charge_never_shortens_the_hours(made):
    for curve in builds_of(made).values():
        assert np.all(np.diff(curve.capacity_ah) > 0.0)
        assert np.all(np.diff(curve.hours_h) >= -1e-9 * np.array(curve.hours_h[1:]))


def test_the_axis_is_the_label_of_the_pack_in_every_build():
    made = design(run(name="a", length_m=0.5), run(name="b", length_m=0.5))
    label_ah = parts().packs["liion-4s-6800"].capacity_coulomb / 3600.0
    for curve in builds_of(made).values():
        assert curve.named_capacity_ah == label_ah
        assert curve.capacity_ah[0] == pytest.approx(label_ah / 4)
        assert curve.capacity_ah[-1] == pytest.approx(label_ah * 4)
        assert label_ah in curve.capacity_ah


def test_one_pack_of_twice_the_size_is_one_of_twice_the_cells():
    # The wires and fuses are named, so that the larger pack changes none of them.
    wires = {"pack_wire": "14 AWG", "pack_fuse": "blade-5a", "fuse": "blade-5a"}
    lead = feed(lead_m=0.3, wire="14 AWG")
    made = design(run(feeds=(lead,)), supplies=(supply(**wires),), use=evening(0.6, hours=2.0))
    curves = builds_of(made)
    twice = PACK_SIZES.index(2.0)
    assert curves[ONE].hours_h[twice] == pytest.approx(curves[DOUBLE].named_hours_h, rel=1e-9)


@pytest.mark.parametrize("size", [0.25, 0.5, 2.0, 4.0])
def test_a_pack_of_another_size_is_as_good_as_one_bought_at_that_size(size):
    # The same cells, more or fewer of them: charge and amps go with the size, ohms against it.
    name = "liion-4s-6800"
    label = parts().packs[name]
    scaled = {
        "capacity_coulomb": label.capacity_coulomb * size,
        "resistance_ohm": label.resistance_ohm / size,
        "max_amps": label.max_amps * size,
    }
    for field in ("slow_current_a", "fast_capacity_coulomb", "fast_current_a", "prospective_a"):
        value = getattr(label, field)
        scaled[field] = None if value is None else value * size
    wires = {"pack_wire": "14 AWG", "pack_fuse": "blade-5a", "fuse": "blade-5a"}
    lead = feed(lead_m=0.3, wire="14 AWG")
    made = design(
        run(feeds=(lead,)), supplies=(supply(name, **wires),), use=evening(0.6, hours=2.0)
    )
    bought = answer(made, catalogue_with("packs", name, **scaled)).supplies[0].hours_h
    drawn = builds_of(made)[ONE].hours_h[PACK_SIZES.index(size)]
    assert bought > 0.0
    assert drawn == pytest.approx(bought, rel=1e-6)


def test_the_protection_of_a_smaller_pack_trips_earlier():
    made = design(run(name="a"), run(name="b"), use=evening(hours=2.0))
    peak_a = answer(made, parts()).supplies[0].pack_peak_a
    # The named pack has half as much again as it needs, so one of half its size has too little.
    tight = catalogue_with("packs", "liion-4s-6800", max_amps=1.5 * peak_a)
    hours_h = builds_of(made, tight)[ONE].hours_h
    assert hours_h[PACK_SIZES.index(1.0)] > 0.0
    assert hours_h[PACK_SIZES.index(0.5)] == 0.0


def test_a_build_that_is_impossible_has_no_hours():
    # One cut unit cannot be shared between two packs.
    unit_m = parts().strips["strip-12v-60-warm"].cut_unit_m
    curves = builds_of(design(run(length_m=unit_m)))
    assert curves[TWO].hours_h == (0.0,) * len(PACK_SIZES)
    assert curves[TWO].named_hours_h == 0.0
    assert curves[ONE].named_hours_h > 0.0


@pytest.mark.parametrize("curves", [evening_curves, level_curves, pack_size_curves])
@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_parts_at_hand_change_nothing(curves, name):
    made, catalogue = example(name)
    assert curves(made, catalogue, answer_parts(made, catalogue)) == curves(made, catalogue)


def test_every_supply_has_its_curves():
    made = design(
        run(name="a", supply="left"),
        run(name="b", supply="right"),
        supplies=(supply(name="left"), supply("liion-3s-5200", None, name="right")),
        ask=Ask(charge_s=5 * HOUR_S),
    )
    assert [curve.supply for curve in evening_curves(made, parts())] == ["left", "right"]
    levels = level_curves(made, parts())
    assert [curve.supply for curve in levels] == ["left", "right"]
    assert {curve.asked_h for curve in (*levels, *pack_size_curves(made, parts()))} == {5.0}


def test_an_evening_of_equal_levels_in_a_row_counts_both():
    stretches = (Stretch(0.5, HOUR_S), Stretch(0.5, HOUR_S))
    use = replace(evening(0.5), stretches=stretches)
    curve, found = one_evening(design(use=use))
    assert curve.time_h[-1] == pytest.approx(found.hours_h, rel=1e-9)
    assert curve.evening_ends_h[0] == pytest.approx(2.0)


@pytest.mark.parametrize("name", ["liion-4s-6800", "sla-12v-7ah"])
def test_the_cut_off_drawn_is_that_of_the_pack(name):
    curve, _ = one_evening(design(supplies=(supply(name, "buckboost-12v-4a"),)))
    assert curve.cutoff_v == parts().packs[name].cutoff_v
