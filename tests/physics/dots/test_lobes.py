"""Lobes of a sheet's glow: what they must add up to, and limits that are known."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.diffusion import row_illuminance_lux
from lightcalc.physics.dots.lobes import (
    Lobe,
    even_lobe,
    lobe_row,
    row_glow_cd_m2,
    sheet_lobes,
    sideways_share,
)
from lightcalc.physics.dots.sheet import Sheet, sheet_from_shares, sheet_shares

materials = st.builds(
    Sheet, st.floats(1.0, 1.7), st.floats(0.0, 300.0), st.floats(0.5, 4000.0), st.floats(0.0, 0.99)
)
quick = settings(max_examples=25, deadline=None)


def _modulation(lobes: tuple[Lobe, ...], distance: float, pitch: float, m: float = 1.0) -> float:
    bright, dim = row_glow_cd_m2(
        lobes,
        [0.0, pitch / 2],
        distance_m=distance,
        pitch_m=pitch,
        lumens_per_emitter=1.0,
        beam_exponent=m,
    )
    return float((bright - dim) / (bright + dim))


@quick
@given(materials, st.floats(0.001, 0.01))
def test_the_lobes_share_out_the_scattered_light(sheet: Sheet, thickness: float) -> None:
    lobes = sheet_lobes(sheet, thickness)
    scattered = sheet_shares(sheet, thickness).scattered
    assert sum(lobe.share for lobe in lobes) == pytest.approx(scattered, rel=1e-6)
    assert min(lobe.share for lobe in lobes) > 0.0


@quick
@given(st.floats(0.1, 0.5), st.sampled_from([0.0, 1.0, 24.0, 640.0]))
def test_what_a_lobe_gives_off_adds_up_to_its_share(share: float, exponent: float) -> None:
    # Light through a surface: the integral of f cos over the half-space.
    cosines = (np.arange(20_000) + 0.5) / 20_000
    given_off = sideways_share((Lobe(share, exponent),), cosines) * cosines * 2 * math.pi
    assert float(given_off.mean()) == pytest.approx(share, rel=1e-4)


def test_a_matt_lobe_glows_by_lambert() -> None:
    row = {"distance_m": 0.02, "pitch_m": 0.01, "lumens_per_emitter": 3.0}
    lux = row_illuminance_lux([0.0, 0.003], 0.02, 0.01, 3.0, 2.0)
    glow = row_glow_cd_m2((even_lobe(0.4),), [0.0, 0.003], beam_exponent=2.0, **row)
    assert glow == pytest.approx(0.4 * lux / math.pi)


def test_far_off_a_lobe_shows_one_led_by_its_own_angle() -> None:
    # One LED far away against the sheet's thickness: L = f(angle) I0 cos^m cos^3 / d^2.
    lobes = sheet_lobes(Sheet(1.5, 10.0, 100.0, 0.85), 0.002)
    d, x, m = 2.0, 0.8, 1.0
    glow = row_glow_cd_m2(
        lobes,
        x,
        distance_m=d,
        pitch_m=1.0,
        lumens_per_emitter=math.pi,
        beam_exponent=m,
        count=1,
    )
    cosine = d / math.hypot(d, x)
    expected = float(sideways_share(lobes, cosine)) * cosine ** (m + 3) / d**2
    assert float(glow) == pytest.approx(expected, rel=0.02)


def test_light_scattered_once_keeps_to_henyey_and_greensteins_directions() -> None:
    # Thin, no faces: f cos = depth p(angle), p of g = 0.85, within the steps of the lobes.
    g, depth = 0.85, 0.01
    lobes = sheet_lobes(Sheet(1.0, 0.0, depth / 0.003, g), 0.003)
    cosines = np.cos(np.radians([5.0, 10.0, 20.0, 30.0, 45.0, 60.0]))
    single = depth * (1 - g * g) / (4 * math.pi) * (1 + g * g - 2 * g * cosines) ** -1.5
    assert sideways_share(lobes, cosines) * cosines == pytest.approx(single, rel=0.15)


def test_a_light_haze_shows_leds_that_a_milk_of_the_same_share_hides() -> None:
    # As much scattered light; one keeps to its way, the other wanders.
    haze = sheet_lobes(sheet_from_shares(0.003, straight=0.5, scattered=0.3), 0.003)
    milk = sheet_lobes(sheet_from_shares(0.003, straight=0.0, scattered=0.3), 0.003)
    even = _modulation((even_lobe(0.3),), 0.017, 0.017)
    assert _modulation(haze, 0.017, 0.017) > 5 * even
    assert _modulation(milk, 0.017, 0.017) < even


@quick
@given(materials, st.floats(0.004, 0.04), st.sampled_from([0.008, 0.017]), st.floats(1.1, 2.0))
def test_more_distance_evens_the_glow(
    sheet: Sheet, distance: float, pitch: float, factor: float
) -> None:
    lobes = sheet_lobes(sheet, 0.003)
    near, far = (_modulation(lobes, d, pitch) for d in (distance, distance * factor))
    assert far <= near + 1e-6


@given(st.floats(0.001, 0.1), st.floats(0.0, 0.05), st.floats(0.0, 700.0))
def test_a_blur_lies_between_adding_straight_and_by_squares(
    distance: float, blur: float, exponent: float
) -> None:
    row = lobe_row(Lobe(0.5, exponent, blur_m=blur), distance, 1.0)
    spread = math.sqrt(exponent + 4.0) * blur
    assert math.hypot(distance, spread) * (1 - 1e-9) <= row.distance_m
    assert row.distance_m <= (distance + spread) * (1 + 1e-9)


def test_a_sheet_that_does_not_scatter_has_no_glow() -> None:
    assert sheet_lobes(Sheet(1.5, 100.0, 0.0), 0.003) == ()
    with pytest.raises(ValueError, match="above zero"):
        lobe_row(even_lobe(0.5), 0.0, 1.0)
