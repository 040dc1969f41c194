"""A fuse carries the load, saves the wire, and opens at the far end; or something must change."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.circuit.fuse import Fuse, FuseDuty, check_fuse, choose_fuse
from lightcalc.physics.circuit.short_circuit import Branch, Lead, Source
from lightcalc.physics.circuit.wire import Wire, ampacity_a
from lightcalc.tables.wires import awg_size, standard_sizes

# ISO 8820 blade fuses, ratings from memory.
BLADES = [
    Fuse(f"{a:g} A blade", "blade", a, 32.0, 1000.0, 2.0, 5.0)
    for a in (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0)
]
# IEC 60127 ratings from the R10 series and a low breaking capacity of 35 A, from memory.
CARTRIDGES = [
    Fuse(f"{a:g} A cartridge", "cartridge", a, 60.0, 35.0, 2.1, 1800.0, 0.1 / a)
    for a in (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3)
]
RESETTABLES = [
    Fuse(f"{a:g} A resettable", "resettable", a, 30.0, 40.0, 2.0, 10.0, 0.05 / a)
    for a in (0.5, 1.1, 2.5)
]
WIRES = [Wire(size.name, size, 105.0) for size in standard_sizes("AWG")]

PACK = Source(full_v=12.6, full_ohm=0.1, weak_v=9.0, weak_ohm=0.2)


def lead(gauge: int, loop_length_m: float) -> Lead:
    return Lead(Wire(f"{gauge} AWG", awg_size(gauge), 105.0), loop_length_m)


leads = st.builds(Lead, st.sampled_from(WIRES), st.floats(0.1, 20.0))
branches = st.builds(Branch, leads, st.floats(0.05, 8.0), st.floats(0.0, 3.0))


@st.composite
def duties(draw: st.DrawFn) -> FuseDuty:
    full_v = draw(st.floats(5.0, 36.0))
    full_ohm = draw(st.floats(0.02, 0.5))
    source = Source(
        full_v,
        full_ohm,
        full_v * draw(st.floats(0.6, 1.0)),
        full_ohm * draw(st.floats(1.0, 3.0)),
        draw(st.floats(0.0, 0.02)),
        draw(st.none() | st.floats(0.5, 20.0)),
    )
    return FuseDuty(
        source,
        tuple(draw(st.lists(branches, min_size=1, max_size=4))),
        draw(st.none() | leads),
        draw(st.floats(0.0, 60.0)),
        draw(st.sampled_from([0.0, 0.05, 0.5])),
    )


offers = st.lists(st.sampled_from(BLADES + CARTRIDGES + RESETTABLES), min_size=1, max_size=12)


def loop(one: Lead, celsius: float) -> float:
    ohm = one.wire.size.resistance_20c_ohm_per_m * one.loop_length_m
    return ohm * (1 + 0.00393 * (celsius - 20))


def will_do(fuse: Fuse, duty: FuseDuty) -> bool:
    """Say from the definitions of the demands whether a fuse will do."""
    source, feeder = duty.source, duty.feeder
    every = [branch.lead for branch in duty.branches] + ([feeder] if feeder else [])
    wire_a = min(ampacity_a(one.wire, duty.ambient_c) for one in every)
    most_a = min(source.full_v / (source.full_ohm + source.wiring_20c_ohm), source.limit_a or 1e9)
    least_a = source.limit_a or 1e9
    for branch in duty.branches:
        ohm = source.weak_ohm + source.wiring_20c_ohm * (1 + 0.00393 * 85) + fuse.resistance_ohm
        ohm += loop(branch.lead, branch.lead.wire.insulation_c)
        ohm += loop(feeder, feeder.wire.insulation_c) if feeder else 0.0
        ohm += branch.strip_loop_ohm * (1 + 0.00393 * (branch.strip_c - 20))
        least_a = min(least_a, source.weak_v / ohm)
    # Typical, from memory: derating above 25 degC, least and most I2t for a rating of 1 A.
    lost, holds, passes = {
        "blade": (0.0015, 0.98, 6.1),
        "cartridge": (0.002, 0.16, 4.8),
        "resettable": (0.007, 2.5, 100.0),
    }[fuse.kind]
    carries_a = fuse.rating_a * (1 - lost * max(duty.ambient_c - 25, 0))
    thinnest_mm2 = min(one.wire.size.area_m2 for one in every) * 1e6
    load_a = sum(branch.continuous_a for branch in duty.branches)
    limit_protects = source.limit_a is not None and source.limit_a <= wire_a
    return (
        1.25 * load_a <= carries_a
        and fuse.rating_a <= wire_a
        and fuse.breaking_a >= most_a
        and fuse.volts_v >= source.full_v
        and (limit_protects or least_a >= fuse.opens_at_ratio * fuse.rating_a)
        and passes * fuse.rating_a**2 <= (115 * thinnest_mm2) ** 2
        and duty.inrush_a2s <= 0.3 * holds * fuse.rating_a**2
    )


@given(offers, duties())
def test_the_chosen_fuse_meets_every_demand_and_is_the_smallest_that_does(
    offered: list[Fuse], duty: FuseDuty
) -> None:
    fitting = [fuse.rating_a for fuse in offered if will_do(fuse, duty)]
    choice = choose_fuse(offered, duty)
    if choice.chosen is None:
        assert not fitting
    else:
        assert will_do(choice.chosen, duty)
        assert choice.chosen.rating_a == min(fitting)


@given(offers, duties())
def test_when_nothing_will_do_a_change_is_named(offered: list[Fuse], duty: FuseDuty) -> None:
    choice = choose_fuse(offered, duty)
    troubled = choice.protected_by == "nothing"
    assert bool(choice.changes) == bool(choice.failed) == troubled
    if choice.chosen is not None:
        assert not troubled


@given(offers, duties())
def test_branch_fuses_that_solve_it_meet_every_demand_of_their_branch(
    offered: list[Fuse], duty: FuseDuty
) -> None:
    apart = choose_fuse(offered, duty).branch_fuses
    if apart is None or not apart.solves:
        return
    feeder, source = duty.feeder, duty.source
    if feeder is not None:
        assert apart.main is not None
        whole = Branch(feeder, duty.continuous_a)
        assert will_do(apart.main, replace(duty, branches=(whole,), feeder=None))
        cold_ohm = source.wiring_20c_ohm + loop(feeder, 20.0)
        source = replace(source, wiring_20c_ohm=cold_ohm)
    for fuse, branch in zip(apart.branches, duty.branches, strict=True):
        assert fuse is not None
        assert will_do(fuse, FuseDuty(source, (branch,), None, duty.ambient_c, duty.inrush_a2s))


@given(offers, duties(), st.floats(1.0, 4.0))
def test_the_fuse_never_gets_smaller_when_the_load_rises(
    offered: list[Fuse], duty: FuseDuty, more: float
) -> None:
    heavier = replace(
        duty,
        branches=tuple(replace(b, continuous_a=b.continuous_a * more) for b in duty.branches),
    )
    before, after = choose_fuse(offered, duty).chosen, choose_fuse(offered, heavier).chosen
    if after is not None:
        assert before is not None
        assert before.rating_a <= after.rating_a


def test_a_load_of_four_fifths_of_a_rating_takes_exactly_that_rating() -> None:
    # Common practice: 125 % of the continuous load.
    for fuse in BLADES[1:5]:
        duty = FuseDuty(PACK, (Branch(lead(14, 0.5), 0.8 * fuse.rating_a),))
        assert choose_fuse(BLADES, duty).chosen == fuse


def test_a_load_of_more_than_four_fifths_of_a_rating_takes_the_next() -> None:
    duty = FuseDuty(PACK, (Branch(lead(14, 0.5), 0.81 * 3.0),))
    assert choose_fuse(BLADES, duty).chosen == BLADES[3]


def test_a_fuse_is_never_above_the_ampacity_of_the_thinnest_wire() -> None:
    # 22 AWG carries 3 A (from memory, NFPA 79); the feeder before it carries more.
    duty = FuseDuty(PACK, (Branch(lead(22, 1.0), 1.0),), feeder=lead(14, 1.0))
    assert choose_fuse([BLADES[2]], duty).chosen == BLADES[2]
    over = replace(BLADES[2], rating_a=3.01)
    assert choose_fuse([over], duty).failed == ("protects the wire",)


def test_a_branch_fuse_must_open_through_the_feeder_before_it() -> None:
    # 1 A blades need 2 A. 9 V over 0.2 + 3.3 ohm of strip gives more, 2 ohm of feeder more than
    # that (NBS Handbook 100: 26 AWG has 40.81 ohm per 1000 ft) leave less.
    branch = Branch(lead(18, 0.1), 0.75, strip_loop_ohm=3.3)
    near = FuseDuty(PACK, (branch, branch), feeder=lead(12, 0.1))
    far = replace(near, feeder=lead(26, 15.0))
    apart = choose_fuse(BLADES, near).branch_fuses
    assert apart is not None
    assert apart.branches == (BLADES[0], BLADES[0])
    apart = choose_fuse(BLADES, far).branch_fuses
    assert apart is not None
    assert apart.branches == (None, None)


def test_a_long_thin_strip_asks_for_a_smaller_fuse_on_each_branch() -> None:
    branch = Branch(lead(20, 4.0), 0.9, strip_loop_ohm=1.5)
    choice = choose_fuse(BLADES, FuseDuty(PACK, (branch, branch, branch)))
    assert choice.chosen is None
    assert "opens at the far end" in choice.failed
    assert choice.changes[0] == "smaller fuse per branch"
    assert choice.branch_fuses is not None
    assert choice.branch_fuses.solves
    assert [fuse.rating_a for fuse in choice.branch_fuses.branches if fuse] == [2.0, 2.0, 2.0]


def test_the_far_branch_is_the_one_whose_short_draws_least() -> None:
    near, far = Branch(lead(18, 1.0), 0.5, 0.1), Branch(lead(22, 8.0), 0.5, 0.4)
    choice = choose_fuse(BLADES, FuseDuty(PACK, (near, far, near)))
    assert choice.far_branch == 1


@pytest.mark.parametrize(
    ("offered", "duty", "changes"),
    [
        # 4 A through 22 AWG, which carries 3 A.
        (BLADES, FuseDuty(PACK, (Branch(lead(22, 1.0), 4.0),)), ("thicker wire",)),
        # Room from 2.25 to 3 A, but nothing on offer between 2 and 4 A.
        (
            [BLADES[1], BLADES[3]],
            FuseDuty(PACK, (Branch(lead(22, 1.0), 1.8),)),
            ("fuse of another rating",),
        ),
        # The pack can give 126 A; these break 35 A.
        (
            CARTRIDGES,
            FuseDuty(PACK, (Branch(lead(18, 1.0), 1.0),)),
            ("fuse of higher breaking capacity",),
        ),
        (
            BLADES,
            FuseDuty(Source(42.0, 0.3, 33.0, 0.5), (Branch(lead(18, 1.0), 1.0),)),
            ("fuse of higher voltage",),
        ),
        # The lead alone stands in the way.
        (BLADES, FuseDuty(PACK, (Branch(lead(22, 30.0), 2.2),)), ("thicker wire",)),
        # The strip alone stands in the way.
        (
            BLADES,
            FuseDuty(PACK, (Branch(lead(18, 1.0), 2.2, strip_loop_ohm=2.5),)),
            ("shorter run or one more feed",),
        ),
        # A pack whose resistance grows from 0.3 to 3 ohm.
        (
            BLADES,
            FuseDuty(Source(12.6, 0.3, 9.0, 3.0), (Branch(lead(18, 1.0), 2.2),)),
            ("lower resistance pack",),
        ),
        (
            [BLADES[0]],
            FuseDuty(PACK, (Branch(lead(18, 1.0), 0.5),), inrush_a2s=0.5),
            ("slower fuse",),
        ),
    ],
)
def test_the_part_that_must_change_is_named(
    offered: list[Fuse], duty: FuseDuty, changes: tuple[str, ...]
) -> None:
    choice = choose_fuse(offered, duty)
    assert choice.chosen is None
    assert choice.changes == changes


def test_a_far_end_that_no_single_change_mends_names_all_worst_first() -> None:
    weak = Source(12.6, 0.1, 9.0, 1.5)
    choice = choose_fuse(BLADES, FuseDuty(weak, (Branch(lead(22, 30.0), 2.2, 3.0),)))
    assert choice.changes == (
        "shorter run or one more feed",
        "thicker wire",
        "lower resistance pack",
    )


def test_a_change_of_wire_that_is_named_for_the_far_end_mends_it() -> None:
    duty = FuseDuty(PACK, (Branch(lead(22, 30.0), 2.2),))
    assert choose_fuse(BLADES, duty).changes == ("thicker wire",)
    assert choose_fuse(BLADES, FuseDuty(PACK, (Branch(lead(16, 30.0), 2.2),))).chosen is not None


def test_a_converters_limit_protects_a_wire_that_can_carry_it() -> None:
    limited = Source(12.0, 0.0, 12.0, 0.0, limit_a=4.0)
    choice = choose_fuse(BLADES, FuseDuty(limited, (Branch(lead(20, 4.0), 2.8, 2.0),)))
    assert choice.protected_by == "converter limit"
    assert choice.prospective_a == 4.0
    assert choice.changes == ()


def test_a_converters_limit_above_the_wire_that_opens_no_fuse_is_trouble() -> None:
    limited = Source(12.0, 0.0, 12.0, 0.0, limit_a=4.0)
    choice = choose_fuse(BLADES, FuseDuty(limited, (Branch(lead(22, 1.0), 2.2),)))
    assert choice.protected_by == "nothing"
    assert choice.failed == ("opens at the far end",)
    assert choice.changes == ("thicker wire", "converter with a lower current limit")


def test_a_wire_outlives_what_its_fuse_lets_through() -> None:
    # ISO 8820-3, from memory: a blade has opened within 0.5 s at 350 %. IEC 60364-5-54: k = 115;
    # ASTM B258: 24 AWG has 0.2047 mm2.
    need = check_fuse(BLADES[1], FuseDuty(PACK, (Branch(lead(24, 1.0), 1.0),))).needs[
        "wire survives the short"
    ]
    assert need.needed == pytest.approx(7.0**2 * 0.5, rel=0.01)
    assert need.available == pytest.approx((115 * 0.2047) ** 2, rel=1e-3)


def test_an_inrush_may_be_three_tenths_of_what_a_fuse_rides_through() -> None:
    # Common practice; ISO 8820-3, from memory: a blade holds 350 % for 0.08 s.
    duty = FuseDuty(PACK, (Branch(lead(14, 0.5), 1.0),), inrush_a2s=1.0)
    need = check_fuse(BLADES[1], duty).needs["rides through the inrush"]
    assert need.needed == 1.0
    # 7 A is 350 % of 2 A.
    assert need.available == pytest.approx(0.3 * 7.0**2 * 0.08)


def test_a_resettable_fuse_carries_less_in_a_hot_place() -> None:
    duty = FuseDuty(PACK, (Branch(lead(14, 0.5), 0.87),))
    cool, hot = (
        check_fuse(RESETTABLES[1], duty),
        check_fuse(RESETTABLES[1], replace(duty, ambient_c=50.0)),
    )
    assert "carries the load" not in cool.failed
    assert "carries the load" in hot.failed
    # Typical, from memory: 0.7 % for each kelvin above 25 degC.
    assert hot.needs["carries the load"].available == pytest.approx(1.1 * (1 - 0.007 * 25.0))


def test_a_fuse_with_its_own_resistance_lets_less_through_at_the_far_end() -> None:
    duty = FuseDuty(PACK, (Branch(lead(18, 1.0), 0.5),))
    plain = check_fuse(BLADES[0], duty).needs["opens at the far end"].available
    raised = replace(BLADES[0], resistance_ohm=0.2)
    assert check_fuse(raised, duty).needs["opens at the far end"].available < plain


@pytest.mark.parametrize("wrong", [{"kind": "wire"}, {"rating_a": 0.0}, {"opens_at_ratio": 1.0}])
def test_a_nonsense_fuse_is_refused(wrong: dict[str, float | str]) -> None:
    with pytest.raises(ValueError, match=r"^The fuse .*\.$"):
        replace(BLADES[0], **wrong)  # type: ignore[arg-type]


def test_nothing_on_offer_and_nothing_behind_are_refused() -> None:
    with pytest.raises(ValueError, match="No fuse is on offer"):
        choose_fuse([], FuseDuty(PACK, (Branch(lead(18, 1.0), 0.5),)))
    with pytest.raises(ValueError, match="no branch behind it"):
        FuseDuty(PACK, ())


def test_use_of_what_is_not_there_is_without_end() -> None:
    duty = FuseDuty(PACK, (Branch(lead(18, 1.0), 0.5),), ambient_c=110.0)
    assert check_fuse(BLADES[0], duty).needs["protects the wire"].use == math.inf
