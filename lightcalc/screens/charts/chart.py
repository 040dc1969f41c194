"""What a chart is to the page: a figure, a sentence that reads it, and its numbers as a table."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

import plotly.graph_objects as go  # type: ignore[import-untyped]

Cell = str | float
# A spreadsheet takes a text that begins like this for a formula, or trims it until it does.
_BEGINS_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, eq=False)
class Chart:
    """One chart. `columns` name their units; `rows` hold the numbers that the figure draws.

    `says` reads the chart in one or two plain sentences, `alt` tells a screen reader what is
    drawn. Every text but those inside `figure` holds names from files as they stand: whoever
    shows it as Markdown or HTML escapes it there. `file_name` is one for the CSV of the numbers.
    """

    title: str
    says: str
    figure: go.Figure
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    file_name: str
    alt: str


def csv_text(chart: Chart) -> str:
    """Return the chart's numbers as CSV, headings first, numbers to six digits.

    A text that a spreadsheet would take for a formula gets a leading apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    for row in (chart.columns, *chart.rows):
        writer.writerow([_cell(cell) for cell in row])
    return out.getvalue()


def _cell(cell: Cell) -> str:
    """Return one cell as it stands in the file.

    >>> _cell("=1+1"), _cell(-1.5), _cell(1 / 3), _cell(" @A1"), _cell("front rail")
    ("'=1+1", '-1.5', '0.333333', "' @A1", 'front rail')
    """
    if not isinstance(cell, str):
        return f"{cell:.6g}"
    risky = cell.startswith(_BEGINS_FORMULA) or cell.lstrip().startswith(_BEGINS_FORMULA)
    return f"'{cell}" if risky else cell
