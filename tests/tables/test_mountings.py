"""Mountings hold together with their own derivations and with the heat limits."""

from __future__ import annotations

import math

import pytest

from lightcalc.tables.mountings import heat_limits, mounting_names, mountings


def test_everything_a_mounting_touches_has_a_limit() -> None:
    for mounting in mountings().values():
        assert set(mounting.touches) <= set(heat_limits())
        assert "strip" in mounting.touches


def test_names_are_those_of_the_table() -> None:
    assert set(mounting_names()) == set(mountings())


def test_mountings_are_physical() -> None:
    for mounting in mountings().values():
        assert 0.0 < mounting.emissivity <= 1.0
        assert mounting.surface_m > 0.0
        assert mounting.spread_km_per_w > 0.0


def test_wood_beside_a_strip_sheds_over_the_length_of_a_fin() -> None:
    # Length of a fin, sqrt(k t / h): F. P. Incropera, Fundamentals of Heat and Mass Transfer,
    # chapter 3.
    length_m = math.sqrt(0.15 * 0.018 / 18.0)
    assert mountings()["bare on wood"].surface_m == pytest.approx(2 * length_m, rel=0.05)


def test_resin_conducts_like_the_shape_factor_of_a_buried_cylinder() -> None:
    # Shape factor 2 pi / arccosh(2 z / d), Incropera, table 4.1; a ribbon of width w is a
    # cylinder of d = w / 2.
    width_m, depth_m, conductivity = 0.010, 0.010, 0.2
    resistance = math.acosh(2 * depth_m / (width_m / 2)) / (2 * math.pi * conductivity)
    assert mountings()["cast in resin"].spread_km_per_w == pytest.approx(resistance, rel=0.05)


def test_cells_and_resin_stand_less_heat_than_insulation() -> None:
    limits = heat_limits()
    assert limits["casting resin"] < limits["PVC insulation"]
    assert limits["lithium-ion cells"] < limits["PVC insulation"]
