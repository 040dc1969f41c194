"""What a chart is to the page: a figure, a sentence that reads it, and its numbers as a table."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go  # type: ignore[import-untyped]

from lightcalc.packet.spreadsheet import csv_of

Cell = str | float


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
    """Return the chart's numbers as CSV, headings first, numbers to six digits."""
    return csv_of((chart.columns, *chart.rows))
