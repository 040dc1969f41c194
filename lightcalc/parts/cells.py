"""Read one cell of a catalogue to the value that its column holds."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from lightcalc.parts.columns import Column, words_of
from lightcalc.problems import nearest
from lightcalc.units import (
    Scale,
    UnitProblem,
    is_cable,
    read,
    read_capacity,
    read_light,
    read_pitch,
    read_wire_size,
    scale,
    show,
    tidied,
)

LONGEST_NAME = 60
LONGEST_CELL = 500
MOST_VOLTS = 60.0

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._+-]*")
_YES_NO = {"yes": True, "no": False, "true": True, "false": False, "y": True, "n": False}
# A number, and then anything that may be a unit; a fraction too.
_WITH_UNIT = re.compile(r"""[+-]?[0-9.][0-9., /-]*[A-Za-z%°Ωµμ"'″′”’][^;:]*""")
_MONEY = re.compile(r"(?:[^0-9;:.+-]{1,4})?([0-9]+(?:\.[0-9]+)?)(?: ?[^0-9;:]{1,4})?")
# A price of a length or an area: `0.15/ft`, `0.49 per foot`, `49 per 100 ft`.
_EACH = re.compile(
    r"(?P<money>[^0-9;:.+-]{0,4})(?P<number>[0-9]*\.?[0-9]+) ?(?P<more>[^0-9;:/ ]{1,4} ?)??"
    r"(?:/|per ) ?(?P<count>[0-9]*\.?[0-9]+ )?(?P<unit>[A-Za-z'\"]+2?)\.?"
)


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
    each = _EACH.fullmatch(tidied(text)) if column.field.startswith("price") else None
    if each:
        return _checked(_price_each(text, each, column), text, column)
    if column.unit and _carries_unit(text):
        return _checked(_own_unit(text, column), text, column)
    plain = _plain_number(text, column)
    # Twelve digits are more than any label gives; what lies beyond is noise of the conversion.
    return _checked(float(f"{plain * scale.factor + scale.offset:.12g}"), text, column)


def _carries_unit(text: str) -> bool:
    return not _NUMBER.fullmatch(text) and _WITH_UNIT.fullmatch(text) is not None


def _checked(value: float, text: str, column: Column) -> float:
    if column.quantity == "voltage" and column.most and column.most.value == MOST_VOLTS < value:
        raise CellProblem(
            f"found {show(value, 'voltage')}; only extra-low voltage up to 60 V DC is worked "
            "with here. Take a part for 60 V or less."
        )
    if not column.allows(value):
        raise CellProblem(f'found "{text}"; it must be {column.range_sentence()}.')
    return value


def _own_unit(text: str, column: Column) -> float:
    """Return a cell that carries its own unit, in place of that of the heading."""
    if column.field.startswith("price"):
        return _plain_number(text, column)
    try:
        return float(f"{read(text, column.quantity):.12g}")
    except UnitProblem as problem:
        raise CellProblem(str(problem)) from None


def _price_each(text: str, found: re.Match[str], column: Column) -> float:
    """Return a price of a length or an area in SI, where the column asks for one."""
    if not column.unit:
        raise CellProblem(
            f'found "{text}"; the price here is {column.meaning}. Write that number alone, such '
            "as 12.50."
        )
    number, unit = float(found["number"]), found["unit"]
    if found["money"] or found["more"]:
        raise CellProblem(
            f'found "{text}"; the currency stands in catalogue.toml, so write '
            f"{found['number']} per {found['count'] or ''}{unit}."
        )
    try:
        each = scale(f"per {unit}", column.quantity).factor
    except UnitProblem:
        one, other = ("m", "ft") if column.quantity == "per_length" else ("m2", "ft2")
        raise CellProblem(
            f'found "{text}"; write 0.15/{one} or 0.15/{other}, or a number alone for the '
            f'"{column.unit}" of the heading.'
        ) from None
    count = float(found["count"] or 1.0)
    if not count:
        raise CellProblem(f'found "{text}"; nothing costs so much for none of it.')
    return float(f"{number / count * each:.12g}")


def _plain_number(text: str, column: Column) -> float:
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
    money = _MONEY.fullmatch(plain) if column.field.startswith("price") else None
    if money:
        raise CellProblem(
            f'found "{text}"; the currency stands in catalogue.toml, so write {money[1]} alone.'
        )
    if column.unit and re.fullmatch(r"(?:[0-9]+[ -])?[0-9]+/[0-9]+", plain):
        raise CellProblem(f'found "{text}"; write a fraction with its unit, such as "{plain} in".')
    raise CellProblem(f'found "{text}"; write a number, such as 12 or 1.6.')


def _read_pitch(text: str, column: Column, scale: Scale) -> float:
    """Read a distance from LED to LED, or `60 LEDs/m`."""
    if not _carries_unit(text):
        return _read_number(text, column, scale)
    try:
        return _checked(float(f"{read_pitch(text):.12g}"), text, column)
    except UnitProblem as problem:
        raise CellProblem(str(problem)) from None


def is_energy(text: str) -> bool:
    """Return whether a cell says watt hours where amp hours are asked for."""
    try:
        read(text, "energy")
    except UnitProblem:
        return False
    return True


def amp_hours(text: str, nominal_v: float) -> str:
    """Return a cell of watt hours as the amp hours that they are at the nominal volts."""
    return f"{read_capacity(text, nominal_v) / 3600.0:.12g} Ah"


def light_of_a_metre(text: str, power_w_per_m: float) -> str:
    """Return a cell of lumens a watt as the lumens a metre that they are at so many watts."""
    try:
        return f"{read_light(text, power_w_per_m):.12g} lm/m"
    except UnitProblem as problem:
        raise CellProblem(str(problem)) from None


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
        size = read_wire_size(text)
    except UnitProblem as problem:
        raise CellProblem(str(problem)) from None
    if is_cable(text):
        # What a metre of the cable costs and weighs would be counted once for each conductor.
        raise CellProblem(
            f'found "{text}", a cable of two conductors; a row is one of them. Write {size.name}, '
            "and what a metre of one conductor costs and weighs: half of the cable."
        )
    return size


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
    "pitch": _read_pitch,
    "capacity": _read_number,
    "light": _read_number,
    "numbers": _read_numbers,
    "pairs": _read_pairs,
    "size": _read_size,
}
NOTHING: dict[str, Any] = {"words": (), "numbers": (), "pairs": ()}
"""What an empty cell with no stated meaning gives, by what the column holds; else None."""
