"""Read a file of bench readings (TOML) and report every mistake in it in one go.

```toml
[meter]                        # how good it is; may be left out
volts = "1 % + 0.05 V"

[[readings]]                   # on a run
run = "front rail"
at = "far end"                 # start, middle, end, far end, feed 2, lead 2, or a distance
volts = "11.4 V"

[[readings]]                   # on a supply
supply = "main"
at = "pack"                    # or "output", after its converter
volts = "15.2 V"
state = "rested"
lit = "3 h"                    # since it was full, at this level
level = "60 %"
```
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from lightcalc import units
from lightcalc.design.cutting import cut_units, nearest_pad
from lightcalc.design.fields import Limits, Section, shown, suggest
from lightcalc.design.load import load_toml, parse_toml
from lightcalc.design.piece import Design, Run, Supply
from lightcalc.design.readings import (
    USUAL_ACCURACY,
    Accuracy,
    Place,
    Probe,
    Quantity,
    Reading,
    Readings,
    Until,
)
from lightcalc.parts.kinds import Catalogue, Strip
from lightcalc.problems import Problems, nearest

FORMAT = 1
READING = '[[readings]] on a line, and under it run = "front rail", at = "start", volts = "11.9 V"'
RUN_VOLTS, SUPPLY_VOLTS = Limits(-60.0, 60.0), Limits(0.0, 60.0)
AMPS = Limits(0.0, 200.0)
TIME = Limits(60.0, 31_557_600.0)
LIT = Limits(0.0, 31_557_600.0)
LEVEL = Limits(0.001, 1.0)
AT = Limits(0.0, 100.0)
SHARE, FIXED = Limits(0.0, 0.5), Limits(0.0, 36_000.0)
# The key of each quantity, and an example of it.
KEYS: dict[str, tuple[Quantity, str]] = {
    "volts": ("voltage", "11.9 V"),
    "amps": ("current", "520 mA"),
    "time": ("time", "6 h 40 min"),
}
# What else a reading may hold.
KNOWN = {*KEYS, "name", "meter", "run", "supply", "at", "channel", "level", "lit", "state", "until"}
METERS = {"volts": "1 % + 0.05 V", "amps": "1.5 % + 20 mA", "time": "1 % + 5 min"}
RUN_SPOTS = ("start", "middle", "end", "far end", "feed", "lead")
SUPPLY_SPOTS = ("pack", "output")
_NUMBERED = re.compile(r"(feed|lead) ([0-9]{1,3})")


def read_readings(path: Path, design: Design, catalogue: Catalogue) -> Readings:
    """Read what was measured on the piece of a design.

    Raises BadInput with every mistake: fields that cannot be read, unknown keys, and places that
    the design does not have.
    """
    problems = Problems(path.name)
    return _read(load_toml(path, problems), problems, design, catalogue)


def readings_in(text: str, name: str, design: Design, catalogue: Catalogue) -> Readings:
    """Read a text of readings as `read_readings` does a file; `name` stands in what is wrong."""
    problems = Problems(name)
    return _read(parse_toml(text, problems), problems, design, catalogue)


def _read(
    tables: dict[str, Any], problems: Problems, design: Design, catalogue: Catalogue
) -> Readings:
    top = Section(tables, "", problems, system=design.system)
    top.format(FORMAT)
    meters = _read_meters(top.section("meter", 'meter = { volts = "1 % + 0.05 V" }'))
    sections = top.sections("readings", READING, required=True)
    found = [_read_reading(section, design, catalogue, meters) for section in sections]
    notes = top.text("notes", "measured before gluing", default="")
    top.close()
    problems.raise_if_any()
    return Readings(tuple(reading for reading in found if reading is not None), notes)


def _read_meters(section: Section) -> dict[Quantity, Accuracy]:
    meters = dict(USUAL_ACCURACY)
    for key, (quantity, _) in KEYS.items():
        meters[quantity] = _read_accuracy(section, key, key, meters[quantity])
    section.close()
    return meters


def _read_accuracy(section: Section, key: str, measured: str, default: Accuracy) -> Accuracy:
    """Read `1 % + 0.05 V`: a share of what is shown and a fixed part, either or both."""
    example, quantity = METERS[measured], KEYS[measured][0]
    text = section.optional_text(key, example)
    if text is None:
        return default
    found = {"ratio": 0.0, quantity: 0.0}
    for part in text.split("+"):
        kind = "ratio" if "%" in part else quantity
        limits = SHARE if kind == "ratio" else FIXED
        try:
            value = units.read(part, kind)
        except units.UnitProblem:
            section.note(key, f'found {shown(text)}; write it like this: {key} = "{example}"')
            return default
        if not limits.allow(value):
            section.note(key, f"found {shown(text)}; {limits.sentence(kind, section.system)}.")
            return default
        found[kind] += value
    return Accuracy(found["ratio"], found[quantity])


def _read_reading(
    section: Section, design: Design, catalogue: Catalogue, meters: dict[Quantity, Accuracy]
) -> Reading | None:
    """Read one reading; None, with the mistakes noted, when it makes no sense."""
    before = len(section.problems.found)
    given = [key for key in KEYS if key in section.table]
    section.used.update(KEYS)
    name = section.text("name", "far end, second try", default="")
    misspelt = [key for key in section.table if key not in KNOWN and nearest(key, KEYS)]
    if len(given) != 1 and misspelt:
        section.note(
            misspelt[0], f'is not a known key; did you mean "{nearest(misspelt[0], KEYS)}"?'
        )
        return None
    if len(given) != 1:
        section.note(
            "volts",
            f"found {' and '.join(given) or 'no value'}; each reading has one of volts, amps and "
            'time, such as volts = "11.9 V"',
        )
        return None
    key = given[0]
    probe = _read_probe(section, key, design, catalogue)
    meter = _read_accuracy(section, "meter", key, meters[KEYS[key][0]])
    limits = {"amps": AMPS, "time": TIME}.get(key, SUPPLY_VOLTS)
    if key == "volts" and probe is not None and probe.run:
        limits = RUN_VOLTS
    value = float(section.quantity(key, *KEYS[key], limits))
    if probe is not None:
        section.close()
    if probe is None or len(section.problems.found) > before:
        return None
    return Reading(name, probe, value, meter)


def _read_probe(section: Section, key: str, design: Design, catalogue: Catalogue) -> Probe | None:
    """Read where and when; None, with the mistakes noted, where the design has no such place."""
    when = Probe(
        quantity=KEYS[key][0],
        supply="",
        place="pack",
        level_ratio=float(section.quantity("level", "ratio", "60 %", LEVEL, default=1.0)),
    )
    run_name = section.optional_text("run", "front rail")
    if run_name is not None:
        runs = {run.name: run for run in design.runs}
        if run_name not in runs:
            section.note("run", f"found {shown(run_name)}; {suggest(run_name, [*runs])}")
            return None
        return _on_run(section, when, runs[run_name], catalogue)
    only = design.supplies[0].name if len(design.supplies) == 1 else None
    supplies = {supply.name: supply for supply in design.supplies}
    name = section.text("supply", design.supplies[0].name, default=only)
    if name not in supplies:
        section.note("supply", f"found {shown(name)}; {suggest(name, [*supplies])}")
        return None
    return _on_supply(section, when, supplies[name], catalogue)


def _lit_s(section: Section) -> float:
    return float(section.quantity("lit", "time", "3 h", LIT, default=0.0))


def _full_level(section: Section, probe: Probe, what: str) -> None:
    if probe.level_ratio != 1.0:
        section.note(
            "level",
            f"found {shown(section.table.get('level'))}; a dimmer chops the light, and no meter "
            f"shows {what} in between. Measure them at 100 %.",
        )


# On a run ----------------------------------------------------------------------------------


def _on_run(section: Section, when: Probe, run: Run, catalogue: Catalogue) -> Probe | None:
    strip = catalogue.strips[run.strip]
    probe = replace(when, supply=run.supply, run=run.name, lit_s=_lit_s(section))
    if probe.quantity == "time":
        section.note("time", "is of a whole supply; write supply in place of run.")
        return None
    at = section.optional_text("at", "far end")
    if probe.quantity == "current":
        return _run_amps(section, probe, run, at)
    _full_level(section, probe, "the volts")
    probe = replace(probe, channel=_channel(section, strip))
    if not at:
        if at is None:
            section.note("at", 'is missing; write where on the run, such as at = "far end"')
        return None
    return _run_spot(section, probe, run, at, catalogue)


def _channel(section: Section, strip: Strip) -> int:
    """Return which return rail volts are measured against."""
    if len(strip.channels) == 1:
        return 0
    asked = section.optional_text("channel", strip.channels[0])
    if asked in strip.channels:
        return strip.channels.index(asked)
    state = "is missing" if asked is None else f"found {shown(asked)}"
    section.note(
        "channel",
        f"{state}; the strip has several returns. Write one of: {', '.join(strip.channels)}.",
    )
    return 0


def _run_amps(section: Section, probe: Probe, run: Run, at: str | None) -> Probe | None:
    if at is None:
        return replace(probe, place="run")
    feed = _feed_number(section, run, at)
    return (
        None if feed is None else replace(probe, place="lead", feed=feed, spot=f"feed {feed + 1}")
    )


def _feed_number(section: Section, run: Run, at: str) -> int | None:
    """Read `feed`, `feed 2`, `lead` or `lead 2` to the number of a feed, from 0."""
    numbered = _NUMBERED.fullmatch(at.casefold())
    number = int(numbered[2]) if numbered else 1
    if not numbered and at.casefold() not in ("feed", "lead"):
        section.note(
            "at",
            f"found {shown(at)}; the current is of the whole run, with no at, or of one feed, such "
            'as at = "feed 1"',
        )
        return None
    if not numbered and len(run.feeds) > 1:
        section.note("at", f'found {shown(at)}; the run has {len(run.feeds)}. Write "{at} 1".')
        return None
    if not 1 <= number <= len(run.feeds):
        section.note("at", f"found {shown(at)}; the run has {len(run.feeds)}, counted from 1.")
        return None
    return number - 1


def _run_spot(
    section: Section, probe: Probe, run: Run, at: str, catalogue: Catalogue
) -> Probe | None:
    """Find a place on a run: a word for it, one of its feeds, or a distance from its start."""
    strip, word = catalogue.strips[run.strip], at.casefold()
    length_m = cut_units(run.length_m, strip) * strip.cut_unit_m
    places = {"start": 0.0, "middle": length_m / 2.0, "end": length_m}
    places["far end"] = far_end_m(run, strip)
    if word in places:
        return replace(probe, place="pad", at_m=places[word], spot=word)
    if word.split()[0] in ("feed", "lead"):
        return _at_feed(section, probe, run, at)
    try:
        at_m = units.read(at, "length")
    except units.UnitProblem:
        section.note("at", f"found {shown(at)}; {suggest(at, RUN_SPOTS)} Or write a distance.")
        return None
    if not 0.0 <= at_m <= run.length_m:
        length = units.show(run.length_m, "length", section.system)
        section.note("at", f"found {shown(at)}; the run is {length} long.")
        return None
    return replace(probe, place="pad", at_m=at_m, spot=f"{at} from its start")


def _at_feed(section: Section, probe: Probe, run: Run, at: str) -> Probe | None:
    """Find a feed of a run: its pad, or the wires of its lead just before the joint."""
    feed = _feed_number(section, run, at)
    if feed is None:
        return None
    word = at.casefold().split()[0]
    place: Place = "lead" if word == "lead" else "pad"
    at_m = run.feeds[feed].at_m
    return replace(probe, place=place, feed=feed, at_m=at_m, spot=f"{word} {feed + 1}")


def far_end_m(run: Run, strip: Strip) -> float:
    """Return the pad of a run that is farthest from any feed, as metres from its start."""
    units_count = cut_units(run.length_m, strip)
    feeds = [nearest_pad(feed.at_m, units_count, strip) for feed in run.feeds]
    pads = range(units_count, -1, -1)
    far = max(pads, key=lambda pad: min(abs(pad - feed) for feed in feeds))
    return far * strip.cut_unit_m


# On a supply -------------------------------------------------------------------------------


def _on_supply(section: Section, when: Probe, supply: Supply, catalogue: Catalogue) -> Probe | None:
    bank = catalogue.packs[supply.pack].output_v is not None
    probe = replace(when, supply=supply.name)
    if probe.quantity == "time":
        return _until(section, probe, straight=not (supply.converter or bank))
    usual: Place = "output" if bank else "pack"
    spot = section.choice("at", SUPPLY_SPOTS, usual if probe.quantity == "current" else "")
    probe = replace(probe, lit_s=_lit_s(section))
    if not spot and section.table.get("at") is not None:
        return None
    if not spot:
        section.note("at", 'is missing; write at = "pack" or at = "output"')
        return None
    if spot == "output":
        if not (supply.converter or bank):
            section.note("at", 'found "output"; there is no converter. Measure at the pack.')
        if probe.quantity == "voltage":
            _full_level(section, probe, "the volts")
        return replace(probe, place="output")
    if bank:
        section.note("at", 'found "pack"; a USB bank is closed up to its socket: at = "output".')
    rested = section.choice("state", ("lit", "rested"), "lit") == "rested"
    if rested and probe.quantity == "current":
        section.note("state", 'found "rested"; a rested pack gives no current.')
    return replace(probe, place="pack", rested=rested)


def _until(section: Section, probe: Probe, *, straight: bool) -> Probe:
    asked = section.choice("until", ("out", "half light"), "out")
    if asked == "half light" and not straight:
        section.note(
            "until", 'found "half light"; a converter holds the light to the end. Write "out".'
        )
    until: Until = "half light" if asked == "half light" else "out"
    return replace(probe, place="light", until=until)
