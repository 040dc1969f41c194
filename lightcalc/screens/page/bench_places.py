"""Where a meter can be held on a design: what to offer when a reading is added."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from lightcalc.design.piece import Design, Run, Supply
from lightcalc.parts.kinds import Catalogue

Entry = dict[str, str]
_BARE = re.compile(r"[+\-\u2212]? ?[0-9]+(?:[.,][0-9]+)?|[+\-\u2212]?\.[0-9]+")
# What a bare number is taken for.
UNITS = {"volts": "V", "amps": "A", "time": "min"}
# What a reading holds, and an example of it to type.
EXAMPLES = {"volts": "11.9 V", "amps": "520 mA", "time": "6 h 40 min"}


def places_to_read(design: Design, catalogue: Catalogue) -> dict[str, Entry]:
    """Return each reading that can be added, in words, with its entry but for the value."""
    found: dict[str, Entry] = {}
    for run in design.runs:
        channels = catalogue.strips[run.strip].channels
        for entry in _of_run(run, channels):
            found[entry_words(entry)] = entry
    for supply in design.supplies:
        for entry in _of_supply(supply, catalogue):
            found[entry_words(entry)] = entry
    return found


def _of_run(run: Run, channels: tuple[str, ...]) -> Iterator[Entry]:
    feeds = [f"feed {n}" for n in range(1, len(run.feeds) + 1)]
    for spot in (*feeds, "far end", *(feed.replace("feed", "lead") for feed in feeds)):
        for channel in channels if len(channels) > 1 else ("",):
            against = {"channel": channel} if channel else {}
            yield {"run": run.name, "at": spot, **against, "volts": ""}
    yield {"run": run.name, "amps": ""}
    if len(feeds) > 1:
        for feed in feeds:
            yield {"run": run.name, "at": feed, "amps": ""}


def _of_supply(supply: Supply, catalogue: Catalogue) -> Iterator[Entry]:
    bank = catalogue.packs[supply.pack].output_v is not None
    of = {"supply": supply.name}
    if not bank:
        yield {**of, "at": "pack", "state": "rested", "volts": ""}
        yield {**of, "at": "pack", "state": "lit", "volts": ""}
        yield {**of, "at": "pack", "amps": ""}
    if bank or supply.converter:
        yield {**of, "at": "output", "volts": ""}
    yield {**of, "level": "100 %", "until": "out", "time": ""}


def value_key(entry: Mapping[str, Any]) -> str:
    """Return which of volts, amps and time a reading holds; volts where it holds none."""
    return next((key for key in EXAMPLES if key in entry), "volts")


def with_unit(key: str, typed: str) -> str:
    """Return what the meter showed with the unit of what is measured, where none was typed.

    >>> with_unit("volts", "11.8"), with_unit("amps", "520 mA"), with_unit("time", "400")
    ('11.8 V', '520 mA', '400 min')
    """
    text = typed.strip()
    return f"{text} {UNITS[key]}" if _BARE.fullmatch(text) else text


def entry_words(entry: Mapping[str, Any]) -> str:
    """Say what an entry reads and where, readable or not.

    >>> entry_words({"run": "back rail", "at": "far end", "volts": "11 V"})
    'volts, back rail, far end'
    >>> entry_words({"supply": "box", "at": "pack", "state": "rested", "lit": "3 h", "volts": ""})
    'volts, box, pack, rested, after 3 h'
    """
    after = f"after {entry['lit']}" if "lit" in entry else ""
    until = f"until {entry['until']}" if "until" in entry else ""
    level = f"at {entry['level']}" if "level" in entry else ""
    keys = ("run", "supply", "at", "channel", "state")
    parts = [value_key(entry), *(str(entry[key]) for key in keys if key in entry)]
    named = f"({entry['name']})" if entry.get("name") else ""
    return ", ".join(part for part in (*parts, after, level, until, named) if part)
