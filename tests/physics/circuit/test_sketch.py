"""A large batch, which starts from a sketch, gives what its cases give one by one."""

from __future__ import annotations

import numpy as np
import pytest

from lightcalc.physics.circuit.copper import Copper
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.newton import WORTH_A_SKETCH
from lightcalc.physics.circuit.sketch import Sketch
from lightcalc.physics.circuit.strip import describe_cut_unit

CASES = 400
FEEDS = {"one end": (0,), "both ends": (0, 60), "middle": (25,), "three": (0, 20, 60)}


def random_runs(kind: str, pads: tuple[int, ...], runs: int = 1) -> tuple[Network, np.ndarray]:
    dice = np.random.default_rng(2)

    def between(least: float, most: float) -> np.ndarray:
        return np.exp(dice.uniform(np.log(least), np.log(most), CASES))

    unit = describe_cut_unit(
        kind,  # type: ignore[arg-type]
        rated_v=12.0,
        power_w_per_m=between(5.0, 20.0),
        cut_unit_length_m=0.05,
        forward_v=(6.0, 9.0, 8.5) if kind == "pixel" else (9.0,),
        leds_in_series=3,
        dropout_v=None if kind == "resistor" else between(0.2, 1.5),
        idle_a=0.0005 if kind == "pixel" else 0.0,
    )
    strip = tuple(
        Run(unit, 60, 0.05, between(0.01, 0.2), (between(0.01, 0.2),)) for _ in range(runs)
    )
    leads = tuple(
        Lead(SUPPLY, between(0.01, 0.3), (between(0.01, 0.3),), number, pad)
        for number in range(runs)
        for pad in pads
    )
    return Network(strip, leads, 0.02, (0.01,)), dice.uniform(8.0, 13.0, CASES)


@pytest.mark.parametrize("feeds", FEEDS)
@pytest.mark.parametrize("kind", ["resistor", "constant-current", "pixel"])
def test_a_large_batch_is_each_of_its_cases_alone(kind: str, feeds: str) -> None:
    network, supply_v = random_runs(kind, FEEDS[feeds])
    assert CASES * 60 >= WORTH_A_SKETCH
    batch = solve(network, supply_v)
    assert batch.runs[0].light.min() < 0.6, "no case is dim, so nothing is told"
    for case in range(0, CASES, 9):
        alone = network.with_numbers(lambda x, case=case: float(x[case]) if np.ndim(x) else x)
        one = solve(alone, float(supply_v[case]))
        for name in ("volts", "amps", "light", "idle_a", "strip_w", "rail_w"):
            many, single = getattr(batch.runs[0], name)[case], getattr(one.runs[0], name)
            np.testing.assert_allclose(many, single, rtol=1e-7, atol=1e-10, err_msg=name)
        np.testing.assert_allclose(batch.lead_a[case], one.lead_a, rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(batch.feed_v[case], one.feed_v, rtol=1e-8)


def test_two_runs_on_one_supply_are_sketched_together() -> None:
    network, supply_v = random_runs("constant-current", (0,), runs=2)
    batch = solve(network, supply_v)
    alone = network.with_numbers(lambda x: float(x[7]) if np.ndim(x) else x)
    one = solve(alone, float(supply_v[7]))
    for many, single in zip(batch.runs, one.runs, strict=True):
        np.testing.assert_allclose(many.light[7], single.light, rtol=1e-7, atol=1e-10)


@pytest.mark.parametrize("feeds", FEEDS)
def test_units_that_conduct_alike_everywhere_are_sketched_exactly(feeds: str) -> None:
    """A smooth law: the sketch must satisfy Ohm and Kirchhoff at every unit, not only at nodes."""
    network, supply_v = random_runs("resistor", FEEDS[feeds])
    copper = Copper(network, CASES)
    unit_s = 1e-3

    def draw(volts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return unit_s * volts, np.full_like(volts, unit_s)

    unit_a = Sketch(copper).unit_currents(draw, supply_v)
    volts = copper.flow(unit_a[None], supply_v).unit_volts[0]
    np.testing.assert_allclose(unit_a, unit_s * volts, rtol=1e-5)
