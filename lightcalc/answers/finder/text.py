"""Write a design that was found back as the text of a design, so that it can be gone on with.

What it leaves as it was keeps its comments and its place in the text.
"""

from __future__ import annotations

from typing import Any

from lightcalc.answers.build_text import text_of_build
from lightcalc.answers.compare import Build
from lightcalc.answers.finder.choices import AS_DRAWN, Choices
from lightcalc.answers.finder.results import Hit
from lightcalc.design.edit import raw, with_entry, with_value, without_entry
from lightcalc.design.piece import Feed, Run, Supply


def text_of_hit(text: str, choices: Choices, hit: Hit) -> str:
    """Return the text of the design in `choices`, which `text` was read from, as it was found."""
    light = hit.choice.light
    whole = choices.lit_by_alone(light)
    for number, run in enumerate(raw(text)["runs"]):
        text = _with_run(text, number, whole.runs[number], light.feeds, run)
    if light.wire is not None:
        for number in range(len(raw(text).get("trunks", []))):
            text = with_value(text, ("trunks", number, "wire"), light.wire)
    for number, stretch in enumerate(whole.use.stretches if light.level is not None else ()):
        level = f"{stretch.level_ratio * 100.0:.6g} %"
        text = with_value(text, ("use", "evening", number, "level"), level)
    if light.build != AS_DRAWN:
        text = text_of_build(text, whole, Build(light.build, hit.design))
    for number, supply in enumerate(hit.design.supplies):
        text = _with_power(text, number, supply)
    return text


def _with_run(text: str, number: int, run: Run, way: str, drawn: dict[str, Any]) -> str:
    if drawn["strip"] != run.strip:
        text = with_value(text, ("runs", number, "strip"), run.strip)
    if way != AS_DRAWN:
        text = _with_feeds(text, number, run, drawn["feeds"])
    for place, feed in enumerate(run.feeds):
        if feed.lead.wire != raw(text)["runs"][number]["feeds"][place].get("wire"):
            text = with_value(text, ("runs", number, "feeds", place, "wire"), feed.lead.wire)
    return text


def _with_feeds(text: str, number: int, run: Run, drawn: list[dict[str, Any]]) -> str:
    """Put other feeds in place of those drawn, each with all that its lead had."""
    near = next((feed for feed in drawn if _crosses_alike(feed, run.feeds[0])), drawn[0])
    for feed in run.feeds:
        places = {"at": f"{feed.at_m * 1e3:.9g} mm", "lead": f"{feed.lead.length_m * 1e3:.9g} mm"}
        text = with_entry(text, ("runs", number, "feeds"), {**near, **places})
    for _ in drawn:
        text = without_entry(text, ("runs", number, "feeds", 0))
    return text


def _crosses_alike(drawn: dict[str, Any], feed: Feed) -> bool:
    joints = tuple(drawn.get("crosses", ()))
    return joints == feed.lead.crossing.joints and drawn.get("from") == feed.lead.parent


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
