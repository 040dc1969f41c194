"""Spans of a line that are hidden, and the laws of joining them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.design.space import Block
from lightcalc.packet.views import (
    ABOVE,
    FRONT,
    LEFT,
    RIGHT,
    Cover,
    between,
    hidden_spans,
    joined,
    left_over,
)

shares = st.integers(0, 1000).map(lambda n: n / 1000.0)
spans = st.lists(st.tuples(shares, shares).map(sorted).map(tuple))
corners = st.integers(-20, 20).map(float)
flats = st.tuples(corners, corners)
covers = st.builds(
    lambda low, size, near: Cover(low, (low[0] + size[0], low[1] + size[1]), near),
    flats,
    st.tuples(st.integers(1, 20), st.integers(1, 20)),
    corners,
)


@given(spans)
def test_what_is_joined_and_what_is_left_over_make_the_whole(some):
    whole = joined(some)
    rest = left_over(whole)
    assert sum(b - a for a, b in (*whole, *rest)) == pytest.approx(1.0)
    for share in (0.05005, 0.30005, 0.55005, 0.93005):
        inside = any(a <= share <= b for a, b in some)
        assert inside == any(a <= share <= b for a, b in whole)
        assert inside != any(a <= share <= b for a, b in rest)


@given(flats, flats, st.tuples(corners, corners), st.lists(covers, max_size=4), shares)
def test_a_place_on_a_line_is_hidden_if_and_only_if_a_cover_is_before_it(
    start, end, depths, some, share
):
    found = hidden_spans(start, end, depths, some)
    u, v = between(start, end, share)
    depth = depths[0] + share * (depths[1] - depths[0])
    margins = [
        min(u - c.low[0], c.high[0] - u, v - c.low[1], c.high[1] - v, depth - c.near) for c in some
    ]
    if all(abs(margin) > 1e-4 for margin in margins):
        assert any(margin > 0 for margin in margins) == any(a <= share <= b for a, b in found)


def test_an_edge_is_not_hidden_by_a_block_whose_outline_it_lies_along():
    front = Cover((0.0, 0.0), (1.0, 1.0), 0.0)
    assert hidden_spans((0.0, 0.0), (0.0, 1.0), (0.5, 0.5), [front]) == ()
    assert hidden_spans((0.5, -1.0), (0.5, 2.0), (0.5, 0.5), [front])[0] == pytest.approx(
        (1 / 3, 2 / 3), abs=1e-5
    )


@pytest.mark.parametrize(
    ("view", "near"), [(FRONT, -2.0), (ABOVE, -9.0), (LEFT, 1.0), (RIGHT, -5.0)]
)
def test_a_block_covers_its_outline_at_its_near_side(view, near):
    # From x 1 to 5, y -2 to 1, z 4 to 9.
    block = Block("a", (1.0, -2.0, 4.0), (4.0, 3.0, 5.0), "oak")
    cover = view.cover(block)
    sizes = {0: 4.0, 1: 3.0, 2: 5.0}
    assert cover.near == near
    assert cover.high[0] - cover.low[0] == sizes[view.right[0]]
    assert cover.high[1] - cover.low[1] == sizes[view.up[0]]


@pytest.mark.parametrize("view", [FRONT, ABOVE, LEFT, RIGHT])
def test_a_view_is_seen_by_an_eye_not_in_a_mirror(view):
    # Right, up and towards the eye make a right-handed set of axes.
    def vector(axis, sign):
        return [sign if k == axis else 0.0 for k in range(3)]

    (a1, a2, a3), (b1, b2, b3) = vector(*view.right), vector(*view.up)
    cross = [a2 * b3 - a3 * b2, a3 * b1 - a1 * b3, a1 * b2 - a2 * b1]
    assert cross == [-one for one in vector(*view.away)]
