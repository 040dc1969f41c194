"""What a search found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lightcalc.answers.finder.choices import Choice
from lightcalc.design.piece import Design

Demand = Literal["hours", "evenness", "price", "mass", "light", "dots"]


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
    """A design that meets every demand and that none beats in every respect.

    `differs` says how it differs from the design as drawn, and `why` what it is better in than the
    next one, and what that costs.
    """

    rank: int
    merits: Merits
    build: str
    strips: tuple[str, ...]
    feeds: str
    wire: str
    level_ratio: float
    packs: tuple[str, ...]
    converters: tuple[str, ...]
    differs: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class Relaxed:
    """One demand that would have to give way for anything to be found.

    `nearest` is the best that can be had of it with every other demand met, in the unit of
    `asked`: hours, a ratio, money, kilograms or lumens; None where no number can be given.
    """

    demand: Demand
    asked: float
    nearest: float | None


@dataclass(frozen=True)
class Drawn:
    """The design as it is drawn: its merits, what stops it, and the demands that it misses."""

    merits: Merits
    stops: tuple[str, ...]
    missed: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """A demand of a search, in hours, a ratio, money, kilograms or lumens; 1 for yes."""

    demand: Demand
    value: float


@dataclass(frozen=True)
class Search:
    """All of a search: what was open and asked, what was tried, and what stands.

    `designs_count` is how many designs there are and `answered_count` how many were answered in
    full; all others can at best be worse than one that stands, or miss a demand. `whole` is false
    when the search was stopped before that was shown of all. `relaxed_whole` says whether each
    demand was let go in turn, which is done only when nothing stands. `refused` counts why designs
    that were answered do not stand, by the code of a finding or by a demand.
    """

    piece: str
    units: str
    currency: str
    open: tuple[str, ...]
    matters: tuple[str, ...]
    asked: tuple[Asked, ...]
    designs_count: int
    answered_count: int
    whole: bool
    drawn: Drawn
    found: tuple[Found, ...]
    relaxed: tuple[Relaxed, ...]
    relaxed_whole: bool
    refused: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Hit:
    """A found design beside the design itself, for going on with it."""

    found: Found
    choice: Choice
    design: Design
