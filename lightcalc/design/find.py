"""What a search may change in a design, and what is demanded of what it finds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeVar

from lightcalc.design.fields import Limits, Section, shown, suggest

Open = Literal["strip", "feeds", "pack", "packs", "converter", "wire", "level"]
Merit = Literal["price", "hours", "evenness", "mass"]
Word = TypeVar("Word", Open, Merit)

OPEN: tuple[Open, ...] = ("strip", "feeds", "pack", "packs", "converter", "wire", "level")
USUALLY_OPEN: tuple[Open, ...] = ("strip", "feeds", "pack", "packs", "converter")
MERITS: tuple[Merit, ...] = ("price", "hours", "evenness", "mass")
FIND = 'find = { open = ["strip", "pack"], matters = ["price", "hours"] }'
PRICE = Limits(0.0, 1e6)
MASS = Limits(0.001, 1000.0)
LIGHT = Limits(0.1, 1e6)
MOST_PACKS = Limits(1, 8)


@dataclass(frozen=True)
class Find:
    """What a search may change, and what it is for.

    open            what may change; all else stays as drawn
    most_packs      how many of a pack's cells one supply may have at most
    any_colour      strips of another colour than the one drawn may be taken
    price, mass_kg  at most; None is not asked
    light_lm        at least, in the brightest part of the evening; None for nine tenths of what
                    the design gives as drawn
    hidden          no surface that is looked at may show dots
    matters         what matters, first things first; each counts half of the one before
    """

    open: tuple[Open, ...] = USUALLY_OPEN
    most_packs: int = 2
    any_colour: bool = False
    price: float | None = None
    mass_kg: float | None = None
    light_lm: float | None = None
    hidden: bool = False
    matters: tuple[Merit, ...] = MERITS


def read_find(top: Section) -> Find:
    """Read the table that says what a search may change; nothing in it is required."""
    section = top.section("find", FIND)
    usual = Find()
    price = section.count("price", PRICE, -1.0, whole=False, example=120)
    find = Find(
        open=_words(section, "open", OPEN, usual.open),
        most_packs=int(section.count("most_packs", MOST_PACKS, usual.most_packs)),
        any_colour=section.flag("any_colour"),
        price=None if price < 0.0 else price,
        mass_kg=section.quantity("mass", "mass", "1.5 kg", MASS, default=None),
        light_lm=section.count("light", LIGHT, 0.0, whole=False, example=900) or None,
        hidden=section.flag("dots_hidden"),
        matters=_words(section, "matters", MERITS, usual.matters),
    )
    section.close()
    return find


def _words(
    section: Section, key: str, allowed: tuple[Word, ...], usual: tuple[Word, ...]
) -> tuple[Word, ...]:
    """Read a list of some of the allowed words, each once; the usual ones when it is left out."""
    said = dict.fromkeys(section.texts(key, allowed[0]))
    for word in said:
        if word not in allowed:
            section.note(key, f"found {shown(word)}; {suggest(word, allowed)}")
    return tuple(word for name in said for word in allowed if word == name) or usual
