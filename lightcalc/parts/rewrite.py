"""Write a catalogue again with some figures changed, every other sign of it as it was."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from io import StringIO
from pathlib import Path

from lightcalc.files import put_folder
from lightcalc.parts.catalogue import KINDS
from lightcalc.parts.columns import Column, columns
from lightcalc.parts.table import Unreadable, read_data, read_text
from lightcalc.problems import BadInput, Problem
from lightcalc.units import Scale, scale

Value = float | tuple[float, ...] | tuple[tuple[float, float], ...]
Rows = Mapping[str, Mapping[str, Value]]
"""New values in SI, by the name of the row and the field."""

DIGITS = 4
_NO_UNIT = Scale(1.0, 0.0)


def write_catalogue(source: Path, folder: Path, changes: Mapping[str, Rows]) -> None:
    """Write a catalogue to a new or empty folder, with changes by file and row.

    Raises BadInput when the folder holds anything, for nothing is ever written over, or when a
    file of the catalogue cannot be read any more.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        sentence = "is not empty, and nothing is written over; name a new folder."
        raise BadInput([Problem(str(folder), "", sentence)])
    written = changed_files(source, changes)
    # Without its first file, which goes last, a folder is no catalogue.
    put_folder(folder, dict(reversed(written.items())))


def changed_files(source: Path, changes: Mapping[str, Rows]) -> dict[str, bytes]:
    """Return the files of a catalogue by name, with changes by file and row."""
    names = ["catalogue.toml", *(f"{file}.csv" for file in KINDS)]
    written = {}
    for name in names:
        path = source / name
        rows = changes.get(path.stem) if name.endswith(".csv") else None
        try:
            data = read_data(path)
            written[name] = rewritten(read_text(path), path.stem, rows).encode() if rows else data
        except Unreadable as problem:
            raise BadInput([Problem(name, "", str(problem))]) from None
    return written


def rewritten(text: str, file: str, rows: Rows) -> str:
    r"""Return the text of one file with the values of some rows changed, in the file's own units.

    Lines that do not change stay as they are, sign by sign. A field that the file has no column
    for gets one at the end.

    >>> text = "# mine\nname,capacity (mAh)\nred,2000\nblue,900\n"
    >>> print(rewritten(text, "packs", {"red": {"capacity_coulomb": 6840.0}}), end="")
    # mine
    name,capacity (mAh)
    red,1900
    blue,900
    """
    described = {column.field: column for column in columns()[file]}
    wanted = dict.fromkeys(field for row in rows.values() for field in row)
    # As a table is read: a comment may hold other signs that end a line.
    lines = list(StringIO(text, newline=""))
    headings: dict[str, tuple[int, Scale]] | None = None
    for number, line in enumerate(lines):
        cells = [] if line.startswith("#") else next(csv.reader([line]), [])
        if not any(cell.strip() for cell in cells):
            continue
        if headings is None:
            headings, added = _headings(cells, described, wanted)
            if added:
                lines[number] = _joined([*cells, *added], line)
            continue
        name = "".join(cells[headings["name"][0] :][:1]).strip()
        if name in rows:
            lines[number] = _joined(_changed(cells, rows[name], headings, described), line)
    return "".join(lines)


def _headings(
    cells: list[str], described: Mapping[str, Column], wanted: Mapping[str, None]
) -> tuple[dict[str, tuple[int, Scale]], list[str]]:
    """Find each field's place and unit, and what headings must be added."""
    by_heading = {column.heading.casefold(): column for column in described.values()}
    found: dict[str, tuple[int, Scale]] = {}
    for place, text in enumerate(cells):
        name, _, rest = text.partition("(")
        column = by_heading.get(" ".join(name.split()).casefold())
        if column is not None:
            unit = rest.rstrip(") ").strip()
            found[column.field] = (place, scale(unit, column.quantity) if unit else _NO_UNIT)
    added = [described[field].example_heading for field in wanted if field not in found]
    for place, field in enumerate((f for f in wanted if f not in found), start=len(cells)):
        column = described[field]
        unit_scale = scale(column.unit, column.quantity) if column.unit else _NO_UNIT
        found[field] = (place, unit_scale)
    return found, added


def _changed(
    cells: list[str],
    row: Mapping[str, Value],
    headings: Mapping[str, tuple[int, Scale]],
    described: Mapping[str, Column],
) -> list[str]:
    new = list(cells)
    for field, value in row.items():
        place, unit = headings[field]
        new += [""] * (place + 1 - len(new))
        new[place] = _cell(value, described[field], unit)
    return new


def _cell(value: Value, column: Column, unit: Scale) -> str:
    def number(si: float) -> str:
        plain = f"{(si - unit.offset) / unit.factor:.{DIGITS}g}"
        return f"{float(plain):f}".rstrip("0").rstrip(".") if "e" in plain else plain

    if not isinstance(value, tuple):
        return number(value)
    if column.holds == "pairs":
        # As a cell is read, both numbers of a pair are in the heading's unit.
        return "; ".join(":".join(number(one) for one in pair) for pair in value)  # type: ignore[union-attr]
    return "; ".join(number(one) for one in value)  # type: ignore[arg-type]


def _joined(cells: list[str], line: str) -> str:
    ending = line[len(line.rstrip("\r\n")) :]
    out = StringIO()
    csv.writer(out, lineterminator="").writerow([_tidy(cell) for cell in cells])
    return out.getvalue() + ending


def _tidy(cell: str) -> str:
    return cell.rstrip("\r\n")
