"""Quick answers agree with the handbook, with the long way round, and with themselves."""

import math

import pytest
from designs import few
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.quick import quick_dots, quick_hours, quick_wire
from lightcalc.physics.charge.pack import describe_pack


def wire(amps_a=2.0, length_m=3.0, volts_v=12.0):
    return quick_wire(
        amps_a, length_m, volts_v, drop_ratio=0.03, ambient_c=30.0, insulation_c=105.0
    )


def test_the_drop_is_that_of_the_loop_by_the_handbook():
    # IEC 60228 class 2 or 5: 0.75 mm2 has 24.5 or 26.0 ohm/km at 20 degC, 0.39 % more a kelvin.
    # 2 A through 6 m of loop, between the room's 30 degC and 50 degC. The thinner of the two wires.
    found = wire()
    assert (found.awg, found.mm2) == ("18 AWG", "0.75 mm2")
    assert found.loop_length_m == 6.0
    assert 12.0 * 24.5e-3 * 1.039 < found.drop_v < 12.0 * 26.0e-3 * 1.118
    assert found.drop_ratio == pytest.approx(found.drop_v / 12.0)
    assert found.decided_by == "voltage drop"


@few
@given(amps=st.floats(0.1, 8.0), metres=st.floats(0.1, 8.0), more=st.floats(1.0, 3.0))
def test_more_current_or_length_never_takes_thinner_wire(amps, metres, more):
    def area(found):
        return float(found.mm2.split()[0]) if found.mm2 else math.inf

    usual = area(wire(amps, metres))
    assert area(wire(amps * more, metres)) >= usual
    assert area(wire(amps, metres * more)) >= usual


def test_the_fuse_is_a_quarter_above_the_load_and_no_more_than_the_wire():
    found = wire(amps_a=4.0, length_m=0.3)
    assert found.least_fuse_a == 5.0
    assert found.ampacity_a >= found.least_fuse_a


def test_where_no_size_will_do_there_is_none():
    found = wire(amps_a=50.0, length_m=100.0, volts_v=5.0)
    assert found.awg is None
    assert found.mm2 is None


CELLS = describe_pack("lithium-ion", 3600 * 5.2, 10.8, full_volts=12.6, cutoff_volts=9.0)


@few
@given(watts=st.floats(0.5, 15.0), packs=st.integers(1, 4))
def test_several_packs_with_an_even_share_each_last_longer_than_in_proportion(watts, packs):
    found = quick_hours(CELLS, watts, packs, 0.9, 5.2 * 10.8)
    # A lighter load draws more out of each, so the gain is at least the number of packs.
    assert found.hours_h >= packs * found.hours_each_alone_h * (1 - 1e-6)
    assert found.watt_hours_over_watts_h == pytest.approx(packs * 56.16 / watts)
    assert found.end_a > found.start_a
    alone = quick_hours(CELLS, watts / packs, 1, 0.9, 5.2 * 10.8)
    assert found.hours_h == pytest.approx(alone.hours_h, rel=1e-6)
    assert found.start_a == pytest.approx(alone.start_a, rel=1e-6)


def test_hours_at_a_gentle_load_are_the_cells_energy_times_efficiency_over_the_load():
    # 5.2 Ah at 10.8 V, 3.6 V a cell, hold 56 Wh; the usual cell of that label holds some more.
    found = quick_hours(CELLS, 5.0, 1, 0.9, 56.16)
    assert found.hours_h == pytest.approx(56.16 * 0.9 / 5.0, rel=0.06)


def test_a_spacing_of_one_pitch_leaves_lambertian_leds_a_contrast_of_2_7_per_cent():
    # Moreno, Avendano-Alejo, Tzonchev, Applied Optics 45 (2006) 2265 treat the row of Lambertian
    # LEDs; its contrast at a distance of one pitch is 2.7 % (worked out in test_diffusion).
    found = quick_dots(0.0167, 0.0167, 1.0, 120.0, 450.0, 0.7, 0.0)
    assert found.contrast_ratio == pytest.approx(0.027, abs=0.001)
    assert found.verdict == "plain"


@few
@given(pitch=st.floats(0.005, 0.03), near=st.floats(0.3, 3.0), room=st.floats(0.0, 300.0))
def test_from_the_hiding_distance_on_nothing_shows(pitch, near, room):
    found = quick_dots(pitch, near * pitch, 1.0, 120.0, 450.0, 0.5, room)
    hidden = quick_dots(pitch, found.hiding_distance_m * 1.02, 1.0, 120.0, 450.0, 0.5, room)
    assert hidden.verdict == "hidden"
    assert (found.verdict == "hidden") == (near * pitch >= found.hiding_distance_m * (1 - 1e-9))
