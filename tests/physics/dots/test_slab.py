"""Light through a scattering slab: conservation, symmetry, limits, published solutions."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.slab import SHARPEST_ASYMMETRY, slab_passage, split_forward

indices = st.floats(1.0, 1.8)
depths = st.floats(0.0, 30.0)
asymmetries = st.floats(-0.3, SHARPEST_ASYMMETRY)
quick = settings(max_examples=40, deadline=None)


def _passed(n: float, absorbed: float, scattered: float, g: float) -> float:
    return float(slab_passage(n, absorbed, scattered, g).leaving.sum())


def _straight(n: float, depth: float) -> float:
    face, kept = ((n - 1) / (n + 1)) ** 2, math.exp(-depth)
    return (1 - face) ** 2 * kept / (1 - (face * kept) ** 2)


@quick
@given(indices, depths, asymmetries)
def test_without_absorption_all_light_comes_out(n: float, scattered: float, g: float) -> None:
    passage = slab_passage(n, 0.0, scattered, g)
    total = float(passage.leaving.sum()) + passage.reflected + _straight(n, scattered)
    assert total == pytest.approx(1.0, abs=2e-5)


@quick
@given(indices, st.floats(0.0, 3.0), st.floats(0.01, 10.0), asymmetries, st.floats(0.1, 2.0))
def test_absorption_takes_light(
    n: float, absorbed: float, scattered: float, g: float, more: float
) -> None:
    assert _passed(n, absorbed + more, scattered, g) < _passed(n, absorbed, scattered, g)


@quick
@given(indices, depths, st.floats(0.001, 10.0), asymmetries, st.floats(0.1, 6.0))
def test_a_wave_never_passes_better_than_even_light(
    n: float, absorbed: float, scattered: float, g: float, wave: float
) -> None:
    light = slab_passage(n, absorbed, scattered, g, waves=(0.0, wave), turns=3).leaving[:, 0]
    assert abs(light[1].sum()) <= light[0].sum() * (1 + 1e-6)


def test_the_published_slab_is_met_to_five_digits() -> None:
    # H. C. van de Hulst, Multiple Light Scattering, 1980, as quoted with L. Wang, S. Jacques,
    # L. Zheng, Comput. Meth. Prog. Biomed. 47 (1995) 131: albedo 0.9, g = 0.75, depth 2,
    # n = 1: reflected 0.09739, passed in all 0.66096 (from memory).
    passage = slab_passage(1.0, 0.2, 1.8, 0.75)
    assert passage.reflected == pytest.approx(0.09739, abs=1e-5)
    assert float(passage.leaving.sum()) + math.exp(-2) == pytest.approx(0.66096, abs=1e-5)


def test_light_scattered_once_goes_where_henyey_and_greenstein_say() -> None:
    # A thin slab without faces: depth * p(angle) * dOmega leaves in each bin of directions.
    thin, g = 1e-4, 0.85
    passage = slab_passage(1.0, 0.0, thin, g)
    cosine = passage.cosines
    density = (1 - g * g) / 2 * (1 + g * g - 2 * g * cosine) ** -1.5
    steep = cosine > 0.05
    leaving = passage.leaving[0, 0]
    assert leaving[steep] == pytest.approx((thin * density * passage.cosine_steps)[steep], rel=0.01)


def test_a_wave_of_light_scattered_once_is_that_of_its_slanted_ways() -> None:
    # Thin, no faces: light turned by an angle at depth z leaves (1 - z) tan(angle) aside, all
    # round: the mean of J0(k (1 - z) tan) over z, which is the mean of sin(x) / x over rounds.
    thin, g, wave = 1e-4, 0.9, 1.5
    passage = slab_passage(1.0, 0.0, thin, g, waves=(0.0, wave), turns=6)
    steep = passage.cosines > 0.6
    reach = wave * np.sqrt(1 - passage.cosines**2) / passage.cosines
    rounds = np.cos((np.arange(64) + 0.5) * math.pi / 64)
    expected = np.sinc(np.multiply.outer(reach, rounds) / math.pi).mean(axis=-1)
    kept = passage.leaving[1, 0] / passage.leaving[0, 0]
    assert kept[steep] == pytest.approx(expected[steep], abs=0.002)


def test_waves_in_a_deep_milk_fade_as_diffusion_theory_says() -> None:
    # Deep inside: exp(-q z) with q^2 = k^2 + 3 a (a + s'), so that a wave loses
    # exp(-(q - q0) dz) against even light (A. Ishimaru, 1978). Lengths: the slab's depth.
    scattered, absorbed, wave = 60.0, 0.05, 2.0
    kept = []
    for part in (1.0, 1.5):
        light = slab_passage(
            1.0, absorbed * part, scattered * part, 0.0, waves=(0.0, wave * part), turns=3
        ).leaving[:, 0]
        kept.append(light[1].sum() / light[0].sum())
    loss = math.sqrt(3 * absorbed * (absorbed + scattered))

    # sinh rather than exp for what fades little across the slab.
    def fade(q: float, z: float) -> float:
        return q / math.sinh(q * (z + 2 * 0.7104 / scattered))

    q = math.hypot(wave, loss)
    expected = (fade(q, 1.5) / fade(loss, 1.5)) / (fade(q, 1.0) / fade(loss, 1.0))
    assert kept[1] / kept[0] == pytest.approx(expected, rel=0.01)


@given(st.floats(0.0, 50.0), st.floats(-0.9, 1.0))
def test_splitting_keeps_how_much_light_is_turned(depth: float, g: float) -> None:
    kept, sharp = split_forward(depth, g)
    assert kept <= depth
    assert sharp <= SHARPEST_ASYMMETRY
    assert kept * (1 - sharp) == pytest.approx(depth * (1 - g), abs=1e-12)
