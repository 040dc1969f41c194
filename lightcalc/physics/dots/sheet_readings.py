"""What a sheet passes, from readings at the maker's own bench.

::

      lamp                          sample, far         sensor
       *  - - - - - - - - - - - - - - |:::| - - - - - - - |#|      far: nearly only straight
       *  - - - - - - - - - - - - - - - - - - - - - |:::||#|       near: straight + scattered
       |<------------ lamp to sensor -------------------->|
                                      |<- sample to sensor ->|

Both readings are divided by the reading without the sample. The far sample is masked by a
card with a round opening, in line with lamp and sensor; the smaller the opening, the less
scattered light reaches the sensor. What still does is worked out from the sheet's own lobes
and taken off.

The sensor must be flat and cosine-corrected, as a light meter's white dome is; a bare one,
or a telephone's, reads the near sample too low when it scatters. The sample must reach some
five thicknesses past the sensor's rim when it touches, and the lamp must be small and stand
at least ten openings off. Far readings of milky samples say little: a meter good to 3 %
gives the straight share no better than a few thousandths, while one part in ten thousand
can still show an LED. A look at a bare LED through the sample then says more.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from lightcalc.physics.dots.diffusion import require_positive
from lightcalc.physics.dots.lobes import Lobe, sheet_lobes, sideways_share
from lightcalc.physics.dots.sheet import Sheet, fresnel_reflectance, sheet_from_shares

# How far the lobes' share in a cone is off, against a path tracer (one standard error).
_CAUGHT_ERROR = 0.1
_ROUNDS = 12


@dataclass(frozen=True)
class Bench:
    """Where lamp, sample and sensor stand for the far reading."""

    lamp_to_sensor_m: float
    sample_to_sensor_m: float
    opening_diameter_m: float
    """Of the card over the far sample."""
    sensor_diameter_m: float

    def __post_init__(self) -> None:
        """Refuse a bench that cannot give a far reading."""
        require_positive(
            lamp_to_sensor_m=self.lamp_to_sensor_m,
            sample_to_sensor_m=self.sample_to_sensor_m,
            opening_diameter_m=self.opening_diameter_m,
            sensor_diameter_m=self.sensor_diameter_m,
        )
        if self.sample_to_sensor_m >= self.lamp_to_sensor_m:
            raise ValueError("The sample must stand between the lamp and the sensor.")
        lit = self.opening_diameter_m / (1.0 - self.sample_to_sensor_m / self.lamp_to_sensor_m)
        if lit < self.sensor_diameter_m:
            raise ValueError(
                f"The opening lights a disc of {lit * 1e3:.0f} mm at the sensor, which is "
                f"{self.sensor_diameter_m * 1e3:.0f} mm wide; use a wider opening or move the "
                "sample nearer to the lamp."
            )


@dataclass(frozen=True)
class Meter:
    """How good a light meter is; the defaults are common for pocket meters, from memory."""

    linearity_ratio: float = 0.03
    """Standard error of a ratio of two readings, as a share of it."""
    resolution_ratio: float = 0.001
    """Last digit over the reading without the sample."""


@dataclass(frozen=True)
class SheetReading:
    """A sheet as read at the bench; errors are standard errors of the shares."""

    sheet: Sheet
    straight: float
    straight_error: float
    scattered: float
    scattered_error: float

    @property
    def straight_is_nil(self) -> bool:
        """Whether the straight share cannot be told from nil; LEDs may still show."""
        return self.straight < 2.0 * self.straight_error


def sheet_from_readings(
    near_ratio: float,
    far_ratio: float,
    bench: Bench,
    thickness_m: float,
    *,
    refractive_index: float = 1.5,
    meter: Meter = Meter(),
) -> SheetReading:
    """Sheet whose near and far readings, over those without it, are as given.

    ``near = straight + scattered`` and ``far = straight + caught``, where what the sensor
    catches of the scattered light follows from the sheet found (a few rounds). Takes some
    0.3 s. Raises ValueError for readings that no sheet gives.

    >>> bench = Bench(1.0, 0.4, 0.03, 0.02)
    >>> read = sheet_from_readings(0.30, 0.281, bench, 0.003)
    >>> round(read.straight, 3), round(read.straight_error, 3), round(read.scattered, 3)
    (0.28, 0.009, 0.02)
    """
    errors = [_reading_error(ratio, meter) for ratio in (near_ratio, far_ratio)]
    near = _allowed_near(near_ratio, errors[0], refractive_index)
    if not 0.0 <= far_ratio <= near + 3.0 * math.hypot(*errors):
        raise ValueError(
            f"The far reading is {far_ratio:.3g} of that without the sample, the near one "
            f"{near_ratio:.3g}; the far one must be 0 or more and not above the near one."
        )
    far = min(far_ratio, near)

    def straight_with(caught: float) -> float:
        return (far - caught * near) / (1.0 - caught)

    def caught_of(lobes: tuple[Lobe, ...]) -> float:
        return caught_share(lobes, bench)

    sheet, straight, caught = _settled(
        near, thickness_m, refractive_index, straight_with, caught_of
    )
    # straight = (far - x near) / (1 - x), scattered = (near - far) / (1 - x); x the share caught.
    left = 1.0 - caught
    by_caught = (near - far) / left**2 * _CAUGHT_ERROR * caught
    return SheetReading(
        sheet=sheet,
        straight=straight,
        straight_error=math.hypot(errors[1] / left, caught * errors[0] / left, by_caught),
        scattered=near - straight,
        scattered_error=math.hypot(errors[0] / left, errors[1] / left, by_caught),
    )


def sheet_from_target(
    near_ratio: float,
    contrast_ratio: float,
    screen_half_angle_deg: float,
    thickness_m: float,
    *,
    refractive_index: float = 1.5,
    meter: Meter = Meter(),
    contrast_error: float = 0.03,
) -> SheetReading:
    """Sheet from its near reading and the contrast of printed bars seen through it.

    ``near_ratio`` is the near reading as above. The bars, black and white in equal parts, are
    printed on clear film over a lit white screen, with the sample well in front of it (ten
    bar widths or more) and the room dark. ``contrast_ratio`` is the contrast
    ``(white - black) / (white + black)`` of a photo through the sample over that of the same
    photo without it, from brightnesses that are in proportion to light (raw, not as shown);
    ``contrast_error`` its standard error. Straight light keeps the contrast, scattered light
    adds the screen's mean: ``contrast = straight / (straight + seen * scattered)``, with the
    part of the lobes that the screen fills, ``screen_half_angle_deg`` seen from the sample.

    Good for hazes of about 5 to 95 %. The haze must spread light wider than a bar looks from
    the sample, or the bars show in the glow too. A target touching the sample says
    little about shares: there scattered light keeps the contrast as well.
    Raises ValueError for readings that no sheet gives.

    >>> read = sheet_from_target(0.75, 0.4, 45.0, 0.003)
    >>> round(read.straight, 2), round(read.scattered, 2)
    (0.26, 0.49)
    """
    if not 0.0 <= contrast_ratio <= 1.0 + 3.0 * contrast_error:
        raise ValueError(f"The contrast ratio is {contrast_ratio}; it must lie between 0 and 1.")
    if not 0.0 < screen_half_angle_deg <= 90.0:
        raise ValueError(f"The half angle is {screen_half_angle_deg}; it must be 0 to 90 degrees.")
    error = _reading_error(near_ratio, meter)
    near = _allowed_near(near_ratio, error, refractive_index)
    contrast = min(contrast_ratio, 1.0)

    def straight_at(contrast: float, seen: float) -> float:
        if contrast >= 1.0:
            return near
        return contrast * seen * near / (1.0 - contrast + contrast * seen)

    def seen_of(lobes: tuple[Lobe, ...]) -> float:
        return share_within(lobes, screen_half_angle_deg)

    sheet, straight, seen = _settled(
        near, thickness_m, refractive_index, lambda seen: straight_at(contrast, seen), seen_of
    )
    # Where nothing is scattered there are no lobes; the error is that of a matt glow.
    seen = seen or math.sin(math.radians(screen_half_angle_deg)) ** 2
    low, high = max(contrast - contrast_error, 0.0), min(contrast + contrast_error, 1.0)
    by_contrast = (straight_at(high, seen) - straight_at(low, seen)) * contrast_error / (high - low)
    by_seen = abs(straight - straight_at(contrast, seen * (1.0 - _CAUGHT_ERROR)))
    share = straight / near
    return SheetReading(
        sheet=sheet,
        straight=straight,
        straight_error=math.hypot(by_contrast, by_seen, share * error),
        scattered=near - straight,
        scattered_error=math.hypot(by_contrast, by_seen, (1.0 - share) * error),
    )


def caught_share(lobes: tuple[Lobe, ...], bench: Bench) -> float:
    """Scattered light that the far reading still takes in, per light scattered through the sample.

    Summed over the opening and the sensor; the lobes are taken to turn with the lamp's ray.

    >>> round(caught_share((Lobe(0.5, 0.0),), Bench(1.0, 0.4, 0.03, 0.02)), 5)
    0.0039
    """
    scattered = sum(lobe.share for lobe in lobes)
    if scattered == 0.0:
        return 0.0
    node, weight = np.polynomial.legendre.leggauss(16)
    part, weight = (node + 1.0) / 2.0, weight / 2.0
    round_angles = (np.arange(16) + 0.5) * math.pi / 8.0
    out = (part * bench.opening_diameter_m / 2.0)[:, None, None]
    area = (2.0 * math.pi * weight * part * (bench.opening_diameter_m / 2.0) ** 2)[:, None, None]
    # Four rings of equal area stand for the sensor.
    aside = np.sqrt((np.arange(4) + 0.5) / 4.0) * bench.sensor_diameter_m / 2.0
    to_sample = bench.lamp_to_sensor_m - bench.sample_to_sensor_m
    arriving = np.stack(
        np.broadcast_arrays(out / to_sample, 0.0 * aside * round_angles[:, None], 1.0)
    )
    going = np.stack(
        np.broadcast_arrays(
            (aside * np.cos(round_angles)[:, None] - out) / bench.sample_to_sensor_m,
            aside * np.sin(round_angles)[:, None] / bench.sample_to_sensor_m,
            1.0,
        )
    )
    cosine_in, cosine_out = (1.0 / np.sqrt((ray**2).sum(axis=0)) for ray in (arriving, going))
    turned = np.clip((arriving * going).sum(axis=0) * cosine_in * cosine_out, 0.0, 1.0)
    light = sideways_share(lobes, turned) * cosine_in**3 * cosine_out**4
    sums = (light.mean(axis=1) * area[:, 0]).sum(axis=0)
    nearer = (bench.lamp_to_sensor_m / to_sample / bench.sample_to_sensor_m) ** 2
    return float(sums.mean()) * nearer / scattered


def share_within(lobes: tuple[Lobe, ...], half_angle_deg: float) -> float:
    """Part of the scattered light that stays within an angle of a beam at the normal.

    >>> round(share_within((Lobe(0.3, 0.0),), 30.0), 9)
    0.25
    """
    cosine = math.cos(math.radians(half_angle_deg))
    scattered = sum(lobe.share for lobe in lobes)
    beyond = sum(lobe.share * cosine ** (lobe.exponent + 2.0) for lobe in lobes)
    return 1.0 - beyond / scattered if scattered > 0.0 else 0.0


def _settled(
    near: float,
    thickness_m: float,
    refractive_index: float,
    straight_with: Callable[[float], float],
    part_of: Callable[[tuple[Lobe, ...]], float],
) -> tuple[Sheet, float, float]:
    """Sheet, straight share and part of the glow seen, when each agrees with the others."""
    part, straight = 0.0, -1.0
    for _ in range(_ROUNDS):
        last, straight = straight, min(max(straight_with(part), 0.0), near)
        sheet = sheet_from_shares(thickness_m, straight, near - straight, refractive_index)
        if abs(straight - last) < 1e-5:
            break
        part = part_of(sheet_lobes(sheet, thickness_m))
    return sheet, straight, part


def _reading_error(ratio: float, meter: Meter) -> float:
    return math.hypot(meter.linearity_ratio * ratio, meter.resolution_ratio)


def _allowed_near(near_ratio: float, error: float, refractive_index: float) -> float:
    """Refuse a near reading above what two faces leave, but for the meter's error."""
    face = fresnel_reflectance(refractive_index)
    most = (1.0 - face) / (1.0 + face)
    if not 0.0 < near_ratio <= most + 3.0 * error:
        raise ValueError(
            f"The near reading is {near_ratio:.3g} of that without the sample; it must be above "
            f"0, and two faces leave at most {most:.3f}."
        )
    return min(near_ratio, most)
