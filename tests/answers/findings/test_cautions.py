"""Every design carries the usual cautions, and those of its own cells."""

from typing import get_args

import pytest
from designs import design, parts, run, supply

from lightcalc.answers.answer import answer
from lightcalc.answers.findings.cautions import all_cautions, cautions_for
from lightcalc.parts.kinds import Chemistry

SUBJECTS = {"all", "fuse", "usb bank", "parallel", "resin", *get_args(Chemistry)}


def codes(made):
    return {caution.code for caution in answer(made, parts()).cautions}


def test_cautions_speak_of_subjects_that_exist_and_have_codes_of_their_own():
    found = all_cautions()
    assert len({caution.code for caution in found}) == len(found)
    for caution in found:
        assert set(caution.applies) <= SUBJECTS
        assert caution.text.endswith(".")


@pytest.mark.parametrize("chemistry", get_args(Chemistry))
def test_every_chemistry_has_a_caution_of_its_own(chemistry):
    usual = {caution.code for caution in cautions_for(())}
    assert {caution.code for caution in cautions_for({chemistry})} > usual


def test_every_design_defers_to_local_codes_and_makers():
    texts = [caution.text for caution in cautions_for(())]
    assert any("local codes" in text.lower() and "licensed" in text for text in texts)
    assert any("children" in text for text in texts)


def test_what_a_design_holds_brings_its_cautions():
    assert "lithium-charging" in codes(design())
    assert "no-parallel" not in codes(design())
    assert "no-parallel" in codes(design(supplies=(supply(pack_multiple=2),)))
    assert "resin-heat" in codes(design(run(mounting="cast in resin")))
    assert "resin-heat" in codes(design(supplies=(supply(near=("resin",)),)))
    bank = design(run("strip-5v-60-warm", 0.5), supplies=(supply("usb-10000", None),))
    assert {"usb-bank", "lithium-cells"} <= codes(bank)
    # A bank limits itself, so there is no fuse to put anywhere.
    assert "fuse-at-pack" not in codes(bank)
    assert "fuse-at-pack" in codes(design())
    cells = design(supplies=(supply("d-alkaline-8", None),))
    assert "primary-cells" in codes(cells)
    assert "lithium-cells" not in codes(cells)
