"""Examples of what to write, with their lengths in the units of the design."""

from __future__ import annotations

import re

from lightcalc import units

_METRIC_LENGTH = re.compile(r'"([0-9.]+ (?:mm|cm|m))"')
EIGHTHS = 8


def localised(example: str, system: str) -> str:
    """Return an example with its metric lengths in round inches, for a design in inches.

    >>> localised('{ at = "start", lead = "45 cm" }', "inch")
    '{ at = "start", lead = "18 in" }'
    >>> localised('"1.6 m"', "inch"), localised('"3 mm"', "inch"), localised('"1.6 m"', "metric")
    ('"5 ft 3 in"', '"1/8 in"', '"1.6 m"')
    """
    return _METRIC_LENGTH.sub(_in_inches, example) if system == "inch" else example


def _in_inches(found: re.Match[str]) -> str:
    inch_m = units.scale("in", "length").factor
    inches = units.read(found[1], "length") / inch_m
    round_inches = round(inches) if inches >= 1.0 else max(1, round(inches * EIGHTHS)) / EIGHTHS
    return f'"{units.show(round_inches * inch_m, "length", "inch")}"'
