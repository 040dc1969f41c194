"""Figures of an answer on paper: each carries its path in the JSON answer and its raw value.

A figure is only ever taken from the answer by its path, so paper cannot differ from it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lightcalc import units
from lightcalc.answers.results import Answer
from lightcalc.packet.dimensions import measure
from lightcalc.packet.html import Child, Element, element

HOUR_S = 3600.0
DAYS_A_YEAR = 365.25
# Longer words, such as the name of a part, may be broken into lines.
LONGEST_WHOLE = 16
# What no meter could find is only called small.
LEAST_RATIO = 1e-4
_PLACEHOLDER = re.compile(r"\{([a-z0-9_.]+)\}")
# How a number is shown is told by the end of its name: kind of quantity, scale to SI, digits.
QUANTITIES = {
    "h": ("time", HOUR_S, 2),
    "a": ("current", 1.0, 2),
    "v": ("voltage", 1.0, 4),
    "ratio": ("ratio", 1.0, 2),
    "w": ("power", 1.0, 2),
    "lm": ("luminous_flux", 1.0, 2),
    "c": ("temperature", 1.0, 2),
    "kg": ("mass", 1.0, 2),
}


@dataclass(frozen=True)
class Figures:
    """Everything of one answer that may stand on paper."""

    answer: Answer

    def raw(self, path: str) -> Any:
        """Return what the answer holds at a path such as "supplies.0.hours_h".

        Raises AttributeError, IndexError or KeyError where there is none.
        """
        found: Any = self.answer
        for part in path.split("."):
            found = found[int(part)] if part.isdigit() else getattr(found, part)
        return found

    def show(self, path: str) -> Element:
        """Return the figure at a path, shown as a maker reads it, its raw value beside it."""
        value = self.raw(path)
        words = self._words(path, value)
        kind = "whole" if len(words) <= LONGEST_WHOLE else "words"
        return element("data", words, class_=kind, value=raw_text(value), data_figure=path)

    def _words(self, path: str, value: Any) -> str:
        if value is None or isinstance(value, str):
            return value or "none"
        if not math.isfinite(value):
            return "without end"
        ending = path.rpartition("_")[2]
        return _joined(self._quantity(ending, value))

    def _quantity(self, ending: str, value: float) -> str:
        if ending == "ratio" and 0.0 < value < LEAST_RATIO:
            return "below 0.01 %"
        if ending == "m":
            return measure(value, self.answer.units)
        if ending in QUANTITIES:
            kind, si, digits = QUANTITIES[ending]
            return units.show(value * si, kind, self.answer.units, digits)
        return SHOWN.get(ending, plain)(value)


def raw_text(value: Any) -> str:
    """Write a raw value as the JSON answer has it.

    >>> raw_text(1 / 3), raw_text(None), raw_text(2), raw_text("front rail")
    ('0.333333333', 'null', '2', 'front rail')
    """
    if isinstance(value, float):
        return repr(float(f"{value:.9g}")) if math.isfinite(value) else "null"
    return "null" if value is None else str(value)


def plain(value: float) -> str:
    """Show a plain number to two digits, and whole numbers whole.

    >>> plain(2.6666), plain(1234)
    ('2.7', '1,234')
    """
    return f"{value:,}" if isinstance(value, int) else f"{float(f'{value:.2g}'):,.6g}"


def _days(value: float) -> str:
    if value > 10.0 * DAYS_A_YEAR:
        return "more than 10 years"
    if value > 2.0 * DAYS_A_YEAR:
        return f"{plain(value / DAYS_A_YEAR)} years"
    return "1 day" if round(value) == 1 else f"{plain(value)} days"


def _years(value: float) -> str:
    return "1 year" if plain(value) == "1" else f"{plain(value)} years"


SHOWN: dict[str, Callable[[float], str]] = {"d": _days, "years": _years}


def _joined(text: str) -> str:
    """Keep a number and its unit on one line."""
    return text.replace(" ", "\u00a0")


def fill(text: str, resolve: Callable[[str], Child]) -> tuple[Child, ...]:
    """Put what `resolve` returns for each name in braces in its place.

    >>> fill("about {hours} a charge", lambda name: name.upper())
    ('about ', 'HOURS', ' a charge')
    """
    parts = _PLACEHOLDER.split(text)
    found = (resolve(part) if number % 2 else part for number, part in enumerate(parts))
    return tuple(part for part in found if part != "")
