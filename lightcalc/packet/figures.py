"""Figures of an answer on paper: each carries its path in the JSON answer and its raw value.

A figure is only ever taken from the answer by its path, so paper cannot differ from it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lightcalc.answers.results import Answer
from lightcalc.answers.words import Shower
from lightcalc.packet.dimensions import measure
from lightcalc.packet.html import Child, Element, element

# Longer words, such as the name of a part, may be broken into lines.
LONGEST_WHOLE = 16
_PLACEHOLDER = re.compile(r"\{([a-z0-9_.]+)\}")


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

    def show(self, path: str, words: str = "") -> Element:
        """Return the figure at a path, shown as a maker reads it, its raw value beside it.

        `words` are its own where it must be told from a figure beside it.
        """
        value = self.raw(path)
        words = _joined(words) if words else self._words(path, value)
        kind = "whole" if len(words) <= LONGEST_WHOLE else "words"
        return element("data", words, class_=kind, value=raw_text(value), data_figure=path)

    def _words(self, path: str, value: Any) -> str:
        name = path.rpartition(".")[2]
        if value is None or value == "":
            return "none"
        if not isinstance(value, str):
            if not math.isfinite(value):
                return "without end"
            if name.endswith("_m"):
                return _joined(measure(value, self.answer.units))
            return _joined(Shower(self.answer.units).named(name, value))
        return Shower(self.answer.units).named(name, value)


def raw_text(value: Any) -> str:
    """Write a raw value as the JSON answer has it.

    >>> raw_text(1 / 3), raw_text(None), raw_text(2), raw_text("front rail")
    ('0.333333333', 'null', '2', 'front rail')
    """
    if isinstance(value, float):
        return repr(float(f"{value:.9g}")) if math.isfinite(value) else "null"
    return "null" if value is None else str(value)


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
