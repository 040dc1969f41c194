"""What a search found."""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.finder.choices import Choice
from lightcalc.design.piece import Design


@dataclass(frozen=True)
class Merits:
    """What is weighed of a design.

    The hours are those of the supply that empties first, the fall in light that of the worst run.
    `light_lm` is for the brightest part of the evening; `hidden` whether no surface shows dots.
    """

    price: float | None
    hours_h: float
    light_fall_ratio: float
    mass_kg: float | None
    light_lm: float
    hidden: bool


@dataclass(frozen=True)
class Found:
    """One design that meets every demand, and that none beats in every respect."""

    choice: Choice
    design: Design
    merits: Merits
    packs: str
    converters: str
    strips: str
    feeds: str
    wires: str
    level_ratio: float
    why: str = ""


@dataclass(frozen=True)
class Relaxed:
    """One demand that would have to give way, and the best that can be had of it."""

    demand: str
    asked: float
    best: float
    design: Design


@dataclass(frozen=True)
class Search:
    """All of a search: what was tried, and what stands.

    `designs_count` is how many designs there are, `answered_count` how many were answered in full;
    the others were shown to be worse by bounds. `whole` is false when it was stopped before.
    """

    piece: str
    units: str
    currency: str
    designs_count: int
    answered_count: int
    whole: bool
    demands: tuple[tuple[str, float], ...]
    found: tuple[Found, ...]
    relaxed: tuple[Relaxed, ...]
    refused: tuple[tuple[str, int], ...]
