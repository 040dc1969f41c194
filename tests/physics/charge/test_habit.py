"""Evenings from one charge."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.charge import habit
from lightcalc.physics.charge.discharge import ENDINGS, Discharge, Ending, discharge
from lightcalc.physics.charge.habit import (
    Course,
    Stretch,
    days_until_flat,
    live_with,
    live_with_many,
)
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import Pack, describe_pack
from lightcalc.problems import BadInput

HOUR = 3600.0


def pack(hours: float = 5.0, key: str = "lithium-ion", volts: float = 3.65) -> Pack:
    return describe_pack(key, hours * HOUR, volts)


def lit(of: Pack, *watts: float) -> list[Discharge]:
    return [discharge(of, constant_power(w)) for w in watts]


@settings(max_examples=20, deadline=None)
@given(st.floats(0.3, 8.0), st.floats(600, 20000))
def test_without_idle_current_the_evenings_add_up_to_the_hours_of_one_discharge(
    watts: float, seconds: float
) -> None:
    one = pack()
    (level,) = lit(one, watts)
    course = live_with(one, [level], [Stretch(0, seconds)], 5)
    assert course.lit_s == pytest.approx(float(level.duration_s), rel=1e-4)
    assert course.evenings == pytest.approx(float(level.duration_s) / seconds, rel=1e-4)
    assert course.ended_by == level.ended_by
    assert course.level == 0


def test_the_level_that_needs_most_volts_ends_the_charge_first() -> None:
    one = describe_pack("lifepo4", 2 * HOUR, 3.25, fast_capacity_coulomb=1.6 * HOUR)
    levels = lit(one, 0.3, 6.0)
    gentle = live_with(one, levels, [Stretch(0, HOUR)], 7)
    mixed = live_with(one, levels, [Stretch(0, HOUR), Stretch(1, 60.0)], 7)
    assert mixed.level == 1
    assert float(mixed.drawn_coulomb[-1]) < float(gentle.drawn_coulomb[-1])


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 0.02), st.floats(0.0, 0.02), st.floats(1, 7))
def test_more_idle_power_never_gives_more_evenings(low: float, more: float, week: float) -> None:
    one = pack()
    levels = lit(one, 2.0)
    evening = [Stretch(0, 2 * HOUR)]
    few = live_with(one, levels, evening, week, idle_w=low + more)
    many = live_with(one, levels, evening, week, idle_w=low)
    assert few.evenings <= many.evenings * (1 + 1e-9)


def charge_balance(course: Course, one: Pack, idle_amps: float, lit_amps: float) -> None:
    drawn = lit_amps * course.lit_s + idle_amps * (course.total_s - course.lit_s)
    assert drawn == pytest.approx(float(course.drawn_coulomb[-1]), rel=0.02)


def test_the_charge_goes_to_light_idle_current_and_self_discharge() -> None:
    one = pack()
    watts, idle, lost = 1.0, 0.01, 0.002
    course = live_with(
        one, lit(one, watts), [Stretch(0, 2 * HOUR)], 3, idle_w=idle, self_discharge_a=lost
    )
    volts = 3.72
    charge_balance(course, one, idle / volts + lost, watts / volts + lost)


@pytest.mark.parametrize("idle_w", [0.0, 2e-4])
def test_averaging_thousands_of_evenings_agrees_with_walking_them_all(
    idle_w: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = pack(40.0)
    levels = lit(one, 0.5, 1.5)
    evening = [Stretch(0, 120.0), Stretch(1, 20.0)]
    quick = live_with(one, levels, evening, 7, idle_w=idle_w, self_discharge_a=1e-5)
    monkeypatch.setattr(habit, "_WALKED", 10**9)
    walked = live_with(one, levels, evening, 7, idle_w=idle_w, self_discharge_a=1e-5)
    assert walked.evenings > 1000
    assert quick.evenings == pytest.approx(walked.evenings, abs=1.0)
    assert quick.total_s == pytest.approx(walked.total_s, abs=86400)
    assert quick.level == walked.level
    assert quick.time_s.size < walked.time_s.size
    middle = quick.total_s / 2
    assert np.interp(middle, quick.time_s, quick.drawn_coulomb) == pytest.approx(
        np.interp(middle, walked.time_s, walked.drawn_coulomb), rel=2e-3
    )


def test_a_pack_that_idles_flat_before_the_next_evening_ends_in_the_dark() -> None:
    one = pack(0.5)
    course = live_with(one, lit(one, 1.0), [Stretch(0, 60.0)], 1, idle_w=0.05)
    assert course.ended_by == Ending.FLAT
    assert course.level is None
    assert course.evenings == 1.0


def test_days_until_flat_are_charge_over_what_is_lost_all_day() -> None:
    one = pack()
    # At rest the pack gives a little more than at the slow rate of its label.
    assert days_until_flat(one, 0.0, 0.005) == pytest.approx(5.0 / 0.005 / 24, rel=0.01)
    energy = 5.0 * 3.69
    assert days_until_flat(one, 0.02, 0.0) == pytest.approx(energy / 0.02 / 24, rel=0.02)
    assert days_until_flat(one, 0.02, 0.001) < days_until_flat(one, 0.02, 0.0)


@pytest.mark.parametrize(("seconds", "week"), [(0.0, 7), (60.0, 0), (60.0, 8)])
def test_an_evening_without_light_is_refused(seconds: float, week: float) -> None:
    one = pack()
    with pytest.raises(BadInput, match="evening"):
        live_with(one, lit(one, 1.0), [Stretch(0, seconds)], week)


@pytest.mark.parametrize("seconds", [7200.0, 20.0])
def test_many_charges_together_end_as_each_does_alone(seconds: float) -> None:
    hours = np.linspace(2.0, 9.0, 25)
    watts = (np.linspace(0.5, 3.0, 25), np.linspace(4.0, 8.0, 25))
    share = seconds / 7200.0
    idle_w, leak_a = np.linspace(0.0, 0.02 * share, 25), np.linspace(0.002 * share, 0.0, 25)
    evening = [Stretch(1, seconds), Stretch(0, 2.0 * seconds)]
    packs = describe_pack("lithium-ion", hours * HOUR, 3.65)
    levels = [discharge(packs, constant_power(w)) for w in watts]
    many = live_with_many(packs, levels, evening, 4, idle_w=idle_w, self_discharge_a=leak_a)
    for row in range(25):
        one = pack(float(hours[row]))
        alone = live_with(
            one,
            lit(one, watts[0][row], watts[1][row]),
            evening,
            4,
            idle_w=float(idle_w[row]),
            self_discharge_a=float(leak_a[row]),
        )
        assert many.lit_s[row] == pytest.approx(alone.lit_s, rel=1e-9)
        assert many.total_s[row] == pytest.approx(alone.total_s, rel=1e-9)
        assert many.evenings[row] == pytest.approx(alone.evenings, rel=1e-9)
        assert ENDINGS[many.ending[row]] == alone.ended_by
        assert many.level[row] == (habit.IN_THE_DARK if alone.level is None else alone.level)
    if seconds < 100:
        assert many.evenings.max() > habit._WALKED_ALL
    dark_d = days_until_flat(packs, idle_w, leak_a)
    assert dark_d[3] == pytest.approx(
        float(days_until_flat(pack(float(hours[3])), idle_w[3], leak_a[3])), rel=1e-9
    )
