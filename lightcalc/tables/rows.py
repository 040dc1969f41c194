"""Read the published tables that lie beside this file."""

from __future__ import annotations

import csv
from pathlib import Path


def read_rows(file: str) -> list[dict[str, str]]:
    """Return the rows of a CSV beside this module; its lines that start with # are its source.

    >>> read_rows("ampacity_small.csv")[0]
    {'awg': '30', 'amps': '0.5'}
    """
    return rows_in(Path(__file__).with_name(file))


def rows_in(path: Path) -> list[dict[str, str]]:
    """Return the rows of any CSV that is part of the program, its # lines left out."""
    text = path.read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
