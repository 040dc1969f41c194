"""Read one CSV file of a catalogue to rows of checked values."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import StringIO
from itertools import zip_longest
from pathlib import Path
from typing import Any

from lightcalc.files import NotPlainError, TooLargeError, leads_out, read_plain_file
from lightcalc.parts.cells import (
    NOTHING,
    CellProblem,
    amp_hours,
    is_energy,
    light_of_a_metre,
    read_cell,
    shown,
)
from lightcalc.parts.columns import Column, columns
from lightcalc.parts.rules import rules
from lightcalc.problems import Problems, nearest
from lightcalc.units import Scale, UnitProblem, is_light_a_watt, scale

# Far more than anyone types, and little enough to be read in no time.
LARGEST_BYTES = 300_000
MOST_ROWS = 2_000
MOST_COLUMNS = 200
MOST_PROBLEMS = 200
_CENTS = re.compile("[0-9]{2}")
_NO_UNIT = Scale(1.0, 0.0)

Row = tuple[int, list[str]]


class Unreadable(Exception):  # noqa: N818 - read as a sentence where it is raised
    """The file as a whole cannot be used; the sentence says why."""


class _NotRead(Exception):  # noqa: N818 - no mistake of its own
    """A cell that cannot be read because of a mistake noted elsewhere."""


@dataclass(frozen=True)
class Heading:
    """A column as this file heads it; the scale is None when its unit has a mistake."""

    column: Column
    text: str
    scale: Scale | None


@dataclass
class _Reader:
    """What is known while one file is read; mistakes are noted and reading goes on."""

    problems: Problems
    headings: list[Heading | None]
    width: int
    lines_by_name: dict[str, int] = field(default_factory=dict)

    def note(self, line: int, column: Column, sentence: str) -> None:
        """Note a mistake in a column, named as this file heads it."""
        own = (heading.text for heading in self.headings if heading and heading.column is column)
        self.problems.add(f"row {line}, {next(own, column.example_heading)}", sentence)


def read_text(path: Path) -> str:
    """Return the text of a catalogue's file, with no byte-order mark.

    Raises Unreadable when it is missing, too large, not UTF-8, or no plain file in its folder.
    """
    data = read_data(path)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        raise Unreadable(f"is not UTF-8 (line {line}); save it as CSV or text in UTF-8.") from None


def read_data(path: Path) -> bytes:
    """Return what a catalogue's file holds; Unreadable as `read_text`, but for its letters."""
    try:
        if leads_out(path, path.parent):
            raise Unreadable("is a link to another folder; put the file itself there.")
        return read_plain_file(path, LARGEST_BYTES)
    except FileNotFoundError:
        raise Unreadable("is missing.") from None
    except (IsADirectoryError, NotPlainError):
        raise Unreadable("is not a plain file.") from None
    except OSError as problem:
        raise Unreadable(f"cannot be read ({problem.strerror}).") from None
    except TooLargeError:
        raise Unreadable(f"is larger than {LARGEST_BYTES // 1000} kB; no more is read.") from None


def _rows(text: str) -> Iterator[Row]:
    """Yield the line number and cells of each row; blank lines and lines with # are skipped."""
    lines = ("\n" if line.startswith("#") else line for line in StringIO(text, newline=""))
    reader = csv.reader(lines, strict=True)
    count = 0
    try:
        for cells in reader:
            if len(cells) > MOST_COLUMNS:
                raise Unreadable(
                    f"has {len(cells)} columns in row {reader.line_num}; at most {MOST_COLUMNS} "
                    "are read."
                )
            if not any(cell.strip() for cell in cells):
                continue
            count += 1
            if count > MOST_ROWS + 1:
                raise Unreadable(f"has more than {MOST_ROWS} rows; at most those are read.")
            yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as problem:
        raise Unreadable(
            f"has a row that cannot be taken apart near line {reader.line_num} ({problem}); look "
            "for a quotation mark with no partner."
        ) from None


def read_table(path: Path, file: str, problems: Problems) -> list[dict[str, Any]]:
    """Return the rows of one file as values by field, in SI; every mistake is noted.

    Only rows with no mistake are returned, and none when the file cannot be used as a whole.
    """
    found: list[dict[str, Any]] = []
    try:
        rows = _rows(read_text(path))
        first = next(rows, None)
        if first is None:
            raise Unreadable("is empty; its first row holds the headings.")
        width = len(first[1])
        reader = _Reader(problems, _read_headings(first, file, problems), width)
        for line, cells in rows:
            values = _read_row(reader, file, line, cells)
            if values is not None:
                found.append(values)
            if len(problems.found) >= MOST_PROBLEMS:
                problems.add("", f"more than {MOST_PROBLEMS} mistakes; the rest is not listed.")
                break
    except Unreadable as problem:
        problems.add("", str(problem))
    return found


def _read_headings(first: Row, file: str, problems: Problems) -> list[Heading | None]:
    """Return the heading of each column, None where it is not known."""
    line, texts = first
    if len(texts) == 1 and ";" in texts[0]:
        raise Unreadable("parts its cells by semicolons; save it with commas between cells.")
    described = {column.heading.casefold(): column for column in columns()[file]}
    headings: list[Heading | None] = []
    seen: set[str] = set()
    while not texts[-1]:
        texts.pop()
    for number, text in enumerate(texts, start=1):
        heading = _read_heading(text, described, line, problems) if text else None
        if not text:
            problems.add(f"row {line}, column {number}", "has no heading; write one or delete it.")
        if heading and heading.column.field in seen:
            problems.add(f"row {line}, {heading.text}", "heads two columns; keep one of them.")
            heading = None
        if heading:
            seen.add(heading.column.field)
        headings.append(heading)
    for column in described.values():
        if column.field not in seen and column.needed and not column.condition:
            problems.add(f"row {line}", f'the column "{column.example_heading}" is missing.')
    return headings


def _read_heading(
    text: str, described: dict[str, Column], line: int, problems: Problems
) -> Heading | None:
    """Take `power (W/ft)` apart and return its column and the scale of its unit.

    None when there is no such column; the scale is None when the unit is not right.
    """
    text = shown(text)
    place = f"row {line}, {text}"
    name, bracket, rest = text.partition("(")
    unit = rest.rstrip(") ").strip()
    column = described.get(" ".join(name.split()).casefold())
    if column is None:
        near = nearest(name.strip(), [known.heading for known in described.values()])
        known = described[near.casefold()].example_heading if near else ""
        hint = (
            f'did you mean "{known}"?'
            if near
            else f"known are: {', '.join(known.heading for known in described.values())}."
        )
        problems.add(place, f"is not a known column; {hint}")
        return None
    if bool(bracket) != bool(column.unit):
        fault = "needs its unit in the heading" if column.unit else "has no unit"
        problems.add(place, f"{fault}; write it as {column.example_heading}.")
        return Heading(column, text, None)
    if not column.unit:
        return Heading(column, text, _NO_UNIT)
    try:
        return Heading(column, text, scale(unit, column.quantity))
    except UnitProblem as problem:
        sentence = str(problem).partition(";")[0]
        problems.add(place, f"{sentence}; write it as {column.example_heading}.")
        return Heading(column, text, None)


def _read_row(reader: _Reader, file: str, line: int, cells: list[str]) -> dict[str, Any] | None:
    """Return the values of one row by field, or None when there is a mistake in it."""
    before = len(reader.problems.found)
    # A spreadsheet fills its first row up too: what is wider was parted by a comma too many.
    if len(cells) > reader.width or any(cells[len(reader.headings) :]):
        reader.problems.add(
            f"row {line}",
            f"has {len(cells)} cells under {len(reader.headings)} headings; write a number with a "
            "point for decimals, put a cell that holds a comma in quotation marks, and end a row "
            "with no comma too many.",
        )
        return None
    _note_parted_prices(reader, line, cells)
    texts = {
        heading.column.field: (heading, cell or "")
        for heading, cell in zip_longest(reader.headings, cells)
        if heading
    }
    values: dict[str, Any] = {}
    for column in columns()[file]:
        try:
            values[column.field] = _read_field(column, texts, values)
        except CellProblem as problem:
            reader.note(line, column, str(problem))
        except _NotRead:
            pass
    _check_row(reader, file, line, values)
    complete = len(values) == len(columns()[file])
    return values if complete and len(reader.problems.found) == before else None


def _note_parted_prices(reader: _Reader, line: int, cells: list[str]) -> None:
    """Note `0,49` that a comma parted into a price of nothing and a figure of the next column."""
    for heading, cell, after in zip(reader.headings, cells, cells[1:], strict=False):
        priced = heading is not None and heading.column.field.startswith("price")
        if heading and priced and cell == "0" and _CENTS.fullmatch(after):
            reader.note(
                line,
                heading.column,
                f'found "0" and after it "{after}"; a comma parts cells, so write the price as '
                f"0.{after}. What costs nothing has an empty price.",
            )


def _check_row(reader: _Reader, file: str, line: int, values: dict[str, Any]) -> None:
    """Note a name used twice, and every rule that the values of the row break."""
    by_field = {column.field: column for column in columns()[file]}
    name = values.get("name")
    if name is not None:
        first = reader.lines_by_name.setdefault(name.casefold(), line)
        if first != line:
            sentence = f'the name "{name}" is already used in row {first}.'
            reader.note(line, by_field["name"], sentence)
    for rule in rules(file):
        if all(field in values for field in rule.fields):
            broken = rule.check(*(values[field] for field in rule.fields))
            if broken:
                reader.note(line, by_field[rule.fields[0]], broken)


def _read_field(
    column: Column, texts: dict[str, tuple[Heading, str]], values: dict[str, Any]
) -> Any:
    """Return the value of one cell.

    Raises CellProblem for a mistake in it, and _NotRead when it hangs on another mistake.
    """
    heading, text = texts.get(column.field, (None, ""))
    applies, because = True, ""
    if column.condition:
        if column.condition.field not in values:
            raise _NotRead
        stated = values[column.condition.field]
        applies, because = stated in column.condition.values, f" for {stated}"
    if not text:
        if not (column.needed and applies):
            return _empty_value(column, values)
        if heading or column.condition:
            raise CellProblem(f"is empty; it is needed{because}: {column.meaning}.")
        raise _NotRead
    if not applies and column.condition:
        only = " or ".join(column.condition.values)
        raise CellProblem(f'found "{shown(text)}"; it is only for {only}. Leave it empty.')
    if heading is None or heading.scale is None:
        raise _NotRead
    if column.holds == "capacity" and is_energy(text):
        if "nominal_v" not in values:
            raise _NotRead
        text = amp_hours(text, values["nominal_v"])
    if column.holds == "light" and is_light_a_watt(text):
        if "power_w_per_m" not in values:
            raise _NotRead
        text = light_of_a_metre(text, values["power_w_per_m"])
    return read_cell(text, column, heading.scale)


def _empty_value(column: Column, values: dict[str, Any]) -> Any:
    """Return what an empty cell of the column stands for."""
    if column.empty.startswith("="):
        if column.empty[1:] not in values:
            raise _NotRead
        return values[column.empty[1:]]
    if column.empty:
        unit = scale(column.unit, column.quantity) if column.unit else _NO_UNIT
        return read_cell(column.empty, column, unit)
    return NOTHING.get(column.holds)
