"""Show SI values as a maker writes them, in metric units or in those of the inch."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from lightcalc.units.scales import kinds, scale

# Below an inch: what is as good as on a mark of the rule, what the marks are too coarse for, and
# how many digits they are good for.
FITS_IN, LEAST_FRACTION_IN, RULE_DIGITS = 0.0005, 0.25, 3


def _digits(value: float, digits: int) -> str:
    """Return the value with that many significant digits and no trailing noise.

    >>> _digits(1.6000001, 3), _digits(12345.6, 3), _digits(0.0, 3)
    ('1.6', '12,300', '0')
    """
    rounded = float(f"{value:.{digits - 1}e}") + 0.0
    places = max(0, digits - 1 - math.floor(math.log10(abs(rounded)))) if rounded else 0
    plain = f"{rounded:,.{places}f}" if abs(rounded) >= 10_000 else f"{rounded:.{places}f}"
    return plain.rstrip("0").rstrip(".") if "." in plain else plain


def show(value: float, kind: str, system: str = "metric", digits: int = 3) -> str:
    """Return the SI value as a maker writes it, in metric units or in those of the inch.

    Inches come in fractions down to sixteenths, or thirty-seconds below an inch, times in hours
    and minutes.

    >>> show(1.6, "length"), show(1.6002, "length", "inch"), show(9000.0, "time")
    ('1.6 m', '5 ft 3 in', '2 h 30 min')
    """
    if not math.isfinite(value):
        raise ValueError(f"only finite values are shown as {kind}, not {value}")
    if kind == "time" and 60 <= abs(value) < 172_800:
        return _sign(value) + _show_clock(abs(value), digits)
    if kind == "length" and system == "inch":
        return _sign(value) + _show_inches(abs(value), digits)
    unit = _display_unit(value, kind, system, digits)
    gap = "" if unit == "°" else " "
    return f"{_number_in(value, unit, kind, digits)}{gap}{unit}"


def _sign(value: float) -> str:
    return "-" if value < 0 else ""


def _display_unit(value: float, kind: str, system: str, digits: int) -> str:
    """Return the largest unit that the value, once rounded, is not too small for."""
    row = kinds()[kind]
    units = row.inch if system == "inch" else row.metric
    size = abs(float(f"{value:.{digits - 1}e}"))
    return [unit for unit, least in units.items() if size >= least * (1 - 1e-9)][-1]


def _number_in(value: float, unit: str, kind: str, digits: int) -> str:
    factor, offset = scale(unit, kind)
    number = (value - offset) / factor
    return _digits(round(number, 9) if offset else number, digits)


def _show_clock(seconds: float, digits: int) -> str:
    """Return hours and minutes, rounded to a step of the clock that suits the digits."""
    wanted = seconds * 10.0 ** (1 - digits) / 60.0
    step = max((step for step in (1, 5, 10, 15, 30, 60) if step <= wanted), default=1)
    if seconds < 600:
        return f"{_digits(seconds / 60, digits)} min"
    hours, minutes = divmod(round(seconds / 60 / step) * step, 60)
    return " ".join(f"{n} {unit}" for n, unit in ((hours, "h"), (minutes, "min")) if n)


def _show_inches(metres: float, digits: int) -> str:
    """Return feet, inches and sixteenths; below an inch thirty-seconds, as a rule has them.

    Less than a quarter inch is decimal where no thirty-second fits: they are too coarse for it,
    and so they are where more than three digits are asked.

    >>> _show_inches(0.013, 3), _show_inches(0.0021, 3), _show_inches(0.013, 4)
    ('1/2 in', '0.0827 in', '0.5118 in')
    """
    inch_m = scale("in", "length").factor
    inches = metres / inch_m
    if inches < 1:
        parts = Fraction(round(inches * 32), 32)
        fits = abs(inches - parts) <= FITS_IN
        if fits or (inches >= LEAST_FRACTION_IN and digits <= RULE_DIGITS):
            return f"{parts} in"
        return f"{_digits(inches, digits)} in"
    sixteenths = round(inches * 16)
    whole, rest = divmod(sixteenths, 16)
    in_feet = sixteenths / 16 * inch_m >= kinds()["length"].inch["ft"] * (1 - 1e-9)
    feet, whole = divmod(whole, 12) if in_feet else (0, whole)
    fraction = str(Fraction(rest, 16)) if rest else ""
    number = " ".join(part for part in (str(whole) if whole else "", fraction) if part)
    if feet:
        return f"{feet} ft {number} in" if number else f"{feet} ft"
    return f"{number or 0} in"


def show_at_least(length_m: float, system: str = "metric") -> str:
    """Return a length to cut or keep, which must not be less: in inches up to the next sixteenth.

    >>> show_at_least(0.012, "inch"), show_at_least(0.012)
    ('1/2 in', '12 mm')
    """
    if system != "inch":
        return show(length_m, "length")
    inch_m = scale("in", "length").factor
    return show(math.ceil(length_m / inch_m * 16 - 1e-6) / 16 * inch_m, "length", "inch")


def show_range(low: float, high: float, kind: str, system: str = "metric", digits: int = 3) -> str:
    """Return a band as `1.2 to 1.6 m`, or one value when both ends show the same.

    >>> show_range(1.2, 1.6, "length"), show_range(1.6, 1.6, "length")
    ('1.2 to 1.6 m', '1.6 m')
    >>> show_range(7800.0, 9000.0, "time")
    '2 h 10 min to 2 h 30 min'
    """
    first, last = show(low, kind, system, digits), show(high, kind, system, digits)
    if first == last:
        return last
    unit = last.partition(" ")[2]
    if unit == first.partition(" ")[2] and not re.search("[0-9]", unit):
        return f"{first.removesuffix(unit).rstrip()} to {last}"
    return f"{first} to {last}"
