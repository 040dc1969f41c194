"""A search finds what answering every design would find."""

import pytest
from small import best_of_all, merits_in, small_search, stops_in

from lightcalc.answers.answer import answer
from lightcalc.answers.finder.search import search


@pytest.mark.parametrize("seed", [*range(19), 155])
def test_the_frontier_is_that_of_an_answer_to_every_design(seed):
    searched = small_search(seed)
    *_, last = search(searched.design, searched.catalogue, searched.demands)
    for one in last.standing:
        found = answer(one.design, searched.catalogue)
        merits = merits_in(found, one.design, searched.catalogue)
        assert known(merits) == pytest.approx(known(one.merits), rel=1e-9)
        assert not stops_in(found)
        assert searched.demands.met_by(merits)
    stands = [tuple(one.ranks.tolist()) for one in last.standing]
    assert len(stands) == len(set(stands))
    assert set(stands) == best_of_all(searched)


def known(merits):
    """Return figures to compare, those not known as less than nothing."""
    return {name: -1.0 if value is None else value for name, value in vars(merits).items()}
