"""Assembly, step by step, from `steps.toml`, with the checks that come between."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lightcalc.design.piece import Design, Supply
from lightcalc.packet.charging import charge_time_words, charger_words
from lightcalc.packet.facts import Line, design_facts, line_of, supply_facts
from lightcalc.packet.figures import Figures, fill
from lightcalc.packet.html import Child, Element, element
from lightcalc.packet.pack_label import energy_words, label_words
from lightcalc.packet.readings_sheet import check_table
from lightcalc.packet.sensors import place_words, plain_place_words, sensor_words
from lightcalc.parts.kinds import Catalogue


@dataclass(frozen=True)
class Step:
    """One step: what to do, and the name of the check that ends it, or ""."""

    title: str
    applies: Line
    lines: tuple[Line, ...]
    check: str


@cache
def all_steps() -> tuple[tuple[Step, ...], int]:
    """Return every step in order, and how many ohms are no short."""
    text = Path(__file__).with_name("steps.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    steps = tuple(
        Step(
            entry["title"],
            line_of({"text": "", **{k: entry[k] for k in ("needs", "lacks") if k in entry}}),
            tuple(line_of(line) for line in entry["lines"]),
            entry.get("check", ""),
        )
        for entry in table["step"]
    )
    return steps, table["no_short_ohm"]


def assembly(design: Design, catalogue: Catalogue, figures: Figures) -> Iterator[Element]:
    """Yield the steps of a design, numbered, each with the table of what to measure."""
    steps, no_short_ohm = all_steps()
    facts = design_facts(design, catalogue, figures.answer)
    number = 0
    for step in steps:
        if not step.applies.applies(facts):
            continue
        number += 1
        parts: list[Child] = [element("h3", f"{number}. {step.title}")]
        said = list(said_of(step.lines, design, catalogue, figures, no_short_ohm))
        parts.append(element("ul", *(element("li", *line) for line in said)))
        if step.check:
            found = check_table(step.check, design, catalogue, figures, no_short_ohm)
            parts += [found] if found else []
        yield element("section", *parts, class_="step")


def said_of(
    lines: tuple[Line, ...],
    design: Design,
    catalogue: Catalogue,
    figures: Figures,
    no_short_ohm: int = 0,
) -> Iterator[tuple[Child, ...]]:
    """Yield the lines that apply to a design, filled with its figures and its own words."""
    facts = design_facts(design, catalogue, figures.answer)

    def filled(line: Line, number: int) -> tuple[Child, ...]:
        texts = _texts(design.supplies[number], design, catalogue)
        texts |= {"no_short_ohm": str(no_short_ohm), "parts": _parts_words(facts)}

        def figure(name: str) -> Child:
            path = name.replace("supplies.", f"supplies.{number}.", 1)
            return texts[name] if name in texts else figures.show(path)

        return fill(line.text, figure)

    for line in lines:
        if not line.each:
            if line.applies(facts):
                yield filled(line, 0)
            continue
        for number, supply in enumerate(design.supplies):
            if line.applies(supply_facts(supply, design, catalogue, figures.answer)):
                yield filled(line, number)


def _parts_words(facts: Collection[str]) -> str:
    """Name the parts that must come out by hand, as in "pack, fuse and converter"."""
    named = ["pack", *(one for one in ("fuse", "converter") if one in facts)]
    return " and ".join(filter(None, (", ".join(named[:-1]), named[-1])))


def _texts(supply: Supply, design: Design, catalogue: Catalogue) -> dict[str, str]:
    """Return the words of a design that lines name in braces, those of one supply among them."""
    return {
        "notes": design.piece.notes,
        "joints": ", ".join(joint.name for joint in design.joints if joint.removable),
        "reach": supply.service.reach or "",
        "sensor": sensor_words(supply, catalogue),
        "sensor_place": place_words(supply, design.system),
        "plain_place": plain_place_words(supply, design),
        "pack_label": label_words(supply, catalogue),
        "pack_energy": energy_words(supply, catalogue),
        "pack_named": f"pack {supply.name}" if len(design.supplies) > 1 else "the pack",
        "charger": charger_words(supply, catalogue),
        "charge_time": charge_time_words(supply, catalogue),
    }
