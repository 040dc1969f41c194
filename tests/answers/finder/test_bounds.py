"""No design is better than its bounds, and none that would do is struck out by them."""

import numpy as np
import pytest
from small import answered, merits_in, small_search, stops_in

from lightcalc.answers.finder.bounds import Bounds
from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.demands import ranks, ranks_of
from lightcalc.answers.finder.pool import run_down


def bounds_of(searched, closely):
    """Return the best ranks each choice could have, for those not struck out."""
    choices = Choices(searched.design, searched.catalogue)
    best = {}
    for pools in Bounds(choices, searched.demands).pools():
        for pool in pools if closely else ():
            run_down(pool.looks(*np.nonzero(pool.possible), wires=closely == "wires"))
        for row, light in enumerate(pools[0].lights):
            for pool in pools:
                for column in np.flatnonzero(pool.possible[row]):
                    merits = (pool.price, pool.hours_h, pool.fall, pool.mass_kg)
                    rank = ranks(*(merit[row, column] for merit in merits))
                    best[light, pool.group, pool.powers[column]] = rank, pool.light_lm[row, column]
    return choices, best


@pytest.mark.parametrize("seed", [5, 155, *range(100, 105)])
def test_no_answer_is_better_than_its_bounds(seed):
    searched = small_search(seed)
    every = list(answered(searched))
    for closely in ("", "run down", "wires"):
        choices, best = bounds_of(searched, closely)
        hold(searched, choices, best, every)


def hold(searched, choices, best, every):
    """Check every answer that would do against its bounds."""
    for choice, design, found in every:
        merits = merits_in(found, design, searched.catalogue)
        if stops_in(found) or not searched.demands.met_by(merits):
            continue
        lit = choices.lit_by(choice.light)
        for group, power in zip(choices.supply_groups(lit), choice.powers, strict=True):
            bound, light_lm = best[choice.light, group, power]
            assert np.all(ranks_of(merits) >= bound), (merits, bound)
            if len(group) == len(design.supplies):
                assert merits.light_lm <= light_lm * (1.0 + 1e-9)
