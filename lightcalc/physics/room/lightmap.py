"""Flat maps of the light that lands on a face of the scene.

::

      v_edges_m        cells of a grid on a plane square to `axis`;
         ^  +--+--+----+      u and v are the two other axes in the order x, y, z;
         |  |  |  |    |      light is worked out at the middle of each cell
         |  +--+--+----+
         |  |  |  |    |
         |  +--+--+----+
         +------------> u_edges_m

Cells need not be equal; `grids` says how they are chosen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.scene import Point


@dataclass(frozen=True, eq=False)
class Grid:
    """Cells on a plane: `axis` 0, 1 or 2 is square to it, `sign` says which side is lit.

    `at_m` is the plane's place along the axis. Edges rise; there is one more than cells.
    """

    name: str
    axis: int
    sign: float
    at_m: float
    u_edges_m: Array
    v_edges_m: Array

    @property
    def plane_axes(self) -> tuple[int, int]:
        """The two axes along which u and v run."""
        return ((1, 2), (0, 2), (0, 1))[self.axis]

    @property
    def u_m(self) -> Array:
        """Middles of the cells along u [m]."""
        return np.asarray((self.u_edges_m[1:] + self.u_edges_m[:-1]) / 2.0)

    @property
    def v_m(self) -> Array:
        """Middles of the cells along v [m]."""
        return np.asarray((self.v_edges_m[1:] + self.v_edges_m[:-1]) / 2.0)

    @property
    def normal(self) -> Point:
        """Unit vector out of the lit side."""
        x, y, z = (self.sign if axis == self.axis else 0.0 for axis in range(3))
        return (x, y, z)

    @property
    def areas_m2(self) -> Array:
        """Area of each cell [m2], shape (u, v)."""
        return np.multiply.outer(np.diff(self.u_edges_m), np.diff(self.v_edges_m))

    def middles_m(self) -> Array:
        """Middles of all cells, shape (u, v, 3) [m]."""
        out = np.full((len(self.u_m), len(self.v_m), 3), self.at_m)
        out[..., self.plane_axes[0]] = self.u_m[:, None]
        out[..., self.plane_axes[1]] = self.v_m
        return out


@dataclass(frozen=True, eq=False)
class LightMap:
    """Illuminance on a grid: `lux_by_row` has shape (rows of the scene, u, v).

    Kept by row, so that dimming or tinting one row needs no new map: it is linear in lumens.
    The room's own light is left out.
    """

    grid: Grid
    lux_by_row: Array

    @property
    def lux(self) -> Array:
        """Light of all rows together, shape (u, v)."""
        return np.asarray(self.lux_by_row.sum(axis=0))

    @property
    def lumens(self) -> float:
        """Light that lands on the whole map."""
        return float((self.lux * self.grid.areas_m2).sum())

    def plus(self, other: LightMap) -> LightMap:
        """Light of two maps of the same face together, on the cells of this one."""
        more = other.at(self.grid.middles_m().reshape(-1, 3))
        return LightMap(self.grid, self.lux_by_row + more.reshape(self.lux_by_row.shape))

    def at(self, places_m: Array) -> Array:
        """Light of each row at places (n, 3) on the plane, by straight lines between cells.

        Returns (rows, n). Beyond the outermost middles the nearest value holds, within the
        map's edges; outside the map there is no light.

        >>> grid = Grid("floor", 2, 1.0, 0.0, np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0]))
        >>> LightMap(grid, np.array([[[1.0], [3.0]]])).at(np.array([[1.0, 0.5, 0.0]])).tolist()
        [[2.0]]
        """
        u, v = (places_m[:, axis] for axis in self.grid.plane_axes)
        iu, fu = _between(self.grid.u_m, u)
        iv, fv = _between(self.grid.v_m, v)
        ju = np.minimum(iu + 1, len(self.grid.u_m) - 1)
        jv = np.minimum(iv + 1, len(self.grid.v_m) - 1)
        lux = self.lux_by_row
        low = lux[:, iu, iv] * (1.0 - fv) + lux[:, iu, jv] * fv
        high = lux[:, ju, iv] * (1.0 - fv) + lux[:, ju, jv] * fv
        on_map = (u >= self.grid.u_edges_m[0]) & (u <= self.grid.u_edges_m[-1])
        on_map &= (v >= self.grid.v_edges_m[0]) & (v <= self.grid.v_edges_m[-1])
        return np.asarray((low * (1.0 - fu) + high * fu) * on_map)


def _between(middles: Array, places: Array) -> tuple[npt.NDArray[np.intp], Array]:
    """Index of the middle below each place, and the share of the way to the next one."""
    index = np.clip(np.searchsorted(middles, places) - 1, 0, max(len(middles) - 2, 0))
    if len(middles) == 1:
        return index, np.zeros(len(places))
    share = (places - middles[index]) / (middles[index + 1] - middles[index])
    return index, np.clip(share, 0.0, 1.0)
