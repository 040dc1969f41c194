"""Read a quantity as a maker writes it: the grammar of numbers and compound units."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from typing import NoReturn

from lightcalc.units.scales import Kind, Scale, UnitProblem, example_of, kinds, scale, tidied

LONGEST_TEXT = 64
LARGEST = 1e12
SMALLEST = 1e-12
ABSOLUTE_ZERO_C = -273.15

# 1,600 or 1 600 (thousands), 63 1/2 or 63-1/2, 3/8, and 12.5 or .5 or 1e3.
_THOUSANDS = r"[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+|(?:[ ][0-9]{3})+)(?:\.[0-9]+)?(?![0-9/])"
_NUMBER = re.compile(
    rf"(?P<thousands>{_THOUSANDS})"
    r"|(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
)
# A power of two belongs to the unit only at the end: in "5 ft2" but not in "5ft2in".
_UNIT = re.compile(r"""[A-Za-zμΩ°%'"/][A-Za-zμΩ°%'"/ ]*(?:2$)?""")
# Short forms that some write with a point: "3 in.", "5 ft. 3 in.", "2 hrs."
_POINTED = re.compile(
    r"(?<![A-Za-z])(in|ft|yd|hr|hrs|min|mins|sec|oz|lb|lbs)\.(?![A-Za-z])", re.IGNORECASE
)
_NOT_FINITE = re.compile(r"[+-]? ?(?:nan|inf|infinity|∞)\b", re.IGNORECASE)


def _checked_text(value: object, kind: Kind) -> str:
    """Return the tidied text, or raise for what is no text at all or far too much of it."""
    if isinstance(value, bool):
        raise UnitProblem(f"found {str(value).lower()}; {example_of(kind)}")
    if isinstance(value, int | float):
        found = f"{value:.6g}" if abs(value) < LARGEST else "a number"
        raise UnitProblem(
            f"found {found} with no unit; {kind.noun} is written in quotes with its unit, "
            f"such as {kind.example}."
        )
    if value is None:
        raise UnitProblem(f"found nothing; {example_of(kind)}")
    if not isinstance(value, str):
        raise UnitProblem(f"found {_article(type(value).__name__)}; {example_of(kind)}")
    if len(value) > LONGEST_TEXT:
        start = "".join(sign for sign in value[:20] if sign.isprintable())
        raise UnitProblem(
            f'found "{start}..." with {len(value)} characters; at most {LONGEST_TEXT} are read.'
        )
    text = _POINTED.sub(r"\1", tidied(value))
    if not text:
        raise UnitProblem(f"found an empty text; {example_of(kind)}")
    if not text.isprintable():
        raise UnitProblem(f"found signs that cannot be shown; {example_of(kind)}")
    return text


def _article(type_name: str) -> str:
    return {"list": "a list", "dict": "a table"}.get(type_name, f"a {type_name}")


def read(text: object, kind: str) -> float:
    """Return the quantity in SI (degrees Celsius for a temperature, degrees for an angle).

    Raises UnitProblem, whose sentence shows how to write it, for anything but a finite quantity
    of that kind with its unit. A sign is allowed; whether less than nothing makes sense is for
    the caller to say.

    >>> read("5 ft 3 in", "length")
    1.6002
    >>> read("63-1/2 in", "length")
    1.6129
    >>> read("5 ft. 3 in.", "length")
    1.6002
    >>> read("10,000 mAh", "charge")
    36000.0
    >>> read("12", "voltage")
    Traceback (most recent call last):
    lightcalc.units.scales.UnitProblem: found "12"; a voltage needs a unit, such as 12 V.
    """
    wanted = kinds()[kind]
    tidy = _checked_text(text, wanted)
    shown = " ".join(str(text).split())
    _refuse_odd_numbers(shown, tidy, wanted)
    unsigned = tidy[1:].lstrip() if tidy[0] in "+-" else tidy
    parts = _parts(shown, unsigned, wanted)
    try:
        scaled = [(number, unit, scale(unit, kind)) for number, unit in parts]
    except UnitProblem as problem:
        raise UnitProblem(f'found "{shown}"; {problem}') from None
    if len(scaled) > 1:
        _check_compound(shown, scaled, wanted)
    sign = -1.0 if tidy[0] == "-" else 1.0
    total = sum(sign * number * factor + offset for number, _, (factor, offset) in scaled)
    # Far more digits than anyone measures; what lies beyond is noise of the conversion.
    rounded = round(total, 9) if scaled[0][2].offset else float(f"{total:.15g}")
    return _checked_size(shown, rounded + 0.0, kind)


def _parts(text: str, unsigned: str, kind: Kind) -> list[tuple[float, str]]:
    """Take `5 ft 3 in` apart into numbers and the words of their units."""
    parts: list[tuple[float, str]] = []
    place = 0
    while place < len(unsigned):
        number = _NUMBER.match(unsigned, place)
        if number is None:
            _no_quantity(text, kind)
        unit = _UNIT.match(unsigned, number.end() + (unsigned[number.end() :][:1] == " "))
        if unit is None:
            if number.end() < len(unsigned):
                _no_quantity(text, kind)
            raise UnitProblem(f'found "{text}"; {example_of(kind)}')
        parts.append((_number(text, number, kind), unit.group().strip()))
        place = unit.end()
    if not parts:
        _no_quantity(text, kind)
    return parts


def _number(text: str, found: re.Match[str], kind: Kind) -> float:
    if found["thousands"]:
        return float(found["thousands"].replace(",", "").replace(" ", ""))
    if found["bottom"]:
        top, bottom = int(found["top"]), int(found["bottom"])
        if bottom == 0 or (found["whole"] and top >= bottom):
            raise UnitProblem(f'found "{text}"; the fraction in it is not one such as 63 1/2.')
        return int(found["whole"] or 0) + top / bottom
    value = float(found["decimal"])
    written = re.search("[1-9]", re.split("[eE]", found["decimal"])[0])
    if math.isinf(value) or (written and value < SMALLEST):
        _too_far(text, kind)
    return value


def _no_quantity(text: str, kind: Kind) -> NoReturn:
    raise UnitProblem(
        f'found "{text}"; {kind.noun} is a number and its unit, such as {kind.example}.'
    )


def _too_far(text: str, kind: Kind) -> NoReturn:
    raise UnitProblem(
        f'found "{text}", which is too large or too small for {kind.noun} in furniture; '
        f"check the number and its unit, such as {kind.example}."
    )


def _refuse_odd_numbers(text: str, tidy: str, kind: Kind) -> None:
    if _NOT_FINITE.match(tidy):
        raise UnitProblem(
            f'found "{text}", which is not a finite number; {kind.noun} is one, '
            f"such as {kind.example}."
        )
    if "," in re.sub(rf"(?<![0-9.,]){_THOUSANDS}(?![.,])", "", tidy):
        point, none = tidy.replace(".", "").replace(",", "."), tidy.replace(",", "")
        raise UnitProblem(
            f'found "{text}"; a comma may only part thousands, as in 10,000. Write "{point}" '
            f'if it marks the decimals, or "{none}" if it does not.'
        )


def _check_compound(text: str, parts: list[tuple[float, str, Scale]], kind: Kind) -> None:
    """Several parts must be whole amounts of ever smaller units, as in 5 ft 3 in."""
    if any(scale.offset for _, _, scale in parts):
        _no_quantity(text, kind)
    for (larger, _, above), (smaller, unit, below) in pairwise(parts):
        in_order = smaller * below.factor < above.factor and below.factor < above.factor
        if not in_order or larger != int(larger):
            raise UnitProblem(
                f'found "{text}"; the part before "{smaller:g} {unit}" must be a whole number of '
                f"a larger unit, as in 5 ft 3 in or 2 h 30 min."
            )


def _checked_size(text: str, value: float, kind: str) -> float:
    if kind == "temperature" and value < ABSOLUTE_ZERO_C:
        raise UnitProblem(f'found "{text}"; nothing is colder than -273.15 degC.')
    if abs(value) > LARGEST or 0.0 < abs(value) < SMALLEST:
        _too_far(text, kinds()[kind])
    return value
