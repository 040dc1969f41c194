"""Heat: how warm a strip gets where it is stuck.

```
        wood, resin or channel
   ==============================
          [ strip ]                heat_w_per_m leaves through spread_km_per_w
      <-- surface_m -->            and then through the surface that meets the air,
          v   v   v                by natural convection and radiation
```
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightcalc.tables.mountings import Mounting

Floats = float | NDArray[np.float64]
Facing = Literal["down", "side", "up"]

STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374419e-8
GRAVITY_M_PER_S2 = 9.80665
ZERO_C_K = 273.15
PRANDTL_AIR = 0.71

# Typical of white strips: three tenths of the power leaves as light, the rest stays as heat.
RADIANT_EFFICIENCY = 0.3

# A warm face that looks down sheds half of one that looks up: the coefficients 0.27 and 0.54 of
# W. H. McAdams, Heat Transmission, 1954.
FACING_RATIO: dict[Facing, float] = {"down": 0.5, "side": 1.0, "up": 1.0}

_HOTTEST_RISE_K = 1000.0
_MOST_SECANTS, _CLOSE_K = 60, 1e-11


@dataclass(frozen=True)
class Air:
    """Air at sea level: conductivity in W/(m K), kinematic viscosity in m2/s."""

    conductivity: Floats
    viscosity: Floats


def air(film_c: Floats) -> Air:
    """Return air at sea level, from -50 to 500 degC within 2 %.

    Sutherland's law for viscosity (1.716e-5 Pa s at 273 K, 111 K) and conductivity
    (0.0241 W/(m K), 194 K): F. M. White, Viscous Fluid Flow; density of an ideal gas.

    >>> round(air(26.85).conductivity, 4)
    0.0262
    """
    kelvin = film_c + ZERO_C_K
    ratio = kelvin / 273.0
    viscosity = 1.716e-5 * ratio**1.5 * (273.0 + 111.0) / (kelvin + 111.0)
    density = 101325.0 / (287.05 * kelvin)
    conductivity = 0.0241 * ratio**1.5 * (273.0 + 194.0) / (kelvin + 194.0)
    return Air(conductivity, viscosity / density)


def nusselt_cylinder(rayleigh: Floats, prandtl: float = PRANDTL_AIR) -> Floats:
    """Nusselt number of natural convection around a long horizontal cylinder.

    S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049; good for
    Rayleigh numbers (by diameter) from 1e-5 to 1e12. A strip is a long ribbon at Rayleigh
    numbers of 500 to 100 000, mostly below the range of the correlations for plates.

    >>> round(nusselt_cylinder(1000.0), 3)
    2.611
    """
    prandtl_part = (1.0 + (0.559 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    nusselt: Floats = (0.60 + 0.387 * rayleigh ** (1.0 / 6.0) / prandtl_part) ** 2
    return nusselt


def heat_w_per_m(power_w_per_m: Floats, radiant_efficiency: float = RADIANT_EFFICIENCY) -> Floats:
    """Watts per metre that stay as heat where the strip is stuck.

    Pass 0 for the radiant efficiency where the light cannot leave either.

    >>> round(heat_w_per_m(10.0), 6)
    7.0
    """
    if not 0.0 <= radiant_efficiency < 1.0:
        raise ValueError(
            f"The radiant efficiency is {radiant_efficiency:g}; it is a share from 0 to below 1."
        )
    return power_w_per_m * (1.0 - radiant_efficiency)


def surface_sheds_w_per_m(
    rise_k: Floats, width_m: float, emissivity: float, ambient_c: Floats, facing: Facing = "down"
) -> Floats:
    """Watts per metre that a long surface sheds at `rise_k` above the room.

    Convection as from a cylinder whose girth is twice the width, since the face against the
    piece sheds nothing: diameter 2 width / pi, area of the width alone, halved when it looks
    down. Radiation to surroundings at the room's temperature. Within about 30 %.

    >>> round(float(surface_sheds_w_per_m(30.0, 0.034, 0.9, 25.0)), 2)
    9.87
    """
    surface_k = ambient_c + rise_k + ZERO_C_K
    ambient_k = ambient_c + ZERO_C_K
    film_c = ambient_c + rise_k / 2.0
    still = air(film_c)
    diameter_m = 2.0 * width_m / math.pi
    diffusivity = still.viscosity / PRANDTL_AIR
    buoyancy = GRAVITY_M_PER_S2 * rise_k / (film_c + ZERO_C_K)
    rayleigh = buoyancy * diameter_m**3 / (still.viscosity * diffusivity)
    convection = FACING_RATIO[facing] * nusselt_cylinder(rayleigh) * still.conductivity / diameter_m
    radiated = emissivity * STEFAN_BOLTZMANN_W_PER_M2_K4 * (surface_k**4 - ambient_k**4)
    return width_m * (convection * rise_k + radiated)


def strip_rise_k(
    heat: Floats,
    mounting: Mounting,
    strip_width_m: float,
    ambient_c: Floats,
    facing: Facing = "down",
) -> Floats:
    """Kelvin by which a strip gets warmer than the room at `heat` watts per metre.

    ValueError for heat below 0. Figures of mountings are typical, so within about a third.

    >>> from lightcalc.tables.mountings import mountings
    >>> round(float(strip_rise_k(8.4, mountings()["bare on wood"], 0.010, 25.0)))
    30
    """
    if not np.all(np.asarray(heat) >= 0.0):
        raise ValueError("The heat is below 0 W/m; give 0 W/m or more.")

    def sheds(surface_rise_k: Floats) -> Floats:
        return _sheds(surface_rise_k, mounting, strip_width_m, ambient_c, facing)

    surface_k = _solve_rising(sheds, heat)
    return surface_k + heat * mounting.spread_km_per_w


def sheds_w_per_m(
    rise_k: Floats,
    mounting: Mounting,
    strip_width_m: float,
    ambient_c: Floats,
    facing: Facing = "down",
) -> Floats:
    """Heat in watts per metre that brings a strip to `rise_k` above the room; 0 when it is not.

    The inverse of `strip_rise_k`. Divide by the share of the power that is heat to get the
    watts per metre of strip that keep a limit.

    >>> from lightcalc.tables.mountings import mountings
    >>> wood = mountings()["bare on wood"]
    >>> round(float(sheds_w_per_m(strip_rise_k(8.4, wood, 0.01, 25.0), wood, 0.01, 25.0)), 6)
    8.4
    """

    def strip_rise(surface_rise_k: Floats) -> Floats:
        heat = _sheds(surface_rise_k, mounting, strip_width_m, ambient_c, facing)
        return surface_rise_k + heat * mounting.spread_km_per_w

    surface_k = _solve_rising(strip_rise, np.maximum(rise_k, 0.0))
    return _sheds(surface_k, mounting, strip_width_m, ambient_c, facing)


def _sheds(
    rise_k: Floats, mounting: Mounting, strip_width_m: float, ambient_c: Floats, facing: Facing
) -> Floats:
    width_m = mounting.surface_m + (strip_width_m if mounting.strip_shows else 0.0)
    return surface_sheds_w_per_m(rise_k, width_m, mounting.emissivity, ambient_c, facing)


def _solve_rising(function: Callable[[Floats], Floats], target: Floats) -> Floats:
    """Find where a function that rises from 0 reaches a target, or the hottest rise.

    Secants between two bounds; a bound that stays twice counts half, so that both close in
    (the Illinois rule; M. Dowell, P. Jarratt, BIT 11 (1971) 168-174).
    """
    aim = np.asarray(target, dtype=float)
    low, low_miss = np.zeros_like(aim), -aim
    high = np.full_like(low, _HOTTEST_RISE_K)
    high_miss = np.maximum(np.asarray(function(high)) - aim, 0.0)
    middle, side = low, np.zeros_like(low)
    for _ in range(_MOST_SECANTS):
        part = np.divide(-low_miss, high_miss - low_miss, out=np.zeros_like(low), where=aim > 0.0)
        before, middle = middle, low + part * (high - low)
        if (np.abs(middle - before) <= _CLOSE_K).all():
            break
        miss = np.asarray(function(middle)) - aim
        below = miss < 0.0
        high_miss = np.where(below, np.where(side < 0.0, 0.5, 1.0) * high_miss, miss)
        low_miss = np.where(below, miss, np.where(side > 0.0, 0.5, 1.0) * low_miss)
        low, high = np.where(below, middle, low), np.where(below, high, middle)
        side = np.where(below, -1.0, 1.0)
    return middle
