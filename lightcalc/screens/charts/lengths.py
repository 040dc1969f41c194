"""Axes of length: metres or millimetres, or inches with their feet."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from lightcalc.answers.words import Shower
from lightcalc.screens.charts.style import Spec, axis
from lightcalc.units import scale
from lightcalc.units import show as show_quantity

# Steps between ticks that a tape measure has [in], from an inch to hundreds of feet.
_INCH_STEPS = (1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 36.0, 60.0, 120.0, 240.0, 600.0, 1200.0)
_MOST_TICKS = 6
_LONG_INCH = 36.0
_LOG_INCH = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 8.0, 16.0, 48.0, 96.0, 192.0, 384.0)


@dataclass(frozen=True)
class Lengths:
    """Lengths in one unit, as the axis and the table of a chart have them."""

    unit: str
    show: Shower

    def of(self, lengths_m: Iterable[float]) -> list[float]:
        """Return the lengths in the unit."""
        factor = scale(self.unit, "length").factor
        # Twelve digits, so that a millimetre is not 1.0000000000000002 of them.
        return [float(f"{length_m / factor:.12g}") for length_m in lengths_m]

    def roughly(self, length_m: float) -> str:
        """Return a length as text to two digits, where more would promise too much."""
        return show_quantity(length_m, "length", self.show.system, 2)

    def one(self, length_m: float) -> float:
        """Return one length in the unit."""
        return self.of([length_m])[0]

    def axis(self, title: str, low_m: float, high_m: float) -> Spec:
        """Return an axis from one length to another; long ones in inches say feet and inches."""
        low, high = self.of([low_m, high_m])
        made = axis(f"{title} ({self.unit})", range=[low, high])
        if self.unit == "in" and high - low >= _LONG_INCH:
            made |= self._ticks(low, high) | axis_title(f"{title} (feet and inches)")
        return made

    def _ticks(self, low: float, high: float) -> Spec:
        fits = (step for step in _INCH_STEPS if (high - low) / step <= _MOST_TICKS)
        step = next(fits, _INCH_STEPS[-1])
        ticks = [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
        return {"tickvals": ticks, "ticktext": [self._feet(tick) for tick in ticks]}

    def _feet(self, inches: float) -> str:
        feet, rest = divmod(abs(round(inches)), 12)
        words = " ".join(f"{n} {unit}" for n, unit in ((feet, "ft"), (rest, "in")) if n)
        return f"{'-' if inches < 0 else ''}{words or 0}"

    def log_axis(self, title: str, low_m: float, high_m: float) -> Spec:
        """Return an axis of equal steps for equal multiples."""
        low, high = self.of([low_m, high_m])
        inch = self.unit == "in"
        every = _LOG_INCH if inch else [v * 10.0**n for n in range(-3, 6) for v in (1.0, 2.0, 5.0)]
        ticks = [tick for tick in every if low * 0.99 <= tick <= high * 1.01]
        factor = scale(self.unit, "length").factor
        words = [self.show.length(tick * factor).removesuffix(" in") for tick in ticks]
        return axis(
            f"{title} ({self.unit})",
            type="log",
            range=[math.log10(low), math.log10(high)],
            tickvals=ticks,
            ticktext=words if inch else [f"{tick:g}" for tick in ticks],
            tickangle=0,
        )


def axis_title(text: str) -> Spec:
    """Return the part of an axis that holds its title."""
    return {"title": {"text": text, "standoff": 12}}


def lengths_for(longest_m: float, show: Shower) -> Lengths:
    """Return inches, or metres where there is a whole one, and millimetres below."""
    if show.system == "inch":
        return Lengths("in", show)
    return Lengths("m" if longest_m >= 1.0 else "mm", show)
