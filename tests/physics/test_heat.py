"""A strip warms until its mounting sheds what it makes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from fluids import Grashof
from fluids.atmosphere import ATMOSPHERE_1976
from ht import Nu_horizontal_cylinder_Churchill_Chu
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.heat import (
    Facing,
    air,
    heat_w_per_m,
    nusselt_cylinder,
    sheds_w_per_m,
    strip_rise_k,
    surface_sheds_w_per_m,
)
from lightcalc.tables.mountings import Mounting, heat_limits, mountings

mounted = st.sampled_from(list(mountings().values()))
facings = st.sampled_from(["down", "side", "up"])
heats = st.floats(0.0, 40.0)
widths = st.floats(0.005, 0.02)
rooms = st.floats(0.0, 45.0)


@given(st.floats(-5.0, 12.0), st.floats(0.5, 10.0))
def test_convection_is_that_of_churchill_and_chu_in_ht(decade: float, prandtl: float) -> None:
    # Package ht, Nu_horizontal_cylinder_Churchill_Chu, over the whole range of the correlation.
    rayleigh = 10.0**decade
    theirs = Nu_horizontal_cylinder_Churchill_Chu(prandtl, rayleigh / prandtl)
    assert float(nusselt_cylinder(rayleigh, prandtl)) == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("celsius", [-20.0, 15.0, 60.0, 120.0])
def test_air_is_that_of_the_us_standard_atmosphere_1976(celsius: float) -> None:
    # Package fluids, its functions of temperature alone, at 101 325 Pa.
    kelvin = celsius + 273.15
    viscosity = ATMOSPHERE_1976.viscosity(kelvin) / ATMOSPHERE_1976.density(kelvin, 101325.0)
    assert float(air(celsius).viscosity) == pytest.approx(viscosity, rel=0.01)
    conductivity = ATMOSPHERE_1976.thermal_conductivity(kelvin)
    assert float(air(celsius).conductivity) == pytest.approx(conductivity, rel=0.01)


@given(mounted, heats, st.floats(0.001, 20.0), rooms, facings)
def test_a_strip_gets_warmer_with_power(
    mounting: Mounting, heat: float, more: float, room_c: float, facing: Facing
) -> None:
    less = float(strip_rise_k(heat, mounting, 0.010, room_c, facing))
    assert float(strip_rise_k(heat + more, mounting, 0.010, room_c, facing)) > less


@given(mounted, heats, widths, rooms, facings)
def test_what_keeps_a_rise_is_what_makes_it(
    mounting: Mounting, heat: float, width_m: float, room_c: float, facing: Facing
) -> None:
    rise_k = strip_rise_k(heat, mounting, width_m, room_c, facing)
    back = sheds_w_per_m(rise_k, mounting, width_m, room_c, facing)
    assert float(back) == pytest.approx(heat, rel=1e-6, abs=1e-9)


@given(mounted, heats, widths, rooms, facings)
def test_heat_in_is_convection_and_radiation_out(
    mounting: Mounting, heat: float, width_m: float, room_c: float, facing: Facing
) -> None:
    rise_k = float(strip_rise_k(heat, mounting, width_m, room_c, facing))
    surface_k = rise_k - heat * mounting.spread_km_per_w
    shows_m = mounting.surface_m + (width_m if mounting.strip_shows else 0.0)
    out = surface_sheds_w_per_m(surface_k, shows_m, mounting.emissivity, room_c, facing)
    assert float(out) == pytest.approx(heat, rel=1e-6, abs=1e-9)


@given(mounted, st.floats(0.1, 40.0), widths, rooms)
def test_a_face_that_looks_down_gets_warmest(
    mounting: Mounting, heat: float, width_m: float, room_c: float
) -> None:
    down = float(strip_rise_k(heat, mounting, width_m, room_c, "down"))
    assert down > float(strip_rise_k(heat, mounting, width_m, room_c, "side"))


def test_radiation_alone_follows_stefan_and_boltzmann() -> None:
    # Between two emissivities only radiation differs: 0.9 - 0.1 of sigma (T^4 - T0^4) by width.
    black, bare = (float(surface_sheds_w_per_m(40.0, 0.03, e, 20.0)) for e in (0.9, 0.1))
    assert black - bare == pytest.approx(0.8 * 0.03 * 5.670374e-8 * (333.15**4 - 293.15**4))


@pytest.mark.parametrize("width_m", [0.010, 0.034, 0.060])
@pytest.mark.parametrize("rise_k", [5.0, 40.0])
def test_a_face_sheds_like_half_of_a_cylinder_of_ht(width_m: float, rise_k: float) -> None:
    # Packages ht and fluids: the girth is twice the width, and only one half meets the air.
    film_k = 293.15 + rise_k / 2.0
    viscosity = ATMOSPHERE_1976.viscosity(film_k) / ATMOSPHERE_1976.density(film_k, 101325.0)
    diameter_m = 2.0 * width_m / math.pi
    grashof = Grashof(L=diameter_m, beta=1.0 / film_k, T1=293.15 + rise_k, T2=293.15, nu=viscosity)
    nusselt = Nu_horizontal_cylinder_Churchill_Chu(0.71, grashof)
    coefficient = nusselt * ATMOSPHERE_1976.thermal_conductivity(film_k) / diameter_m
    whole_w_per_m = coefficient * math.pi * diameter_m * rise_k
    ours = surface_sheds_w_per_m(rise_k, width_m, 0.0, 20.0, "side")
    assert float(ours) == pytest.approx(whole_w_per_m / 2.0, rel=0.01)


def test_no_heat_makes_no_rise_and_a_limit_below_the_room_keeps_none() -> None:
    wood = mountings()["bare on wood"]
    assert float(strip_rise_k(0.0, wood, 0.01, 25.0)) == pytest.approx(0.0, abs=1e-9)
    assert float(sheds_w_per_m(-5.0, wood, 0.01, 25.0)) == pytest.approx(0.0, abs=1e-9)


def test_more_than_two_thirds_of_the_power_is_heat() -> None:
    # Typical share, common knowledge of the trade.
    assert 2 / 3 <= float(heat_w_per_m(1.0)) < 0.8
    assert float(heat_w_per_m(10.0, 0.0)) == 10.0


def test_bare_strips_want_a_channel_from_about_ten_to_fourteen_watts_per_metre() -> None:
    # Common practice of the trade. Band widened by the third that the model may be out.
    wood, channel = mountings()["bare on wood"], mountings()["aluminium channel on the surface"]
    rise_k = heat_limits()["adhesive"] - 25.0
    bare, carried = (
        float(sheds_w_per_m(rise_k, m, 0.010, 25.0)) / float(heat_w_per_m(1.0))
        for m in (wood, channel)
    )
    assert 10.0 * 2 / 3 < bare < 14.0 * 4 / 3
    assert carried > 1.25 * bare


def test_resin_stands_fewer_watts_than_any_other_mounting_at_its_own_limit() -> None:
    kept = {
        name: float(sheds_w_per_m(min(heat_limits()[t] for t in m.touches) - 25.0, m, 0.010, 25.0))
        for name, m in mountings().items()
    }
    assert min(kept, key=lambda name: kept[name]) == "cast in resin"


@given(st.lists(heats, min_size=1, max_size=6), mounted)
def test_arrays_give_what_single_numbers_give(heat: list[float], mounting: Mounting) -> None:
    many = np.asarray(strip_rise_k(np.array(heat), mounting, 0.01, 25.0))
    single = [float(strip_rise_k(one, mounting, 0.01, 25.0)) for one in heat]
    assert many == pytest.approx(np.array(single))


def test_a_wider_surface_keeps_a_strip_cooler() -> None:
    wood = mountings()["bare on wood"]
    wider = replace(wood, surface_m=2 * wood.surface_m)
    assert float(strip_rise_k(8.0, wider, 0.01, 25.0)) < float(strip_rise_k(8.0, wood, 0.01, 25.0))


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="below 0 W/m"):
        strip_rise_k(-1.0, mountings()["bare on wood"], 0.01, 25.0)
    with pytest.raises(ValueError, match="a share from 0 to below 1"):
        heat_w_per_m(10.0, 1.0)
