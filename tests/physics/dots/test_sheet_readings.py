"""Bench readings: what is read back, how the meter's errors show, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from lightcalc.physics.dots.lobes import even_lobe, sheet_lobes
from lightcalc.physics.dots.sheet import sheet_from_shares, sheet_shares
from lightcalc.physics.dots.sheet_readings import (
    Bench,
    Meter,
    caught_share,
    share_within,
    sheet_from_readings,
    sheet_from_target,
)

BENCH = Bench(
    lamp_to_sensor_m=1.0,
    sample_to_sensor_m=0.4,
    opening_diameter_m=0.03,
    sensor_diameter_m=0.02,
)
THICKNESS = 0.003
SAMPLES = [(0.86, 0.02), (0.28, 0.02), (0.3, 0.5), (0.02, 0.7), (0.1, 0.3), (0.0005, 0.55)]


def _readings(straight: float, scattered: float, bench: Bench = BENCH) -> tuple[float, float]:
    lobes = sheet_lobes(sheet_from_shares(THICKNESS, straight, scattered), THICKNESS)
    return straight + scattered, straight + scattered * caught_share(lobes, bench)


@pytest.mark.parametrize(("straight", "scattered"), SAMPLES)
def test_readings_give_back_the_sheet(straight: float, scattered: float) -> None:
    read = sheet_from_readings(*_readings(straight, scattered), BENCH, THICKNESS)
    assert read.straight == pytest.approx(straight, abs=2e-4)
    assert read.scattered == pytest.approx(scattered, abs=2e-4)
    shares = sheet_shares(read.sheet, THICKNESS)
    assert shares.straight == pytest.approx(read.straight, abs=1e-6)
    assert shares.scattered == pytest.approx(read.scattered, abs=1e-6)


@pytest.mark.parametrize(("straight", "scattered"), SAMPLES)
def test_a_target_gives_back_the_sheet(straight: float, scattered: float) -> None:
    lobes = sheet_lobes(sheet_from_shares(THICKNESS, straight, scattered), THICKNESS)
    contrast = straight / (straight + scattered * share_within(lobes, 40.0))
    read = sheet_from_target(straight + scattered, contrast, 40.0, THICKNESS)
    assert read.straight == pytest.approx(straight, abs=5e-4)
    assert read.scattered == pytest.approx(scattered, abs=5e-4)


@pytest.mark.parametrize(("straight", "scattered"), [(0.28, 0.02), (0.3, 0.5), (0.02, 0.7)])
def test_errors_are_those_of_many_readings(straight: float, scattered: float) -> None:
    # Meters drawn with the stated errors: the spread of what is read is the error told, and
    # the part of the error that stands for the lobes only makes it larger.
    rng = np.random.default_rng(3)
    meter = Meter(linearity_ratio=0.02, resolution_ratio=0.001)
    near, far = _readings(straight, scattered)
    told = sheet_from_readings(near, far, BENCH, THICKNESS, meter=meter)
    found = []
    for _ in range(25):
        noisy = [ratio * (1 + 0.02 * rng.normal()) + 0.001 * rng.normal() for ratio in (near, far)]
        noisy[1] = min(noisy)
        found.append(sheet_from_readings(*noisy, BENCH, THICKNESS, meter=meter).straight)
    # 25 draws give a standard deviation within a third or so.
    assert 0.6 * np.std(found) < told.straight_error < 2.0 * np.std(found)


def test_a_better_meter_tells_better() -> None:
    near, far = _readings(0.1, 0.3)
    plain, fine = (
        sheet_from_readings(near, far, BENCH, THICKNESS, meter=Meter(linearity, 1e-4))
        for linearity in (0.05, 0.005)
    )
    assert fine.straight_error < plain.straight_error
    assert fine.scattered_error < plain.scattered_error


def test_a_pocket_meter_cannot_tell_an_opals_straight_share_from_nil() -> None:
    # One part in two thousand, against a last digit of one in a thousand.
    read = sheet_from_readings(*_readings(0.0005, 0.55), BENCH, THICKNESS)
    assert read.straight_is_nil
    assert not sheet_from_readings(*_readings(0.02, 0.7), BENCH, THICKNESS).straight_is_nil


def test_a_matt_sheet_is_caught_by_the_openings_solid_angle() -> None:
    # Small opening: E at the sensor = L area / a^2, the sample (l / (l - a))^2 brighter lit.
    bench = Bench(2.0, 0.5, 0.01, 0.005)
    expected = (0.005 / 0.5) ** 2 * (2.0 / 1.5) ** 2
    assert caught_share((even_lobe(0.5),), bench) == pytest.approx(expected, rel=2e-3)
    # A wide opening close by, under a far lamp, catches as much as the disc fills: sin^2.
    wide = Bench(1000.0, 0.05, 0.1, 1e-4)
    assert caught_share((even_lobe(0.5),), wide) == pytest.approx(0.5, rel=1e-2)


def test_a_haze_that_keeps_to_the_beam_is_caught_more() -> None:
    haze, milk = (
        sheet_lobes(sheet_from_shares(THICKNESS, *pair), THICKNESS)
        for pair in [(0.5, 0.1), (0.0005, 0.55)]
    )
    assert caught_share(haze, BENCH) > 3 * caught_share(milk, BENCH)
    smaller = replace(BENCH, opening_diameter_m=0.02)
    assert caught_share(haze, smaller) < caught_share(haze, BENCH)


def test_a_cone_holds_the_light_within_it() -> None:
    assert share_within((even_lobe(0.4),), 90.0) == pytest.approx(1.0)
    assert share_within((even_lobe(0.4),), 45.0) == pytest.approx(0.5)


def test_readings_that_no_sheet_gives_are_refused() -> None:
    with pytest.raises(ValueError, match="near reading"):
        sheet_from_readings(1.2, 0.3, BENCH, THICKNESS)
    with pytest.raises(ValueError, match="far reading"):
        sheet_from_readings(0.5, 0.7, BENCH, THICKNESS)
    with pytest.raises(ValueError, match="contrast ratio"):
        sheet_from_target(0.5, 1.5, 40.0, THICKNESS)
    with pytest.raises(ValueError, match="half angle"):
        sheet_from_target(0.5, 0.5, 0.0, THICKNESS)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"sample_to_sensor_m": 1.0}, "between the lamp"),
        ({"opening_diameter_m": 0.01, "sensor_diameter_m": 0.03}, "wider opening"),
        ({"opening_diameter_m": 0.0}, "above zero"),
        ({"lamp_to_sensor_m": math.nan}, "above zero"),
    ],
)
def test_a_bench_that_cannot_read_is_refused(change: dict[str, float], match: str) -> None:
    with pytest.raises(ValueError, match=match):
        replace(BENCH, **change)


@pytest.mark.parametrize("contrast", [1.0, 0.999])
def test_bars_as_clear_as_without_the_sample_mean_that_nothing_is_scattered(contrast):
    """Limit of contrast = straight / (straight + seen * scattered)."""
    read = sheet_from_target(0.75, contrast, 45.0, 0.003)
    assert read.straight == pytest.approx(0.75, rel=0.01)
    assert read.scattered == pytest.approx(0.0, abs=0.01)
    assert 0.0 < read.straight_error < 0.1


def test_a_sheet_that_only_loses_light_at_its_faces_has_an_answer():
    """Nothing absorbed and nothing straight: what leaves is all of it scattered."""
    read = sheet_from_target(1.0, 0.0, 45.0, 0.003)
    assert read.straight == 0.0
    assert read.scattered == pytest.approx(12 / 13)  # 2n / (n^2 + 1) of two faces, n = 1.5
