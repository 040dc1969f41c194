"""How a sheet or a slab of resin shares out the light that falls on it, by thickness.

::

        lamp side                    eye side
    light --->|  .  .   .  .   |---> straight   (an image of each LED)
    reflected |    .   .     . |---> scattered  (a glow)
          <---|  .    .   .    |
              |<- thickness ->|     absorbed: what stays

The straight share follows Beer and Lambert between Fresnel's faces; the rest comes from the
transport equation (see ``slab``).

Valid for light that arrives near the normal (the straight share: at any slant), scatterers
spread evenly through the depth, and faces that are smooth and in air. Against a path
tracer the shares hold within 0.002 of the light. A sheet etched on one face only does not
follow this scaling: use it only at the thickness it was measured at.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import Array, require_positive
from lightcalc.physics.dots.slab import slab_passage, split_forward

# A measured straight share of nil only says "too little to measure"; one part in ten
# million of an LED's 10 million cd/m2 is lost in any glow.
LEAST_STRAIGHT = 1e-7
# Pigment and bead fillers some wavelengths wide throw light mostly forward; mean cosine
# of one scattering, a common figure for such fillers, from memory.
USUAL_ASYMMETRY = 0.85
# Labels are rounded to a whole percent.
_LABEL_ROUNDING = 0.011
# A share found to this is far closer than any label or meter.
CLOSE_ENOUGH = 1e-6


@dataclass(frozen=True)
class Sheet:
    """A material for sheets, inserts or resin: what a metre of it does to light."""

    refractive_index: float
    absorption_per_m: float
    scattering_per_m: float
    asymmetry: float = USUAL_ASYMMETRY
    """g, mean cosine of one scattering: 0 evenly all round, near 1 almost straight on."""

    def __post_init__(self) -> None:
        """Refuse a material that cannot exist."""
        if not 1.0 <= self.refractive_index <= 3.0:
            raise ValueError(f"The refractive index is {self.refractive_index}; it must be 1 to 3.")
        if min(self.absorption_per_m, self.scattering_per_m) < 0.0:
            raise ValueError("Absorption and scattering per metre must be zero or more.")
        if not -1.0 < self.asymmetry <= 1.0:
            raise ValueError(f"The asymmetry is {self.asymmetry}; it must be -1 to 1.")


@dataclass(frozen=True)
class Shares:
    """Where light that falls on one side of a sheet ends up; the four add up to 1."""

    straight: float
    scattered: float
    reflected: float
    absorbed: float


def sheet_shares(sheet: Sheet, thickness_m: float) -> Shares:
    """Share out light that falls near the normal on a sheet of that thickness [m].

    Raises ValueError for a thickness that is not above zero.

    >>> clear = Sheet(1.5, absorption_per_m=0.0, scattering_per_m=0.0)
    >>> round(sheet_shares(clear, 0.003).straight, 4)
    0.9231
    """
    require_positive(thickness_m=thickness_m)
    straight = float(straight_share_at(sheet, thickness_m, 1.0))
    absorbed_depth = sheet.absorption_per_m * thickness_m
    depth, asymmetry = split_forward(sheet.scattering_per_m * thickness_m, sheet.asymmetry)
    face = fresnel_reflectance(sheet.refractive_index)
    # Scattering too sharply forward to resolve leaves with the beam.
    with_beam = _straight_share(absorbed_depth + depth, face) - straight
    passage = slab_passage(sheet.refractive_index, absorbed_depth, depth, asymmetry)
    scattered = max(with_beam, 0.0) + float(passage.leaving.sum())
    # The sums round by parts in ten million; never hand out more than came in.
    surplus = max(1.0, (scattered + passage.reflected) / max(1.0 - straight, 1e-12))
    scattered, reflected = scattered / surplus, passage.reflected / surplus
    return Shares(
        straight=straight,
        scattered=scattered,
        reflected=reflected,
        absorbed=max(1.0 - straight - scattered - reflected, 0.0),
    )


def straight_share_at(sheet: Sheet, thickness_m: float, cosine: npt.ArrayLike) -> Array:
    """Share of a ray's light that passes a sheet straight, at a slant; the shape of ``cosine``.

    ``cosine`` is that of the angle to the sheet's normal, outside. Inside the ray runs
    ``thickness / sqrt(1 - sin^2 / n^2)`` (Snell) and fades by Beer and Lambert; each face
    reflects by Fresnel, with all bounces, and the two polarisations are averaged at the end.
    Exact for unpolarised light, a sheet much wider than thick and light that is not coherent
    over its thickness.

    >>> clear = Sheet(1.5, absorption_per_m=0.0, scattering_per_m=0.0)
    >>> straight_share_at(clear, 0.003, [1.0, 0.5, 0.0]).round(4).tolist()
    [0.9231, 0.8481, 0.0]
    """
    outside = np.asarray(cosine, dtype=np.float64)
    n = sheet.refractive_index
    inside = np.sqrt(np.maximum(1.0 - (1.0 - outside**2) / n**2, 1e-12))
    kept = np.exp(-(sheet.absorption_per_m + sheet.scattering_per_m) * thickness_m / inside)
    share = np.zeros_like(outside)
    for near, far in ((outside, n * inside), (n * outside, inside)):
        face = ((near - far) / np.maximum(near + far, 1e-300)) ** 2
        # Nothing gets in along the face itself, where this would be nil over nil.
        bounced = np.maximum(1.0 - (face * kept) ** 2, 1e-300)
        share += (1.0 - face) ** 2 * kept / bounced / 2.0
    return share


def sheet_from_shares(
    reference_thickness_m: float,
    straight: float,
    scattered: float,
    refractive_index: float = 1.5,
) -> Sheet:
    """Material whose sheet of the reference thickness [m] passes the measured shares.

    A data sheet's total transmittance T and haze H (ASTM D1003) give ``scattered = T H``
    and ``straight = T (1 - H)``; haze leaves out light turned by less than 2.5 degrees.
    The two shares leave open what happens to the rest. The filler is taken to throw light
    forward as usual (``USUAL_ASYMMETRY``) and the rest to be absorbed; a sheet that passes
    more than that allows absorbs nothing and throws light further forward. A straight
    share of nil is read as ``LEAST_STRAIGHT``.
    Raises ValueError for shares that no sheet of that index can pass.

    >>> frosted = sheet_from_shares(0.003, straight=0.02, scattered=0.70)
    >>> round(sheet_shares(frosted, 0.006).straight, 5)
    0.00043
    """
    require_positive(reference_thickness_m=reference_thickness_m)
    face = fresnel_reflectance(refractive_index)
    straight = _allowed_straight(straight, scattered, face)
    extinction = _depth_of_straight_share(straight, face) / reference_thickness_m
    clear_most = (1.0 - face) / (1.0 + face)
    wanted = min(scattered, clear_most - straight)

    def with_albedo(albedo: float) -> Sheet:
        return Sheet(refractive_index, (1.0 - albedo) * extinction, albedo * extinction)

    def with_asymmetry(asymmetry: float) -> Sheet:
        return replace(with_albedo(1.0), asymmetry=asymmetry)

    def lacking(sheet: Sheet) -> float:
        return wanted - sheet_shares(sheet, reference_thickness_m).scattered

    if lacking(with_albedo(1.0)) > 0.0:
        return with_asymmetry(
            _fall_to_nil(lambda g: lacking(with_asymmetry(g)), USUAL_ASYMMETRY, 1.0)
        )
    return with_albedo(_fall_to_nil(lambda albedo: lacking(with_albedo(albedo)), 0.0, 1.0))


def fresnel_reflectance(refractive_index: float) -> float:
    """Share of light that a smooth face reflects at the normal: ((n - 1) / (n + 1))^2.

    >>> round(fresnel_reflectance(1.5), 6)
    0.04
    """
    return ((refractive_index - 1.0) / (refractive_index + 1.0)) ** 2


def _straight_share(depth: float, face: float) -> float:
    """Beer-Lambert through the depth, with both faces and the bounces between them."""
    kept = math.exp(-depth)
    return (1.0 - face) ** 2 * kept / (1.0 - (face * kept) ** 2)


def _depth_of_straight_share(straight: float, face: float) -> float:
    """Inverse of ``_straight_share``: the root of its quadratic in exp(-depth)."""
    through = (1.0 - face) ** 2
    root = math.sqrt(through**2 + (2.0 * face * straight) ** 2)
    return max(0.0, -math.log(2.0 * straight / (through + root)))


def _allowed_straight(straight: float, scattered: float, face: float) -> float:
    """Refuse impossible shares; give the straight share to compute with."""
    clear_most = (1.0 - face) / (1.0 + face)
    if min(straight, scattered) < 0.0 or straight + scattered > clear_most + _LABEL_ROUNDING:
        raise ValueError(
            f"The sheet is said to pass {straight:.3g} straight and {scattered:.3g} scattered; "
            f"each must be 0 or more, and its two faces leave at most {clear_most:.3f} in all."
        )
    return min(max(straight, LEAST_STRAIGHT), clear_most)


def _fall_to_nil(level: Callable[[float], float], low: float, high: float) -> float:
    """Place where a falling level passes nil, by a bisection that follows the slope."""
    at_low, at_high = level(low), level(high)
    for step in range(60):
        if high - low < 1e-12 or at_high >= 0.0 or at_low <= 0.0:
            break
        # Every third step halves, so that a bent level cannot stall the slope.
        share = 0.5 if step % 3 == 2 else at_low / (at_low - at_high)
        place = low + (high - low) * share
        at_place = level(place)
        if abs(at_place) < CLOSE_ENOUGH:
            return place
        low, at_low, high, at_high = (
            (place, at_place, high, at_high) if at_place > 0.0 else (low, at_low, place, at_place)
        )
    return high if abs(at_high) <= abs(at_low) else low
