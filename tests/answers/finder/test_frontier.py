"""The frontier is what nothing beats, however it is found."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from lightcalc.answers.finder.frontier import beaten, frontier

few = arrays(np.int64, st.tuples(st.integers(0, 40), st.just(4)), elements=st.integers(0, 5))


@given(few)
def test_nothing_on_the_frontier_is_beaten_and_all_else_is_beaten_or_the_same(rows):
    kept = frontier(rows)
    for place, row in enumerate(rows):
        beats = np.all(rows <= row, axis=1) & np.any(rows < row, axis=1)
        same_before = any(np.array_equal(rows[other], row) for other in range(place))
        assert (place in kept) == (not beats.any() and not same_before)


@given(few)
def test_the_frontier_of_a_frontier_is_itself(rows):
    kept = rows[frontier(rows)]
    assert np.array_equal(frontier(kept), np.arange(len(kept)))


@given(few, st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(rows, pick):
    order = list(range(len(rows)))
    pick.shuffle(order)
    shuffled = rows[order]
    kept = {tuple(row) for row in rows[frontier(rows)].tolist()}
    assert kept == {tuple(row) for row in shuffled[frontier(shuffled)].tolist()}


def test_a_row_does_not_beat_its_like():
    assert not beaten(np.array([[1, 2, 3]]), np.array([1, 2, 3])).any()
