r"""The room's own light on each surface: how it is turned, and what boxes keep from it.

::

        light from above, a little more from the front and the left
          \  |  /
        ____\_v_/___________
       |______top___________|      under the top a place sees less of the room;
          |  |         |  |        right beside a leg it sees half
     =====|__|====.====|__|====

``scene.room_lux`` is what a meter shows that lies flat in the open. Faces turned elsewhere get
less, by the light vector (A. Gershun, The Light Field, J. Math. Phys. 18 (1939) 51): the light
on a face changes with the cosine of its turn from one direction. The direction and strength
taken here, `LIGHT_VECTOR`, are those of an ordinary room with light ceiling and a window or
lamp towards the front and left, a picture's assumption and no measurement.

A box takes away the share of the room that it fills, its view factor from the place (closed
forms for a rectangle parallel and square to a small face, as in J. R. Howell's catalogue of
configuration factors, derived anew), and gives back its own reflectance of it. Where several
boxes fill the view what they leave is multiplied, as for things strewn at random.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.lightmap import Grid
from lightcalc.physics.room.scene import Point, Scene

LIGHT_VECTOR: Point = (-0.10, -0.15, 0.30)
"""How much the room's light changes, as a share, with a face's normal along x, y and z."""

_TINY_M = 1e-9


def room_lux(scene: Scene, grid: Grid) -> Array:
    """Room's own light on the cells of a grid [lx], shape (u, v).

    >>> from lightcalc.physics.room.scene import Box
    >>> scene = Scene((Box("top", (0, 0, 0.4), (1, 0.5, 0.42)),), (), (), room_lux=100.0)
    >>> cells = Grid("floor", 2, 1.0, 0.0, np.array([-3.0, 0.0, 1.0]), np.array([0.0, 0.5]))
    >>> room_lux(scene, cells).round(1).ravel().tolist()  # beside the top, and under it
    [99.9, 77.0]
    """
    places = grid.middles_m().reshape(-1, 3)
    left = np.ones(len(places))
    for box in scene.boxes:
        lost = 1.0 - float(np.mean(box.colour))
        left *= 1.0 - lost * view_factor(places, grid.axis, grid.sign, box.low, box.high)
    turned = 1.0 + float(np.dot(np.subtract(grid.normal, (0.0, 0.0, 1.0)), LIGHT_VECTOR))
    return np.asarray(scene.room_lux * turned * left).reshape(len(grid.u_m), len(grid.v_m))


def view_factor(places: Array, axis: int, sign: float, low: Point, high: Point) -> Array:
    """Share of a small face's view that a box fills, weighted by the cosine, shape (n,).

    The face lies at `places` (n, 3) [m] and looks along `axis`, up it or down by `sign`.
    1 for places within the box or on it.

    A square plate, one side wide, one side off: 0.2395 (closed form of a parallel rectangle).
    >>> place = np.array([[0.5, 0.5, 0.0]])
    >>> float(view_factor(place, 2, 1.0, (0, 0, 1), (1, 1, 2)).round(4)[0])
    0.2395
    """
    begin, end = np.array(low) - places, np.array(high) - places
    if sign < 0.0:
        begin[:, axis], end[:, axis] = -end[:, axis].copy(), -begin[:, axis].copy()
    within = ((begin < _TINY_M) & (end > -_TINY_M)).all(axis=1) & (end[:, axis] > _TINY_M)
    # Only what stands in front of the face counts.
    begin[:, axis], end[:, axis] = begin[:, axis].clip(0.0), end[:, axis].clip(0.0)
    total = np.zeros(len(places))
    for across in range(3):
        away = np.maximum(begin[:, across], -end[:, across])
        seen = np.flatnonzero((away > _TINY_M) & (end[:, axis] > _TINY_M))
        if not seen.size:
            continue
        others = [k for k in range(3) if k != across]
        if across != axis:
            others.sort(key=lambda k: k == axis)
        integral = _parallel if across == axis else _square
        u, v = ((begin[seen, k], end[seen, k]) for k in others)
        total[seen] += _between_corners(integral, away[seen], u, v)
    return np.where(within, 1.0, total.clip(0.0, 1.0))


def _between_corners(
    integral: Callable[[Array, Array, Array], Array],
    away: Array,
    u: tuple[Array, Array],
    v: tuple[Array, Array],
) -> Array:
    upper = integral(away, u[1], v[1]) - integral(away, u[0], v[1])
    return np.asarray(upper - integral(away, u[1], v[0]) + integral(away, u[0], v[0]))


def _parallel(away: Array, u: Array, v: Array) -> Array:
    """Integral of ``c^2 / (pi r^4)`` from nil to u and v, at the height c = away."""
    by_u, by_v = np.hypot(u, away), np.hypot(v, away)
    both = u / by_u * np.arctan(v / by_u) + v / by_v * np.arctan(u / by_v)
    return np.asarray(both / (2.0 * math.pi))


def _square(away: Array, u: Array, height: Array) -> Array:
    """Integral of ``c height / (pi r^4)``, c = away, but for what is the same at every height."""
    slant = np.hypot(height, away)
    return np.asarray(-away / (2.0 * math.pi) * np.arctan(u / slant) / slant)
