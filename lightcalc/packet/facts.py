"""What is so of a design, in words that the texts of a packet ask for: which of them apply."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design, Supply
from lightcalc.packet.conductors import returns_of
from lightcalc.packet.pack_label import SMALL_PACK_WH, energy_wh
from lightcalc.packet.sensors import plain_place_words
from lightcalc.parts.kinds import Catalogue

FACTS = frozenset(
    (
        *("cells", "usb bank", "rechargeable", "not rechargeable", "hard switch", "controller"),
        *("remote", "converter", "adjustable converter", "straight on the pack"),
        *("pixel", "channels", "several supplies", "trunk", "several packs"),
        *("lithium-ion", "lifepo4", "nimh", "alkaline", "lead-acid", "lithium", "notes"),
        *("sensor placed", "plain place", "eye placed", "infrared", "radio", "standby"),
        *("plug at the pack", "fuse"),
        *("resin", "reach", "joints", "plugs", "small pack", "large pack"),
    )
)


def supply_facts(
    supply: Supply, design: Design, catalogue: Catalogue, answer: Answer
) -> frozenset[str]:
    """Return what is so of one supply."""
    answered = next(one for one in answer.supplies if one.supply == supply.name)
    pack, pack_wh = catalogue.packs[supply.pack], energy_wh(supply, catalogue)
    strips = [catalogue.strips[run.strip] for run in design.runs_of(supply.name)]
    converter = catalogue.converters[supply.converter] if supply.converter else None
    controller = catalogue.controllers[supply.controller] if supply.controller else None
    placed = supply.sensor_at_m is not None
    so = {
        "cells": pack.form == "cells",
        "usb bank": pack.form == "usb bank",
        "rechargeable": pack.rechargeable,
        "not rechargeable": not pack.rechargeable,
        pack.chemistry: True,
        "lithium": pack.chemistry in {"lithium-ion", "lifepo4"},
        "hard switch": supply.switched_off,
        "controller": controller is not None,
        "remote": controller is not None and controller.remote != "none",
        "infrared": controller is not None and controller.remote == "infrared",
        "radio": controller is not None and controller.remote == "radio",
        "standby": answered.standby_a > 0.0,
        "plug at the pack": bool(supply.connectors),
        "fuse": any(fuse.fitted for fuse in answer.fuses if fuse.supply == supply.name),
        "sensor placed": placed,
        "plain place": bool(plain_place_words(supply, design)),
        "eye placed": placed and controller is not None and controller.sensor == "eye",
        "converter": converter is not None,
        "adjustable converter": converter is not None
        and converter.output_min_v < converter.output_max_v,
        "straight on the pack": converter is None and pack.output_v is None,
        "pixel": any(strip.kind == "pixel" for strip in strips),
        "channels": any(len(returns_of(strip)) > 1 for strip in strips),
        "several packs": supply.pack_multiple > 1,
        # Within the limit below which carriers take a lithium pack as a small one, or above it.
        "small pack": pack_wh <= SMALL_PACK_WH,
        "large pack": pack_wh > SMALL_PACK_WH,
        "reach": bool(supply.service.reach),
    }
    return frozenset(fact for fact, holds in so.items() if holds)


def design_facts(design: Design, catalogue: Catalogue, answer: Answer) -> frozenset[str]:
    """Return what is so of a design: of it as a whole, or of any of its supplies."""
    of_supplies = (supply_facts(supply, design, catalogue, answer) for supply in design.supplies)
    near = {thing for supply in design.supplies for thing in supply.near}
    leads = (*design.trunks, *(feed.lead for run in design.runs for feed in run.feeds))
    plugs = any(lead.crossing.connector for lead in leads)
    so = {
        "plugs": plugs or any(supply.connectors for supply in design.supplies),
        "joints": any(joint.removable for joint in design.joints),
        "several supplies": len(design.supplies) > 1,
        "trunk": bool(design.trunks),
        "resin": "resin" in near or any(run.mounting == "cast in resin" for run in design.runs),
        "notes": bool(design.piece.notes.strip()),
    }
    return frozenset(fact for fact, holds in so.items() if holds).union(*of_supplies)


@dataclass(frozen=True)
class Line:
    """One text of a packet and when it applies: all of `needs`, and none of `lacks`, are so.

    One with `each` set is said of every supply for which it applies.
    """

    text: str
    needs: tuple[str, ...]
    lacks: tuple[str, ...]
    each: bool

    def applies(self, facts: Collection[str]) -> bool:
        """Whether it is said where these things are so."""
        return all(fact in facts for fact in self.needs) and not any(
            fact in facts for fact in self.lacks
        )


def line_of(entry: str | dict[str, Any]) -> Line:
    """Read a line of a TOML file; a plain text always applies.

    Raises ValueError for a fact that nothing can be.
    """
    if isinstance(entry, str):
        return Line(entry, (), (), False)
    needs, lacks = tuple(entry.get("needs", ())), tuple(entry.get("lacks", ()))
    for fact in (*needs, *lacks):
        if fact not in FACTS:
            raise ValueError(f'"{fact}" is nothing that a design can be.')
    return Line(entry["text"], needs, lacks, bool(entry.get("each", False)))
