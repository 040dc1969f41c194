"""What wires and fuses are sized for is what flows at most, at the pack and in every lead."""

import numpy as np
import pytest
from designs import (
    build,
    design,
    designs,
    run,
    some,
    supply,
)
from hypothesis import given

from lightcalc.physics.circuit.ladder import solve


@some
@given(designs())
def test_leads_are_sized_for_at_least_what_flows_in_them(made):
    built = build(made)
    flows = np.abs(solve(built.circuit.network, built.wired.highest_v).lead_a)
    total_a = float(np.max(flows))
    for wire, amps in zip(built.sized.leads, flows, strict=True):
        # A lead that carries next to nothing may find some more when its neighbours change, and so
        # may one beside a connector in a cold room, whose copper has fewer ohms than sized for.
        assert wire.duty.peak_a >= 0.95 * amps - 0.08 * total_a


@some
@given(designs())
def test_the_pack_lead_is_sized_for_the_end_of_the_charge(made):
    built = build(made)
    curve = built.charge.curves[0]
    if built.wired.pack.output_v is None and float(curve.duration_s) > 0.0:
        assert built.sized.pack_peak_a >= 0.98 * float(curve.peak_amps.max())


def test_behind_a_converter_the_pack_lead_carries_more_than_the_strip_side():
    made = design(run(length_m=2.0), supplies=(supply("liion-1s-10000", "boost-12v-1a5"),))
    built = build(made)
    # 9.6 W at 3.0 V and some 80 to 90 % is about 3.8 A; at 12 V it is 0.8 A.
    assert built.sized.leads[0].duty.peak_a == pytest.approx(0.8, rel=0.1)
    assert built.sized.pack_lead.duty.peak_a == pytest.approx(3.8, rel=0.1)
