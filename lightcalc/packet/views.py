"""Views of a piece along its axes, and which of its lines are hidden in them.

A view has two lengths across the paper and a depth that grows away from the eye::

    first angle (metric)          third angle (inch)

    [front]   [from the left]     [from above]
    [from above]                  [front]   [from the right]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.design.space import Block

Flat = tuple[float, float]
Span = tuple[float, float]

# What differs by less than this lies in one plane [m].
SAME_M = 1e-6


@dataclass(frozen=True)
class View:
    """One view: which axis goes right, up and away on the paper, each with its direction.

    Axes are 0 to the right of the piece, 1 to its back, 2 up.
    """

    name: str
    words: str
    right: tuple[int, float]
    up: tuple[int, float]
    away: tuple[int, float]

    def flat(self, place: Sequence[float]) -> Flat:
        """Return where a place lies across the view, to the right and up [m]."""
        return (self.right[1] * place[self.right[0]], self.up[1] * place[self.up[0]])

    def depth(self, place: Sequence[float]) -> float:
        """Return how far away a place is, counted from anywhere [m]."""
        return self.away[1] * place[self.away[0]]

    def cover(self, block: Block) -> Cover:
        """Return what a block covers in this view."""
        one, other = self.flat(block.at_m), self.flat(block.far_m)
        near = min(self.depth(block.at_m), self.depth(block.far_m))
        low = (min(one[0], other[0]), min(one[1], other[1]))
        high = (max(one[0], other[0]), max(one[1], other[1]))
        return Cover(low, high, near)


FRONT = View("front", "Front", (0, 1.0), (2, 1.0), (1, 1.0))
ABOVE = View("above", "From above", (0, 1.0), (1, 1.0), (2, -1.0))
LEFT = View("left", "From the left", (1, -1.0), (2, 1.0), (0, 1.0))
RIGHT = View("right", "From the right", (1, 1.0), (2, 1.0), (0, -1.0))


@dataclass(frozen=True)
class Cover:
    """A rectangle across a view that hides what is behind it: two corners, and how near it is."""

    low: Flat
    high: Flat
    near: float

    def hides(self, start: Flat, end: Flat, depths: Span) -> Span | None:
        """Return which part of a straight line is behind it, from 0 at its start to 1.

        A line along its outline is not behind it.
        """
        first, last = 0.0, 1.0
        for axis in range(2):
            inside = _between(
                self.low[axis] + SAME_M, self.high[axis] - SAME_M, start[axis], end[axis]
            )
            first, last = max(first, inside[0]), min(last, inside[1])
        behind = _between(self.near + SAME_M, float("inf"), *depths)
        first, last = max(first, behind[0]), min(last, behind[1])
        return (first, last) if last - first > 1e-9 else None


def _between(low: float, high: float, a: float, b: float) -> Span:
    """Return from where to where on its way from a to b a number is between two others."""
    if a == b:
        return (0.0, 1.0) if low < a < high else (1.0, 0.0)
    one, other = (low - a) / (b - a), (high - a) / (b - a)
    return (max(min(one, other), 0.0), min(max(one, other), 1.0))


def hidden_spans(start: Flat, end: Flat, depths: Span, covers: Sequence[Cover]) -> tuple[Span, ...]:
    """Return the hidden parts of a straight line, joined and in order."""
    found = [span for cover in covers if (span := cover.hides(start, end, depths))]
    return joined(found)


def joined(spans: Sequence[Span]) -> tuple[Span, ...]:
    """Join spans that touch.

    >>> joined([(0.5, 0.7), (0.0, 0.5), (0.9, 1.0)])
    ((0.0, 0.7), (0.9, 1.0))
    """
    whole: list[Span] = []
    for first, last in sorted(spans):
        if whole and first <= whole[-1][1] + 1e-9:
            whole[-1] = (whole[-1][0], max(whole[-1][1], last))
        else:
            whole.append((first, last))
    return tuple(whole)


def left_over(spans: Sequence[Span], low: float = 0.0, high: float = 1.0) -> tuple[Span, ...]:
    """Return what of a stretch is in none of the joined spans.

    >>> left_over(((0.2, 0.4), (0.9, 1.0)))
    ((0.0, 0.2), (0.4, 0.9))
    """
    gaps, place = [], low
    for first, last in spans:
        if first - place > 1e-9:
            gaps.append((place, min(first, high)))
        place = max(place, last)
    if high - place > 1e-9:
        gaps.append((place, high))
    return tuple((a, b) for a, b in gaps if b - a > 1e-9)


def between(start: Flat, end: Flat, share: float) -> Flat:
    """Return the place that far from start to end."""
    return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
