"""Read a catalogue: a folder with one CSV file for each kind of part.

`catalogue.toml` gives the catalogue's name and currency. Each CSV file has its headings in the
first row, with units, as in `power (W/m)`; any unit of the right quantity will do. Blank lines
and lines that start with # are skipped.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from lightcalc.parts.cells import shown
from lightcalc.parts.kinds import (
    Catalogue,
    Connector,
    Controller,
    Converter,
    Fuse,
    Pack,
    Part,
    Sheet,
    Strip,
    Wire,
)
from lightcalc.parts.table import Unreadable, read_table, read_text
from lightcalc.problems import BadInput, Problem, Problems, nearest
from lightcalc.toml_text import BeyondBounds, format_trouble, loads

KINDS: dict[str, type[Part]] = {
    "strips": Strip,
    "packs": Pack,
    "converters": Converter,
    "controllers": Controller,
    "wires": Wire,
    "fuses": Fuse,
    "connectors": Connector,
    "sheets": Sheet,
}
"""The kind of part in each file, by the file's name with no ending."""

LONGEST_WORD = 60
FORMAT = 1
_ABOUT = {"name": "Workshop shelf", "currency": "EUR"}
_KEYS = (*_ABOUT, "format")


def read_catalogue(folder: Path) -> Catalogue:
    """Return the catalogue in the folder, every part checked.

    Raises BadInput with every mistake in all of its files; nothing is half-loaded.
    """
    if not folder.is_dir():
        raise BadInput([Problem(str(folder), "", "is no folder; a catalogue is a folder.")])
    found: list[Problem] = []
    about = _read_about(folder / "catalogue.toml", found)
    parts = {file: _read_parts(folder, file, found) for file in KINDS}
    if found:
        raise BadInput(found)
    by_kind: dict[str, Any] = parts
    return Catalogue(name=about["name"], currency=about["currency"], folder=folder, **by_kind)


def _read_parts(folder: Path, file: str, found: list[Problem]) -> dict[str, Part]:
    problems = Problems(f"{file}.csv")
    path = folder / f"{file}.csv"
    if path.exists():
        rows: list[dict[str, Any]] = read_table(path, file, problems)
    else:
        others = sorted(other.name for other in folder.glob("*.csv") if other.stem not in KINDS)
        near = nearest(path.name, others)
        hint = f' Is "{near}" meant to be it?' if near else ""
        problems.add("", f"is missing; a kind with no parts has a file with headings only.{hint}")
        rows = []
    found.extend(problems.found)
    return {row["name"]: KINDS[file](**row) for row in rows}


def _read_about(path: Path, found: list[Problem]) -> dict[str, str]:
    """Return the catalogue's name and currency."""
    problems = Problems(path.name)
    about: dict[str, str] = {}
    try:
        table = loads(read_text(path))
    except Unreadable as problem:
        problems.add("", f"{problem} It holds name and currency.")
    except BeyondBounds as problem:
        problems.add(problem.where, str(problem))
    except tomllib.TOMLDecodeError as problem:
        problems.add(
            "", f'cannot be read: {shown(str(problem), 200)}. Write lines such as currency = "EUR".'
        )
    else:
        for key in table:
            if key not in _KEYS:
                near = nearest(shown(key), _KEYS)
                hint = f'did you mean "{near}"?' if near else f"known are: {', '.join(_KEYS)}."
                problems.add(shown(key), f"is not a known key; {hint}")
        trouble = format_trouble(table, FORMAT)
        if trouble:
            problems.add("format", f"found {shown(str(table['format']))}; {trouble}")
        for key in _ABOUT:
            about[key] = _short_text(table, key, problems)
    found.extend(problems.found)
    return about


def _short_text(table: dict[str, Any], key: str, problems: Problems) -> str:
    value = table.get(key)
    if isinstance(value, str) and 0 < len(value) <= LONGEST_WORD and value.isprintable():
        return value
    state = "is missing" if value is None else "is not a short text"
    such = f'{key} = "{_ABOUT[key]}"'
    problems.add(key, f"{state}; write up to {LONGEST_WORD} letters in quotes, such as {such}.")
    return ""
