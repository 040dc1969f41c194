"""Sheets and resins: conservation, Beer and Lambert, and published transport solutions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import (
    LEAST_STRAIGHT,
    Sheet,
    fresnel_reflectance,
    sheet_from_shares,
    sheet_shares,
    straight_share_at,
)

indices = st.floats(1.0, 1.8)
asymmetries = st.floats(0.0, 0.99)
thicknesses = st.floats(1e-4, 0.05)
sheets = st.builds(Sheet, indices, st.floats(0.0, 500.0), st.floats(0.0, 20_000.0), asymmetries)


@given(sheets, thicknesses)
def test_no_light_is_made_and_none_is_lost(sheet: Sheet, thickness: float) -> None:
    shares = sheet_shares(sheet, thickness)
    parts = (shares.straight, shares.scattered, shares.reflected, shares.absorbed)
    assert min(parts) >= 0.0
    assert sum(parts) == pytest.approx(1.0, abs=1e-12)


@given(indices, st.floats(0.0, 20_000.0), asymmetries, thicknesses)
def test_a_sheet_that_absorbs_nothing_gives_all_light_back(
    n: float, scattering: float, g: float, thickness: float
) -> None:
    shares = sheet_shares(Sheet(n, 0.0, scattering, g), thickness)
    assert shares.straight + shares.scattered + shares.reflected == pytest.approx(1.0, abs=1e-7)


@given(sheets, thicknesses, st.floats(1.05, 4.0))
def test_a_thicker_sheet_passes_less(sheet: Sheet, thickness: float, factor: float) -> None:
    thin, thick = (sheet_shares(sheet, t) for t in (thickness, thickness * factor))
    assert thick.straight <= thin.straight
    assert thick.straight + thick.scattered <= thin.straight + thin.scattered + 1e-9


@given(indices, st.floats(0.0, 100.0), st.floats(0.0, 100.0), thicknesses)
def test_the_straight_share_of_bare_material_multiplies(
    n: float, absorption: float, scattering: float, thickness: float
) -> None:
    # Beer-Lambert: without faces (n = 1), twice the thickness squares the share.
    bare = Sheet(1.0, absorption, scattering)
    one, two = (sheet_shares(bare, t * thickness).straight for t in (1, 2))
    assert two == pytest.approx(one**2, rel=1e-9)
    assert sheet_shares(Sheet(n, absorption, scattering), thickness).straight <= one + 1e-12


def test_clear_acrylic_passes_92_percent() -> None:
    # Both faces of n = 1.49 with all bounces: 2 n / (n^2 + 1) = 0.9254; acrylic's data sheets
    # commonly say 92 %.
    shares = sheet_shares(Sheet(1.49, 0.0, 0.0), 0.003)
    assert shares.straight == pytest.approx(2 * 1.49 / (1.49**2 + 1), rel=1e-12)
    assert shares.scattered == 0.0


def test_a_face_reflects_as_fresnel_says() -> None:
    # n = 1.5: ((1.5 - 1) / (1.5 + 1))^2.
    assert fresnel_reflectance(1.5) == pytest.approx(0.04)


def test_a_slab_is_near_the_published_transport_solution() -> None:
    # H. C. van de Hulst, Multiple Light Scattering, 1980, as quoted with L. Wang, S. Jacques,
    # L. Zheng, Comput. Meth. Prog. Biomed. 47 (1995) 131: 10 and 90 per cm, g = 0.75, 0.02 cm,
    # n = 1: reflected 0.09739, passed in all 0.66096 (from memory).
    shares = sheet_shares(Sheet(1.0, 1000.0, 9000.0, 0.75), 2e-4)
    assert shares.straight + shares.scattered == pytest.approx(0.66096, abs=2e-5)
    assert shares.straight == pytest.approx(math.exp(-2.0))
    assert shares.reflected == pytest.approx(0.09739, abs=2e-5)


def test_a_deep_slab_with_faces_is_near_the_published_reflectance() -> None:
    # R. G. Giovanelli, Optica Acta 2 (1955) 153: albedo 0.9, isotropic, n = 1.5, endless depth:
    # 0.2600, the first face's 4 % with it (from memory).
    shares = sheet_shares(Sheet(1.5, 1000.0, 9000.0, 0.0), 0.1)
    assert shares.reflected == pytest.approx(0.2600, abs=2e-4)


def _passed_by_random_walk(depth: float, albedo: float, photons: int = 30_000) -> float:
    """Total transmittance of a bare isotropic slab at normal incidence, photon by photon."""
    rng = np.random.default_rng(7)
    z, cosine, passed = np.zeros(photons), np.ones(photons), 0.0
    weight = 1.0
    while z.size and weight > 1e-4:
        z = z + cosine * rng.exponential(size=z.size)
        passed += weight * np.count_nonzero(z > depth)
        z = z[(z > 0.0) & (z < depth)]
        cosine = rng.uniform(-1.0, 1.0, z.size)
        weight *= albedo
    return passed / photons


@pytest.mark.parametrize(("depth", "albedo"), [(0.3, 1.0), (1.0, 1.0), (4.0, 1.0), (1.5, 0.9)])
def test_a_sheet_passes_what_a_random_walk_passes(depth: float, albedo: float) -> None:
    shares = sheet_shares(Sheet(1.0, depth * (1 - albedo), depth * albedo, 0.0), 1.0)
    # 30,000 photons: a standard error of at most 0.003.
    expected = _passed_by_random_walk(depth, albedo)
    assert shares.straight + shares.scattered == pytest.approx(expected, abs=0.009)


def test_a_thick_white_slab_passes_as_milnes_problem_says() -> None:
    # No faces, no absorption, even scattering, light at the normal: H(1) / sqrt(3) over
    # depth + 2 * 0.7104, with Chandrasekhar's H(1) = 2.9078 (S. Chandrasekhar, Radiative
    # Transfer, 1960; numbers from memory). Diffusion theory has (5/3) / (depth + 4/3).
    shares = sheet_shares(Sheet(1.0, 0.0, 40.0, 0.0), 1.0)
    assert shares.scattered == pytest.approx(2.9078 / math.sqrt(3) / (40 + 1.4209), rel=5e-4)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 0.9), st.floats(0.0, 1.0), st.floats(0.0005, 0.02), st.floats(1.3, 1.7))
def test_the_fitted_material_passes_what_was_measured(
    total: float, haze: float, thickness: float, n: float
) -> None:
    total = min(total, 0.99 * (1 - fresnel_reflectance(n)) / (1 + fresnel_reflectance(n)))
    straight, scattered = total * (1 - haze), total * haze
    shares = sheet_shares(sheet_from_shares(thickness, straight, scattered, n), thickness)
    assert shares.straight == pytest.approx(max(straight, LEAST_STRAIGHT), rel=1e-6, abs=1e-12)
    assert shares.scattered == pytest.approx(scattered, abs=1e-5)


@pytest.mark.parametrize("shares", [(0.9, 0.1), (-0.1, 0.5), (0.2, -0.2), (0.0, 0.99)])
def test_impossible_shares_are_refused(shares: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="two faces leave at most"):
        sheet_from_shares(0.003, *shares, refractive_index=1.49)


def test_a_label_of_93_percent_is_taken_as_clear() -> None:
    sheet = sheet_from_shares(0.003, straight=0.93, scattered=0.0, refractive_index=1.49)
    assert sheet_shares(sheet, 0.003).straight == pytest.approx(0.9254, abs=1e-4)


@given(sheets, thicknesses, st.floats(0.01, 1.0), st.floats(0.0, 0.99))
def test_a_slanted_ray_passes_less(
    sheet: Sheet, thickness: float, cosine: float, share: float
) -> None:
    steep, flat = straight_share_at(sheet, thickness, [cosine, cosine * share])
    # Unpolarised light is at its best a little off the normal: by Brewster the one
    # polarisation gains what the other loses, to a part in a thousand.
    assert flat <= steep * 1.002
    assert straight_share_at(sheet, thickness, 0.0) == pytest.approx(0.0, abs=1e-9)


def test_at_brewsters_angle_one_polarisation_passes_whole() -> None:
    # tan B = n: no reflection along the plane; across it (1 - r) / (1 + r) through both faces
    # of clear stuff, r = ((n^2 - 1) / (n^2 + 1))^2 (M. Born, E. Wolf, Principles of Optics).
    n = 1.5
    r = ((n**2 - 1) / (n**2 + 1)) ** 2
    expected = (1 + (1 - r) / (1 + r)) / 2
    cosine = math.cos(math.atan(n))
    assert float(straight_share_at(Sheet(n, 0.0, 0.0), 0.003, cosine)) == pytest.approx(expected)


def test_a_slanted_ray_goes_the_longer_way_of_snells_law() -> None:
    # Without faces to speak of: ln share grows with 1 / cos(inside).
    dark, clear = Sheet(1.5, 700.0, 0.0), Sheet(1.5, 0.0, 0.0)
    inside = math.sqrt(1 - 0.75 / 1.5**2)
    ratio = straight_share_at(dark, 0.003, 0.5) / straight_share_at(clear, 0.003, 0.5)
    # The bounces that the dark sheet takes away are under 2 % of the light.
    assert float(ratio) == pytest.approx(math.exp(-2.1 / inside), rel=0.02)


@given(st.floats(0.0, 5.0), st.floats(0.951, 0.9999))
def test_scattering_too_sharp_to_resolve_changes_smoothly(depth: float, g: float) -> None:
    shares = [sheet_shares(Sheet(1.5, 1.0, depth * 100, x), 0.01) for x in (g, 0.95)]
    # The sharper one turns less light back, and what it turns it turns less.
    assert shares[0].reflected <= shares[1].reflected + 1e-6
    assert shares[0].straight == pytest.approx(shares[1].straight)
    assert shares[0].scattered >= shares[1].scattered - 1e-6


@pytest.mark.parametrize(
    "values", [(0.9, 0.0, 0.0), (1.5, -1.0, 0.0), (1.5, 0.0, -1.0), (1.5, 0.0, 0.0, 1.2)]
)
def test_a_material_that_cannot_exist_is_refused(values: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="must be"):
        Sheet(*values)


def test_a_sheet_without_thickness_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        sheet_shares(Sheet(1.5, 0.0, 0.0), 0.0)


def test_wandering_light_fades_as_diffusion_theory_says() -> None:
    # Deep inside a slab that absorbs little: sqrt(3 a (a + (1 - g) s)) per metre
    # (A. Ishimaru, Wave Propagation and Scattering in Random Media, 1978).
    a, s, g = 4.0, 4000.0, 0.5
    shallow, deep = (sheet_shares(Sheet(1.0, a, s, g), t).scattered for t in (0.03, 0.04))
    expected = math.sqrt(3 * a * (a + (1 - g) * s))
    assert math.log(shallow / deep) / 0.01 == pytest.approx(expected, rel=0.003)
