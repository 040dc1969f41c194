"""Plain-text layout for a terminal: headings, wrapped paragraphs, and aligned tables."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

WIDTH = 80
NARROWEST_COLUMN = 10
# The space between a number and what it counts in: "2 h", "12.5 mm", "30 min", "17 11/16 in".
_UNIT = r"(?:[A-Za-z%°µΩ][A-Za-z/²°]{0,4}|[0-9/]+ in)"
_NUMBER_AND_UNIT = re.compile(rf"(?<=[0-9]) (?={_UNIT}(?![A-Za-z0-9-]))")


def heading(text: str) -> str:
    """Return a section heading.

    >>> print(heading("Hours"))
    <BLANKLINE>
    HOURS
    """
    return f"\n{printable(text).upper()}"


def paragraph(text: str, first: str = "  ", rest: str = "  ") -> str:
    """Wrap a text to the width of a terminal, with an indent for the first and later lines.

    A number and its unit stay on one line.
    """
    filled = textwrap.fill(
        whole(printable(text)),
        WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return filled.replace("\u00a0", " ")


def whole(text: str) -> str:
    r"""Join every number with its unit, so that no line breaks between them.

    >>> whole("8 h or 12.5 mm")
    '8\xa0h or 12.5\xa0mm'
    """
    return _NUMBER_AND_UNIT.sub("\u00a0", text)


def printable(text: str) -> str:
    r"""Drop control characters, so that a name from a file cannot steer the terminal.

    >>> printable("oak\x1b[31m table")
    'oak[31m table'
    """
    return "".join(letter for letter in text if letter.isprintable())


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Align columns: the first to the left, all others to the right.

    The first column wraps where the table would be wider than a terminal.

    >>> print(table(["run", "light"], [["front", "97 %"], ["back rail", "8 %"]]))
      run        light
      front       97 %
      back rail    8 %
    """
    cells = [[printable(cell) for cell in row] for row in (headings, *rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(headings))]
    room = WIDTH - 2 - sum(width + 2 for width in widths[1:])
    widths[0] = min(widths[0], max(room, NARROWEST_COLUMN))
    lines = []
    for row in cells:
        first, *more = textwrap.wrap(row[0], widths[0]) or [""]
        others = [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        lines.append("  " + "  ".join([first.ljust(widths[0]), *others]).rstrip())
        lines += [f"  {line}" for line in more]
    return "\n".join(lines)
