"""Read TOML within bounds: a text of any content takes little time and memory.

A parser takes the square of the length of a key in both, and its own depth for what is nested.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

LONGEST_LINE = 2_000
MOST_KEY_PARTS = 16

# Possessive, so that a line with no such key is not tried in every way.
_PART = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
_LONG_KEY = re.compile(rf"(?<![A-Za-z0-9_-])(?:{_PART}[ \t]*+\.[ \t]*+){{{MOST_KEY_PARTS}}}")


class BeyondBounds(ValueError):  # noqa: N818 - read as a sentence where it is raised
    """The text is no file that a hand writes; `where` is its line, or "", with a sentence."""

    def __init__(self, where: str, sentence: str) -> None:
        super().__init__(sentence)
        self.where = where


def loads(text: str) -> dict[str, Any]:
    """Return the tables of a TOML text.

    Raises BeyondBounds for lines, keys, numbers or depths that no hand writes, and
    tomllib.TOMLDecodeError for what is no TOML.

    >>> loads('name = "bench"')
    {'name': 'bench'}
    >>> loads("a" + ".a" * 20 + " = 1")
    Traceback (most recent call last):
    lightcalc.toml_text.BeyondBounds: has a key of more than 16 parts with dots between.
    """
    check_lines(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except RecursionError:
        raise BeyondBounds("", "has tables within tables too deep for a design.") from None
    except ValueError:
        sentence = "has a number of thousands of digits; write it as on the label."
        raise BeyondBounds("", sentence) from None


def format_trouble(tables: dict[str, Any], newest: int) -> str:
    """Return what to do about the format that a file says it has; "" when it can be read.

    A file that says nothing has format 1.

    >>> format_trouble({}, 1), format_trouble({"format": 3}, 1)
    ('', 'this lightcalc reads up to 1. Get a newer lightcalc.')
    """
    version = tables.get("format", 1)
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        return f"write format = {newest}"
    if version > newest:
        return f"this lightcalc reads up to {newest}. Get a newer lightcalc."
    return ""


def check_lines(text: str) -> None:
    """Raise BeyondBounds for a line too long, or with a key of too many parts."""
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            sentence = f"has {len(line)} characters; at most {LONGEST_LINE} are read."
            raise BeyondBounds(f"line {number}", sentence)
        if line.count(".") >= MOST_KEY_PARTS and _LONG_KEY.search(line):
            sentence = f"has a key of more than {MOST_KEY_PARTS} parts with dots between."
            raise BeyondBounds(f"line {number}", sentence)
