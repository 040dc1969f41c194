r"""Which part of a row of LEDs a place sees past the boxes.

::

      o--o--o--o--o--o--o--o--o        A box hides one unbroken span of a straight row, because
            \        /                 the room behind a box, seen from a place, is convex.
             \ box  /                  Its ends have a closed form, so shadows are sharp however
              \____/                   few lamps stand for the row.
               \  /
                P

Let the row be ``A + t D`` along one axis and the place P. The line from P to the LED at t,
cut at the share s of its way, lies within the box on the two other axes for s between s0 and
s1, and on the row's axis where ``low <= P + s (A + t D - P) <= high``. Each bound is monotone
in s, so the span's ends lie at s0 or s1.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.lamps import Lamps, Stretch

Triple = tuple[Array, Array, Array]
"""x, y and z of places [m]: three arrays that broadcast to the places' shape (u, v)."""

# Shares of the line at its ends that may touch a box: faces do not hide what lies on them.
_ENDS = 1e-6
_TINY_M = 1e-12
_FAR_LEDS = 1e9


def hidden_spans(
    places: Triple, stretch: Stretch, low_m: Array, high_m: Array
) -> tuple[Array, Array]:
    """First and last place along a straight stretch, in LEDs, that each box hides.

    Counted in light: a span that ends between the bright squares of LEDs 3 and 4 ends at 3.5.
    `low_m` and `high_m` (boxes, 3) are the boxes' corners. Both results have the shape
    (boxes, u, v); where nothing is hidden the first is infinite and the last its negative.

    >>> from lightcalc.physics.room.scene import Row, Scene
    >>> from lightcalc.physics.room.lamps import stretches
    >>> leds = tuple((0.1 * k, 0.0, 1.0) for k in range(11))
    >>> row = stretches(Scene((), (Row("a", leds, (0, 0, -1), 1, 1, 0.1, 0.0),), ()))[0]
    >>> place = tuple(np.full((1, 1), x) for x in (0.5, 0.0, 0.0))
    >>> box = np.array([[0.39, -0.1, 0.5]]), np.array([[0.61, 0.1, 0.51]])
    >>> [span.round(3).tolist() for span in hidden_spans(place, row, *box)]
    [[[[2.5]]], [[[7.5]]]]
    """
    axis = stretch.axis
    if axis is None:
        raise ValueError("Only a stretch that runs straight along an axis has hidden spans.")
    first = stretch.places_m[0]
    s0, s1 = np.array(_ENDS), np.array(1.0 - _ENDS)
    for k in range(3):
        if k != axis:
            near, far = _slab(places[k], first[k], low_m[:, k], high_m[:, k])
            s0, s1 = np.maximum(s0, near), np.minimum(s1, far)
    sees = s1 - s0 > 2.0 * _ENDS
    s1 = np.maximum(s0, s1)
    below = _each(low_m[:, axis]) - _TINY_M - places[axis]
    above = _each(high_m[:, axis]) + _TINY_M - places[axis]
    aside = places[axis] - first[axis]
    one, other = 1.0 / s0, 1.0 / s1
    start = np.minimum(below * one, below * other) + aside
    end = np.maximum(above * one, above * other) + aside
    step = stretch.step_m
    if stretch.signed_step_m < 0.0:
        start, end = -end, -start
    sees = sees & (end > -0.5 * step) & (start < (stretch.count - 0.5) * step)
    start, end = (_in_leds(bound / step, stretch.half_width) for bound in (start, end))
    return np.where(sees, start, np.inf), np.where(sees, end, -np.inf)


class Seen(NamedTuple):
    """What is seen of each lamp's part of the row, both of shape (u, v, c).

    `share` of its light, and `shift`, how far from the lamp's `middle` the light comes from
    [LEDs]. Gauss's places serve a group that is seen whole, the middles of what is seen one
    that is partly hidden.
    """

    share: Array
    shift: Array


def seen_parts(starts: Array, ends: Array, lamps: Lamps) -> Seen | None:
    """See what hidden spans of shape (boxes, u, v), which may overlap, leave of each part.

    None when nothing is hidden anywhere.
    """
    matters = np.isfinite(starts).any(axis=(1, 2))
    if not matters.any():
        return None
    seen = np.zeros((*starts.shape[1:], len(lamps.middle)))
    moment = np.zeros_like(seen)
    for gap_start, gap_end in _gaps(starts[matters], ends[matters]):
        if (gap_end > gap_start).any():
            high = np.minimum(gap_end[..., None], lamps.high)
            low = np.maximum(gap_start[..., None], lamps.low)
            part = np.maximum(high - low, 0.0)
            seen += part
            high += low
            high *= part
            moment += high
    shift = moment / np.maximum(2.0 * seen, _TINY_M) - lamps.middle
    seen /= lamps.high - lamps.low
    in_groups = (*seen.shape[:2], -1, lamps.group)
    partly = (seen < 1.0).reshape(in_groups).any(axis=-1, keepdims=True)
    shift.reshape(in_groups)[...] *= partly
    shift *= seen > 0.0
    return Seen(seen, shift)


def _gaps(starts: Array, ends: Array) -> Iterator[tuple[Array, Array]]:
    """Give what hidden spans leave: a gap before each span and one after all, many empty."""
    if len(starts) > 1:
        order = starts.argsort(axis=0)
        starts = np.take_along_axis(starts, order, axis=0)
        ends = np.maximum.accumulate(np.take_along_axis(ends, order, axis=0), axis=0)
    # A box that hides nothing has an infinite start; the gap that ends there is the last.
    none = np.full((1, *starts.shape[1:]), np.inf)
    opens = np.concatenate([-none, np.where(np.isfinite(starts), ends, _FAR_LEDS)])
    return zip(opens, np.concatenate([starts, none]), strict=True)


def _slab(place: Array, lamp: float, low: Array, high: Array) -> tuple[Array, Array]:
    """Shares of the way from place to lamp between which it lies within low and high."""
    way = lamp - place
    way = np.where(np.abs(way) < _TINY_M, _TINY_M, way)
    one = (_each(low) - _TINY_M - place) / way
    other = (_each(high) + _TINY_M - place) / way
    return np.minimum(one, other), np.maximum(one, other)


def _in_leds(bound: Array, half_width: float) -> Array:
    """Stretch every LED's bright square to the whole step around it, and the gaps to nil."""
    led = np.rint(bound)
    return np.asarray(led + np.clip((bound - led) / (2.0 * half_width), -0.5, 0.5))


def _each(bounds: Array) -> Array:
    """Bounds of the boxes, shaped to go with places (u, v)."""
    return np.asarray(bounds[:, None, None])
