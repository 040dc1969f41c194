"""The steps come in an order that is safe, and each says only what is so of the design."""

import pytest
from designs import design, run, supply
from pieces import answered, example, with_eye
from sheets import EXAMPLES, of_class, parse, text_of

from lightcalc.packet.build_sheet import build_sheet
from lightcalc.packet.facts import line_of
from lightcalc.packet.steps import all_steps

SAFE_ORDER = ["polarity", "resistance", "pack", "output", "lit", "heat"]


def checks(root):
    kinds = [one.get("class").split() for one in of_class(root, "readings")]
    return [names[1] for names in kinds]


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_is_powered_before_polarity_and_shorts_are_checked(name):
    found = checks(parse(build_sheet(*example(name))))
    assert "remote" not in found
    wanted = [one for one in SAFE_ORDER if one != "output" or name != "bedside-shelf"]
    assert found == wanted


def test_a_converter_is_only_spoken_of_where_there_is_one():
    with_one, without = (
        text_of(parse(build_sheet(*example(name)))) for name in ("hall-bench", "bedside-shelf")
    )
    assert "Set the volts before" in with_one
    assert "Set the volts before" not in without
    assert "Straight on a pack" in without


def test_every_line_asks_for_facts_that_there_are():
    assert all_steps()[1] == 100
    with pytest.raises(ValueError, match="nothing that a design can be"):
        line_of({"text": "", "needs": ["a pilot light"]})


def test_an_eye_is_fixed_and_tried_from_where_everybody_sits_before_any_glue():
    sheet = parse(build_sheet(*with_eye()))
    assert checks(sheet) == [*SAFE_ORDER, "remote"]
    told = text_of(sheet)
    assert "Fix the eye of seat box 720 mm from the left, 50 mm from the front, 360 mm" in told
    order = ["Fix the eye", "hole or a clear window", "Try the remote", "Before anything is glued"]
    assert "try the remote" not in told
    assert [told.index(one) for one in order] == sorted(told.index(one) for one in order)


def test_a_radio_receiver_is_tried_in_words_and_a_dimmer_by_nobody():
    radio, dimmer = (
        text_of(parse(build_sheet(*made)))
        for made in (example("hall-bench"), with_eye(controller="dimmer-touch-1ch"))
    )
    assert "Fix the aerial of seat box 340 mm from the left, 280 mm" in radio
    assert "try the remote from where the client sits" in radio
    assert "Fix the knob or touch pad of seat box 720 mm" in dimmer
    for told in (radio, dimmer):
        assert "Try the remote" not in told
        assert "clear window" not in told
    assert "try the remote" not in dimmer


def test_a_bank_straight_on_its_strip_has_no_fuse_converter_or_full_volts_on_the_sheet():
    banked = design(run("strip-5v-60-warm", 0.5), supplies=(supply("usb-20000-stays-on", None),))
    told, cells = (text_of(parse(build_sheet(*answered(one)))) for one in (banked, design()))
    assert "Still to be taken out by hand: pack. Power off" in told
    assert "Still to be taken out by hand: pack, fuse and converter. Power off" in cells
    for words in ("a pack near its middle", "within a hand's width"):
        assert words in cells
        assert words not in told
    assert "joined to the controller or converter" not in told
    # The bare ends of the pack lead go into a plug, on the diagram as in the steps.
    assert "for its socket" in told
    assert "for its socket" not in cells
