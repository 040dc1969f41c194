"""Read the fields of one table of a design file, noting every mistake and going on.

A field that cannot be read gives a placeholder (NaN for numbers, "" for text), so that the rest
of the file is still checked; the caller raises once, at the end.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from lightcalc import units
from lightcalc.design.examples import localised
from lightcalc.problems import Problems, nearest
from lightcalc.toml_text import format_trouble

LONGEST_TEXT = 500
LONGEST_SHOWN = 60
MOST_ENTRIES = 100
MOST_UNKNOWN_KEYS = 20
MOST_CORNERS = 60
# Two and three lengths as a maker would write them.
EXAMPLES = {2: '"5 cm", "2 cm"', 3: '"5 cm", "2 cm", "40 cm"'}


@dataclass(frozen=True)
class Limits:
    """The smallest and largest value a field may have, in SI, and how to say so."""

    low: float
    high: float

    def allow(self, value: float) -> bool:
        """Return whether the value lies within the limits, rounding let be."""
        slack = 1e-9
        low, high = self.low - slack * abs(self.low), self.high + slack * abs(self.high)
        return not value < low and not value > high

    def sentence(self, kind: str | None, system: str = "metric") -> str:
        """Say what is allowed, in the kind's own units; counts have no kind."""
        low, high = (
            f"{value:g}" if kind is None else units.show(value, kind, system)
            for value in (self.low, self.high)
        )
        # Nothing is nothing in any unit, but for a temperature.
        low = "0" if self.low == 0.0 and kind != "temperature" else low
        return f"it must be from {low} to {high}"


SHARE = Limits(low=0.0, high=1.0)


@dataclass
class Section:
    """One table of the file, its place in words, and the list that mistakes go to.

    A table that should be there and is not is one mistake, noted already: `present` is false and
    its fields are not missed one by one. Lengths are told in the units of `system`.
    """

    table: dict[str, Any]
    where: str
    problems: Problems
    present: bool = True
    system: str = "metric"
    used: set[str] = field(default_factory=set)

    def place(self, key: str) -> str:
        """Return where a key stands, such as `runs.front rail.length`."""
        return f"{self.where}.{key}" if self.where else key

    def note(self, key: str, sentence: str) -> None:
        """Note a mistake in one key of this table."""
        self.problems.add(self.place(key), sentence)

    def _take(self, key: str, required: bool, example: str) -> Any:
        self.used.add(key)
        value = self.table.get(key)
        if value is None and required:
            as_here = localised(example, self.system)
            self.note(key, f"is missing; write it like this: {key} = {as_here}")
        return value

    def quantity(
        self,
        key: str,
        kind: str,
        example: str,
        limits: Limits,
        *,
        default: float | None = math.nan,
        hint: str = "",
    ) -> Any:
        """Return a quantity in SI. A NaN default makes the field required.

        The hint says what else the field may hold, and follows what is said of a wrong value.
        """
        required = default is not None and math.isnan(default)
        value = self._take(key, required, f'"{example}"')
        if value is None:
            return default
        try:
            si = units.read(value, kind)
        except units.UnitProblem as problem:
            self.note(key, f"{problem}{hint}")
            return math.nan
        if not limits.allow(si):
            self.note(key, f"found {shown(value)}; {limits.sentence(kind, self.system)}.")
            return math.nan
        return si

    def count(
        self,
        key: str,
        limits: Limits,
        default: float,
        whole: bool = True,
        example: float | None = None,
    ) -> float:
        """Return a plain number that needs no unit, such as evenings a week.

        The example is shown where the default is no number that one would write.
        """
        such = f"{default if example is None else example:g}"
        value = self._take(key, required=False, example="1")
        if value is None:
            return default
        kind = "a whole number" if whole else "a number"
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.note(key, f"found {shown(value)}; write {kind} and no quotes, such as {such}.")
        elif _is_nan(value) or not limits.allow(value):
            self.note(key, f"found {shown(value)}; {limits.sentence(None)}.")
        elif whole and value != int(value):
            self.note(key, f"found {shown(value)}; write {kind}, such as {such}.")
        else:
            return float(value)
        return default

    def text(self, key: str, example: str, default: str | None = None) -> str:
        """Return a text on one line; with no default the field is required."""
        value = self._take(key, default is None, f'"{example}"')
        if value is None:
            return default or ""
        tidy = self._tidy(key, value, example)
        if tidy == "" and default != "":
            self.note(key, f'found an empty text; write it like this: {key} = "{example}"')
        return tidy or ""

    def _tidy(self, key: str, value: Any, example: str) -> str | None:
        """Return the text with single spaces, or None, with the mistake noted."""
        if not isinstance(value, str):
            self.note(key, f'found {shown(value)}; write a text in quotes, such as "{example}".')
            return None
        tidy = " ".join(value.split())
        if len(tidy) > LONGEST_TEXT:
            self.note(key, f"has {len(tidy)} characters; at most {LONGEST_TEXT} are read.")
            return None
        if any(unicodedata.category(sign) == "Cc" for sign in tidy):
            self.note(key, "has signs that cannot be shown; write it again by hand.")
            return None
        return tidy

    def optional_text(self, key: str, example: str) -> str | None:
        """Return a text, or None when the field is left out."""
        self.used.add(key)
        return None if self.table.get(key) is None else self.text(key, example)

    def choice(self, key: str, allowed: Sequence[str], default: str) -> str:
        """Return one of the allowed words, in whatever capitals it is written."""
        value = self.optional_text(key, default)
        if value is None:
            return default
        by_fold = {word.casefold(): word for word in allowed}
        if value and value.casefold() not in by_fold:
            # A short list of words, not the names of a catalogue: all of them are told.
            self.note(key, f"found {shown(value)}; {suggest(value, allowed, len(allowed))}")
        return by_fold.get(value.casefold(), default)

    def flag(self, key: str, default: bool = False) -> bool:
        """Return true or false."""
        value = self._take(key, required=False, example="true")
        if value is None:
            return default
        if not isinstance(value, bool):
            self.note(key, f"found {shown(value)}; write true or false, with no quotes.")
            return default
        return value

    def texts(self, key: str, example: str) -> tuple[str, ...]:
        """Return a list of texts; an absent list is empty."""
        value = self._take(key, required=False, example=f'["{example}"]')
        if value is None:
            return ()
        if not isinstance(value, list):
            self.note(key, f'found {shown(value)}; write a list of texts, such as ["{example}"].')
            return ()
        if len(value) > MOST_ENTRIES:
            self.note(key, f"has {len(value)} entries; at most {MOST_ENTRIES} are read.")
            return ()
        tidy = [self._tidy(key, item, example) for item in value]
        if "" in tidy:
            self.note(key, "found an empty text in the list; fill it in or take it out.")
        return tuple(text for text in tidy if text)

    def lengths(self, key: str, value: Any, count: int, limits: Limits) -> tuple[float, ...]:
        """Return so many lengths from a list that stands under a key; all NaN when it is wrong."""
        nothing = (math.nan,) * count
        if not isinstance(value, list) or len(value) != count:
            found = f"{len(value)} entries" if isinstance(value, list) else shown(value)
            self.note(key, f"found {found}; write {count} lengths, such as {self._places(count)}.")
            return nothing
        found_m = []
        for item in value:
            try:
                length_m = units.read(item, "length")
            except units.UnitProblem as problem:
                self.note(key, str(problem))
                return nothing
            if not limits.allow(length_m):
                self.note(key, f"found {shown(item)}; {limits.sentence('length', self.system)}.")
                return nothing
            found_m.append(length_m)
        return tuple(found_m)

    def place_m(self, key: str, limits: Limits) -> tuple[float, float, float]:
        """Return a place or a size: three lengths, from the left, the front and the floor."""
        value = self._take(key, required=True, example=f"[{EXAMPLES[3]}]")
        if value is None:
            return (math.nan, math.nan, math.nan)
        x, y, z = self.lengths(key, value, 3, limits)
        return (x, y, z)

    def optional_place_m(self, key: str, limits: Limits) -> tuple[float, float, float] | None:
        """Return a place, or None when the field is left out."""
        self.used.add(key)
        return self.place_m(key, limits) if key in self.table else None

    def places_m(
        self, key: str, count: int, least: int, limits: Limits
    ) -> tuple[tuple[float, ...], ...]:
        """Return a list of corners of so many lengths each, at least `least`; none when wrong.

        One mistake is told for a list, that of its first corner that is wrong.
        """
        allowed = f"write {least} to {MOST_CORNERS} places, each like {self._places(count)}."
        value = self._take(key, required=False, example="")
        if value is None:
            self.note(key, f"is missing; {allowed}")
            return ()
        if not isinstance(value, list) or not least <= len(value) <= MOST_CORNERS:
            found = f"{len(value)} of them" if isinstance(value, list) else shown(value)
            self.note(key, f"found {found}; {allowed}")
            return ()
        corners = []
        for corner in value:
            corners.append(self.lengths(key, corner, count, limits))
            if any(math.isnan(length_m) for length_m in corners[-1]):
                return ()
        return tuple(corners)

    def _places(self, count: int) -> str:
        return localised(f"[{EXAMPLES[count]}]", self.system)

    def section(self, key: str, example: str, required: bool = False) -> Section:
        """Return a table inside this one; empty when it is absent."""
        value = self._take(key, required=False, example=example)
        example = localised(example, self.system)
        if value is None and required:
            self.note(key, f"is missing; write it like this: {example}")
        if value is not None and not isinstance(value, dict):
            self.note(key, f"found {shown(value)}; write it like this: {example}")
            value = None
        return Section(value or {}, self.place(key), self.problems, value is not None, self.system)

    def sections(self, key: str, example: str, required: bool = False) -> list[Section]:
        """Return the tables of a list, each placed by its name or its number.

        The example is a whole entry as the maker would write it.
        """
        value = self._take(key, required=False, example=example)
        example = localised(example, self.system)
        if value is None or value == []:
            if required:
                self.note(key, f"there is none; write at least one, like this: {example}")
            return []
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.note(key, f"found {_odd_one(value)}; write each one like this: {example}")
            return []
        if len(value) > MOST_ENTRIES:
            self.note(key, f"has {len(value)} entries; at most {MOST_ENTRIES} are read.")
            return []
        return [
            Section(
                item,
                f"{self.place(key)}.{label(item.get('name'), number)}",
                self.problems,
                system=self.system,
            )
            for number, item in enumerate(value, start=1)
        ]

    def format(self, newest: int) -> None:
        """Note a format of the file that cannot be read."""
        self.used.add("format")
        trouble = format_trouble(self.table, newest)
        if trouble:
            self.note("format", f"found {shown(self.table.get('format'))}; {trouble}")

    def close(self) -> None:
        """Note every key that was not asked for, with the nearest one that would have been."""
        unknown = [key for key in self.table if key not in self.used]
        for key in unknown[:MOST_UNKNOWN_KEYS]:
            self.note(clean(key), f"is not a known key; {suggest(key, sorted(self.used))}")
        if len(unknown) > MOST_UNKNOWN_KEYS:
            more = len(unknown) - MOST_UNKNOWN_KEYS
            self.problems.add(self.where, f"has {more} more keys that are not known.")


def _is_nan(value: float) -> bool:
    # A whole number may be too large for a float.
    return isinstance(value, float) and math.isnan(value)


def _odd_one(value: Any) -> str:
    """Say what stands where a list of tables should."""
    if isinstance(value, list):
        return f"{shown(next(item for item in value if not isinstance(item, dict)))} in the list"
    return shown(value)


@lru_cache(maxsize=4096)
def clean(text: str, longest: int = LONGEST_SHOWN) -> str:
    """Return the start of a text with only signs that can be shown, on one line."""
    tidy = "".join(sign for sign in " ".join(text.split()) if sign.isprintable())
    return tidy if len(tidy) <= longest else f"{tidy[:longest]}..."


def shown(value: Any) -> str:
    """Say what was found, shortly and in the words of the file.

    >>> shown("oak"), shown(True), shown(1.6), shown([1, 2]), shown(10**400)
    ('"oak"', 'true', '1.6', 'a list', 'a number with far too many digits')
    """
    if isinstance(value, str):
        return f'"{clean(value)}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**15:
        return "a number with far too many digits"
    if isinstance(value, int | float):
        return f"{value:.9g}"
    return {"list": "a list", "dict": "a table"}.get(type(value).__name__, "a date or time")


def label(name: object, number: int) -> str:
    """Return how an entry of a list is told from its neighbours: by its name, else its number."""
    return (clean(name) if isinstance(name, str) else "") or str(number)


def suggest(word: str, allowed: Sequence[str], most: int = 12) -> str:
    """Say what is allowed: the nearest name when one is near, else all when they are few.

    >>> suggest("hight", ["height", "name"])
    'did you mean "height"?'
    >>> suggest("zzz", ["height", "name"])
    'allowed are: height, name.'
    >>> suggest("zzz", [])
    'there is none to choose from.'
    """
    if not allowed:
        return "there is none to choose from."
    near = nearest(word[:LONGEST_TEXT], allowed)
    if near:
        return f'did you mean "{near}"?'
    few = list(allowed)[:most]
    more = f" and {len(allowed) - len(few)} more" if len(allowed) > len(few) else ""
    return f"allowed are: {', '.join(few)}{more}."
