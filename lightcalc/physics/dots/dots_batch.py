"""Whether an eye tells LEDs apart, for many rows at once that differ in small things.

The same as `dots.see_dots`, over arrays of distances, pitches and lumens. What depends on the
distance alone (the glow's brightness, the shares of its lobes) and on distance over pitch (the
waves of each lobe) is tabulated over the range asked for and read off between.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.dots.diffusion import mean_illuminance_lux, row_harmonics
from lightcalc.physics.dots.dots import MOST_WAVES, DotScene, image_multiple
from lightcalc.physics.dots.lobes import LobeRow, lobe_row
from lightcalc.physics.dots.vision import LEAST_LUMINANCE_CD_M2, angle_deg, pattern_multiple

Array = NDArray[np.float64]

_NODES = 65
# Waves are left out that are this much fainter than the first in every row: no eye is so much
# more sensitive to a finer wave.
_FAINTEST = 1e-7


def dot_multiples(
    scene: DotScene, distance_m: Array, pitch_m: Array, lumens: Array
) -> tuple[Array, Array]:
    """Return how many times above threshold the glow and the LEDs' images stand, each (n,).

    All but `distance_m`, `pitch_m` and `lumens` per emitter, each (n,), is taken from `scene`.
    Within 0.1 % of `see_dots`. ValueError for what is not above zero.

    >>> from lightcalc.physics.dots.dots import reflecting_surface, see_dots
    >>> scene = DotScene(0.0167, 8.0, 1.0, 0.0167, reflecting_surface(0.7), 1.0, 1.0)
    >>> one = np.ones(1)
    >>> glow, _ = dot_multiples(scene, 0.0167 * one, 0.0167 * one, 8.0 * one)
    >>> abs(float(glow[0]) / see_dots(scene).multiple - 1.0) < 1e-3
    True
    """
    for name, values in (("distance", distance_m), ("pitch", pitch_m), ("lumens", lumens)):
        if not (np.all(values > 0.0) and np.all(np.isfinite(values))):
            raise ValueError(f"A {name} is not above zero; give numbers above zero.")
    room = scene.surface.room_reflectance * scene.room_illuminance_lux / math.pi
    if not scene.surface.lobes:
        dark = np.full(distance_m.shape, max(room, LEAST_LUMINANCE_CD_M2))
        return np.zeros(distance_m.shape), _images(scene, distance_m, pitch_m, lumens, dark)
    glow = lumens / pitch_m * _glow_per_lumen_a_metre(scene, distance_m)
    seen = np.maximum(glow + room, LEAST_LUMINANCE_CD_M2)
    waves = _waves(scene, distance_m, pitch_m)
    viewer_m = scene.viewer_distance_m
    multiple = pattern_multiple(
        waves * (glow / seen)[:, None],
        1.0 / angle_deg(pitch_m, viewer_m),
        seen,
        np.full(seen.shape, angle_deg(scene.row_length_m, viewer_m)),
    )
    return multiple, _images(scene, distance_m, pitch_m, lumens, seen)


def _images(
    scene: DotScene, distance_m: Array, pitch_m: Array, lumens: Array, behind: Array
) -> Array:
    if scene.surface.straight == 0.0:
        return np.zeros(distance_m.shape)
    eye_m = scene.viewer_distance_m + distance_m
    return image_multiple(scene, pitch_m, lumens, eye_m, behind)


def _nodes(values: Array) -> Array:
    low, high = float(values.min()), float(values.max())
    return np.linspace(low, high, _NODES) if high > low else np.array([low])


def _rows(scene: DotScene, distance_m: float) -> list[LobeRow]:
    return [lobe_row(lobe, distance_m, scene.beam_exponent) for lobe in scene.surface.lobes]


def _glow_per_lumen_a_metre(scene: DotScene, distance_m: Array) -> Array:
    """Luminance below the middle of the row for each lumen a metre, (n,) [cd/m2]."""
    nodes = _nodes(distance_m)
    glow = [
        sum(
            row.cd_m2_per_lux
            * mean_illuminance_lux(row.distance_m, 1.0, 1.0, row.exponent, scene.row_length_m)
            for row in _rows(scene, place)
        )
        for place in nodes.tolist()
    ]
    return np.asarray(np.exp(np.interp(distance_m, nodes, np.log(np.maximum(glow, 1e-300)))))


def _waves(scene: DotScene, distance_m: Array, pitch_m: Array) -> Array:
    """Waves of the glow of an endless row, as shares of its mean, (n, waves)."""
    nodes = _nodes(distance_m)
    rows = [_rows(scene, place) for place in nodes.tolist()]
    means = np.array(
        [
            [r.cd_m2_per_lux * mean_illuminance_lux(r.distance_m, 1.0, 1.0, r.exponent) for r in at]
            for at in rows
        ]
    )
    weights = means / means.sum(axis=1, keepdims=True)
    total = np.zeros((len(distance_m), MOST_WAVES))
    for number, first in enumerate(rows[0]):
        lobe_m = np.interp(distance_m, nodes, [at[number].distance_m for at in rows])
        weight = np.interp(distance_m, nodes, weights[:, number])
        total += weight[:, None] * _row_waves(lobe_m / pitch_m, first.exponent)
    share = total.max(axis=0) / max(float(total[:, 0].max()), 1e-300)
    kept = max(int(np.count_nonzero(share > _FAINTEST)), 1)
    return total[:, :kept]


def _row_waves(pitches: Array, exponent: float) -> Array:
    """Waves of one row at a distance of so many pitches, (n, waves)."""
    nodes = _nodes(pitches)
    table = np.array([row_harmonics(place, 1.0, exponent, MOST_WAVES) for place in nodes.tolist()])
    logs = np.log(np.maximum(table, 1e-300))
    found = [np.interp(pitches, nodes, logs[:, wave]) for wave in range(MOST_WAVES)]
    return np.asarray(np.exp(np.stack(found, axis=-1)))
