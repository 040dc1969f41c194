"""What is said of the wire between a controller and its eye, aerial or knob."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pieces import CONTROLLERS, with_eye

from lightcalc.answers.answer import answer
from lightcalc.packet.cut_list import cut_list
from lightcalc.packet.sensors import about, sensor_wire_notes

PACK_AT_M = (0.24, 0.20, 0.39)
EYE_AT_M = (0.72, 0.05, 0.36)


def notes_of(controller=CONTROLLERS[0], system="metric", **changes):
    made, catalogue, _ = with_eye(EYE_AT_M, controller, at_m=PACK_AT_M)
    supplies = (replace(made.supplies[0], **changes),)
    return list(sensor_wire_notes(replace(made, system=system, supplies=supplies), catalogue))


@pytest.mark.parametrize(("system", "far"), [("metric", "510 mm"), ("inch", "20 in")])
def test_the_straight_way_from_pack_to_eye_is_said(system, far):
    # 48 cm along, 15 cm to the front, 3 cm down: the root of 0.2538 m2 is 503.8 mm, or 19.83 in.
    (note,) = notes_of(system=system)
    assert f"straight line the eye is about {far} from the pack" in note
    assert "comes with the controller and is not in this list" in note
    assert "any other way is longer" in note


def test_without_the_place_of_the_pack_no_length_is_made_up():
    (note,) = notes_of(at_m=None)
    assert "does not say how far the eye is" in note
    assert " mm" not in note


@pytest.mark.parametrize(
    ("controller", "noun"),
    [("receiver-radio-1ch", "aerial"), ("dimmer-touch-1ch", "knob or touch pad")],
)
def test_wires_too_short_for_a_controller_where_it_is_worked_are_told(controller, noun):
    # A pack lead of 15 cm and a jumper of 15 cm against 503.8 mm.
    (note,) = notes_of(controller)
    assert f"the {noun} is about 510 mm from the pack" in note
    assert f"from pack to {controller} have 300 mm" in note
    (straight,) = notes_of(controller, converter=None)
    assert f"from pack to {controller} have 150 mm" in straight
    assert notes_of(controller, pack_lead_m=0.353)
    assert not notes_of(controller, pack_lead_m=0.354)
    (unknown,) = notes_of(controller, at_m=None)
    assert f"does not say how far the {noun} is" in unknown


def test_nothing_is_said_without_a_place_or_beside_the_pack():
    assert not notes_of(sensor_at_m=None)
    assert not notes_of(controller=None)
    # A jumper is 15 cm, along the way that is drawn: parts side by side.
    assert not notes_of(sensor_at_m=(0.30, 0.16, 0.36))
    assert notes_of(sensor_at_m=(0.30, 0.10, 0.39))


def test_the_note_stands_beside_the_cut_list_and_no_wire_is_cut_for_it():
    made, catalogue, found = with_eye(EYE_AT_M, at_m=PACK_AT_M)
    cuts = cut_list(made, catalogue, found)
    (note,) = sensor_wire_notes(made, catalogue)
    assert note in cuts.notes
    bare = replace(made, supplies=(replace(made.supplies[0], sensor_at_m=None),))
    without = cut_list(bare, catalogue, answer(bare, catalogue))
    assert without.wires == cuts.wires
    assert [*without.notes, note] == list(cuts.notes)


@given(length_m=st.floats(0.0, 10.0))
def test_a_length_by_geometry_is_never_told_short_and_less_than_a_step_long(length_m):
    millimetres = float(about(length_m, "metric").removesuffix(" mm"))
    assert length_m * 1000.0 - 0.1 <= millimetres <= length_m * 1000.0 + 10.0
    assert math.isclose(millimetres % 10.0, 0.0)
