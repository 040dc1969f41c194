"""The eye's threshold against Barten's function as others have written it."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.dots.vision import (
    FINEST_CYCLES_PER_DEGREE,
    angle_deg,
    contrast_sensitivity,
    contrast_threshold,
    pattern_multiple,
    pupil_diameter_mm,
    retinal_illuminance_td,
)

FREQUENCIES = np.geomspace(0.02, 60.0, 30)[:, None, None]
LUMINANCES = np.geomspace(0.01, 10_000.0, 13)[None, :, None]
FIELDS = np.array([0.5, 2.0, 10.0, 40.0, 90.0])[None, None, :]


@pytest.fixture(scope="module")
def colour():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        # The package changes how numpy prints; put that back.
        with np.printoptions():
            import colour.contrast.barten1999 as module
    return module


@pytest.mark.parametrize("height", [None, 0.2, 5.0])
def test_sensitivity_agrees_with_colour_science(colour, height: float | None) -> None:
    # Reference: colour-science, contrast_sensitivity_function_Barten1999, same constants.
    y = FIELDS if height is None else height
    d = colour.pupil_diameter_Barten1999(LUMINANCES, FIELDS, y)
    expected = colour.contrast_sensitivity_function_Barten1999(
        u=FREQUENCIES,
        sigma=colour.sigma_Barten1999(0.5 / 60, 0.08 / 60, d),
        X_0=FIELDS,
        Y_0=y,
        E=colour.retinal_illuminance_Barten1999(LUMINANCES, d),
    )
    ours = contrast_sensitivity(FREQUENCIES, LUMINANCES, FIELDS, height)
    np.testing.assert_allclose(ours, expected, rtol=1e-9)


def test_the_pupil_agrees_with_colour_science(colour) -> None:
    expected = colour.pupil_diameter_Barten1999(LUMINANCES, FIELDS, FIELDS)
    np.testing.assert_allclose(pupil_diameter_mm(LUMINANCES, FIELDS, FIELDS), expected, rtol=1e-12)
    assert expected.min() >= 2.0
    assert expected.max() <= 8.0


def test_retinal_illuminance_agrees_with_colour_science(colour) -> None:
    pupils = np.linspace(2.0, 8.0, 13)
    np.testing.assert_allclose(
        retinal_illuminance_td(50.0, pupils),
        colour.retinal_illuminance_Barten1999(50.0, pupils),
        rtol=1e-12,
    )


@pytest.mark.parametrize("luminance", [1.0, 10.0, 100.0, 1000.0])
def test_sensitivity_is_near_bartens_shortened_formula(luminance: float) -> None:
    # Barten, Proc. SPIE 5294 (2003) 231: an approximation with the pupil worked in, written
    # for typical fields; cited from memory. He fits it to the full formula.
    u, field = np.geomspace(0.5, 30.0, 12), 10.0
    shortened = (
        5200.0
        * np.exp(-0.0016 * u**2 * (1 + 100.0 / luminance) ** 0.08)
        / np.sqrt(
            (1 + 144.0 / field**2 + 0.64 * u**2)
            * (63.0 / luminance**0.83 + 1.0 / (1 - np.exp(-0.02 * u**2)))
        )
    )
    ratio = contrast_sensitivity(u, luminance, field) / shortened
    assert np.all(np.abs(np.log(ratio)) < np.log(1.35))


def test_the_eye_is_keenest_at_a_few_cycles_per_degree_in_daylight() -> None:
    # Textbook shape of the function: peak between 1 and 10 cycles per degree, some hundreds.
    u = np.geomspace(0.05, 50.0, 400)
    s = contrast_sensitivity(u, 100.0, 10.0)
    assert 1.0 < u[s.argmax()] < 10.0
    assert 200.0 < s.max() < 1000.0


@given(st.floats(0.05, 45.0), st.floats(0.01, 5000.0), st.floats(1.01, 50.0), st.floats(1.0, 90.0))
def test_more_light_never_blinds_and_never_outruns_webers_law(
    u: float, luminance: float, factor: float, field: float
) -> None:
    # Threshold contrast falls with light, the threshold step of luminance rises with it.
    before = contrast_threshold(u, luminance, field)
    after = contrast_threshold(u, luminance * factor, field)
    assert after <= before * (1 + 1e-9)
    assert after * luminance * factor >= before * luminance * (1 - 1e-9)


@given(st.floats(0.05, 45.0), st.floats(0.1, 5000.0))
def test_a_narrow_field_hides_what_a_wide_one_shows(u: float, luminance: float) -> None:
    # Spatial integration (Barten 1999, chapter 3): fewer cycles, less sensitivity.
    narrow, wider = (float(contrast_sensitivity(u, luminance, x)) for x in (0.1, 1.0))
    assert narrow < wider


def test_nothing_finer_than_the_eye_resolves_is_seen() -> None:
    waves = np.array([1.0])
    assert pattern_multiple(waves, FINEST_CYCLES_PER_DEGREE * 1.01, 1000.0, 20.0) == 0.0
    assert contrast_threshold(FINEST_CYCLES_PER_DEGREE, 100.0, 20.0) > 1.0


def test_a_wave_wider_than_the_field_is_judged_as_half_a_cycle() -> None:
    waves = np.array([0.3])
    slow, slower = (float(pattern_multiple(waves, u, 50.0, 2.0)) for u in (0.2, 0.001))
    half_cycle = 0.3 * float(contrast_sensitivity(0.25, 50.0, 2.0))
    assert slow == pytest.approx(half_cycle)
    assert slower == pytest.approx(half_cycle)


def test_a_row_of_fine_points_shows_by_its_finer_waves() -> None:
    # Campbell and Robson 1968: each wave is seen on its own. Points have waves of equal share.
    points = np.full(48, 2.0)
    first_only = np.where(np.arange(48) == 0, 2.0, 0.0)
    shown = [float(pattern_multiple(w, 0.05, 50.0, 20.0)) for w in (points, first_only)]
    assert shown[0] > 5.0 * shown[1]


def test_a_single_wave_stands_at_its_contrast_over_the_threshold() -> None:
    multiple = float(pattern_multiple(np.array([0.02]), 3.0, 80.0, 12.0))
    assert multiple == pytest.approx(0.02 / float(contrast_threshold(3.0, 80.0, 12.0)))


def test_angles_are_those_of_the_triangle() -> None:
    # A length of twice the distance, seen centred, spans 2 atan(1) = 90 degrees.
    assert angle_deg(2.0, 1.0) == pytest.approx(90.0)
    assert angle_deg(0.01, 1.0) == pytest.approx(0.573, abs=1e-3)


@pytest.mark.parametrize("bad", [(0.0, 1.0, 1.0), (1.0, 0.0, 1.0), (1.0, 1.0, -1.0)])
def test_values_that_are_not_above_zero_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="must be above zero"):
        contrast_sensitivity(*bad)
