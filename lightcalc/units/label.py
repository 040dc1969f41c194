"""Figures as labels give them: so many LEDs a metre, and watt hours for a capacity."""

from __future__ import annotations

import re

from lightcalc.units.reading import LONGEST_TEXT, read
from lightcalc.units.scales import UnitProblem, tidied

# `60 LEDs/m`, `18 LED per ft`, `60/m`, `300 LEDs per 5 m`. With no word for what is counted, only
# a unit may follow: `5/16 in` is a length.
_COUNTED = re.compile(
    r"(?P<count>[0-9]{1,6}(?:\.[0-9]{1,6})?) ?(?:/|per ) ?(?P<unit>[A-Za-z'\"][^0-9]*)"
    r"|(?P<leds>[0-9]{1,6}(?:\.[0-9]{1,6})?) ?LEDs? ?(?:/|per ) ?(?P<length>.+)",
    re.IGNORECASE,
)


def read_pitch(text: object) -> float:
    """Return the distance from one LED to the next in metres, written so or as LEDs on a length.

    Raises UnitProblem as `read` does.

    >>> read_pitch("16.7 mm"), read_pitch("60 LEDs/m"), read_pitch("300 LEDs per 16.4 ft")
    (0.0167, 0.0166666666666667, 0.0166624)
    """
    tidy = tidied(text) if isinstance(text, str) and len(text) <= LONGEST_TEXT else ""
    found = _COUNTED.fullmatch(tidy)
    if not found and not re.search("led", tidy, re.IGNORECASE):
        return read(text, "length")
    length_m = _length_of(found) if found else 0.0
    count = float(found["count"] or found["leds"]) if found else 0.0
    if not (count > 0.0 and length_m > 0.0):
        raise UnitProblem(
            f'found "{tidy}"; write from LED to LED as 16.7 mm, or LEDs on a length as 60 LEDs/m.'
        )
    return float(f"{length_m / count:.15g}")


def _length_of(found: re.Match[str]) -> float:
    """Return the length that LEDs are counted on, one of its unit when only that is written."""
    length = str(found["unit"] or found["length"])
    try:
        return read(length if length[0] in "0123456789." else f"1 {length}", "length")
    except UnitProblem:
        return 0.0


def read_capacity(text: object, nominal_v: float) -> float:
    """Return a capacity in coulombs, written as such or as the energy at the nominal volts.

    The watt hours on a label are its amp hours times its nominal volts (IEC 61960-3 has both on
    one label). Raises UnitProblem as `read` does.

    >>> read_capacity("5.2 Ah", 11.1), read_capacity("111 Wh", 11.1) / 3600.0
    (18720.0, 10.0)
    """
    try:
        return read(text, "charge")
    except UnitProblem as problem:
        try:
            energy_j = read(text, "energy")
        except UnitProblem:
            raise problem from None
    return float(f"{energy_j / nominal_v:.15g}")
