"""A wire is thick enough for every demand, and no thicker."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.circuit.wire import (
    Wire,
    WireDuty,
    ambient_ratio,
    ampacity_a,
    check_wire,
    choose_wire,
    copper_c,
    hot_copper_ratio,
    loop_ohm,
    short_circuit_withstand_s,
    smallest_standard_size,
)
from lightcalc.tables.wires import awg_size, metric_size, standard_sizes

AWG = [Wire(size.name, size, 105.0) for size in standard_sizes("AWG")]
METRIC = [Wire(size.name, size, 70.0) for size in standard_sizes("mm2")]

amps = st.floats(0.05, 60.0)
shares = st.floats(0.0, 1.0)
lengths = st.floats(0.1, 40.0)
ambients = st.floats(0.0, 60.0)
offers = st.lists(st.sampled_from(AWG + METRIC), min_size=1, max_size=12)


@st.composite
def duties(draw: st.DrawFn) -> WireDuty:
    peak_a = draw(amps)
    return WireDuty(
        peak_a=peak_a,
        rms_a=peak_a * draw(shares),
        loop_length_m=draw(lengths),
        source_v=draw(st.floats(3.0, 48.0)),
        allowed_drop_ratio=draw(st.floats(0.01, 0.2)),
        ambient_c=draw(ambients),
        fuse_a=draw(st.none() | st.sampled_from([1.0, 2.0, 3.0, 5.0, 10.0])),
    )


def area_m2(wire: Wire | None) -> float:
    return math.inf if wire is None else wire.size.area_m2


@given(offers, duties(), st.floats(1.0, 5.0))
def test_wire_never_gets_thinner_when_the_current_rises(
    offered: list[Wire], duty: WireDuty, more: float
) -> None:
    heavier = replace(duty, peak_a=duty.peak_a * more, rms_a=duty.rms_a * more)
    assert area_m2(choose_wire(offered, heavier).chosen) >= area_m2(
        choose_wire(offered, duty).chosen
    )


@given(offers, duties(), st.floats(1.0, 5.0))
def test_wire_never_gets_thinner_when_the_lead_gets_longer(
    offered: list[Wire], duty: WireDuty, more: float
) -> None:
    longer = replace(duty, loop_length_m=duty.loop_length_m * more)
    assert area_m2(choose_wire(offered, longer).chosen) >= area_m2(
        choose_wire(offered, duty).chosen
    )


@given(offers, duties(), st.floats(0.0, 60.0))
def test_wire_never_gets_thinner_in_a_hotter_room(
    offered: list[Wire], duty: WireDuty, hotter_k: float
) -> None:
    hotter = replace(duty, ambient_c=duty.ambient_c + hotter_k)
    assert area_m2(choose_wire(offered, hotter).chosen) >= area_m2(
        choose_wire(offered, duty).chosen
    )


@given(st.sampled_from(AWG + METRIC), duties(), st.floats(0.1, 10.0))
def test_drop_is_proportional_to_length(wire: Wire, duty: WireDuty, times: float) -> None:
    longer = replace(duty, loop_length_m=duty.loop_length_m * times)
    assert check_wire(wire, longer).drop_v == pytest.approx(check_wire(wire, duty).drop_v * times)


@given(offers, duties())
def test_the_chosen_wire_meets_every_demand_and_the_next_thinner_does_not(
    offered: list[Wire], duty: WireDuty
) -> None:
    choice = choose_wire(offered, duty)
    fitting = [wire for wire in offered if meets(wire, duty)]
    assert (choice.chosen is None) == (not fitting)
    if choice.chosen is not None:
        assert meets(choice.chosen, duty)
        assert area_m2(choice.chosen) == min(area_m2(wire) for wire in fitting)
        assert choice.unmet == ()
    else:
        assert choice.unmet
        assert choice.decided_by is not None
        assert not meets(choice.closest.wire, duty)


def meets(wire: Wire, duty: WireDuty) -> bool:
    """Say from the definitions of the four demands whether a wire will do."""
    limit_a = ampacity_a(wire, duty.ambient_c)
    hot_c = copper_c(wire, duty.rms_a, duty.ambient_c)
    ohm = wire.size.resistance_20c_ohm_per_m * duty.loop_length_m * (1 + 0.00393 * (hot_c - 20))
    return (
        duty.peak_a * ohm / duty.source_v <= duty.allowed_drop_ratio * (1 + 1e-12)
        and duty.rms_a <= limit_a
        and (duty.fuse_a or 0.0) <= limit_a
        and wire.size.area_m2 >= duty.least_area_m2
    )


@given(offers, duties())
def test_the_smallest_for_each_demand_is_never_thicker_than_the_chosen(
    offered: list[Wire], duty: WireDuty
) -> None:
    choice = choose_wire(offered, duty)
    if choice.chosen is not None:
        assert max(area_m2(wire) for wire in choice.smallest.values()) <= area_m2(choice.chosen)


@given(st.sampled_from(AWG + METRIC), st.floats(-20.0, 120.0), st.floats(0.0, 60.0))
def test_a_hotter_ambient_never_raises_ampacity(wire: Wire, ambient_c: float, more: float) -> None:
    assert ampacity_a(wire, ambient_c + more) <= ampacity_a(wire, ambient_c)


@pytest.mark.parametrize(
    ("rating_c", "factor"),
    # 33 CFR 183.425, table 5, note 1 (105 degC from a published copy, the others from memory).
    [(60, 0.58), (75, 0.75), (80, 0.78), (90, 0.82), (105, 0.85), (125, 0.89), (200, 1.00)],
)
def test_ambient_correction_passes_through_the_published_factor_at_50_degrees(
    rating_c: float, factor: float
) -> None:
    assert ambient_ratio(rating_c, 50.0) == pytest.approx(factor)
    assert ambient_ratio(rating_c, 30.0) == 1.0
    assert ambient_ratio(rating_c, rating_c) == 0.0


@pytest.mark.parametrize("rating_c", [60, 75, 80, 90, 105, 125])
@pytest.mark.parametrize("ambient_c", [30.0, 40.0, 50.0])
def test_ambient_correction_is_what_the_heat_balance_of_a_wire_says(
    rating_c: float, ambient_c: float
) -> None:
    # I^2 R = (rating - ambient) / resistance to the room: the square root of the share of kelvin.
    by_heat = math.sqrt((rating_c - ambient_c) / (rating_c - 30.0))
    assert ambient_ratio(rating_c, ambient_c) == pytest.approx(by_heat, abs=0.01)


@given(st.sampled_from(AWG), ambients)
def test_copper_reaches_its_insulations_rating_at_its_ampacity(
    wire: Wire, ambient_c: float
) -> None:
    assert copper_c(wire, ampacity_a(wire, ambient_c), ambient_c) == pytest.approx(105.0)
    assert copper_c(wire, 0.0, ambient_c) == ambient_c


def test_half_the_ampacity_makes_a_quarter_of_the_rise() -> None:
    # Heat goes with the square of the current.
    assert copper_c(AWG[-1], ampacity_a(AWG[-1]) / 2.0, 30.0) == pytest.approx(30.0 + 75.0 / 4.0)


def test_the_heat_of_a_wire_is_that_of_its_rms_current_and_the_drop_that_of_its_peak() -> None:
    duty = WireDuty(4.0, 2.0, 10.0, 12.0, 0.1, copper_c=20.0)
    check = check_wire(Wire("w", awg_size(18, "solid"), 105.0), duty)
    # NBS Handbook 100: 18 AWG has 6.385 ohm per 1000 ft.
    ohm = 6.385 * 10.0 / 304.8
    assert check.drop_v == pytest.approx(4.0 * ohm, rel=2e-3)
    assert check.heat_w == pytest.approx(4.0 * ohm, rel=2e-3)


def test_hot_copper_has_the_resistance_of_nec_table_8() -> None:
    # NFPA 70, chapter 9, table 8: 14 AWG solid, 10.1 ohm per km at 75 degC.
    assert loop_ohm(awg_size(14, "solid"), 1000.0, 75.0) == pytest.approx(10.1, rel=0.01)


def test_resistance_works_on_arrays() -> None:
    ohm = np.asarray(loop_ohm(metric_size(1.0), np.array([1.0, 2.0]), np.array([20.0, 70.0])))
    assert ohm.shape == (2,)
    assert ohm[1] / ohm[0] == pytest.approx(2.0 * hot_copper_ratio(70.0))


def test_k_of_a_short_follows_from_the_properties_of_copper() -> None:
    # IEC 60949: k = sqrt(Qc (B + 20) / rho20 ln(1 + (t2 - t1) / (B + t1))), B = 234.5,
    # Qc = 3.45e-3 J/(K mm3), rho20 = 17.241e-6 ohm mm; PVC from 70 to 160 degC.
    k = math.sqrt(3.45e-3 * 254.5 / 17.241e-6 * math.log(1 + 90 / 304.5))
    assert math.sqrt(float(short_circuit_withstand_s(1e-6, 1.0))) == pytest.approx(k, rel=2e-3)


def duty_of(**changes: float | None) -> WireDuty:
    base = WireDuty(0.1, 0.1, 0.5, 12.0, 0.1, least_area_m2=0.0)
    return replace(base, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("duty", "decider"),
    [
        (duty_of(peak_a=4.0, loop_length_m=20.0), "voltage drop"),
        (duty_of(peak_a=12.0, rms_a=12.0), "ampacity"),
        (duty_of(fuse_a=10.0), "fuse"),
        (duty_of(least_area_m2=0.5e-6), "mechanical minimum"),
    ],
)
def test_each_demand_can_be_the_one_that_decides(duty: WireDuty, decider: str) -> None:
    choice = choose_wire(AWG, duty)
    assert choice.decided_by == decider
    assert choice.chosen is not None
    assert choice.chosen is choice.smallest[decider]


def test_what_decides_is_what_the_next_thinner_wire_misses() -> None:
    # 6 A asks more than the 5 A of 20 AWG. 18 AWG carries 20 A, so that its drop is its worst.
    drop_ratio = check_wire(AWG[6], duty_of(fuse_a=6.0)).drop_ratio
    choice = choose_wire(AWG, duty_of(fuse_a=6.0, allowed_drop_ratio=2.0 * drop_ratio))
    assert choice.chosen is AWG[6]
    assert choice.decided_by == "fuse"


def test_a_demand_that_some_wire_meets_is_not_among_those_that_cannot_be_met() -> None:
    # In a room of 65 degC the metric wires, rated 70, carry nothing; the AWG ones are too thin.
    hot_and_long = duty_of(ambient_c=65.0, loop_length_m=40.0, allowed_drop_ratio=0.02)
    offered = [AWG[4], METRIC[-1]]
    choice = choose_wire(offered, replace(hot_and_long, least_area_m2=1e-4))
    assert choice.unmet == ("mechanical minimum",)
    apart = choose_wire(offered, hot_and_long)
    assert apart.chosen is None
    assert None not in apart.smallest.values()
    assert apart.closest.wire is AWG[4]
    assert apart.unmet == ("voltage drop",)


def test_nothing_decides_when_the_thinnest_on_offer_will_do() -> None:
    choice = choose_wire(AWG, duty_of())
    assert choice.chosen is AWG[0]
    assert choice.decided_by is None


def test_when_no_wire_will_do_the_demand_that_cannot_be_met_is_named() -> None:
    choice = choose_wire(AWG[:4], duty_of(fuse_a=30.0))
    assert choice.chosen is None
    assert choice.unmet == ("fuse",)
    assert choice.smallest["fuse"] is None
    assert choice.smallest["ampacity"] is AWG[0]


def test_a_room_as_hot_as_the_insulation_leaves_no_ampacity() -> None:
    choice = choose_wire(METRIC, duty_of(ambient_c=75.0))
    assert choice.chosen is None
    assert "ampacity" in choice.unmet


@given(duties())
def test_a_standard_size_is_the_choice_among_all_standard_sizes(duty: WireDuty) -> None:
    chosen = choose_wire(AWG, duty).chosen
    size = smallest_standard_size("AWG", duty, 105.0)
    assert size == (chosen.size if chosen else None)


def test_free_leads_are_no_thinner_than_22_awg_by_common_practice() -> None:
    duty = WireDuty(0.1, 0.1, 0.5, 12.0, 0.1)
    assert choose_wire(AWG, duty).chosen == AWG[4]
    assert AWG[4].name == "22 AWG"
    metric = smallest_standard_size("mm2", duty, 105.0)
    assert metric is not None
    assert metric.name == "0.34 mm2"


@pytest.mark.parametrize(
    "wrong",
    [{"rms_a": 2.0}, {"peak_a": math.nan}, {"loop_length_m": -1.0}, {"source_v": 0.0}],
)
def test_nonsense_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        duty_of(**wrong)


def test_an_empty_offer_is_refused() -> None:
    with pytest.raises(ValueError, match="No wire is on offer"):
        choose_wire([], duty_of())
