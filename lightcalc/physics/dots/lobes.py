r"""The glow of a sheet lit from behind, as a few lobes: from where an eye square to it sees light.

::

     LED   o   o   o   o   row
             \  |  /        distance
        ______\_|_/______
        ______/_._\______   sheet: a lobe is blurred sideways by the way through it
                |
               eye           looks at the normal

A beam sent in at the eye's place and scattered spreads over the row just as the row's light
reaches the eye (reciprocity). A sum of lobes ``cos^q`` stands for its spread: q = 0 for an
even (matt) glow, some hundred for a haze that keeps to the beam's way. A lobe makes of an
LED ``cos^m`` at some distance the light of a ``cos^(m + q)`` LED, a little farther off for
the sheet's thickness, so everything that is known of rows holds for each lobe.

The lobes are fitted to the transport solution of ``slab``: to the directions in which light
leaves and to how much of waves along the sheet it keeps, at 0.3 to 2.5 thicknesses behind
the sheet, for LEDs of m = 1 and 3. Valid for an eye near the normal and LEDs that face the
sheet. Against photon-by-photon counts of eight materials, 2 to 10 mm thick, 5 to 35 mm from
rows of 8 and 17 mm pitch: the contrast of the glow holds within a factor of 1.5 where it is
above 0.02 (half of all cases within 2 %), the luminance within 20 %. Fainter contrasts, deep
milky slabs (more than five lengths 1 / ((1 - g) scattering)) and haze narrower than a mean
cosine of 0.95 may be off by more; in haze narrower than that the LEDs show anyway.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import (
    Array,
    require_positive,
    row_illuminance_lux,
    scaled_bessel_k,
)
from lightcalc.physics.dots.sheet import Sheet, sheet_shares
from lightcalc.physics.dots.slab import Passage, slab_passage, split_forward

_EXPONENTS = np.array([0.0, 1.0, 3.0, 8.0, 24.0, 72.0, 216.0, 640.0])
# The rest of the lengths count in thicknesses, waves in radians per thickness.
_BLURS = np.array([0.0, 0.2, 0.4, 0.7, 1.1, 1.8, 3.0, 5.0])
_WAVES = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.5, 6.5)
_TURNS = 3
_DISTANCES = (0.3, 1.0, 2.5)
_BEAMS = (1.0, 3.0)
# Finer waves than this, per distance, are gone by themselves.
_FINEST_AT_DISTANCE = 4.0
_INSIDE_DISTANCE = 0.6
_INSIDE_WEIGHT = 0.3
_FAINTEST = 0.02
_STEEPEST = 3.0
_LEAST_TURNED = 1e-12
_LARGEST_EXPONENT = 1000.0
_ROUND = np.cos((np.arange(32) + 0.5) * math.pi / 32.0)


@dataclass(frozen=True)
class Lobe:
    """A part of the glow that keeps to directions around the light's own as cos^exponent."""

    share: float
    """Of the light that falls on the sheet near the normal."""
    exponent: float
    ahead_m: float = 0.0
    """Added to the distance of the LEDs, for the slanted way through the sheet."""
    blur_m: float = 0.0
    """Width of the sideways wandering inside the sheet."""


def even_lobe(share: float) -> Lobe:
    """Lobe of a matt surface that gives off ``share`` evenly, where the light falls.

    >>> even_lobe(0.5).exponent
    0.0
    """
    return Lobe(share, 0.0)


@dataclass(frozen=True)
class LobeRow:
    """A row of LEDs as one lobe shows it: a row of other LEDs over a plain surface."""

    cd_m2_per_lux: float
    distance_m: float
    exponent: float


def lobe_row(lobe: Lobe, distance_m: float, beam_exponent: float) -> LobeRow:
    """Row that lights a plain surface as the lobe makes LEDs ``cos^m`` at the distance glow.

    The lumens per LED stay. A blur adds to the distance d as
    ``(d^p + (M + 3)^(p/2) blur^p)^(1/p)`` with ``p = 2 - 1.4 / (M + 1)``, at least 1, for
    ``M = m + q``: blurs of bell curves add by squares (M large), of Poisson's kernel
    straight (M = 0); 1.4 fits the waves of M = 1 to 3 in between.

    >>> row = lobe_row(Lobe(math.pi, 0.0, ahead_m=0.001), 0.01, 1.0)
    >>> round(row.cd_m2_per_lux, 9), round(row.distance_m, 9), row.exponent
    (1.0, 0.011, 1.0)
    """
    require_positive(distance_m=distance_m)
    exponent = min(beam_exponent + lobe.exponent, _LARGEST_EXPONENT)
    per_lux = lobe.share * (lobe.exponent + 2.0) / (2.0 * math.pi)
    # As many lumens in a narrower beam are more candela straight ahead; the LED's stay.
    per_lux *= (beam_exponent + 1.0) / (exponent + 1.0)
    distance = float(_blurred(distance_m + lobe.ahead_m, lobe.blur_m, exponent))
    return LobeRow(per_lux, distance, exponent)


def row_glow_cd_m2(
    lobes: tuple[Lobe, ...],
    x_m: npt.ArrayLike,
    *,
    distance_m: float,
    pitch_m: float,
    lumens_per_emitter: float,
    beam_exponent: float,
    count: int | None = None,
    y_m: float = 0.0,
) -> Array:
    """Luminance [cd/m2] of a sheet's glow at places along a row, seen square on, shape of x_m.

    The LEDs face the sheet at ``distance_m``; the places count from the first LED, or from any
    of an endless row when ``count`` is None, and lie ``y_m`` sideways of the row. Images of the
    LEDs are left out. Raises ValueError for lengths that are not above zero.

    >>> led = {"lumens_per_emitter": 5.0, "beam_exponent": 1.0}
    >>> glow = row_glow_cd_m2((even_lobe(0.5),), 0.0, distance_m=0.01, pitch_m=0.01, **led)
    >>> float(glow.round())
    4087.0
    """
    places = np.asarray(x_m, dtype=np.float64)
    total = np.zeros_like(places)
    for lobe in lobes:
        row = lobe_row(lobe, distance_m, beam_exponent)
        total += row.cd_m2_per_lux * row_illuminance_lux(
            places,
            row.distance_m,
            pitch_m,
            lumens_per_emitter,
            row.exponent,
            count=count,
            y_m=y_m,
        )
    return total


def sideways_share(lobes: tuple[Lobe, ...], cosine: npt.ArrayLike) -> Array:
    """Light given off per solid angle [1/sr] at an angle to the normal, of a beam at the normal.

    Times the cosine and summed over the half-space it gives the lobes' shares.

    >>> round(float(sideways_share((even_lobe(math.pi),), 0.3)), 12)
    1.0
    """
    cosines = np.asarray(cosine, dtype=np.float64)
    total = np.zeros_like(cosines)
    for lobe in lobes:
        total += lobe.share * (lobe.exponent + 2.0) / (2.0 * math.pi) * cosines**lobe.exponent
    return total


@lru_cache(maxsize=64)
def sheet_lobes(sheet: Sheet, thickness_m: float) -> tuple[Lobe, ...]:
    """Lobes of the glow of a sheet of that thickness [m]; their shares sum to the scattered share.

    Takes some 0.1 s, once for each sheet and thickness. Raises ValueError for a thickness that
    is not above zero.

    >>> sheet_lobes(Sheet(1.5, 1.0, 0.0), 0.003)
    ()
    """
    scattered = sheet_shares(sheet, thickness_m).scattered
    if scattered <= 0.0:
        return ()
    depth, asymmetry = split_forward(sheet.scattering_per_m * thickness_m, sheet.asymmetry)
    index = sheet.refractive_index
    absorbed = sheet.absorption_per_m * thickness_m
    passage = slab_passage(index, absorbed, depth, asymmetry, waves=_WAVES, turns=_TURNS)
    # Half-way through on average, and flatter inside than outside.
    ahead = 0.5 / index
    turned = float(passage.leaving[0, 0].sum())
    straight_on = Lobe(max(scattered - turned, 0.0), float(_EXPONENTS[-1]), ahead * thickness_m)
    # All but forward: as good as nothing is turned aside that a fit could be made to.
    if turned < _LEAST_TURNED:
        return (straight_on,)
    rows, wanted = _everything_wanted(passage, ahead)
    found = _nonnegative_fit(rows, wanted).reshape(_EXPONENTS.size, _BLURS.size)
    found *= min(turned, scattered) / found.sum()
    lobes = [
        Lobe(float(found[i, j]), float(exponent), ahead * thickness_m, float(blur) * thickness_m)
        for i, exponent in enumerate(_EXPONENTS)
        for j, blur in enumerate(_BLURS)
        if found[i, j] > 0.0
    ]
    if scattered > turned:
        lobes.append(straight_on)
    return tuple(lobes)


def _blurred(distance: npt.ArrayLike, blur: npt.ArrayLike, exponent: float) -> Array:
    """Distance that blurs as much as a distance and a blur inside the sheet, in any one unit."""
    power = max(1.0, 2.0 - 1.4 / (exponent + 1.0))
    spread = math.sqrt(exponent + 3.0) * np.asarray(blur)
    return np.asarray((np.asarray(distance) ** power + spread**power) ** (1.0 / power))


def _everything_wanted(passage: Passage, ahead: float) -> tuple[Array, Array]:
    """Equations for the shares of all lobes: rows, one column a lobe, and what they should give."""
    leaving = np.maximum(passage.leaving[0, 0], 1e-15)
    steps, cosines = passage.cosine_steps, passage.cosines
    shapes = (_EXPONENTS + 2.0) * cosines[:, None] ** (_EXPONENTS + 1.0) * steps[:, None]
    weight = 1.0 / np.sqrt(leaving * leaving.sum())
    angles = np.repeat(shapes * weight[:, None], _BLURS.size, axis=1)
    parts = [(angles, leaving * weight), _wanted_inside(passage, shapes, weight, ahead)]
    parts += [_wanted_at(passage, ahead, d, beam) for d in _DISTANCES for beam in _BEAMS]
    return np.vstack([rows for rows, _ in parts]), np.concatenate([right for _, right in parts])


def _wanted_inside(
    passage: Passage, shapes: Array, weight: Array, ahead: float
) -> tuple[Array, Array]:
    """How much of each wave each direction keeps at the sheet itself."""
    waves = np.asarray(_WAVES)
    tangents = np.sqrt(1.0 - passage.cosines**2) / passage.cosines
    slanted = _bessel_j(0, np.multiply.outer(waves * ahead, np.minimum(tangents, _STEEPEST)))
    kept = np.stack([_kept(exponent + 1.0, _INSIDE_DISTANCE) for exponent in _EXPONENTS])
    # From (exponent, blur, wave) to one row for each wave and direction.
    rows = np.einsum("qhw,wj,jq->wjqh", kept, slanted, shapes)
    light = passage.leaving[:, 0]
    share = np.maximum(light.sum(axis=1) / light[0].sum(), 0.0)
    weights = _INSIDE_WEIGHT * weight / (share + _FAINTEST)[:, None]
    rows = (rows * weights[..., None, None]).reshape(weights.size, -1)
    return rows, (light * weights).ravel()


def _kept(exponent: float, distance: float) -> Array:
    """Share of waves that each blur keeps on top of a distance, shape (blurs, waves)."""
    reach = np.asarray(_WAVES) * _blurred(distance, _BLURS, exponent)[:, None]
    half = (exponent + 1.0) / 2.0
    return scaled_bessel_k(half, reach) / scaled_bessel_k(half, np.asarray(_WAVES) * distance)


def _wanted_at(passage: Passage, ahead: float, distance: float, beam: float) -> tuple[Array, Array]:
    """Waves of the light of an LED ``cos^beam`` at that distance behind the sheet."""
    waves = np.asarray(_WAVES)
    cosines = passage.cosines
    slants = np.multiply.outer(waves * distance, np.sqrt(1.0 - cosines**2) / cosines)
    light = sum(
        (-1.0) ** turn * passage.leaving[:, turn] * _bessel_j(turn, slants)
        for turn in range(_TURNS + 1)
    )
    target = (light * cosines ** (beam - 1.0)).sum(axis=1)
    columns = []
    for exponent in _EXPONENTS:
        reach = waves * _blurred(distance + ahead, _BLURS, exponent + beam)[:, None]
        scale = (exponent + 2.0) / (exponent + beam + 1.0)
        columns.append(scale * scaled_bessel_k((exponent + beam + 1.0) / 2.0, reach))
    weights = 1.0 / (np.abs(target) + _FAINTEST * target[0])
    weights[waves * distance > _FINEST_AT_DISTANCE] = 0.0
    rows = np.concatenate(columns).T * weights[:, None]
    return rows, target * weights


def _bessel_j(order: int, x: Array) -> Array:
    """Bessel function J of a small whole order, as its integral over half a turn."""
    turned = np.multiply.outer(x, _ROUND)
    wave = np.cos(turned) if order % 2 == 0 else np.sin(turned)
    sign = (-1.0) ** (order // 2)
    return np.asarray(sign * (wave * np.cos(order * np.arccos(_ROUND))).mean(axis=-1))


def _nonnegative_fit(rows: Array, wanted: Array) -> Array:
    """Least squares with no share below nil, column by column taken in.

    C. L. Lawson, R. J. Hanson, Solving Least Squares Problems, 1974, chapter 23.
    """
    shares = np.zeros(rows.shape[1])
    taken = np.zeros(rows.shape[1], dtype=bool)
    for _ in range(3 * rows.shape[1]):
        pull = rows.T @ (wanted - rows @ shares)
        pull[taken] = 0.0
        if pull.max() <= 1e-9:
            break
        taken[pull.argmax()] = True
        while True:
            trial = np.zeros_like(shares)
            trial[taken] = np.linalg.lstsq(rows[:, taken], wanted, rcond=None)[0]
            low = taken & (trial <= 0.0)
            if not low.any():
                break
            step = (shares[low] / (shares[low] - trial[low] + 1e-300)).min()
            shares += step * (trial - shares)
            taken &= shares > 1e-12
            shares[~taken] = 0.0
        shares = trial
    return shares
