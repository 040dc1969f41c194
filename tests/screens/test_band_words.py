"""Chances are told no surer than the builds that were tried can say."""

import re

import pytest
from scipy.stats import binomtest

from lightcalc.answers.words import Shower
from lightcalc.screens.band_words import chance_words

SHOW = Shower("metric")


@pytest.mark.parametrize("count", [20, 25, 137, 1011])
@pytest.mark.parametrize("share", [0.06, 0.35, 0.52, 0.85, 0.9, 0.96])
def test_a_chance_from_few_builds_is_told_as_far_as_they_bear(share, count):
    good = round(share * count)
    told = chance_words(good / count, SHOW, count)
    low, high = map(int, re.fullmatch(r"(\d+) to (\d+) %", told).groups())
    sure = binomtest(good, count).proportion_ci(0.95, method="wilson")
    assert low / 100.0 == pytest.approx(sure.low - 0.005, abs=0.006)
    assert high / 100.0 == pytest.approx(sure.high + 0.005, abs=0.006)


@pytest.mark.parametrize("count", [20, 1011])
def test_what_all_or_none_of_few_builds_do_is_told_by_one_end(count):
    # With no failure the upper end at 95 % is 1 - 0.05^(1/n) (Clopper and Pearson, 1934).
    upper = binomtest(0, count).proportion_ci(0.9, method="exact").high
    above = float(re.fullmatch(r"above ([\d.]+) %", chance_words(1.0, SHOW, count))[1])
    below = float(re.fullmatch(r"below ([\d.]+) %", chance_words(0.0, SHOW, count))[1])
    assert above / 100.0 <= 1.0 - upper
    assert below / 100.0 >= upper


@pytest.mark.parametrize("ratio", [0.002, 0.31, 0.52, 0.995])
def test_many_builds_tell_one_figure(ratio):
    assert " to " not in chance_words(ratio, SHOW, 10_000)
