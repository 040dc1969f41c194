"""The steps come in an order that is safe, and each says only what is so of the design."""

import pytest
from pieces import example
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
