"""Figures as labels give them: LEDs a metre, watt hours for a capacity, lumens a watt for light."""

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
# `110 lm/W`, `110 lumens per watt`.
_PER_WATT = re.compile(r"(?P<flux>.*[A-Za-z]) ?(?:/|per ) ?(?:W|watts?)", re.IGNORECASE)


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


def read_light(text: object, power_w_per_m: float) -> float:
    """Return the light of a metre in lumens, written as such or for each watt of its power.

    Raises UnitProblem as `read` does.

    >>> read_light("900 lm/m", 9.6), read_light("110 lm/W", 9.6)
    (900.0, 1056.0)
    """
    flux = _flux_a_watt(text)
    if flux is None:
        return read(text, "flux_per_length")
    return float(f"{read(flux, 'luminous_flux') * power_w_per_m:.15g}")


def is_light_a_watt(text: object) -> bool:
    """Return whether a text gives light for each watt.

    >>> is_light_a_watt("110 lm/W"), is_light_a_watt("900 lm/m")
    (True, False)
    """
    return _flux_a_watt(text) is not None


def _flux_a_watt(text: object) -> str | None:
    tidy = tidied(text) if isinstance(text, str) and len(text) <= LONGEST_TEXT else ""
    found = _PER_WATT.fullmatch(tidy)
    return found["flux"] if found else None
