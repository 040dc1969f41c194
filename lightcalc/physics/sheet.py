"""How a sheet or a slab of resin shares out the light that falls on it, by thickness.

::

        lamp side                    eye side
    light --->|  .  .   .  .   |---> straight   (an image of each LED)
    reflected |    .   .     . |---> scattered  (an even glow)
          <---|  .    .   .    |
              |<- thickness ->|     absorbed: what stays

Two streams of diffuse light run through the slab, fed by the beam. The beam that feeds
them fades with the reduced depth ``(absorption + (1 - g) scattering) * thickness``, because
light scattered nearly straight on still acts as a beam (J. H. Joseph, W. J. Wiscombe,
J. A. Weinman, J. Atmos. Sci. 33 (1976) 2452); the streams scatter back with 3/4 of the
reduced scattering (W. E. Vargas, G. A. Niklasson, Applied Optics 36 (1997) 5580, the limit of
many scatterings), which makes the limit of little absorption agree with diffusion theory.
Both papers are cited from memory.

Valid for light that arrives near the normal, scatterers spread evenly through the depth,
and faces that are smooth and in air. Within about 0.03 of transport solutions where
little is absorbed. A sheet etched on one face only does not follow this scaling: use it
only at the thickness it was measured at.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from lightcalc.physics.diffusion import Array, require_positive

# A measured straight share of nil only says "too little to measure"; one part in ten
# million of an LED's 10 million cd/m2 is lost in any glow.
LEAST_STRAIGHT = 1e-7
# Pigment and bead fillers some wavelengths wide throw light mostly forward; mean cosine
# of one scattering, a common figure for such fillers, from memory.
USUAL_ASYMMETRY = 0.85
# Labels are rounded to a whole percent.
_LABEL_ROUNDING = 0.011
_THIN = 1e-5


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

    @property
    def reduced_scattering_per_m(self) -> float:
        """Scattering that counts as turning light right round, (1 - g) times all [1/m]."""
        return (1.0 - self.asymmetry) * self.scattering_per_m


@dataclass(frozen=True)
class Shares:
    """Where light that falls on one side of a sheet ends up; the four add up to 1."""

    straight: float
    scattered: float
    reflected: float
    absorbed: float


class _Layer(NamedTuple):
    """Shares of a bare layer: of a beam kept or turned diffuse, and of diffuse light."""

    beam: float
    beam_to_glow: float
    beam_to_back: float
    glow: float
    back: float


def sheet_shares(sheet: Sheet, thickness_m: float) -> Shares:
    """Share out light that falls near the normal on a sheet of that thickness [m].

    Raises ValueError for a thickness that is not above zero.

    >>> clear = Sheet(1.5, absorption_per_m=0.0, scattering_per_m=0.0)
    >>> round(sheet_shares(clear, 0.003).straight, 4)
    0.9231
    """
    require_positive(thickness_m=thickness_m)
    n = sheet.refractive_index
    face = fresnel_reflectance(n)
    straight = _straight_share(
        (sheet.absorption_per_m + sheet.scattering_per_m) * thickness_m, face
    )
    layer = _slab(
        sheet.absorption_per_m * thickness_m, sheet.reduced_scattering_per_m * thickness_m
    )
    # The beam, bouncing between the two faces, and the glow it makes at each of them.
    down = (1.0 - face) / (1.0 - (face * layer.beam) ** 2)
    up = down * layer.beam * face
    far = down * layer.beam_to_glow + up * layer.beam_to_back
    near = down * layer.beam_to_back + up * layer.beam_to_glow
    far, near = _bounced(far, near, layer, diffuse_inner_reflectance(n))
    passed = down * layer.beam * (1.0 - face) + far
    reflected = face + up * layer.beam * (1.0 - face) + near
    # Some thirty doublings round by parts in a hundred million; never hand out more than came in.
    surplus = max(1.0, passed + reflected)
    passed, reflected = passed / surplus, reflected / surplus
    return Shares(
        straight=straight,
        scattered=max(passed - straight, 0.0),
        reflected=reflected,
        absorbed=max(1.0 - passed - reflected, 0.0),
    )


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

    def passes_less(sheet: Sheet) -> bool:
        return sheet_shares(sheet, reference_thickness_m).scattered < wanted

    if passes_less(with_albedo(1.0)):
        return with_asymmetry(
            _crossing(lambda g: passes_less(with_asymmetry(g)), USUAL_ASYMMETRY, 1.0)
        )
    return with_albedo(_crossing(lambda albedo: passes_less(with_albedo(albedo)), 0.0, 1.0))


def slab_modulation_transfer(
    waves_per_m: float | Array, diffusing_depth_m: float, loss_per_m: float = 0.0
) -> Array:
    """Share of a pattern's waves that survives sideways mixing inside a scattering slab.

    Light that wanders through a depth D decays along it as ``sinh``; a wave of k radians
    per metre decays with ``q^2 = k^2 + loss^2``, so the share is
    ``(q D / sinh q D) / (loss D / sinh loss D)`` (diffusion theory; A. Ishimaru, Wave
    Propagation and Scattering in Random Media, 1978). ``diffusing_depth_m`` is what
    ``diffusing_depth_m(sheet, thickness)`` gives. Errs towards a stronger pattern.

    >>> float(slab_modulation_transfer(30.0, 0.01).round(4))
    0.5859
    """
    k = 2.0 * math.pi * np.asarray(waves_per_m, dtype=np.float64)
    depth = np.hypot(k, loss_per_m) * diffusing_depth_m
    return np.asarray(_over_sinh(depth) / _over_sinh(np.asarray(loss_per_m * diffusing_depth_m)))


def diffusing_depth_m(sheet: Sheet, thickness_m: float) -> float:
    """Depth [m] of a slab in which light has lost its direction and wanders.

    The thickness less the length over which a beam keeps its direction, 1 / reduced
    scattering; nil where that length is more than the slab.

    >>> diffusing_depth_m(Sheet(1.5, 0.0, 10_000.0, 0.9), 0.003)
    0.002
    """
    reduced = sheet.reduced_scattering_per_m
    return max(0.0, thickness_m - 1.0 / reduced) if reduced > 0.0 else 0.0


def diffusing_loss_per_m(sheet: Sheet) -> float:
    """Rate [1/m] at which wandering light fades by absorption: sqrt(3 a (a + s')).

    >>> round(diffusing_loss_per_m(Sheet(1.5, 1.0, 110.0, 0.9)), 9)
    6.0
    """
    a = sheet.absorption_per_m
    return math.sqrt(3.0 * a * (a + sheet.reduced_scattering_per_m))


def fresnel_reflectance(refractive_index: float) -> float:
    """Share of light that a smooth face reflects at the normal: ((n - 1) / (n + 1))^2.

    >>> round(fresnel_reflectance(1.5), 6)
    0.04
    """
    return ((refractive_index - 1.0) / (refractive_index + 1.0)) ** 2


def diffuse_inner_reflectance(refractive_index: float) -> float:
    """Share of diffuse light that a smooth face throws back into the sheet.

    From Fresnel's equations averaged over the half-space outside, r, and
    ``1 - (1 - r) / n^2`` inside (D. B. Judd, J. Res. NBS 29 (1942) 329).

    >>> round(diffuse_inner_reflectance(1.5), 3)
    0.596
    """
    squares = (np.arange(400) + 0.5) / 400.0  # equal steps of sin^2: equal shares of light
    outside = np.sqrt(1.0 - squares)
    inside = np.sqrt(1.0 - squares / refractive_index**2)
    n = refractive_index
    across = ((outside - n * inside) / (outside + n * inside)) ** 2
    along = ((inside - n * outside) / (inside + n * outside)) ** 2
    outer = float((across + along).mean()) / 2.0
    return 1.0 - (1.0 - outer) / refractive_index**2


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


def _slab(absorbed_depth: float, scattered_depth: float) -> _Layer:
    """Bare slab of the two reduced depths, by doubling a layer too thin to scatter twice."""
    depth = absorbed_depth + scattered_depth
    if depth == 0.0:
        return _Layer(1.0, 0.0, 0.0, 1.0, 0.0)
    doublings = max(0, math.ceil(math.log2(depth / _THIN)))
    thin = depth / 2.0**doublings
    albedo = scattered_depth / depth
    turned = -math.expm1(-thin) * albedo / 2.0
    back = 0.75 * albedo * thin
    lost = 2.0 * (1.0 - albedo) * thin
    layer = _Layer(math.exp(-thin), turned, turned, 1.0 - back - lost, back)
    for _ in range(doublings):
        layer = _doubled(layer)
    return layer._replace(beam=math.exp(-depth))


def _doubled(one: _Layer) -> _Layer:
    """Two equal layers in contact, with all bounces between them (adding method)."""
    bounces = 1.0 / (1.0 - one.back**2)
    onward = (one.beam_to_glow + one.back * one.beam * one.beam_to_back) * bounces
    backward = one.beam * one.beam_to_back + one.back * onward
    return _Layer(
        beam=one.beam**2,
        beam_to_glow=one.beam * one.beam_to_glow + one.glow * onward,
        beam_to_back=one.beam_to_back + one.glow * backward,
        glow=one.glow**2 * bounces,
        back=one.back + one.glow**2 * one.back * bounces,
    )


def _bounced(far: float, near: float, layer: _Layer, inner: float) -> tuple[float, float]:
    """Glow that leaves by the far and the near face, after bouncing between them.

    Sum and difference of what reaches the two faces each bounce on their own.
    """
    both = (far + near) / (1.0 - inner * (layer.back + layer.glow))
    odd = (far - near) / (1.0 - inner * (layer.back - layer.glow))
    return (1.0 - inner) * (both + odd) / 2.0, (1.0 - inner) * (both - odd) / 2.0


def _over_sinh(depth: Array) -> Array:
    """Give depth / sinh(depth), 1 at nil; written with exp(-depth) for large depths."""
    safe = np.maximum(depth, 1e-6)
    return np.asarray(2.0 * safe * np.exp(-safe) / -np.expm1(-2.0 * safe))


def _crossing(too_low: Callable[[float], bool], low: float, high: float) -> float:
    """Bisect for the place where ``too_low`` turns from true to false."""
    for _ in range(50):
        middle = (low + high) / 2.0
        if too_low(middle):
            low = middle
        else:
            high = middle
    return high
