"""A converter never gives more than it takes, and takes most current at the end of the charge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.circuit.converter import (
    Converter,
    ConverterKind,
    highest_input_v,
    input_current_a,
    input_power_w,
    limit_use,
    loss_w,
    lowest_input_v,
    runs,
)

BUCK = Converter("buck", 12.0, 6.0, 30.0, 3.0, efficiency=0.9, idle_a=0.004, headroom_v=0.5)

KINDS: list[ConverterKind] = ["buck", "boost", "buck-boost"]
kinds = st.sampled_from(KINDS)
outputs = st.floats(0.0, 100.0)
inputs = st.floats(2.0, 40.0)


@st.composite
def converters(draw: st.DrawFn) -> Converter:
    points: tuple[tuple[float, float], ...] = ()
    efficiency = draw(st.none() | st.floats(0.3, 1.0))
    if efficiency is None:
        steps = draw(st.lists(st.tuples(st.floats(0.05, 2.0), st.floats(0.0, 2.0)), min_size=1))
        rises = np.cumsum(np.array(steps), axis=0)
        points = tuple((float(amps), float(watts)) for amps, watts in rises)
    return Converter(
        kind=draw(kinds),
        output_v=draw(st.floats(3.0, 24.0)),
        input_min_v=3.0,
        input_max_v=36.0,
        limit_a=3.0,
        efficiency=efficiency,
        loss_points=points,
        idle_a=draw(st.floats(0.0, 0.02)),
        loss_input_v=draw(st.none() | st.floats(3.0, 30.0)),
    )


@given(converters(), outputs, inputs)
def test_input_power_is_never_below_output_power(
    converter: Converter, output_w: float, input_v: float
) -> None:
    assert float(input_power_w(converter, output_w, input_v)) >= output_w


@given(converters(), outputs, inputs, st.floats(0.0, 20.0))
def test_more_output_never_takes_less_input(
    converter: Converter, output_w: float, input_v: float, more_w: float
) -> None:
    less = float(input_power_w(converter, output_w, input_v))
    assert float(input_power_w(converter, output_w + more_w, input_v)) >= less * (1 - 1e-12)


@given(converters(), inputs)
def test_an_unloaded_converter_draws_its_idle_current(converter: Converter, input_v: float) -> None:
    assert float(input_current_a(converter, 0.0, input_v)) == pytest.approx(converter.idle_a)


@given(converters(), st.floats(1.0, 100.0), inputs, st.floats(1.0, 4.0))
def test_current_rises_as_the_pack_falls(
    converter: Converter, output_w: float, input_v: float, times: float
) -> None:
    # Idle current alone is the same at all volts, so it is left out.
    converter = replace(converter, idle_a=0.0)
    high = float(input_current_a(converter, output_w, input_v * times))
    assert float(input_current_a(converter, output_w, input_v)) >= high * (1 - 1e-12)


@given(st.floats(0.05, 1.0), outputs)
def test_a_single_efficiency_holds_at_every_load(efficiency: float, output_w: float) -> None:
    converter = replace(BUCK, efficiency=efficiency, idle_a=0.0)
    assert float(input_power_w(converter, output_w, 18.0)) == pytest.approx(output_w / efficiency)


POINTS = ((0.5, 0.6), (1.0, 0.9), (2.0, 1.9), (3.0, 3.6))


@pytest.mark.parametrize(("amps", "watts"), POINTS)
def test_the_loss_curve_passes_through_its_points(amps: float, watts: float) -> None:
    converter = replace(BUCK, efficiency=None, loss_points=POINTS, loss_input_v=18.0)
    assert float(loss_w(converter, 12.0 * amps, 18.0)) == pytest.approx(watts)


@given(
    st.floats(0.0, 0.3),
    st.floats(0.0, 0.5),
    st.floats(0.01, 0.5),
    st.integers(2, 12),
    st.floats(0.0, 4.5),
)
def test_points_of_the_common_loss_model_are_read_on_the_safe_side(
    fixed: float, linear: float, square: float, count: int, amps: float
) -> None:
    # Erickson and Maksimovic, ch. 3: loss = fixed + linear I + square I^2. A chord of a parabola
    # over a step h lies above it by at most square h^2 / 4.
    grid = np.linspace(0.0, 3.0, count)
    points = tuple((float(a), float(fixed + linear * a + square * a**2)) for a in grid)
    converter = replace(BUCK, efficiency=None, loss_points=points, idle_a=0.0)
    true_w = fixed + linear * amps + square * amps**2
    read_w = float(loss_w(converter, 12.0 * amps, 18.0))
    assert read_w >= true_w - 1e-9
    if amps <= 3.0:
        assert read_w - true_w <= square * (3.0 / (count - 1)) ** 2 / 4.0 + 1e-9


def test_loss_follows_the_current_in_the_coil() -> None:
    # A boost converter's coil carries the input current, a buck's the output current.
    boost = Converter("boost", 12.0, 3.0, 12.0, 3.0, loss_points=POINTS, loss_input_v=9.0)
    assert float(loss_w(boost, 24.0, 9.0)) == pytest.approx(1.9)
    assert float(loss_w(boost, 12.0, 4.5)) == pytest.approx(float(loss_w(boost, 24.0, 9.0)))
    buck = Converter("buck", 12.0, 3.0, 30.0, 3.0, loss_points=POINTS, loss_input_v=18.0)
    assert float(loss_w(buck, 12.0, 13.0)) == pytest.approx(float(loss_w(buck, 12.0, 28.0)))


@given(st.lists(outputs, min_size=1, max_size=8), st.lists(inputs, min_size=1, max_size=8))
def test_arrays_give_what_single_numbers_give(output_w: list[float], input_v: list[float]) -> None:
    converter = replace(BUCK, efficiency=None, loss_points=POINTS, loss_input_v=18.0)
    table = np.asarray(
        input_power_w(converter, np.array(output_w)[:, None], np.array(input_v)[None, :])
    )
    single = [[float(input_power_w(converter, w, v)) for v in input_v] for w in output_w]
    assert table == pytest.approx(np.array(single))


@pytest.mark.parametrize(
    ("kind", "low_v", "high_v"),
    [("buck", 12.5, 30.0), ("boost", 6.0, 12.0), ("buck-boost", 6.0, 30.0)],
)
def test_each_kind_runs_where_its_circuit_can(kind: str, low_v: float, high_v: float) -> None:
    converter = replace(BUCK, kind=kind)  # type: ignore[arg-type]
    assert (lowest_input_v(converter), highest_input_v(converter)) == (low_v, high_v)
    volts = np.array([low_v - 0.01, low_v, high_v, high_v + 0.01])
    assert runs(converter, volts).tolist() == [False, True, True, False]


def test_the_limit_is_in_output_amps() -> None:
    assert float(limit_use(BUCK, 36.0)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"efficiency": 1.2},
        {"efficiency": 0.0},
        {"efficiency": None},
        {"loss_points": POINTS},
        {"efficiency": None, "loss_points": ((1.0, 0.5), (0.5, 0.6))},
        {"efficiency": None, "loss_points": ((1.0, 0.5), (2.0, 0.4))},
        {"efficiency": None, "loss_points": ((0.0, 0.5),)},
        {"output_v": 0.0},
        {"input_min_v": 40.0},
        {"limit_a": 0.0},
        {"idle_a": -0.1},
    ],
)
def test_nonsense_is_refused_in_a_sentence(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"^The .*\.$"):
        replace(BUCK, **wrong)  # type: ignore[arg-type]


def test_a_negative_load_and_no_volts_are_refused() -> None:
    with pytest.raises(ValueError, match="below 0 W"):
        input_power_w(BUCK, -1.0, 18.0)
    with pytest.raises(ValueError, match="not above 0 V"):
        input_power_w(BUCK, 1.0, np.array([18.0, 0.0]))
