"""Light that a row of LEDs lays on a flat surface, and how uneven it is.

::

      o--------o--------o--------o        row of emitters, facing the surface
      |<- pitch_m ->|   |
      x = 0             | distance_m
    ____________________v___________      flat surface
      bright   dim    bright

Each emitter shines ``I0 cos^m(angle)`` and the flat surface receives it under its own
cosine, so one emitter gives ``I0 z^(m+1) / r^(m+3)`` at the straight distance ``r``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

# Below this distance in pitches the sum over emitters converges fast and the sum over
# harmonics slowly; above it the other way round. Both hold to 1e-8 around it.
_NEAR_IN_PITCHES = 0.4
_NEAR_EMITTERS_A_SIDE = 60
_BESSEL_STEPS = np.arange(-38.0, 13.0, 0.25)


def require_positive(**named: float) -> None:
    """Raise ValueError, in a sentence, for the first value that is not finite and above zero.

    >>> require_positive(pitch_m=0.01)
    """
    for name, value in named.items():
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} is {value}; it must be a finite number above zero.")


def beam_exponent(full_angle_deg: float) -> float:
    """Exponent m of ``cos^m`` for a beam angle between half-intensity directions [degrees].

    From ``cos^m(angle / 2) = 1/2``. Holds for angles above 0 and below 180 degrees; raises
    ValueError outside.

    >>> round(beam_exponent(120.0), 12)
    1.0
    """
    if not 0.0 < full_angle_deg < 180.0:
        raise ValueError(
            f"The beam angle is {full_angle_deg} degrees; it must lie between 0 and 180."
        )
    return math.log(0.5) / math.log(math.cos(math.radians(full_angle_deg) / 2.0))


def axial_intensity_cd(lumens: float, exponent: float) -> float:
    """Intensity [cd] straight ahead of a ``cos^m`` emitter that gives ``lumens`` in all.

    ``I0 = (m + 1) / (2 pi) * lumens``, the integral of ``cos^m`` over the half-space.

    >>> round(axial_intensity_cd(math.pi, 1.0), 12)
    1.0
    """
    return (exponent + 1.0) / (2.0 * math.pi) * lumens


def row_illuminance_lux(
    x_m: float | Sequence[float] | Array,
    distance_m: float,
    pitch_m: float,
    lumens_per_emitter: float,
    exponent: float,
    *,
    count: int | None = None,
    y_m: float = 0.0,
) -> Array:
    """Illuminance [lx] of a flat surface facing a row, at places along it.

    ``x_m`` [m] is any shape and is counted from the first emitter of a row of ``count``
    emitters, or from any emitter when ``count`` is None, which stands for an endless row.
    ``y_m`` [m] is the distance sideways from the line below the row. ``exponent`` is the
    beam's m, 0 or more. Returns the shape of ``x_m``.

    A row of ``count`` is summed directly. An endless row is summed by Poisson's formula
    (harmonics with modified Bessel functions, see ``row_harmonics``), or directly with an
    integral for the far emitters where the surface is close. Relative error below 1e-8.
    Emitters are points: keep the distance above about five times an LED's own width.
    Raises ValueError for lengths that are not above zero. Several rows add up.

    >>> row_illuminance_lux([0.0, 0.005], 0.01, 0.01, 5.0, 1.0).round(0).tolist()
    [25682.0, 24322.0]
    """
    _check_row(distance_m, pitch_m, exponent)
    # From here all lengths count in distances, so that high powers stay in range.
    places = np.asarray(x_m, dtype=np.float64) / distance_m
    pitch, reach = pitch_m / distance_m, math.hypot(1.0, y_m / distance_m)
    scale = axial_intensity_cd(lumens_per_emitter, exponent) / distance_m**2
    if count is not None:
        if count < 1:
            raise ValueError(f"The row has {count} emitters; it must have at least 1.")
        return scale * _emitter_sum(places, pitch * np.arange(float(count)), reach, exponent)
    if reach < _NEAR_IN_PITCHES * pitch:
        return scale * _near_sum(places, reach, pitch, exponent)
    order = np.arange(1.0, _harmonics_needed(reach / pitch, exponent) + 1.0)
    shares = _kernel_share(2.0 * math.pi * order * reach / pitch, exponent)
    waves = np.cos(2.0 * math.pi / pitch * places[..., None] * order)
    mean = _kernel_mean(reach, exponent) / pitch
    return np.asarray(scale * mean * (1.0 + 2.0 * waves @ shares))


def mean_illuminance_lux(
    distance_m: float,
    pitch_m: float,
    lumens_per_emitter: float,
    exponent: float,
    row_length_m: float = math.inf,
) -> float:
    """Illuminance [lx] below the middle of a row, averaged over one pitch.

    The row is smeared into a line of light: ``I0 / (p z)`` times the integral of
    ``cos^(m+1)`` between the directions to its ends. Exact for an endless row; for a short
    one within about (pitch / row length) squared. Raises ValueError as above.

    >>> round(mean_illuminance_lux(0.01, 0.01, 5.0, 1.0))
    25000
    """
    _check_row(distance_m, pitch_m, exponent)
    if not row_length_m > 0.0:
        raise ValueError(f"row_length_m is {row_length_m}; it must be above zero.")
    per_angle = axial_intensity_cd(lumens_per_emitter, exponent) / (pitch_m * distance_m)
    end = math.atan(row_length_m / (2.0 * distance_m))
    if math.isinf(row_length_m):
        return per_angle * _kernel_mean(1.0, exponent)
    end = min(end, 8.5 / math.sqrt(exponent + 1.0))  # cos^(m+1) is nil further out
    angles = np.linspace(-end, end, 257, dtype=np.float64)
    weights = np.where(np.arange(257) % 2, 4.0, 2.0)
    weights[[0, -1]] = 1.0
    total = float(weights @ np.cos(angles) ** (exponent + 1.0))
    return per_angle * total * 2.0 * end / (3.0 * 256.0)


def row_harmonics(distance_m: float, pitch_m: float, exponent: float, count: int) -> Array:
    """First ``count`` cosine waves of an endless row's light, as shares of its mean.

    The illuminance along the row is ``mean * (1 + sum of share_j cos(2 pi j x / pitch))``.
    With ``nu = (m + 2) / 2`` and ``t = 2 pi j z / p`` Poisson's formula gives
    ``share_j = 2 * 2^(1 - nu) / Gamma(nu) * t^nu K_nu(t)``; for m = 1 that is
    ``2 (1 + t) exp(-t)``. Shape (count,). Raises ValueError as ``row_illuminance_lux``.

    >>> row_harmonics(0.01, 0.01, 1.0, 2).round(6).tolist()
    [0.027202, 9.5e-05]
    """
    _check_row(distance_m, pitch_m, exponent)
    order = np.arange(1.0, count + 1.0)
    return 2.0 * _kernel_share(2.0 * math.pi * order * distance_m / pitch_m, exponent)


def row_contrast(distance_m: float, pitch_m: float, exponent: float) -> float:
    """Michelson contrast (max - min) / (max + min) below an endless row, 0 to 1.

    The maximum lies under an emitter and the minimum midway, at any distance: the light of
    one emitter is a mixture of bell curves, and a row of equal bell curves is brightest at
    their centres. Raises ValueError as ``row_illuminance_lux``.

    >>> round(row_contrast(0.01, 0.01, 1.0), 4)
    0.0272
    """
    _check_row(distance_m, pitch_m, exponent)
    if distance_m < _NEAR_IN_PITCHES * pitch_m:
        pitch = pitch_m / distance_m
        bright, dim = _near_sum(np.array([0.0, pitch / 2.0]), 1.0, pitch, exponent)
        return float((bright - dim) / (bright + dim))
    # Straight from the waves, so that contrasts far below 1e-12 keep their digits.
    needed = _harmonics_needed(distance_m / pitch_m, exponent)
    return contrast_of_harmonics(row_harmonics(distance_m, pitch_m, exponent, needed))


def contrast_of_harmonics(shares: Array) -> float:
    """Michelson contrast of cosine waves that peak together, given as shares of the mean.

    Odd waves raise the peak and lower the trough; even waves raise both.

    >>> contrast_of_harmonics(np.array([0.5]))
    0.5
    """
    return float(shares[0::2].sum() / (1.0 + shares[1::2].sum()))


def even_spacing_two_m(distance_m: float, exponent: float) -> float:
    """Pitch [m] at which the light midway between two emitters is just flat.

    Second derivative zero: ``z sqrt(4 / (M + 3))`` with ``M = m + 1``. Source: I. Moreno,
    M. Avendano-Alejo, R. Tzonchev, Applied Optics 45 (2006) 2265. Their M is one more than
    the emitter's m because they leave out the surface's own cosine.

    >>> round(even_spacing_two_m(0.01, 1.0), 6)
    0.008944
    """
    _check_row(distance_m, distance_m, exponent)
    return distance_m * math.sqrt(4.0 / (exponent + 1.0 + 3.0))


def even_spacing_row_m(distance_m: float, exponent: float) -> float:
    """Pitch [m] at which a long row's light counts as even by Moreno's rule.

    ``z sqrt(3.2773 / (M + 4.2539))``, same source and same ``M = m + 1`` as above, a fit for
    long rows. It leaves 0.33 % contrast for m = 1, which an eye may still see.

    >>> round(even_spacing_row_m(0.01, 1.0), 6)
    0.007239
    """
    _check_row(distance_m, distance_m, exponent)
    return distance_m * math.sqrt(3.2773 / (exponent + 1.0 + 4.2539))


def _check_row(distance_m: float, pitch_m: float, exponent: float) -> None:
    require_positive(distance_m=distance_m, pitch_m=pitch_m)
    if not 0.0 <= exponent <= 1000.0:
        raise ValueError(f"The beam exponent is {exponent}; it must lie between 0 and 1000.")


def _emitter_sum(places: Array, emitters: Array, reach: float, exponent: float) -> Array:
    squares = (places[..., None] - emitters) ** 2 + reach**2
    return np.asarray((squares ** (-(exponent + 3.0) / 2.0)).sum(axis=-1))


def _near_sum(places: Array, reach: float, pitch: float, exponent: float) -> Array:
    """Sum the near emitters one by one and the far ones, on both sides, as an integral."""
    side = _NEAR_EMITTERS_A_SIDE
    within = places - pitch * np.round(places / pitch)
    near = _emitter_sum(within, pitch * np.arange(-side, side + 1.0), reach, exponent)
    edge = (side + 0.5) * pitch
    power = -(exponent + 2.0)
    far = ((edge - within) ** power + (edge + within) ** power) / (-power * pitch)
    return np.asarray(near + far)


def _harmonics_needed(reach_in_pitches: float, exponent: float) -> int:
    """Count of waves after which the rest is below 1e-12 of the mean."""
    needed_t = 40.0 + math.sqrt(140.0 * (exponent + 2.0) / 2.0)
    return math.ceil(needed_t / (2.0 * math.pi * reach_in_pitches)) + 1


def _kernel_mean(reach: float, exponent: float) -> float:
    """Integral of (a^2 + x^2)^(-(m+3)/2) over all x, with a = reach."""
    nu = (exponent + 2.0) / 2.0
    ratio = math.exp(math.lgamma(nu) - math.lgamma(nu + 0.5))
    return float(math.sqrt(math.pi) * ratio * math.pow(reach, -2.0 * nu))


def _kernel_share(t: Array, exponent: float) -> Array:
    """2^(1-nu) / Gamma(nu) t^nu K_nu(t), nu = (m+2)/2: 1 at t = 0, falling to 0."""
    if exponent == 1.0:
        return np.asarray((1.0 + t) * np.exp(-t))
    return scaled_bessel_k((exponent + 2.0) / 2.0, t)


def scaled_bessel_k(nu: float, t: Array) -> Array:
    """2^(1-nu) / Gamma(nu) * t^nu * K_nu(t) for nu >= 1 and any t >= 0, same shape as t.

    It equals the integral over s of ``exp(nu s - e^s - t^2 e^-s / 4) / Gamma(nu)``
    (NIST Handbook of Mathematical Functions, 10.32.10, with its variable w = e^s). The
    integrand is smooth, positive and dies out on both sides, so evenly spaced points
    around its peak sum it to about 1e-13 of itself.

    >>> scaled_bessel_k(1.5, np.array([0.0, 1.0])).round(9).tolist()
    [1.0, 0.735758882]
    """
    peak = (nu + np.hypot(nu, t)) / 2.0
    width = 1.0 / np.sqrt(peak + t * t / (4.0 * peak))
    spread = np.multiply.outer(width, _BESSEL_STEPS)
    w = peak[..., None] * np.exp(spread)
    quarter = (t * t / 4.0)[..., None]
    exponents = (nu * np.log(peak) - math.lgamma(nu))[..., None] + nu * spread - w - quarter / w
    return np.asarray(np.exp(exponents).sum(axis=-1) * 0.25 * width)
