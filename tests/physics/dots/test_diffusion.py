"""Light of a row on a surface: closed form against sums, integrals and published rules."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special

from lightcalc.physics.dots.diffusion import (
    axial_intensity_cd,
    beam_exponent,
    even_spacing_row_m,
    even_spacing_two_m,
    mean_illuminance_lux,
    row_contrast,
    row_harmonics,
    row_illuminance_lux,
    scaled_bessel_k,
)

exponents = st.floats(0.5, 60.0)
ratios = st.floats(0.05, 3.0)


def test_a_120_degree_beam_is_lambertian() -> None:
    # cos(60 degrees) = 1/2.
    assert beam_exponent(120.0) == pytest.approx(1.0, abs=1e-12)


@given(st.floats(2.0, 178.0))
def test_intensity_halves_at_half_the_beam_angle(angle: float) -> None:
    half = math.cos(math.radians(angle / 2.0)) ** beam_exponent(angle)
    assert half == pytest.approx(0.5, rel=1e-9)


@pytest.mark.parametrize("angle", [0.0, 180.0, -5.0, math.nan])
def test_a_beam_angle_outside_the_half_space_is_refused(angle: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 180"):
        beam_exponent(angle)


@pytest.mark.parametrize("m", [0.0, 0.7, 1.0, 8.0])
def test_intensity_over_the_half_space_gives_back_the_lumens(m: float) -> None:
    # Definition of luminous flux: the integral of intensity over solid angle.
    flux, _ = integrate.quad(
        lambda a: 2 * math.pi * math.sin(a) * axial_intensity_cd(7.0, m) * math.cos(a) ** m,
        0.0,
        math.pi / 2,
    )
    assert flux == pytest.approx(7.0, rel=1e-8)


def test_one_emitter_lights_the_surface_below_by_the_inverse_square_law() -> None:
    # E = I / r^2 and, off the axis, times cos of the emitter and of the surface.
    lux = row_illuminance_lux([0.0, 0.03], 0.04, 1.0, math.pi, 1.0, count=1)
    assert lux[0] == pytest.approx(1.0 / 0.04**2)
    assert lux[1] == pytest.approx(0.8 * 0.8 / 0.05**2)


@pytest.mark.parametrize("nu", [1.0, 1.25, 1.5, 2.0, 3.7, 16.0, 120.0])
def test_bessel_function_agrees_with_scipy(nu: float) -> None:
    # Reference: scipy.special.kve.
    t = np.geomspace(1e-3, 200.0, 80)
    log_scale = (1 - nu) * math.log(2) - special.gammaln(nu) + nu * np.log(t) - t
    with np.errstate(over="ignore"):
        expected = np.exp(log_scale + np.log(special.kve(nu, t)))
    usable = np.isfinite(expected) & (expected > 1e-280)
    assert usable.sum() > 40
    np.testing.assert_allclose(scaled_bessel_k(nu, t)[usable], expected[usable], rtol=1e-11)


def test_the_lambertian_harmonics_have_their_elementary_form() -> None:
    t = 2 * math.pi * np.arange(1, 9) * 0.3
    np.testing.assert_allclose(row_harmonics(0.3, 1.0, 1.0, 8), 2 * (1 + t) * np.exp(-t))
    np.testing.assert_allclose(2 * scaled_bessel_k(1.5, t), 2 * (1 + t) * np.exp(-t), rtol=1e-12)


@settings(max_examples=60, deadline=None)
@given(ratios, st.floats(1.0, 60.0), st.floats(0.0, 1.5), st.floats(-2.0, 2.0))
def test_the_closed_form_of_an_endless_row_is_the_sum_of_a_very_long_one(
    ratio: float, m: float, y: float, x: float
) -> None:
    pitch, count = 0.02, 6001
    middle = (count // 2 + x) * pitch
    summed = row_illuminance_lux(
        middle, ratio * pitch, pitch, 5.0, m, count=count, y_m=y * ratio * pitch
    )
    closed = row_illuminance_lux(x * pitch, ratio * pitch, pitch, 5.0, m, y_m=y * ratio * pitch)
    assert closed == pytest.approx(summed, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(ratios, st.floats(0.3, 60.0))
def test_contrast_agrees_between_closed_form_and_direct_sum(ratio: float, m: float) -> None:
    count = 4001
    places = (count // 2) + np.linspace(0.0, 1.0, 41)
    lux = row_illuminance_lux(places, ratio, 1.0, 1.0, m, count=count)
    direct = (lux.max() - lux.min()) / (lux.max() + lux.min())
    assert row_contrast(ratio, 1.0, m) == pytest.approx(direct, abs=1e-6)


@pytest.mark.parametrize("m", [0.0, 1.0, 2.5, 20.0])
def test_both_ways_of_summing_meet_without_a_step(m: float) -> None:
    below, above = (row_contrast(r, 1.0, m) for r in (0.4 - 1e-12, 0.4))
    assert below == pytest.approx(above, rel=1e-7)


def test_spacing_at_least_the_pitch_leaves_about_2_7_percent_for_a_lambertian_row() -> None:
    # Poisson's leading wave for m = 1 at z = p: 2 (1 + 2 pi) exp(-2 pi) = 0.0272.
    assert row_contrast(0.01, 0.01, 1.0) == pytest.approx(0.027, abs=0.0005)


@given(st.floats(0.0, 80.0))
def test_two_emitters_at_morenos_spacing_are_flat_midway(m: float) -> None:
    # Moreno, Avendano-Alejo, Tzonchev, Applied Optics 45 (2006) 2265: d = z sqrt(4/(M+3)),
    # with M = m + 1 because the surface here has its cosine.
    z = 1.0
    d = even_spacing_two_m(z, m)

    def curvature(pitch: float) -> float:
        places = pitch / 2 + np.array([-1e-3, 0.0, 1e-3])
        left, middle, right = row_illuminance_lux(places, z, pitch, 1.0, m, count=2)
        return (left - 2 * middle + right) / middle / 1e-6

    assert abs(curvature(d)) < 1e-3 * (m + 3.0)
    assert curvature(0.97 * d) < 0.0 < curvature(1.03 * d)


def test_a_long_row_at_morenos_spacing_leaves_a_third_of_a_percent() -> None:
    # Same paper: d = z sqrt(3.2773/(M+4.2539)), M = 2 for a Lambertian emitter over a surface;
    # leading wave by hand: t = 2 pi / 0.7239 = 8.680, 2 (1 + t) exp(-t) = 0.00329.
    assert row_contrast(1.0, even_spacing_row_m(1.0, 1.0), 1.0) == pytest.approx(0.0033, abs=5e-5)


@pytest.mark.parametrize(("m", "ratio"), [(1.0, 0.2), (1.0, 1.0), (3.3, 0.6)])
def test_light_on_the_plane_for_each_pitch_is_what_one_emitter_gives(
    m: float, ratio: float
) -> None:
    # Conservation of flux: everything from the half-space lands on an endless plane.
    pitch, z, lumens = 0.02, 0.02 * ratio, 6.0
    along = (np.arange(64) + 0.5) / 64 * pitch

    def strip(angle: float) -> float:
        y = z * math.tan(angle)
        mean = float(row_illuminance_lux(along, z, pitch, lumens, m, y_m=y).mean())
        return mean * z / math.cos(angle) ** 2

    total, _ = integrate.quad(strip, -math.pi / 2 + 1e-9, math.pi / 2 - 1e-9)
    assert total * pitch == pytest.approx(lumens, rel=1e-6)


@given(ratios, exponents, st.floats(0.0, 5.0))
def test_the_pattern_is_the_same_on_both_sides_of_an_led_and_repeats(
    ratio: float, m: float, x: float
) -> None:
    lux = row_illuminance_lux([x, -x, x + 1.0], ratio, 1.0, 1.0, m)
    assert lux[1] == pytest.approx(lux[0], rel=1e-8)
    assert lux[2] == pytest.approx(lux[0], rel=1e-8)


@given(ratios, exponents, st.floats(1.001, 3.0))
def test_contrast_falls_with_distance_and_rises_with_pitch(
    ratio: float, m: float, factor: float
) -> None:
    here = row_contrast(ratio, 1.0, m)
    assert row_contrast(ratio * factor, 1.0, m) <= here
    assert row_contrast(ratio, factor, m) >= here
    assert 0.0 <= here <= 1.0


@given(ratios, exponents, st.floats(0.001, 1000.0))
def test_contrast_depends_on_proportions_only(ratio: float, m: float, scale: float) -> None:
    assert row_contrast(ratio * scale, scale, m) == pytest.approx(row_contrast(ratio, 1.0, m))


@given(ratios, exponents)
def test_a_wider_beam_is_more_even(ratio: float, m: float) -> None:
    assert row_contrast(ratio, 1.0, m) <= row_contrast(ratio, 1.0, m * 1.1) + 1e-15


@settings(max_examples=40, deadline=None)
@given(st.floats(0.2, 5.0), exponents, st.floats(3.0, 200.0))
def test_the_mean_below_a_row_is_the_line_of_light_integral(
    z: float, m: float, length: float
) -> None:
    expected, _ = integrate.quad(
        lambda x: axial_intensity_cd(4.0, m) * z ** (m + 1) * (z * z + x * x) ** (-(m + 3) / 2),
        -length / 2,
        length / 2,
        limit=200,
        points=[0.0],
    )
    assert mean_illuminance_lux(z, 1.0, 4.0, m, length) == pytest.approx(expected, rel=1e-4)


@given(st.floats(0.2, 5.0), exponents)
def test_a_very_long_row_is_an_endless_one(z: float, m: float) -> None:
    assert mean_illuminance_lux(z, 1.0, 4.0, m, 1e5) == pytest.approx(
        mean_illuminance_lux(z, 1.0, 4.0, m), rel=1e-4
    )


@pytest.mark.parametrize("m", [1.0, 182.0, 900.0])
def test_tiny_lengths_and_narrow_beams_stay_in_range(m: float) -> None:
    lux = row_illuminance_lux([0.0, 0.005], 0.01, 0.01, 5.0, m)
    assert np.all(np.isfinite(lux))
    assert lux[0] > 0.0


@pytest.mark.parametrize(("distance", "pitch"), [(0.0, 1.0), (1.0, -1.0), (math.nan, 1.0)])
def test_lengths_that_are_not_above_zero_are_refused(distance: float, pitch: float) -> None:
    with pytest.raises(ValueError, match="finite number above zero"):
        row_contrast(distance, pitch, 1.0)


def test_an_empty_row_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1"):
        row_illuminance_lux(0.0, 1.0, 1.0, 1.0, 1.0, count=0)
