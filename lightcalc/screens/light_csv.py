"""A map of light as CSV: two places in metres and the light there in lux, a line a place."""

from __future__ import annotations

import numpy as np

from lightcalc.physics.room.lightmap import LightMap

AXES = ("x", "y", "z")


def light_csv(light: LightMap) -> str:
    """Return the map, direct and bounced light of all runs together, without the room's own.

    >>> from lightcalc.physics.room.lightmap import Grid
    >>> grid = Grid("floor", 2, 1.0, 0.0, np.array([0.0, 1.0]), np.array([0.0, 2.0]))
    >>> print(light_csv(LightMap(grid, np.array([[[12.5]]]))), end="")
    x (m),y (m),light (lx)
    0.5,1,12.5
    """
    first, second = light.grid.plane_axes
    lines = [f"{AXES[first]} (m),{AXES[second]} (m),light (lx)"]
    middles, lux = light.grid.middles_m(), np.atleast_2d(light.lux)
    for place, value in zip(middles.reshape(-1, 3), lux.ravel(), strict=True):
        lines.append(f"{place[first]:.4g},{place[second]:.4g},{value:.4g}")
    return "\n".join(lines) + "\n"
