"""Find what to build: the search, its result put in order, and what to relax when none is found."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from lightcalc.answers.answer import answer, answer_parts
from lightcalc.answers.finder.choices import AS_DRAWN, Choices
from lightcalc.answers.finder.demands import Demands, demands_of, without
from lightcalc.answers.finder.notice import worth_telling
from lightcalc.answers.finder.reasons import differs_from, why_it
from lightcalc.answers.finder.results import Asked, Demand, Drawn, Found, Hit, Relaxed, Search
from lightcalc.answers.finder.search import Progress, Standing, merits_of, search
from lightcalc.design.find import MERITS
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue

# What matters first counts twice the next, and so on.
NEXT_COUNTS = 0.5
# Light that is nearer than this to the most there is counts as the most.
LIGHT_STEP = 0.01
# What is nearer to the best that is known than this is no better.
BETTER = 1e-4
Watch = Callable[[Progress], bool]
"""Looks at a search after each design it answers; true stops it with what it has."""


@dataclass(frozen=True)
class Result:
    """A search, and the designs found in it in the order of their rank."""

    search: Search
    hits: tuple[Hit, ...]


def find(design: Design, catalogue: Catalogue, watch: Watch | None = None) -> Result:
    """Search what is open in a design for the builds that none beats in every respect.

    Every design that is found is answered just as `answer` answers it.
    """
    hunt = Hunt(design, catalogue)
    last, whole = _searched(design, catalogue, hunt.demands, watch)
    if last.standing or not whole:
        return hunt.result(last, whole)
    return hunt.result(last, whole, *relax(hunt, watch))


class Hunt:
    """A search to come: what it starts from and what it asks."""

    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.design, self.catalogue = design, catalogue
        self.choices = Choices(design, catalogue)
        self.parts = answer_parts(design, catalogue)
        self.merits = merits_of(self.parts, design, catalogue)
        self.demands = demands_of(design, self.merits.light_lm)
        self._most_left_count = 1

    def steps(self) -> Iterator[tuple[Progress, float]]:
        """Search step by step; beside each step the share of the designs that is done with."""
        for step in search(self.design, self.catalogue, self.demands):
            self._most_left_count = max(self._most_left_count, step.left_count)
            yield step, 1.0 - step.left_count / self._most_left_count

    def result(
        self,
        last: Progress,
        whole: bool,
        relaxed: tuple[Relaxed, ...] = (),
        relaxed_whole: bool = False,
    ) -> Result:
        """Sum up a search after one of its steps, with what `relax` said if it was asked."""
        hits, find = _in_order(last.standing, self.choices), self.design.find
        search = Search(
            piece=self.design.piece.name,
            units=self.design.system,
            currency=self.catalogue.currency,
            open=find.open,
            matters=find.matters,
            asked=_asked(self.demands),
            designs_count=self._count,
            answered_count=last.answered_count,
            whole=whole,
            drawn=self._drawn,
            found=tuple(hit.found for hit in hits),
            relaxed=relaxed,
            relaxed_whole=relaxed_whole,
            refused=last.refused,
        )
        return Result(search, hits)

    @cached_property
    def _count(self) -> int:
        return self.choices.count()

    @cached_property
    def _drawn(self) -> Drawn:
        findings = answer(self.design, self.catalogue, self.parts).findings
        stops = tuple(dict.fromkeys(one.code for one in findings if one.grade == "stop"))
        return Drawn(self.merits, stops, self.demands.missed_by(self.merits))


def _searched(
    design: Design, catalogue: Catalogue, demands: Demands, watch: Watch | None
) -> tuple[Progress, bool]:
    """Search to the end or until the watch says stop; the last step, and whether it is the end."""
    last = Progress(0, 0, (), ())
    for step in search(design, catalogue, demands):
        last = step
        if watch is not None and watch(step) and step.left_count:
            return last, False
    return last, True


def _asked(demands: Demands) -> tuple[Asked, ...]:
    values = _values(demands)
    return tuple(Asked(name, value) for name, value in values.items() if value is not None)


def _values(demands: Demands) -> dict[Demand, float | None]:
    return {
        "hours": demands.hours_h,
        "evenness": demands.light_fall_ratio,
        "price": demands.price,
        "mass": demands.mass_kg,
        "light": demands.light_lm,
        "dots": 1.0 if demands.hidden else None,
    }


def _in_order(standing: Sequence[Standing], choices: Choices) -> tuple[Hit, ...]:
    """Put what stands in the order of what matters, each with what speaks for it."""
    if not standing:
        return ()
    rows = np.array([one.ranks for one in standing], dtype=float)
    best, worst = rows.min(axis=0), rows.max(axis=0)
    share = (rows - best) / np.maximum(worst - best, 1.0)
    matters = dict.fromkeys((*choices.find.matters, *MERITS))
    weight = {merit: NEXT_COUNTS**place for place, merit in enumerate(matters)}
    score = share @ [weight[merit] for merit in MERITS]
    prices = [np.inf if one.merits.price is None else one.merits.price for one in standing]
    order = [standing[place] for place in np.lexsort((prices, score))]
    order = [order[place] for place in worth_telling([one.merits for one in order])]
    hits = []
    for place, one in enumerate(order):
        beside = order[place + 1] if place + 1 < len(order) else order[place - 1]
        why = why_it(one, beside, choices) if beside is not one else ""
        found = replace(_found(one, choices), rank=place + 1, why=why)
        hits.append(Hit(found, one.choice, one.design))
    return tuple(hits)


def _found(one: Standing, choices: Choices) -> Found:
    light, design = one.choice.light, one.design
    level = max(stretch.level_ratio for stretch in design.use.stretches)
    return Found(
        rank=0,
        merits=one.merits,
        build=light.build,
        strips=light.strips,
        feeds=light.feeds,
        wire=light.wire or AS_DRAWN,
        level_ratio=level,
        packs=tuple(f"{supply.pack_multiple} x {supply.pack}" for supply in design.supplies),
        converters=tuple(supply.converter or "none" for supply in design.supplies),
        differs=differs_from(one, choices),
        why="",
    )


def relax(hunt: Hunt, watch: Watch | None = None) -> tuple[tuple[Relaxed, ...], bool]:
    """Let each demand go in turn, and see what is the best that can then be had of it.

    Returns those that help, and whether all were tried.
    """
    found: list[Relaxed] = []
    for asked in _asked(hunt.demands):
        looser, left = without(hunt.design, hunt.demands, asked.demand)
        last, whole = _searched(looser, hunt.catalogue, left, watch)
        if last.standing:
            nearest = _nearest(asked.demand, last.standing)
            if asked.demand == "light" and whole:
                nearest, whole = _brightest(hunt, last.standing, asked.value, watch)
            elif nearest is not None and whole:
                nearest, whole = _closest(hunt, asked.demand, nearest, watch)
            found.append(Relaxed(asked.demand, asked.value, nearest))
        if not whole:
            return tuple(found), False
    return tuple(found), True


def _brightest(
    hunt: Hunt, standing: Sequence[Standing], asked_lm: float, watch: Watch | None
) -> tuple[float, bool]:
    """Return the most light there is, to a step, and whether it was looked for to the end.

    Light is asked and not weighed: what is brighter is struck out by what is cheaper. So more and
    more of it is asked, until what is found and what is not are a step apart.
    """
    known_lm, beyond_lm = max(one.merits.light_lm for one in standing), asked_lm
    while 0.0 < known_lm * (1.0 + LIGHT_STEP) < beyond_lm:
        lm = math.sqrt(known_lm * beyond_lm)
        demands = replace(hunt.demands, light_lm=lm)
        last, whole = _searched(hunt.design, hunt.catalogue, demands, watch)
        if last.standing:
            known_lm = max(one.merits.light_lm for one in last.standing)
        else:
            beyond_lm = lm
        if not whole:
            return known_lm, False
    return known_lm, True


def _closest(hunt: Hunt, demand: Demand, nearest: float, watch: Watch | None) -> tuple[float, bool]:
    """Return the best that can be had of a ranked merit, and whether it was looked for to the end.

    Merits are ranked in steps, and of one step any may stand. So something better is asked until
    nothing is found.
    """
    looser, left = without(hunt.design, hunt.demands, demand)
    while True:
        last, whole = _searched(looser, hunt.catalogue, _better(left, demand, nearest), watch)
        if last.standing:
            found = _nearest(demand, last.standing)
            assert found is not None
            nearest = found
        if not (last.standing and whole):
            return nearest, whole


def _better(demands: Demands, demand: Demand, known: float) -> Demands:
    """Ask for a little more of one merit than is known to be there."""
    less, more = known * (1.0 - BETTER), known * (1.0 + BETTER)
    if demand == "hours":
        return replace(demands, hours_h=more)
    if demand == "evenness":
        return replace(demands, light_fall_ratio=less)
    return replace(demands, price=less) if demand == "price" else replace(demands, mass_kg=less)


def _nearest(demand: Demand, standing: Sequence[Standing]) -> float | None:
    """Return the best of what stands."""
    merits = [one.merits for one in standing]
    if demand == "hours":
        return max(one.hours_h for one in merits)
    if demand == "evenness":
        return min(one.light_fall_ratio for one in merits)
    if demand == "light":
        return max(one.light_lm for one in merits)
    if demand == "dots":
        return None
    values = [one.price if demand == "price" else one.mass_kg for one in merits]
    return min((value for value in values if value is not None), default=None)
