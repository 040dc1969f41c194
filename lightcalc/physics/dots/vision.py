"""The least contrast an eye can see, by Barten's contrast sensitivity function.

Sources: P. G. J. Barten, Contrast Sensitivity of the Human Eye and Its Effects on Image
Quality, SPIE, 1999; P. G. J. Barten, Formula for the contrast sensitivity of the human
eye, Proc. SPIE 5294 (2003) 231. It describes both eyes of an observer of 20 to 30 years with
good sight who looks for the pattern, and calls the contrast seen half of the time the
threshold. Older eyes see less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
FloatOrArray = float | Array

# About 60 cycles per degree is what the cones at the centre of the eye can sample
# (handbook figure, from memory); no finer pattern is resolved at any contrast.
FINEST_CYCLES_PER_DEGREE = 60.0
# The function is for day and twilight sight; darker fields are judged as if this bright.
LEAST_LUMINANCE_CD_M2 = 1e-3


@dataclass(frozen=True)
class Observer:
    """Barten's constants of the standard observer (1999, and table 1 of 2003).

    >>> Observer().signal_to_noise
    3.0
    """

    signal_to_noise: float = 3.0
    """k: how far the pattern must stand above the noise."""
    blur_deg: float = 0.5 / 60.0
    """sigma_0: blur of the eye without aberration [degrees]."""
    blur_per_pupil_deg_mm: float = 0.08 / 60.0
    """C_ab: blur added by each mm of pupil [degrees / mm]."""
    integration_s: float = 0.1
    """T: time over which the eye adds up light [s]."""
    widest_deg: float = 12.0
    """X_max: widest angle over which it adds up a pattern [degrees]."""
    most_cycles: float = 15.0
    """N_max: most cycles over which it adds up a pattern."""
    quantum_efficiency: float = 0.03
    """eta: share of photons that count."""
    photons_per_troland: float = 1.2274e6
    """p: photons / (s deg^2 Td), for a white source."""
    neural_noise_s_deg2: float = 3e-8
    """Phi_0: density of the noise behind the retina [s deg^2]."""
    inhibition_cycles_per_degree: float = 7.0
    """u_0: below this, neighbouring cells cancel slow changes."""


STANDARD_OBSERVER = Observer()


def pupil_diameter_mm(
    luminance_cd_m2: FloatOrArray, field_deg: FloatOrArray, field_height_deg: FloatOrArray
) -> Array:
    """Diameter of the pupil [mm] adapted to a field of that luminance and angular size.

    ``5 - 3 tanh(0.4 log10(L X Y / 40^2))``, Barten 1999 after Le Grand. 2 to 8 mm.

    >>> float(pupil_diameter_mm(100.0, 60.0, 60.0).round(4))
    2.7931
    """
    light = np.asarray(luminance_cd_m2, dtype=np.float64) * field_deg * field_height_deg
    return np.asarray(5.0 - 3.0 * np.tanh(0.4 * np.log10(light / 40.0**2)))


def retinal_illuminance_td(luminance_cd_m2: FloatOrArray, pupil_mm: FloatOrArray) -> Array:
    """Light on the retina [Td], less what the cones miss at the pupil's rim.

    Stiles-Crawford correction as in Barten 1999: ``1 - (d/9.7)^2 + (d/12.4)^4``.

    >>> float(retinal_illuminance_td(100.0, 2.1).round(2))
    330.41
    """
    d = np.asarray(pupil_mm, dtype=np.float64)
    rim = 1.0 - (d / 9.7) ** 2 + (d / 12.4) ** 4
    return np.asarray(math.pi * d**2 / 4.0 * luminance_cd_m2 * rim)


def contrast_sensitivity(
    cycles_per_degree: FloatOrArray,
    luminance_cd_m2: FloatOrArray,
    field_deg: FloatOrArray,
    field_height_deg: FloatOrArray | None = None,
    observer: Observer = STANDARD_OBSERVER,
) -> Array:
    """Sensitivity S, 1 / threshold contrast, for a wave pattern.

    ``cycles_per_degree`` above 0, mean ``luminance_cd_m2`` and the angles over which the
    pattern is seen along and across its waves [degrees] broadcast together. Without
    ``field_height_deg`` the field is square. Valid for 0.001 to about 10 000 cd/m2.
    Raises ValueError when anything is not above zero.

    >>> float(contrast_sensitivity(4.0, 100.0, 10.0).round(0))
    669.0
    """
    height = field_deg if field_height_deg is None else field_height_deg
    for name, value in (
        ("cycles_per_degree", cycles_per_degree),
        ("luminance_cd_m2", luminance_cd_m2),
        ("field_deg", field_deg),
        ("field_height_deg", height),
    ):
        if not np.all(np.asarray(value) > 0.0):
            raise ValueError(f"{name} is {value}; it must be above zero.")
    u2 = np.asarray(cycles_per_degree, dtype=np.float64) ** 2
    pupil = pupil_diameter_mm(luminance_cd_m2, field_deg, height)
    blur2 = observer.blur_deg**2 + (observer.blur_per_pupil_deg_mm * pupil) ** 2
    optics = np.exp(-2.0 * math.pi**2 * blur2 * u2)
    retina = retinal_illuminance_td(luminance_cd_m2, pupil)
    photons = observer.quantum_efficiency * observer.photons_per_troland * retina
    slow = -np.expm1(-u2 / observer.inhibition_cycles_per_degree**2)
    noise = 1.0 / photons + observer.neural_noise_s_deg2 / slow
    area = _summing_angle(u2, field_deg, observer) * _summing_angle(u2, height, observer)
    deviation = np.sqrt(2.0 / observer.integration_s * noise / area)
    return np.asarray(optics / observer.signal_to_noise / deviation)


def contrast_threshold(
    cycles_per_degree: FloatOrArray,
    luminance_cd_m2: FloatOrArray,
    field_deg: FloatOrArray,
    field_height_deg: FloatOrArray | None = None,
    observer: Observer = STANDARD_OBSERVER,
) -> Array:
    """Michelson contrast that is seen half of the time; above 1 nothing can be seen.

    ``1 / contrast_sensitivity``, same parameters, units and errors.

    >>> float(contrast_threshold(4.0, 100.0, 10.0).round(4))
    0.0015
    """
    with np.errstate(divide="ignore"):
        sensitivity = contrast_sensitivity(
            cycles_per_degree, luminance_cd_m2, field_deg, field_height_deg, observer
        )
        return np.asarray(1.0 / sensitivity)


def pattern_multiple(
    wave_shares: Array,
    cycles_per_degree: FloatOrArray,
    luminance_cd_m2: FloatOrArray,
    field_deg: FloatOrArray,
    field_height_deg: FloatOrArray | None = None,
) -> Array:
    """How many times above threshold the most visible wave of a pattern stands.

    ``wave_shares`` [..., J] are the waves of 1, 2, ... J times ``cycles_per_degree`` [...]
    as shares of the mean luminance [...]. The eye sees a compound pattern as soon as one of
    its waves reaches its own threshold (F. W. Campbell, J. G. Robson, J. Physiol. 197
    (1968) 551), so the multiple is the largest ``share * sensitivity``. Waves finer than
    the eye resolves count as nil. A wave wider than twice the field is judged as half a
    cycle over the field, since the eye cannot be shown less of it. Returns shape [...].

    >>> float(pattern_multiple(np.array([0.01, 0.001]), 4.0, 100.0, 10.0).round(1))
    6.7
    """
    field = np.asarray(field_deg, dtype=np.float64)[..., None]
    height = field if field_height_deg is None else np.asarray(field_height_deg)[..., None]
    order = np.arange(1, wave_shares.shape[-1] + 1)
    u = np.asarray(cycles_per_degree, dtype=np.float64)[..., None] * order
    luminance = np.maximum(luminance_cd_m2, LEAST_LUMINANCE_CD_M2)[..., None]
    judged = np.minimum(np.maximum(u, 0.5 / field), FINEST_CYCLES_PER_DEGREE)
    sensitivity = contrast_sensitivity(judged, luminance, field, height)
    seen = np.where(u > FINEST_CYCLES_PER_DEGREE, 0.0, wave_shares * sensitivity)
    return np.asarray(seen.max(axis=-1))


def angle_deg(length_m: FloatOrArray, distance_m: FloatOrArray) -> Array:
    """Angle [degrees] that a length square to the line of sight takes up, seen centred.

    >>> float(angle_deg(2.0, 1.0).round(6))
    90.0
    """
    return np.asarray(2.0 * np.degrees(np.arctan2(length_m, 2.0 * np.asarray(distance_m))))


def _summing_angle(u2: Array, field_deg: FloatOrArray, observer: Observer) -> Array:
    """Angle [degrees] over which the eye adds up the pattern in one direction."""
    field = np.asarray(field_deg, dtype=np.float64)
    inverse2 = field**-2.0 + observer.widest_deg**-2.0 + u2 / observer.most_cycles**2
    return np.asarray(1.0 / np.sqrt(inverse2))
