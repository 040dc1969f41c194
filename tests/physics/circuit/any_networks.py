"""Networks of any strip and wiring, and what must hold of whatever is found of one."""

from __future__ import annotations

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from lightcalc.physics.circuit.ladder import Solution
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.strip import CutUnit, channel_current, describe_cut_unit

KINDS = ("resistor", "constant-current", "pixel")


few = settings(max_examples=40, deadline=None)


def unit_of(kind: str, channels: int = 1) -> CutUnit:
    return describe_cut_unit(
        kind,
        rated_v=12.0,
        power_w_per_m=9.6,
        cut_unit_length_m=0.05,
        forward_v=(9.0, 6.2, 9.5, 9.3)[:channels],
        leds_in_series=3,
        dropout_v=None if kind == "resistor" else 0.7,
        idle_a=0.001 if kind == "pixel" else 0.0,
    )


units = st.one_of(
    st.builds(unit_of, st.just("resistor"), st.integers(1, 4)),
    st.builds(unit_of, st.just("constant-current"), st.sampled_from([1, 3])),
    st.builds(unit_of, st.just("pixel"), st.sampled_from([3, 4])),
)


@st.composite
def networks(
    draw: st.DrawFn,
    *,
    make: st.SearchStrategy[CutUnit] = units,
    most_feeds: int = 4,
    most_runs: int = 2,
    ohms: st.SearchStrategy[float] = st.one_of(st.just(0.0), st.floats(0.001, 1.0)),  # noqa: B008
    most_units: int = 40,
    alike: bool = False,
) -> Network:
    """Any wiring; with `alike` the conductors of a lead are equal, as in a pair of wires."""
    unit = draw(make)

    def conductors() -> tuple[float, tuple[float, ...]]:
        first = draw(ohms)
        rest = (first if alike else draw(ohms) for _ in range(unit.returns))
        return first, tuple(rest)

    runs, leads = [], [Lead(SUPPLY, *conductors())]
    for number in range(draw(st.integers(1, most_runs))):
        count = draw(st.integers(1, most_units))
        runs.append(Run(unit, count, 0.05, *conductors()))
        pads = st.lists(st.integers(0, count), min_size=1, max_size=most_feeds, unique=True)
        for pad in draw(pads):
            parent = draw(st.integers(SUPPLY, len(leads) - 1))
            leads.append(Lead(parent, *conductors(), number, pad))
    return Network(tuple(runs), tuple(leads), *conductors())


supplies = st.floats(0.0, 15.0)


ordinary_ohms = st.floats(0.001, 1.0)


def assert_consistent(network: Network, found: Solution) -> None:
    source = np.asarray(found.power.source_w)
    assert np.all(np.abs(found.power.imbalance_w) <= 1e-9 * source + 1e-18)
    total, rated_a = 0.0, 0.0
    for run, solved in zip(network.runs, found.runs, strict=True):
        for c, channel in enumerate(run.unit.channels):
            asked, _ = channel_current(channel, run.unit.holds_current, solved.volts[..., c])
            np.testing.assert_array_equal(solved.amps[..., c], asked)
            rated_a += run.units * float(channel.rated_a)
        total = total + solved.amps.sum(axis=(-1, -2)) + solved.idle_a.sum(axis=-1)
    np.testing.assert_allclose(found.supply_a, total, rtol=1e-9, atol=1e-9 * rated_a)
    np.testing.assert_allclose(found.return_a.sum(axis=-1), found.supply_a, rtol=1e-12, atol=1e-15)
