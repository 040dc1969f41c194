"""The columns of a catalogue's files, as the table `columns.csv` describes them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lightcalc.units import scale


@dataclass(frozen=True)
class Condition:
    """Another field of the same row, and the values of it for which a column applies."""

    field: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Limit:
    """An end of the allowed range, in the column's usual unit."""

    value: float
    included: bool


@dataclass(frozen=True)
class Column:
    """One column: how it is headed, what it holds, and what it means.

    `condition` is None for a column that applies to every row. `empty` is the text that an
    empty cell stands for; `=field` is that field's value, and "" that nothing is known.
    """

    file: str
    field: str
    heading: str
    unit: str
    quantity: str
    holds: str
    needed: bool
    condition: Condition | None
    empty: str
    least: Limit | None
    most: Limit | None
    choices: tuple[str, ...]
    meaning: str

    @property
    def example_heading(self) -> str:
        """Return the heading with its usual unit, as in `power (W/m)`."""
        return f"{self.heading} ({self.unit})" if self.unit else self.heading

    def allows(self, value: float) -> bool:
        """Return whether an SI value lies in the range; rounding by one part in 1e9 is let be."""
        if self.least:
            least = self._si(self.least)
            if value < least - 1e-9 * abs(least) or (value <= least and not self.least.included):
                return False
        if self.most:
            most = self._si(self.most)
            return value <= most + 1e-9 * abs(most) and (self.most.included or value < most)
        return True

    def _si(self, limit: Limit) -> float:
        if not self.unit:
            return limit.value
        factor, offset = scale(self.unit, self.quantity)
        return limit.value * factor + offset

    def range_sentence(self) -> str:
        """Return the range in words, as in `more than 0 mm and at most 1000 mm`."""
        parts = []
        if self.least:
            word = "at least" if self.least.included else "more than"
            parts.append(f"{word} {self.least.value:g} {self.unit}".rstrip())
        if self.most:
            word = "at most" if self.most.included else "less than"
            parts.append(f"{word} {self.most.value:g} {self.unit}".rstrip())
        return " and ".join(parts)


def _limit(text: str) -> Limit | None:
    if not text:
        return None
    return Limit(float(text.lstrip("<>")), text[0] not in "<>")


def _need(text: str) -> tuple[bool, Condition | None]:
    _, stated, rule = text.partition("if ")
    if not stated:
        return text == "yes", None
    field, _, values = rule.partition("=")
    return text.startswith("if "), Condition(field, tuple(values.split("|")))


def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a cell that parts them by semicolons.

    >>> words_of("red; green;blue")
    ('red', 'green', 'blue')
    """
    return tuple(word.strip() for word in text.split(";")) if text.strip() else ()


@cache
def columns() -> dict[str, tuple[Column, ...]]:
    """Return the columns of each file of a catalogue, by the file's name with no ending."""
    text = Path(__file__).with_name("columns.csv").read_text(encoding="utf-8")
    by_file: dict[str, list[Column]] = {}
    for row in csv.DictReader(line for line in text.splitlines() if not line.startswith("#")):
        needed, condition = _need(row["needed"])
        column = Column(
            file=row["file"],
            field=row["field"],
            heading=row["heading"],
            unit=row["unit"],
            quantity=row["quantity"],
            holds=row["holds"],
            needed=needed,
            condition=condition,
            empty=row["empty"],
            least=_limit(row["least"]),
            most=_limit(row["most"]),
            choices=words_of(row["choices"]),
            meaning=row["meaning"],
        )
        by_file.setdefault(column.file, []).append(column)
    return {file: tuple(described) for file, described in by_file.items()}
