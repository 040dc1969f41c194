"""Read one cell of a catalogue to the value that its column holds."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from lightcalc.parts.columns import Column, words_of
from lightcalc.problems import nearest
from lightcalc.units import Scale, UnitProblem, read_wire_size, show

LONGEST_NAME = 60
LONGEST_CELL = 500
MOST_VOLTS = 60.0

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._+-]*")
_YES_NO = {"yes": True, "no": False}


class CellProblem(ValueError):  # noqa: N818 - read as a sentence where it is raised
    """What one cell holds is not allowed; the sentence says what is."""


def shown(text: str, longest: int = LONGEST_NAME) -> str:
    """Return the start of a text with only signs that can be shown."""
    return "".join(sign if sign.isprintable() else " " for sign in text[:longest])


def read_cell(text: str, column: Column, scale: Scale) -> Any:
    """Return what the cell holds, numbers in SI by the scale of the heading's unit.

    Raises CellProblem with a sentence that says what was found and what is allowed.
    """
    if len(text) > LONGEST_CELL:
        raise CellProblem(f"has {len(text)} characters; at most {LONGEST_CELL} are read.")
    if not text.isprintable():
        raise CellProblem("has line breaks or signs that cannot be shown; write plain text.")
    return _READERS[column.holds](text, column, scale)


def _read_number(text: str, column: Column, scale: Scale) -> float:
    # Twelve digits are more than any label gives; what lies beyond is noise of the conversion.
    value = float(f"{_plain_number(text) * scale.factor + scale.offset:.12g}")
    if column.quantity == "voltage" and column.most and column.most.value == MOST_VOLTS < value:
        raise CellProblem(
            f"found {show(value, 'voltage')}; only extra-low voltage up to 60 V DC is worked "
            "with here. Take a part for 60 V or less."
        )
    if not column.allows(value):
        raise CellProblem(f'found "{text}"; it must be {column.range_sentence()}.')
    return value


def _plain_number(text: str) -> float:
    plain = text.replace("−", "-").strip()
    number = float(plain) if _NUMBER.fullmatch(plain) else None
    if number is not None and math.isfinite(number):
        return number
    if number or re.fullmatch(r"[+-]?(?:nan|inf|infinity|∞)", plain, re.IGNORECASE):
        raise CellProblem(f'found "{text}", which is not a finite number; write one, such as 12.')
    if re.fullmatch(r"[+-]?[0-9][0-9,. ]*", plain):
        raise CellProblem(
            f'found "{text}"; write the number with a point for decimals and nothing between '
            "thousands, such as 1.6 or 10000."
        )
    if re.match(r"[+-]?[0-9.]+ ?[A-Za-z%°Ωµμ]", plain):
        raise CellProblem(
            f'found "{text}"; the unit stands in the heading, so write the number alone.'
        )
    raise CellProblem(f'found "{text}"; write a number, such as 12 or 1.6.')


def _read_numbers(text: str, column: Column, scale: Scale) -> tuple[float, ...]:
    return tuple(_read_number(word, column, scale) for word in words_of(text))


def _read_pairs(text: str, column: Column, scale: Scale) -> tuple[tuple[float, float], ...]:
    pairs = []
    for word in words_of(text):
        first, colon, second = word.partition(":")
        if not colon:
            raise CellProblem(f'found "{word}"; write pairs, such as 0.1:0.3; 1:0.9.')
        pairs.append((_read_number(first, column, scale), _read_number(second, column, scale)))
    return tuple(pairs)


def _read_count(text: str, column: Column, scale: Scale) -> int:
    value = _read_number(text, column, scale)
    if value != int(value):
        raise CellProblem(f'found "{text}"; write a whole number.')
    return int(value)


def _read_choice(text: str, column: Column, _scale: Scale) -> str:
    chosen = text.casefold()
    if chosen in column.choices:
        return chosen
    near = nearest(text, column.choices)
    hint = f' Did you mean "{near}"?' if near else ""
    raise CellProblem(f'found "{text}"; allowed are: {", ".join(column.choices)}.{hint}')


def _read_words(text: str, column: Column, scale: Scale) -> tuple[str, ...]:
    words = words_of(text)
    if column.choices:
        words = tuple(_read_choice(word, column, scale) for word in words)
    if not all(words):
        raise CellProblem(f'found "{text}"; there is nothing between two of its semicolons.')
    if not column.allows(len(words)):
        raise CellProblem(f"found {len(words)} words; there must be {column.range_sentence()}.")
    if len(set(words)) < len(words):
        raise CellProblem(f'found "{text}"; each word may stand there once.')
    return words


def _read_name(text: str, _column: Column, _scale: Scale) -> str:
    if len(text) > LONGEST_NAME or not _NAME.fullmatch(text):
        raise CellProblem(
            f'found "{text[:LONGEST_NAME]}"; a name has at most {LONGEST_NAME} letters, digits, '
            "spaces and the signs . _ + - and starts with a letter or digit."
        )
    return text


def _read_yes_no(text: str, _column: Column, _scale: Scale) -> bool:
    if text.casefold() not in _YES_NO:
        raise CellProblem(f'found "{text}"; write yes or no.')
    return _YES_NO[text.casefold()]


def _read_size(text: str, _column: Column, _scale: Scale) -> Any:
    try:
        return read_wire_size(text)
    except UnitProblem as problem:
        raise CellProblem(str(problem)) from None


def _read_text(text: str, _column: Column, _scale: Scale) -> str:
    return text


_READERS: dict[str, Callable[[str, Column, Scale], Any]] = {
    "name": _read_name,
    "text": _read_text,
    "choice": _read_choice,
    "words": _read_words,
    "yes/no": _read_yes_no,
    "count": _read_count,
    "number": _read_number,
    "numbers": _read_numbers,
    "pairs": _read_pairs,
    "size": _read_size,
}
NOTHING: dict[str, Any] = {"words": (), "numbers": (), "pairs": ()}
"""What an empty cell with no stated meaning gives, by what the column holds; else None."""
