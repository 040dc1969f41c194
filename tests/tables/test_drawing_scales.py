"""Scales of drawings."""

from fractions import Fraction

import pytest

from lightcalc import units
from lightcalc.tables.drawing_scales import drawing_scales


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_scales_go_from_full_size_to_ever_smaller(system):
    reductions = [scale.reduction for scale in drawing_scales(system)]
    assert reductions[0] == 1
    assert reductions == sorted(set(reductions))
    # Forty metres, as far as places of a design reach, on paper less than a hand wide.
    assert 40_000 / reductions[-1] < 80


def test_metric_scales_are_those_of_a_one_two_five_series():
    for scale in drawing_scales("metric"):
        assert int(str(scale.reduction).rstrip("0")) in {1, 2, 5}


def test_what_an_inch_scale_is_called_is_what_it_is():
    for scale in drawing_scales("inch"):
        paper, _, true = scale.called.partition(" = ")
        if true:
            ratio = units.read(true, "length") / units.read(paper, "length")
            assert Fraction(ratio).limit_denominator(10) == scale.reduction
