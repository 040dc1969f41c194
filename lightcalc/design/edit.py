"""Change single values in the text of a design, leaving its comments and all else as typed.

A place is a path of keys and numbers, counted from 0: `("runs", 0, "feeds", 1, "lead")`. Values are
kept as the maker typed them, readable or not; what they mean is for `read` to say.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import ParseError, TOMLKitError
from tomlkit.items import AoT, Array

from lightcalc.design.fields import label

Path = tuple[str | int, ...]


class NoSuchPlace(LookupError):  # noqa: N818 - read as a sentence where it is raised
    """The text has no such entry, or is no TOML at all."""


def raw(text: str) -> dict[str, Any]:
    r"""Return the plain tables of a design's text; NoSuchPlace when it is no TOML.

    >>> raw('[piece]\nname = "bench"')
    {'piece': {'name': 'bench'}}
    """
    return dict(_parse(text).unwrap())


def value_at(tables: Mapping[str, Any], path: Path) -> Any:
    """Return what stands at a place; None when nothing does.

    >>> value_at({"runs": [{"length": "2 m"}]}, ("runs", 0, "length"))
    '2 m'
    >>> value_at({"runs": []}, ("runs", 0, "length")) is None
    True
    """
    found: Any = tables
    for step in path:
        try:
            found = found[step]
        except (KeyError, IndexError, TypeError):
            return None
    return found


def place_of(tables: Mapping[str, Any], path: Path) -> str:
    """Return a place as messages name it: entries of a list by their name, else their number.

    >>> place_of({"runs": [{"name": "front rail"}]}, ("runs", 0, "length"))
    'runs.front rail.length'
    >>> place_of({"use": {"evening": [{}]}}, ("use", "evening", 0, "time"))
    'use.evening.1.time'
    """
    words: list[str] = []
    for depth, step in enumerate(path):
        if isinstance(step, int):
            entry = value_at(tables, path[: depth + 1])
            name = entry.get("name") if isinstance(entry, Mapping) else None
            words.append(label(name, step + 1))
        else:
            words.append(step)
    return ".".join(words)


def with_value(text: str, path: Path, value: object) -> str:
    r"""Return the text with one value set, or taken out where the value is None.

    Tables on the way that are not there yet are added. NoSuchPlace where the way leads through
    an entry of a list that is not there.

    >>> print(with_value('[piece]\nname = "bench"  # oak\n', ("piece", "name"), "shelf"), end="")
    [piece]
    name = "shelf"  # oak
    """
    return with_values(text, {path: value})


def with_values(text: str, values: Mapping[Path, object]) -> str:
    r"""Return the text with several values set, each as `with_value` does, in one go.

    >>> with_values("a = [1, 2]\nb = 3\n", {("a", 1): 5, ("b",): None})
    'a = [1, 5]\n'
    """
    document = _parse(text)
    for path, value in values.items():
        _put(document, path, value)
    return tomlkit.dumps(document)


def _put(document: tomlkit.TOMLDocument, path: Path, value: object) -> None:
    *way, key = path
    holder: Any = document
    for step in way:
        if isinstance(step, str) and step not in _tables(holder):
            if value is None:
                return
            holder[step] = tomlkit.table()
        holder = _step(holder, step)
    if isinstance(key, int) and value is not None:
        _step(holder, key)
    else:
        holder = _tables(holder)
    if value is not None:
        holder[key] = value
    elif key in holder:
        del holder[key]


def with_entry(text: str, path: Path, entry: Mapping[str, Any]) -> str:
    r"""Return the text with one more entry at the end of the list at a place.

    >>> print(with_entry("", ("runs",), {"name": "front rail"}), end="")
    [[runs]]
    name = "front rail"
    """
    document = _parse(text)
    *way, key = path
    holder: Any = document
    for step in way:
        holder = _step(holder, step)
    existing = _tables(holder).get(key)
    if isinstance(existing, Array):
        existing.append(_inline(entry))
    elif isinstance(existing, AoT):
        existing.append(_table(entry))
    elif way and isinstance(way[-1], str):
        holder[key] = tomlkit.array()
        holder[key].append(_inline(entry))
    else:
        many = tomlkit.aot()
        many.append(_table(entry))
        holder[key] = many
    return tomlkit.dumps(document)


def without_entry(text: str, path: Path) -> str:
    r"""Return the text without one entry of a list.

    >>> without_entry('[[runs]]\nname = "a"\n[[runs]]\nname = "b"\n', ("runs", 0))
    '[[runs]]\nname = "b"\n'
    """
    document = _parse(text)
    *way, number = path
    holder: Any = document
    for step in way:
        holder = _step(holder, step)
    try:
        del holder[number]
    except (IndexError, KeyError, TypeError):
        raise NoSuchPlace(f"there is no entry {path}") from None
    if not holder:
        # An empty list of tables has no way to be written; its key goes with it.
        above: Any = document
        for step in way[:-1]:
            above = _step(above, step)
        del above[way[-1]]
    return tomlkit.dumps(document)


def _parse(text: str) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(text)
    except (ParseError, TOMLKitError, RecursionError, ValueError) as error:
        raise NoSuchPlace(str(error)) from None


def _step(holder: Any, step: str | int) -> Any:
    try:
        return holder[step]
    except (IndexError, KeyError, TypeError, TOMLKitError):
        raise NoSuchPlace(f"there is no {step}") from None


def _tables(holder: Any) -> Any:
    """Return a table as it is; NoSuchPlace when something else stands where one should."""
    if not isinstance(holder, Mapping):
        raise NoSuchPlace("there is no table in that place")
    return holder


def _table(entry: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    for key, value in entry.items():
        if isinstance(value, list) and value and isinstance(value[0], Mapping):
            rows = tomlkit.array()
            for item in value:
                rows.append(_inline(item))
            table[key] = rows
        else:
            table[key] = value
    return table


def _inline(entry: Mapping[str, Any]) -> Any:
    table = tomlkit.inline_table()
    table.update(entry)
    return table
