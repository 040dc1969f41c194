"""Write a design that was found back as the text of a design, so that it can be gone on with.

What it leaves as it was keeps its comments and its place in the text.
"""

from __future__ import annotations

import math

from lightcalc.answers.build_text import text_of_build
from lightcalc.answers.compare import Build
from lightcalc.answers.finder.choices import AS_DRAWN, Choices, nearest
from lightcalc.answers.finder.results import Hit
from lightcalc.design.edit import raw, with_entry, with_value, without_entry
from lightcalc.design.piece import Feed, Run, Supply
from lightcalc.units import read, show


def text_of_hit(text: str, choices: Choices, hit: Hit) -> str:
    """Return the text of the design in `choices`, which `text` was read from, as it was found."""
    light = hit.choice.light
    whole = choices.lit_by_alone(light)
    for number, drawn in enumerate(choices.design.runs):
        run = whole.runs[number]
        if drawn.strip != run.strip:
            text = with_value(text, ("runs", number, "strip"), run.strip)
        if light.feeds != AS_DRAWN:
            text = _with_feeds(text, number, choices, run)
    if light.wire is not None:
        text = _with_wire(text, light.wire)
    for number, stretch in enumerate(whole.use.stretches if light.level is not None else ()):
        level = f"{stretch.level_ratio * 100.0:.10g} %"
        text = with_value(text, ("use", "evening", number, "level"), level)
    if light.build != AS_DRAWN:
        text = text_of_build(text, whole, Build(light.build, hit.design))
    for number, supply in enumerate(hit.design.supplies):
        text = _with_power(text, number, supply)
    return text


def _with_feeds(text: str, number: int, choices: Choices, run: Run) -> str:
    """Keep the feeds that stay; add the others with all that those have which they are led from.

    Where none stays, the first new one takes the place of the one it is led from, and its comments.
    """
    place, drawn = ("runs", number, "feeds"), choices.design.runs[number]
    entries, drawn_m = raw(text)["runs"][number]["feeds"], [feed.at_m for feed in drawn.feeds]
    stay = {drawn_m.index(feed.at_m) for feed in run.feeds if feed.at_m in drawn_m}
    for feed in run.feeds:
        if feed.at_m in drawn_m:
            continue
        near = drawn_m.index(nearest(drawn, choices.pack_m(drawn), feed.at_m).at_m)
        lead = _lead(feed.lead.length_m, choices.design.system)
        moved = {"at": _at(feed, run), "lead": lead}
        if stay:
            text = with_entry(text, place, {**entries[near], **moved})
            continue
        for key, value in moved.items():
            text = with_value(text, (*place, near, key), value)
        stay = {near}
    for other in reversed(range(len(drawn_m))):
        if other not in stay:
            text = without_entry(text, (*place, other))
    return text


def _at(feed: Feed, run: Run) -> str:
    """Say where a feed is soldered, in a word."""
    if feed.at_m == run.length_m:
        return "end"
    return "middle" if feed.at_m else "start"


def _lead(length_m: float, system: str) -> str:
    """Write the length of a lead so that reading it gives the same again, if it can be in words.

    >>> _lead(0.555625, "inch"), _lead(1.3, "inch")
    ('21 7/8 in', '1300 mm')
    """
    words = show(length_m, "length", system, 9)
    same = math.isclose(read(words, "length"), length_m, rel_tol=1e-9)
    return words if same else f"{length_m * 1e3:.12g} mm"


def _with_wire(text: str, wire: str) -> str:
    """Give every lead after the converter a wire."""
    for number in range(len(raw(text).get("trunks", []))):
        text = with_value(text, ("trunks", number, "wire"), wire)
    for number, run in enumerate(raw(text)["runs"]):
        for place in range(len(run["feeds"])):
            text = with_value(text, ("runs", number, "feeds", place, "wire"), wire)
    return text


def _with_power(text: str, number: int, supply: Supply) -> str:
    """Write what a supply runs from; what was said already stays as it was written."""
    said = raw(text)["supplies"][number]
    values: dict[str, str | int | None] = {"pack": supply.pack, "converter": supply.converter}
    if supply.pack_multiple != said.get("pack_multiple", 1):
        values["pack_multiple"] = supply.pack_multiple
    if supply.output_v is None:
        values["output"] = None
    for key, value in values.items():
        if said.get(key) != value:
            text = with_value(text, ("supplies", number, key), value)
    return text
