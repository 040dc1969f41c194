"""Short-circuit currents lie between the strongest and the weakest that a source can be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.circuit.short_circuit import (
    Branch,
    Lead,
    Source,
    far_short_a,
    far_short_ohms,
    prospective_a,
)
from lightcalc.physics.circuit.wire import Wire
from lightcalc.tables.wires import awg_size, standard_sizes

WIRES = [Wire(size.name, size, 105.0) for size in standard_sizes("AWG")]


@st.composite
def sources(draw: st.DrawFn) -> Source:
    full_v = draw(st.floats(3.0, 48.0))
    full_ohm = draw(st.floats(0.01, 1.0))
    return Source(
        full_v=full_v,
        full_ohm=full_ohm,
        weak_v=full_v * draw(st.floats(0.5, 1.0)),
        weak_ohm=full_ohm * draw(st.floats(1.0, 3.0)),
        wiring_20c_ohm=draw(st.floats(0.0, 0.05)),
        limit_a=draw(st.none() | st.floats(0.5, 20.0)),
    )


leads = st.builds(Lead, st.sampled_from(WIRES), st.floats(0.1, 20.0))
branches = st.builds(Branch, leads, st.floats(0.1, 5.0), st.floats(0.0, 5.0))


@given(sources(), branches)
def test_a_far_short_draws_less_than_one_at_the_fuse(source: Source, branch: Branch) -> None:
    assert 0.0 < far_short_a(source, branch) <= prospective_a(source)


@given(sources(), branches, leads, st.floats(0.0, 1.0))
def test_more_copper_in_the_way_never_gives_more_current(
    source: Source, branch: Branch, feeder: Lead, extra_ohm: float
) -> None:
    plain = far_short_a(source, branch)
    longer = replace(branch, strip_loop_ohm=branch.strip_loop_ohm + extra_ohm)
    assert far_short_a(source, branch, feeder) <= plain
    assert far_short_a(source, branch, fuse_ohm=extra_ohm) <= plain
    assert far_short_a(source, longer) <= plain


@given(sources(), branches, leads)
def test_the_volts_around_the_shorted_loop_add_up(
    source: Source, branch: Branch, feeder: Lead
) -> None:
    bare = replace(source, limit_a=None)
    ohms = far_short_ohms(bare, branch, feeder)
    assert far_short_a(bare, branch, feeder) * sum(ohms.values()) == pytest.approx(bare.weak_v)


@given(sources(), branches)
def test_a_converter_gives_no_more_than_its_limit(source: Source, branch: Branch) -> None:
    limited = replace(source, limit_a=1.0)
    assert prospective_a(limited) <= 1.0
    assert far_short_a(limited, branch) <= 1.0


def test_hot_copper_in_the_way_is_that_of_nbs_handbook_100_warmed() -> None:
    # NBS Handbook 100: 22 AWG has 16.14 ohm per 1000 ft at 20 degC, 0.00393 per K.
    lead = Lead(Wire("w", awg_size(22, "solid"), 80.0), 6.096)
    ohms = far_short_ohms(Source(12.0, 0.1, 9.0, 0.2), Branch(lead, 1.0, 0.5, strip_c=60.0))
    assert ohms["leads"] == pytest.approx(0.3228 * (1 + 0.00393 * 60), rel=2e-3)
    assert ohms["strip"] == pytest.approx(0.5 * (1 + 0.00393 * 40))
    assert ohms["pack"] == 0.2


def test_feeder_and_wiring_are_hot_copper_in_the_way_too() -> None:
    # IEC 60028: 0.00393 per K; the wiring to the fuse counts as 105 degC, the feeder as its rating.
    feeder = Lead(Wire("w", awg_size(22, "solid"), 80.0), 6.096)
    source = Source(12.0, 0.1, 9.0, 0.2, wiring_20c_ohm=0.02)
    ohms = far_short_ohms(source, Branch(Lead(WIRES[5], 0.0), 1.0), feeder)
    assert ohms["leads"] == pytest.approx(0.3228 * (1 + 0.00393 * 60), rel=2e-3)
    assert ohms["pack"] == pytest.approx(0.2 + 0.02 * (1 + 0.00393 * 85))


def test_a_short_at_the_fuse_meets_the_pack_and_the_cold_wiring_only() -> None:
    # Ohm's law: 12 V over 0.1 + 0.02 ohm.
    assert prospective_a(Source(12.0, 0.1, 9.0, 0.2, wiring_20c_ohm=0.02)) == pytest.approx(100.0)


def test_a_source_with_neither_resistance_nor_limit_is_refused() -> None:
    with pytest.raises(ValueError, match="without end"):
        Source(12.0, 0.0, 12.0, 0.0)
    assert prospective_a(Source(12.0, 0.0, 12.0, 0.0, limit_a=3.0)) == 3.0


@pytest.mark.parametrize(
    ("weak_v", "weak_ohm"), [(13.0, 0.2), (0.0, 0.2), (9.0, 0.05), (math.nan, 0.2)]
)
def test_a_weak_pack_is_weaker_than_a_full_one(weak_v: float, weak_ohm: float) -> None:
    with pytest.raises(ValueError, match="no more volts and no less resistance"):
        Source(12.0, 0.1, weak_v, weak_ohm)
