"""Dots of many rows at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lightcalc.physics.dots.dots import DotScene, reflecting_surface, see_dots, sheet_surface
from lightcalc.physics.dots.dots_batch import dot_multiples
from lightcalc.physics.dots.sheet import Sheet, sheet_from_shares

SURFACES = {
    "floor": reflecting_surface(0.3),
    "opal": sheet_surface(sheet_from_shares(0.003, 0.0, 0.55, 1.49), 0.003),
    "haze": sheet_surface(sheet_from_shares(0.003, 0.2, 0.5, 1.49), 0.003),
    "clear": sheet_surface(Sheet(1.5, 0.0, 0.0), 0.003),
}


@pytest.mark.parametrize("surface", SURFACES)
@pytest.mark.parametrize("distance_m", [0.004, 0.02, 0.3])
@pytest.mark.parametrize("beam", [1.0, 0.6])
def test_each_row_of_a_batch_is_seen_as_it_is_alone(
    surface: str, distance_m: float, beam: float
) -> None:
    rng = np.random.default_rng(5)
    scene = DotScene(0.0167, 8.0, beam, distance_m, SURFACES[surface], 1.5, 1.4, 40.0)
    distances = distance_m * np.exp(0.05 * rng.standard_normal(40))
    pitches = 0.0167 * np.exp(0.01 * rng.standard_normal(40))
    lumens = 8.0 * np.exp(0.1 * rng.standard_normal(40))
    glow, images = dot_multiples(scene, distances, pitches, lumens)
    for row in range(40):
        alone = see_dots(
            replace(
                scene,
                distance_m=float(distances[row]),
                pitch_m=float(pitches[row]),
                lumens_per_emitter=float(lumens[row]),
            )
        )
        assert glow[row] == pytest.approx(alone.multiple, rel=1e-3)
        assert images[row] == pytest.approx(alone.straight_multiple, rel=1e-3)


def test_a_strip_finer_than_the_eye_resolves_stops_being_seen_at_once() -> None:
    scene = DotScene(0.002, 1.0, 1.0, 0.001, SURFACES["floor"], 6.9, 1.4, 40.0)
    pitches = np.linspace(0.0018, 0.0022, 41)
    glow, _ = dot_multiples(scene, np.full(41, 0.001), pitches, np.full(41, 1.0))
    alone = [see_dots(replace(scene, pitch_m=float(pitch))).multiple for pitch in pitches]
    assert min(alone) == 0.0 < max(alone)
    np.testing.assert_array_equal(glow > 0.0, np.array(alone) > 0.0)
