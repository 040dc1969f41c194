"""How much room letters take on paper, and how to break a text into lines that fit."""

from __future__ import annotations

import csv
import re
import unicodedata
from functools import cache
from pathlib import Path

from lightcalc.packet.svg import clean

# A sign outside of the table is at most as wide as the letters are high; pictograms are wider.
OTHER, PICTOGRAM = 1000, 1400
FIRST_PICTOGRAM = 0x1F000
# Lettering of paper in mm: 2.5 mm is the smallest of ISO 3098 that is still easy to read; its
# capitals are seven tenths of the size of a font.
SMALL_MM, NORMAL_MM, LARGE_MM = 2.6, 3.0, 4.2
LINE_RATIO = 1.25
# Where a line of text may break: after a space, or after a mark that joins two words.
_BREAKS = re.compile(r"(?<= )|(?<=[-/_,;])(?=\S)")


@cache
def _widths() -> dict[str, tuple[int, int]]:
    text = Path(__file__).with_name("sign_widths.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {chr(int(row["sign"])): (int(row["regular"]), int(row["bold"])) for row in rows}


def width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Return the most room that a text takes in a usual sans-serif font.

    >>> round(width_mm("12 V", 3.0), 1) < round(width_mm("12.5 V", 3.0), 1)
    True
    """
    return size_mm / 1000.0 * sum(_width(sign, bold) for sign in clean(text))


def _width(sign: str, bold: bool) -> int:
    known = _widths().get(sign)
    if known:
        return known[bold]
    if unicodedata.combining(sign):
        return 0
    return PICTOGRAM if ord(sign) >= FIRST_PICTOGRAM else OTHER


def wrap(text: str, size_mm: float, room_mm: float, bold: bool = False) -> tuple[str, ...]:
    """Break a text into lines no wider than `room_mm`; a word that is wider is broken too.

    >>> wrap("receiver-radio-4ch", 3.0, 20.0)
    ('receiver-', 'radio-4ch')
    """
    lines, line = [], ""
    for word in _pieces(clean(text), size_mm, room_mm, bold):
        if line and width_mm((line + word).rstrip(), size_mm, bold) > room_mm:
            lines.append(line.rstrip())
            line = ""
        line += word
    if line.strip() or not lines:
        lines.append(line.rstrip())
    return tuple(lines)


def _pieces(text: str, size_mm: float, room_mm: float, bold: bool) -> list[str]:
    pieces = []
    for word in _BREAKS.split(text):
        rest = word
        while width_mm(rest.rstrip(), size_mm, bold) > room_mm and len(rest) > 1:
            count = _signs_that_fit(rest, size_mm, room_mm, bold)
            pieces.append(rest[:count])
            rest = rest[count:]
        pieces.append(rest)
    return [piece for piece in pieces if piece]


def _signs_that_fit(word: str, size_mm: float, room_mm: float, bold: bool) -> int:
    count = 1
    while count < len(word) and width_mm(word[: count + 1], size_mm, bold) <= room_mm:
        count += 1
    return count


def clip(text: str, size_mm: float, room_mm: float) -> str:
    """Return the start of a text that fits, with three dots where something is left out.

    >>> clip("front rail", 3.0, 100.0), clip("front rail", 3.0, 12.0)
    ('front rail', 'front\u2026')
    """
    whole = clean(text)
    if width_mm(whole, size_mm) <= room_mm:
        return whole
    count = _signs_that_fit(whole, size_mm, room_mm - width_mm("\u2026", size_mm), False)
    return whole[:count].rstrip() + "\u2026"
