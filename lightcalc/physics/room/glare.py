"""Light that the eye itself throws about, so that a bare LED veils what is beside it.

A point that lays E lux on the eye adds a veil of ``E * glare_per_sr`` cd/m2 at an angle from it:
the glare spread function of J. J. Vos, T. J. T. P. van den Berg, CIE 135/1 (1999), from memory.
It integrates to 1 over all directions within 5 %, and meets the general disability glare
equation of CIE 146 within a quarter from 1.5 to 30 degrees.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.room.tone import Image

AGE_YEARS = 45.0
PIGMENT = 0.5
"""0 very dark eyes, 0.5 brown, 1 blue, 1.2 very light."""

# Light turned by less than this blurs the picture on the retina of whoever looks at the screen
# too, so that it is not blurred a second time.
_OWN_BLUR_DEG = 0.15
# How far the veil is spread, in pixels. It fades out from half of that on, so that no rim shows.
_REACH_PX = 240


def glare_per_sr(
    angle_deg: npt.ArrayLike, age_years: float = AGE_YEARS, pigment: float = PIGMENT
) -> Array:
    """Veil of a point [cd/m2 per lux, 1/sr], at angles [degrees] of 0 to 90, same shape.

    >>> float(glare_per_sr(10.0, age_years=35.0).round(2))
    0.06
    """
    t = np.asarray(angle_deg, dtype=np.float64)
    age = (age_years / 70.0) ** 4
    core = 9.2e6 * _fall(t, 0.0046, 1.5) + 1.5e5 * _fall(t, 0.045, 1.5)
    lens = 400.0 * _fall(t, 0.1, 1.0) + 3e-8 * t**2
    wall = 1300.0 * _fall(t, 0.1, 1.5) + 0.8 * _fall(t, 0.1, 0.5)
    return np.asarray(
        (1.0 - 0.08 * age) * core + (1.0 + 1.6 * age) * (lens + pigment * wall) + 2.5e-3 * pigment
    )


def with_glare(colours: Image, focal_px: float) -> Image:
    """Add the eye's veil to a picture (h, w, 3) [cd/m2] of that focal length [pixels].

    What the rim throws out of the picture is made good by what comes in past it, taken to be
    like the rim itself: an even field stays even, and in the middle all light is kept.
    """
    height, width, _ = colours.shape
    shape = (_padded(height), _padded(width))
    spread = _spread(focal_px, shape)
    veiled = colours * _from_beyond(focal_px, (height, width))[..., None]
    for colour in range(3):
        # In double precision: beside a million cd/m2 there may be a tenth.
        waves = np.fft.rfft2(colours[..., colour].astype(np.float64), shape) * spread
        veiled[..., colour] += np.fft.irfft2(waves, shape)[:height, :width]
    # Rounding in the transform may leave a trace below nil in a dark corner.
    return np.asarray(veiled.clip(0.0), dtype=np.float32)


def glare_kernel(focal_px: float, reach_px: int) -> Array:
    """Share of a pixel's light that lands so many pixels off, (2 reach + 1, 2 reach + 1).

    Sums to 1: what would be thrown further than the kernel reaches stays where it is.
    """
    steps = np.arange(-reach_px, reach_px + 1) / focal_px
    off = np.hypot(steps[:, None], steps)
    angle = np.degrees(np.arctan(off))
    kernel = glare_per_sr(np.maximum(angle, _OWN_BLUR_DEG)) * (1.0 + off**2) ** -1.5 / focal_px**2
    part = np.clip(2.0 * off * focal_px / reach_px - 1.0, 0.0, 1.0)
    kernel *= (1.0 - part) ** 2 * (1.0 + 2.0 * part)
    kernel[reach_px, reach_px] = 0.0
    kernel[reach_px, reach_px] = 1.0 - kernel.sum()
    return np.asarray(kernel)


@lru_cache(maxsize=4)
def _spread(focal_px: float, shape: tuple[int, int]) -> Array:
    """Transform of the kernel, its middle at the origin. It is even, so that it is real."""
    padded = np.zeros(shape)
    padded[: 2 * _REACH_PX + 1, : 2 * _REACH_PX + 1] = glare_kernel(focal_px, _REACH_PX)
    padded = np.roll(padded, (-_REACH_PX, -_REACH_PX), axis=(0, 1))
    return np.asarray(np.fft.rfft2(padded).real)


@lru_cache(maxsize=4)
def _from_beyond(focal_px: float, size: tuple[int, int]) -> Array:
    """Share of each pixel's veil that comes from past the rim, shape (h, w)."""
    summed = np.zeros((2 * _REACH_PX + 2, 2 * _REACH_PX + 2))
    summed[1:, 1:] = glare_kernel(focal_px, _REACH_PX).cumsum(axis=0).cumsum(axis=1)
    (top, bottom), (left, right) = (_within(length) for length in size)
    part = summed[bottom][:, right] - summed[top][:, right] - summed[bottom][:, left]
    return np.asarray(1.0 - part - summed[top][:, left])


def _within(length: int) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """First row of the kernel, and the one after its last, that lies on the picture."""
    place = np.arange(length)
    last = np.minimum(_REACH_PX + length - place, 2 * _REACH_PX + 1)
    return np.maximum(_REACH_PX - place, 0), last


def _fall(angle: Array, half: float, power: float) -> Array:
    return np.asarray((1.0 + (angle / half) ** 2) ** -power)


def _padded(length: int) -> int:
    """Room for a picture and its kernel, without prime factors above 5: quick to transform."""
    number = max(length, _REACH_PX + 1) + _REACH_PX
    while _rest(number) > 1:
        number += 1
    return number


def _rest(number: int) -> int:
    for prime in (2, 3, 5):
        while number % prime == 0:
            number //= prime
    return number
