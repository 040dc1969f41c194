"""Read the fields of one table of a design file, noting every mistake and going on.

A field that cannot be read gives a placeholder (NaN for numbers, "" for text), so that the rest
of the file is still checked; the caller raises once, at the end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from lightcalc import units
from lightcalc.problems import Problems, nearest

LONGEST_TEXT = 500
MOST_ENTRIES = 200


@dataclass(frozen=True)
class Limits:
    """The smallest and largest value a field may have, in SI, and how to say so."""

    low: float = -math.inf
    high: float = math.inf
    open_low: bool = False

    def allow(self, value: float) -> bool:
        """Return whether the value lies within the limits."""
        above = value > self.low if self.open_low else value >= self.low
        return above and value <= self.high

    def sentence(self, kind: str | None) -> str:
        """Say what is allowed, in the kind's own units; counts have no kind."""
        low, high = (_say(value, kind) for value in (self.low, self.high))
        if not high:
            return f"it must be more than {low}" if self.open_low else f"it must be {low} or more"
        if self.open_low:
            return f"it must be more than {low} and at most {high}"
        return f"it must be from {low} to {high}"


def _say(value: float, kind: str | None) -> str:
    if not math.isfinite(value):
        return ""
    return f"{value:g}" if kind is None else units.show(value, kind)


POSITIVE = Limits(low=0.0, open_low=True)
SHARE = Limits(low=0.0, high=1.0)


@dataclass
class Section:
    """One table of the file, its place in words, and the list that mistakes go to."""

    table: dict[str, Any]
    where: str
    problems: Problems
    used: set[str] = field(default_factory=set)

    def place(self, key: str) -> str:
        """Return where a key stands, such as `runs.front rail.length`."""
        return f"{self.where}.{key}" if self.where else key

    def _take(self, key: str, required: bool, example: str) -> Any:
        self.used.add(key)
        if key not in self.table and required:
            self.problems.add(self.place(key), f"is missing; write it like this: {key} = {example}.")
        return self.table.get(key)

    def quantity(
        self,
        key: str,
        kind: str,
        example: str,
        limits: Limits = POSITIVE,
        default: float | None = math.nan,
    ) -> Any:
        """Return a quantity in SI. A NaN default makes the field required."""
        required = default is not None and math.isnan(default)
        value = self._take(key, required, f'"{example}"')
        if value is None:
            return default
        try:
            si = units.read(value, kind)
        except units.UnitProblem as problem:
            self.problems.add(self.place(key), str(problem))
            return math.nan
        if not limits.allow(si):
            self.problems.add(self.place(key), f'found "{value}"; {limits.sentence(kind)}.')
            return math.nan
        return si

    def count(self, key: str, limits: Limits, default: float, whole: bool = True) -> float:
        """Return a plain number that needs no unit, such as evenings a week."""
        value = self._take(key, required=False, example="1")
        if value is None:
            return default
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not math.isfinite(value) or (whole and value != int(value)):
            kind = "a whole number" if whole else "a number"
            self.problems.add(self.place(key), f"found {value!r}; write {kind}, such as {default:g}.")
            return default
        if not limits.allow(value):
            self.problems.add(self.place(key), f"found {value}; {limits.sentence(None)}.")
            return default
        return float(value)

    def text(self, key: str, example: str, default: str | None = None) -> str:
        """Return a text; with no default the field is required."""
        value = self._take(key, default is None, f'"{example}"')
        if value is None:
            return default or ""
        if not isinstance(value, str) or (not value.strip() and default is None):
            self.problems.add(
                self.place(key), f'found {value!r}; write a text in quotes, such as "{example}".'
            )
            return ""
        if len(value) > LONGEST_TEXT:
            self.problems.add(
                self.place(key), f"has {len(value)} characters; at most {LONGEST_TEXT} are read."
            )
        return value.strip()

    def optional_text(self, key: str, example: str) -> str | None:
        """Return a text, or None when the field is left out."""
        return self.text(key, example) if key in self.table else None

    def choice(self, key: str, allowed: Sequence[str], default: str) -> str:
        """Return one of the allowed words."""
        value = self.text(key, default, default)
        if value and value not in allowed:
            self.problems.add(self.place(key), f'found "{value}"; {suggest(value, allowed)}')
            return default
        return value

    def flag(self, key: str, default: bool = False) -> bool:
        """Return true or false."""
        value = self._take(key, required=False, example="true")
        if value is None:
            return default
        if not isinstance(value, bool):
            self.problems.add(self.place(key), f"found {value!r}; write true or false.")
            return default
        return value

    def texts(self, key: str, example: str) -> tuple[str, ...]:
        """Return a list of texts; an absent list is empty."""
        value = self._take(key, required=False, example=f'["{example}"]')
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            self.problems.add(self.place(key), f'write a list of texts, such as ["{example}"].')
            return ()
        return tuple(value)

    def section(self, key: str, required: bool = False) -> Section:
        """Return a table inside this one; empty when it is absent."""
        value = self._take(key, required=False, example="{ }")
        if required and value is None:
            self.problems.add(self.place(key), f"is missing; start the part with [{key}].")
        if value is not None and not isinstance(value, dict):
            self.problems.add(self.place(key), "must be a table of keys and values.")
            value = None
        return Section(value or {}, self.place(key), self.problems)

    def sections(self, key: str, required: bool = False) -> list[Section]:
        """Return the tables of a list, each placed by its name or its number."""
        value = self._take(key, required=False, example="[ ]")
        if value is None or value == []:
            if required:
                self.problems.add(self.place(key), f"there is none; add one with [[{key}]].")
            return []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.problems.add(self.place(key), f"write each one as a table, with [[{key}]].")
            return []
        if len(value) > MOST_ENTRIES:
            self.problems.add(
                self.place(key), f"has {len(value)} entries; at most {MOST_ENTRIES} are read."
            )
            return []
        return [
            Section(item, f"{self.place(key)}.{_label(item, number)}", self.problems)
            for number, item in enumerate(value, start=1)
        ]

    def close(self) -> None:
        """Note every key that was not asked for, with the nearest one that would have been."""
        for key in self.table:
            if key not in self.used:
                self.problems.add(
                    self.place(key), f"is not a known key; {suggest(key, sorted(self.used))}"
                )


def _label(item: dict[str, Any], number: int) -> str:
    name = item.get("name")
    return name.strip()[:60] if isinstance(name, str) and name.strip() else str(number)


def suggest(word: str, allowed: Sequence[str]) -> str:
    """Say what is allowed: the nearest name when one is near, else all when they are few.

    >>> suggest("hight", ["height", "name"])
    'did you mean "height"?'
    >>> suggest("zzz", ["height", "name"])
    'allowed are: height, name.'
    """
    near = nearest(word, allowed)
    if near:
        return f'did you mean "{near}"?'
    few = list(allowed)[:12]
    more = f" and {len(allowed) - len(few)} more" if len(allowed) > len(few) else ""
    return f"allowed are: {', '.join(few)}{more}."
