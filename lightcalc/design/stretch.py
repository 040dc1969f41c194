"""Change the length of a run in the text of a design, and with it the lines that fitted it.

    from *---------------* to          from *--------------------------* to
         |-- old length -|                  |------- new length -------|

A line of two places whose run was as long as it moves its far end; a line with corners, or one
longer than its run, stays as it is as long as the run fits on it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from lightcalc import units
from lightcalc.design.edit import Path, value_at, with_values
from lightcalc.toml_text import loads

# A line may be shorter than its run by what a folding rule misses.
LONGER_THAN_PATH = 1.002
# Nobody marks out finer than that; a coordinate that moves less stays as it is typed.
FINEST_M = 1e-5
FINEST_INCH = 64
INCH_M = 0.0254


def with_run_length(text: str, path: Path, value: object, cut_unit_m: float = 0.0) -> str:
    r"""Return the text with a run's length set at `path`, and its straight lines along with it.

    `cut_unit_m` is of its strip: a line that fits what is cut of a run fits the run. Places are
    written in the units they were typed in. Where a length cannot be read, nothing else moves.

    >>> design = '[[runs]]\nlength = "2 m"\nmounts = [{ path = [["0 m", "0 m", "1 m"],' \
    ...     ' ["2 m", "0 m", "1 m"]] }]\n'
    >>> longer = with_run_length(design, ("runs", 0, "length"), "250 cm")
    >>> loads(longer)["runs"][0]["mounts"][0]["path"][1]
    ['2.5 m', '0 m', '1 m']
    """
    try:
        run = value_at(loads(text), path[:-1])
    except ValueError:
        run = None
    changes: dict[Path, object] = {path: value}
    old_m, new_m = _length_m(run, path[-1]), _length_m({path[-1]: value}, path[-1])
    mounts = run.get("mounts") if isinstance(run, Mapping) else None
    if new_m is not None and isinstance(mounts, list):
        for number, mount in enumerate(mounts):
            line = (*path[:-1], "mounts", number, "path")
            for place, typed in _moved(value_at(mount, ("path",)), old_m, new_m, cut_unit_m):
                changes[*line, *place] = typed
    return with_values(text, changes)


def written_like(length_m: float, typed: str) -> str:
    """Return a length in the units, and with the fractions, of one that was typed.

    >>> written_like(1.6002, "4 ft 2 in"), written_like(1.6002, "50 1/2 in")
    ('5 ft 3 in', '63 in')
    >>> written_like(0.327025, '20"'), written_like(1.25, "900 mm")
    ('12 7/8"', '1250 mm')
    """
    words = [word for word in re.findall(r"[A-Za-z]+|[\"'″′]", typed) if _read_m(f"1 {word}")]
    gap = " " if re.search(r"\s[A-Za-z\"'″′]", typed) else ""
    unit = words[-1] if words else "m"
    size_m = units.read(f"1 {unit}", "length")
    amount = length_m / size_m
    if not math.isclose(size_m, INCH_M):
        return f"{amount:.6g}{gap}{unit}"
    feet = int(abs(amount) // 12) if len(words) > 1 else 0
    if not feet:
        return f"{_fraction(amount)}{gap}{unit}"
    sign = "-" if amount < 0 else ""
    rest = _fraction(abs(amount) - 12 * feet)
    return f"{sign}{feet}{gap}{words[0]} {rest}{gap}{unit}"


def _fraction(inches: float) -> str:
    parts = round(abs(inches) * FINEST_INCH)
    if abs(abs(inches) * FINEST_INCH - parts) > 0.01:
        return f"{inches:.6g}"
    whole, rest = divmod(parts, FINEST_INCH)
    words = [str(whole)] if whole or not rest else []
    words += [str(Fraction(rest, FINEST_INCH))] if rest else []
    return ("-" if inches < 0 and parts else "") + " ".join(words)


def _length_m(table: object, key: object) -> float | None:
    """Return the length that stands at a key of a table; None when none can be read."""
    text = table.get(key) if isinstance(table, Mapping) else None
    return _read_m(text)


def _read_m(text: object) -> float | None:
    try:
        return units.read(text, "length")
    except units.UnitProblem:
        return None


def _moved(
    corners: Any, old_m: float | None, new_m: float, cut_unit_m: float
) -> Iterator[tuple[tuple[int, int], str]]:
    """Yield the places in a line's text that move, by corner and number, and what to write."""
    if not _is_straight(corners):
        return
    read = [[_read_m(typed) for typed in corner] for corner in corners]
    start = [place for place in read[0] if place is not None]
    end = [place for place in read[1] if place is not None]
    if len(start) != 3 or len(end) != 3:
        return
    line_m = math.dist(start, end)
    # A length that could not be read was no more than what the line holds.
    old_m = 0.0 if old_m is None else old_m
    fitted = line_m * LONGER_THAN_PATH >= old_m - cut_unit_m and line_m > FINEST_M
    spare = line_m > old_m * LONGER_THAN_PATH and line_m * LONGER_THAN_PATH >= new_m
    if not fitted or spare or new_m <= FINEST_M:
        return
    for axis, (a, b) in enumerate(zip(start, end, strict=True)):
        to_m = a + (b - a) * new_m / line_m
        if abs(to_m - b) > FINEST_M:
            yield (1, axis), written_like(to_m, corners[1][axis])


def _is_straight(corners: Any) -> bool:
    return (
        isinstance(corners, list)
        and len(corners) == 2
        and all(isinstance(corner, list) and len(corner) == 3 for corner in corners)
    )
