"""Rows as CSV for a spreadsheet, in which no cell can begin a formula (RFC 4180)."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

Cell = str | float | None

UNKNOWN = "unknown"
# A spreadsheet takes these for the start of a formula, full-width ones too.
_SIGNS = "=+\\-@\uff1d\uff0b\uff0d\uff20"
_FORMULA = re.compile(rf"(^|[;,|\t\r\n]\s*)(?=\s*[{_SIGNS}]|[\t\r\n])")


def csv_of(rows: Iterable[Sequence[Cell]]) -> str:
    """Return rows as CSV text; numbers stay numbers, None is unknown."""
    text = io.StringIO()
    csv.writer(text).writerows([safe_cell(cell) for cell in row] for row in rows)
    return text.getvalue()


def safe_cell(cell: Cell) -> str:
    """Return what stands in a cell; text that a spreadsheet might work out gets an apostrophe.

    So does what follows a separator within it, for a spreadsheet may be told to split there.

    >>> safe_cell("=1+1"), safe_cell("oak; @sum"), safe_cell(2.50), safe_cell("rail - left")
    ("'=1+1", "oak; '@sum", '2.5', 'rail - left')
    >>> safe_cell(None), safe_cell(1 / 3)
    ('unknown', '0.333333')
    """
    if cell is None:
        return UNKNOWN
    if isinstance(cell, str):
        return _FORMULA.sub(r"\1'", cell)
    return f"{cell:.6g}" if abs(cell) < 1e5 else f"{cell:.12g}"
