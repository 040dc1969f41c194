"""Plain-text layout for a terminal: headings, wrapped paragraphs, and aligned tables."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

WIDTH = 80


def heading(text: str) -> str:
    """Return a section heading.

    >>> print(heading("Hours"))
    <BLANKLINE>
    HOURS
    """
    return f"\n{text.upper()}"


def paragraph(text: str, first: str = "  ", rest: str = "  ") -> str:
    """Wrap a text to the width of a terminal, with an indent for the first and later lines."""
    return textwrap.fill(
        printable(text), WIDTH, initial_indent=first, subsequent_indent=rest,
        break_on_hyphens=False,
    )


def printable(text: str) -> str:
    r"""Drop control characters, so that a name from a file cannot steer the terminal.

    >>> printable("oak\x1b[31m table")
    'oak[31m table'
    """
    return "".join(letter for letter in text if letter.isprintable())


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Align columns: the first to the left, all others to the right.

    >>> print(table(["run", "light"], [["front", "97 %"], ["back rail", "8 %"]]))
      run        light
      front       97 %
      back rail    8 %
    """
    cells = [[printable(cell) for cell in row] for row in (headings, *rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(headings))]
    lines = []
    for row in cells:
        first = row[0].ljust(widths[0])
        others = [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        lines.append("  " + "  ".join([first, *others]).rstrip())
    return "\n".join(lines)
