"""Write one of the builds that are compared back as the text of a design, so that it can be edited.

What the build leaves as it was keeps its comments and its place in the text.
"""

from __future__ import annotations

from typing import Any

from lightcalc.answers.compare import Build
from lightcalc.design.edit import raw, with_entry, with_value, without_entry
from lightcalc.design.piece import Design, Run


def text_of_build(text: str, design: Design, build: Build) -> str:
    """Return the text of `design` with its supplies and runs as in the build.

    `text` is what `design` was read from. ValueError for a build that is impossible.
    """
    if build.design is None:
        raise ValueError(f"{build.name} is impossible for this design; there is no text of it.")
    text = _with_supplies(text, build.design)
    drawn = {run.name for run in design.runs}
    for run in build.design.runs:
        if run.name in drawn:
            number = _number_of(text, run.name)
            text = with_value(text, ("runs", number, "supply"), run.supply)
    return _with_trunks(_with_halves(text, design, build.design), build.design)


def _with_supplies(text: str, built: Design) -> str:
    """Let the first supply's table serve for every supply of the build; take the others out."""
    for number in reversed(range(1, len(raw(text)["supplies"]))):
        text = without_entry(text, ("supplies", number))
    first = raw(text)["supplies"][0]
    for number, supply in enumerate(built.supplies):
        if number:
            text = with_entry(text, ("supplies",), first)
        text = with_value(text, ("supplies", number, "name"), supply.name)
        if supply.pack_multiple > 1 or "pack_multiple" in first:
            place = ("supplies", number, "pack_multiple")
            text = with_value(text, place, supply.pack_multiple)
    return text


def _with_halves(text: str, design: Design, built: Design) -> str:
    """Put the halves of a run that was cut in two in its place."""
    halves = [run for run in built.runs if run.name not in {drawn.name for drawn in design.runs}]
    if not halves:
        return text
    whole, drawn_feeds = raw(text)["runs"][0], design.runs[0].feeds
    feeds = range(len(drawn_feeds))
    ends = [end(feeds, key=lambda number: drawn_feeds[number].at_m) for end in (min, max)]
    for half, number in zip(halves, ends, strict=True):
        text = with_entry(text, ("runs",), _half(whole, half, whole["feeds"][number]))
    return without_entry(text, ("runs", 0))


def _half(whole: dict[str, Any], half: Run, feed: dict[str, Any]) -> dict[str, Any]:
    """Return the table of a half: that of the whole, less where it lies in space.

    Its one feed has all that the drawn one has which it comes from, plugs and joints too.
    """
    kept = {key: value for key, value in whole.items() if key != "mounts"}
    (moved,) = half.feeds
    places = {"at": _length(moved.at_m), "lead": _length(moved.lead.length_m)}
    changed = {"name": half.name, "length": _length(half.length_m), "supply": half.supply}
    return {**kept, **changed, "feeds": [{**feed, **places}]}


def _with_trunks(text: str, built: Design) -> str:
    """Give every supply after the first trunks of its own, since a trunk carries one supply."""
    for supply in built.supplies[1:]:
        for trunk in raw(text).get("trunks", [])[: len(built.trunks)]:
            own = {**trunk, "name": _own(trunk["name"], supply.name)}
            if "from" in trunk:
                own["from"] = _own(trunk["from"], supply.name)
            if _leads_to(text, trunk["name"], supply.name, built):
                text = with_entry(text, ("trunks",), own)
        for number, run in enumerate(raw(text)["runs"]):
            for place, feed in enumerate(run["feeds"]):
                if "from" in feed and run.get("supply") == supply.name:
                    at = ("runs", number, "feeds", place, "from")
                    text = with_value(text, at, _own(feed["from"], supply.name))
    return text


def _own(trunk: str, supply: str) -> str:
    return f"{_tidy(trunk)}, {supply.rpartition(', ')[2]}"


def _leads_to(text: str, trunk: str, supply: str, built: Design) -> bool:
    """Whether a run of the supply is fed by way of a trunk, straight or through others."""
    above = {lead.name: lead.parent for lead in built.trunks}
    for run in raw(text)["runs"]:
        if run.get("supply") != supply:
            continue
        for feed in run["feeds"]:
            step = _tidy(feed["from"]) if "from" in feed else None
            while step is not None:
                if step == _tidy(trunk):
                    return True
                step = above.get(step)
    return False


def _number_of(text: str, name: str) -> int:
    names = [_tidy(str(run.get("name", ""))) for run in raw(text)["runs"]]
    return names.index(name)


def _tidy(name: str) -> str:
    """Return a name as the design's reader takes it: spaces at its ends and in rows do not count.

    >>> _tidy("  front   rail ")
    'front rail'
    """
    return " ".join(name.split())


def _length(length_m: float) -> str:
    return f"{length_m * 1e3:.9g} mm"
