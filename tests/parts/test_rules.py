"""Parts whose figures contradict one another are refused."""

import pytest

from lightcalc.parts import rules
from lightcalc.parts.catalogue import KINDS


@pytest.mark.parametrize(
    ("file", "name", "cells", "says"),
    [
        ("strips", "strip-12v-rgb-60", {"forward": "6.3; 9.3"}, "2 value(s) for 3 channel(s)"),
        ("strips", "strip-12v-60-warm", {"forward": "12"}, "less than the rated 12 V"),
        ("strips", "strip-24v-cc-70-warm", {"dropout": "4"}, "never hold its current"),
        ("strips", "strip-12v-60-warm", {"forward": "3"}, "1 V for each"),
        ("strips", "strip-12v-60-warm", {"cut unit": "43"}, "whole number of LEDs"),
        ("strips", "strip-12v-60-warm", {"cut unit": "51.5"}, "whole number of LEDs"),
        ("strips", "strip-12v-60-warm", {"cut unit": "1"}, "whole number of LEDs"),
        ("strips", "strip-12v-60-warm", {"cut unit": "66.667"}, "multiple of the 3"),
        ("strips", "strip-12v-60-warm", {"channel pitch": "33.3"}, "lies between"),
        ("strips", "strip-12v-60-warm", {"reel": "0.04"}, "shorter than one cut unit"),
        ("strips", "strip-12v-60-warm", {"LED width": "9"}, "wider than the strip"),
        ("strips", "strip-5v-pixel-60", {"idle": "61"}, "draws only 60 mA full on"),
        ("strips", "strip-12v-60-warm", {"light": "821"}, "at most 819.6 lm"),
        ("packs", "liion-3s-5200", {"cut-off": "11"}, "rise in that order"),
        ("packs", "liion-3s-5200", {"full": "10.8"}, "rise in that order"),
        ("packs", "liion-3s-5200", {"cells in series": "4"}, "they make 14 V to 15.6 V"),
        ("packs", "liion-3s-5200", {"fast current": ""}, "fill both or neither"),
        ("packs", "liion-3s-5200", {"fast capacity": "5.3"}, "never gives more"),
        ("packs", "liion-3s-5200", {"slow current": "6"}, "above the slow current"),
        ("packs", "liion-3s-5200", {"short-circuit current": "5"}, "at least the max current"),
        ("packs", "liion-3s-5200", {"cycle life": "0"}, "number of full charges"),
        ("packs", "liion-3s-5200", {"protected": "no"}, "not for furniture"),
        ("packs", "liion-3s-5200", {"mass": "22"}, "at least 112 g"),
        ("packs", "aa-alkaline-8", {"rechargeable": "yes"}, "not to be charged"),
        ("packs", "aa-alkaline-8", {"cycle life": "10"}, "not rechargeable"),
        ("converters", "buck-12v-5a", {"min output": "13"}, "above the max output"),
        ("converters", "buck-12v-5a", {"min input": "32"}, "not below the max input"),
        ("converters", "buck-12v-5a", {"min input": "5", "max input": "11"}, "only lowers"),
        ("converters", "boost-12v-3a", {"min input": "12", "max input": "15"}, "only raises"),
        ("converters", "buck-12v-5a", {"efficiency": ""}, "one of the two"),
        ("converters", "buck-12v-5a", {"losses": "1:1"}, "one of the two"),
        ("converters", "boost-12v-1a5", {"losses": "1:1; 0.5:2"}, "must rise"),
        ("converters", "boost-12v-1a5", {"losses": "1:1; 9:2"}, "above the max current"),
        ("controllers", "dimmer-inline-1ch", {"min supply": "24"}, "not below the max supply"),
        ("controllers", "receiver-radio-1ch", {"remote": "none"}, "infrared or radio"),
        ("wires", "wire-20awg", {"strands": "1"}, "solid wire has 1 strand"),
        ("wires", "wire-22awg-solid", {"strands": "7"}, "solid wire has 1 strand"),
        ("wires", "wire-20awg", {"size": "3 AWG"}, "the tables hold"),
        ("wires", "wire-20awg", {"size": "1.7 mm2"}, "and 0.5, 0.75, 1"),
        ("fuses", "blade-5a", {"breaking capacity": "5"}, "not above the rating"),
        ("sheets", "sheet-satin-3", {"scattered share": "97"}, "more than 100 %"),
        ("sheets", "sheet-clear-3", {"straight share": "96"}, "at most 93%"),
    ],
)
def test_a_contradiction_is_told_and_nothing_else(spoiled, file, name, cells, says):
    spoiled.change(file, name, cells)
    told = spoiled.told()
    assert len(told) == 1, told
    assert says in told[0]


def test_every_rule_names_fields_of_its_kind():
    for file, kind in KINDS.items():
        assert rules.rules(file) or file == "connectors"
        for rule in rules.rules(file):
            assert set(rule.fields) <= set(kind.__dataclass_fields__)


def test_two_faces_of_common_glass_let_92_per_cent_through():
    # Two faces of n = 1.52 reflect about 8 %: the usual handbook figure for float glass.
    assert rules._two_faces_reflect(0.92, 1.52) is None
    assert rules._two_faces_reflect(0.94, 1.52) is not None
