"""The eye's own veil: published formulas, and light that is kept."""

import numpy as np
import pytest

from lightcalc.physics.room.glare import glare_kernel, glare_per_sr, with_glare

FOCAL_PX = 686.0


def test_all_light_lands_somewhere() -> None:
    # CIE 135/1: the function integrates to 1 over the half-space, for eyes of 35 years.
    angle = np.concatenate([[0.0], np.geomspace(1e-5, 90.0, 20_000)])
    ring = glare_per_sr(angle, 35.0, 0.5) * 2.0 * np.pi * np.sin(np.radians(angle))
    assert np.trapezoid(ring, np.radians(angle)) == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize(("age", "pigment"), [(25.0, 0.5), (45.0, 0.5), (65.0, 1.0)])
def test_the_veil_is_that_of_the_disability_glare_equation(age: float, pigment: float) -> None:
    # CIE 146 (2002), general disability glare equation, from memory.
    angle = np.geomspace(1.5, 30.0, 30)
    equation = 10.0 / angle**3 + 2.5e-3 * pigment
    equation += (5.0 / angle**2 + 0.1 * pigment / angle) * (1.0 + (age / 62.5) ** 4)
    assert glare_per_sr(angle, age, pigment) == pytest.approx(equation, rel=0.25)


def test_older_eyes_see_more_veil() -> None:
    assert glare_per_sr(5.0, 70.0) > glare_per_sr(5.0, 40.0) > glare_per_sr(5.0, 20.0)


def test_the_veil_falls_with_the_angle() -> None:
    assert (np.diff(glare_per_sr(np.linspace(0.0, 60.0, 500))) < 0.0).all()


def test_the_kernel_keeps_all_light_and_is_even() -> None:
    kernel = glare_kernel(FOCAL_PX, 60)
    assert kernel.sum() == pytest.approx(1.0)
    assert (kernel >= 0.0).all()
    assert kernel == pytest.approx(kernel[::-1, ::-1])
    assert kernel == pytest.approx(kernel.T)


def test_a_speck_in_the_middle_loses_no_light() -> None:
    picture = np.zeros((480, 640, 3), dtype=np.float32)
    picture[240, 320] = (1e6, 5e5, 0.0)
    veiled = with_glare(picture, FOCAL_PX)
    assert veiled.sum(axis=(0, 1), dtype=np.float64) == pytest.approx([1e6, 5e5, 0.0], rel=1e-4)


def test_the_veil_of_a_speck_is_its_light_on_the_eye_times_the_function() -> None:
    picture = np.zeros((480, 640, 3), dtype=np.float32)
    picture[240, 320] = 1e6
    lux = 1e6 / FOCAL_PX**2
    for pixels in (20, 60, 100):
        off = pixels / FOCAL_PX
        expected = lux * glare_per_sr(np.degrees(np.arctan(off))) * (1.0 + off**2) ** -1.5
        got = with_glare(picture, FOCAL_PX)[240, 320 + pixels]
        assert got == pytest.approx(np.full(3, expected), rel=2e-3)


def test_an_even_field_stays_even_to_its_rim() -> None:
    field = np.full((120, 200, 3), 7.0, dtype=np.float32)
    assert with_glare(field, FOCAL_PX) == pytest.approx(field, rel=1e-4)


def test_more_light_never_darkens() -> None:
    rng = np.random.default_rng(3)
    picture = rng.random((60, 80, 3), dtype=np.float32)
    more = picture.copy()
    more[20:25, 30:70] += 50.0
    assert (with_glare(more, FOCAL_PX) >= with_glare(picture, FOCAL_PX) - 1e-4).all()
