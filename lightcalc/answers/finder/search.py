"""Search what a maker left open for the designs that none beats in every respect.

Every design has merits that no answer of it can be better than (`pool`). Designs are answered
in full in the order of those, and each that meets every demand strikes out all that could at best
be worse. What is left at the end has been answered; the rest cannot be on the frontier.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import Part, answer_supply
from lightcalc.answers.cost import mass_of, price_of
from lightcalc.answers.finder.choices import Choice, Choices
from lightcalc.answers.finder.demands import Demands, ranks, ranks_of
from lightcalc.answers.finder.frontier import beaten
from lightcalc.answers.finder.light_side import HIDDEN, light_lm
from lightcalc.answers.finder.pool import Bounds, Pool
from lightcalc.answers.finder.results import Merits
from lightcalc.answers.findings_service import remote_findings
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import Problems

Ranks = NDArray[np.int64]


@dataclass(frozen=True)
class Standing:
    """A design that was answered, meets every demand, and is beaten by none so far."""

    choice: Choice
    design: Design
    merits: Merits
    ranks: Ranks


@dataclass(frozen=True)
class Progress:
    """How far a search is: designs not struck out yet, those answered, those that stand."""

    left_count: int
    answered_count: int
    standing: tuple[Standing, ...]
    refused: tuple[tuple[str, int], ...]


def search(design: Design, catalogue: Catalogue, demands: Demands) -> Iterator[Progress]:
    """Search step by step; after the last step what stands is the whole frontier."""
    yield from _Search(design, catalogue, demands).steps()


class _Search:
    def __init__(self, design: Design, catalogue: Catalogue, demands: Demands) -> None:
        self.catalogue, self.demands = catalogue, demands
        self.choices = Choices(design, catalogue)
        bounds = Bounds(self.choices, demands)
        sides = [bounds.pools(light) for light in self.choices.light_sides]
        self.sides = [pools for pools in sides if pools]
        self.answered: dict[tuple[int, int, int], tuple[Part, ...] | None] = {}
        self.standing: list[Standing] = []
        self.refused: Counter[str] = Counter()

    def steps(self) -> Iterator[Progress]:
        rows, owners = self._rows()
        alive = np.ones(len(rows), dtype=bool)
        for place in np.argsort(rows.sum(axis=1), kind="stable"):
            if not alive[place]:
                continue
            alive[place] = False
            for found in self._designs_with(*owners[place]):
                self.standing = [one for one in self.standing if not beaten(one.ranks, found.ranks)]
                self.standing.append(found)
                alive &= ~np.all(rows >= found.ranks, axis=1)
            yield self._progress(int(alive.sum()))
        yield self._progress(0)

    def _progress(self, left_count: int) -> Progress:
        refused = tuple(self.refused.most_common())
        return Progress(left_count, len(self.answered), tuple(self.standing), refused)

    def _rows(self) -> tuple[Ranks, list[tuple[int, int, int]]]:
        """Rank the best that each power could be part of; beside each, whose it is."""
        rows, owners = [np.empty((0, 4), dtype=np.int64)], []
        for side, pools in enumerate(self.sides):
            for group, pool in enumerate(pools):
                others = [other for other in pools if other is not pool]
                price = pool.price + sum(other.price.min() for other in others)
                mass_kg = pool.mass_kg + sum(other.mass_kg.min() for other in others)
                hours_h, fall = pool.hours_h, pool.fall
                for other in others:
                    hours_h = np.minimum(hours_h, other.hours_h.max())
                    fall = np.maximum(fall, other.fall.min())
                rows.append(ranks(price, hours_h, fall, mass_kg))
                owners += [(side, group, power) for power in range(len(pool.powers))]
        return np.concatenate(rows), owners

    def _designs_with(self, side: int, group: int, power: int) -> Iterator[Standing]:
        """Answer one power of a group, and weigh the designs it makes with those of the others."""
        if self._parts(side, group, power) is None:
            return
        pools = self.sides[side]
        known = [
            [power] if number == group else self._known(side, number)
            for number in range(len(pools))
        ]
        for chosen in itertools.product(*known):
            found = self._weigh(side, chosen)
            if found is not None:
                yield found

    def _known(self, side: int, group: int) -> list[int]:
        return [
            power
            for (at, number, power), parts in self.answered.items()
            if (at, number) == (side, group) and parts is not None
        ]

    def _parts(self, side: int, group: int, power: int) -> tuple[Part, ...] | None:
        """Answer the supplies of a group; None, and why, where one cannot be built."""
        key = side, group, power
        if key not in self.answered:
            self.answered[key] = self._answer(self.sides[side][group], power)
        return self.answered[key]

    def _answer(self, pool: Pool, power: int) -> tuple[Part, ...] | None:
        design = self.choices.powered(pool.design, pool.group, pool.powers[power])
        problems = Problems("")
        check_against_catalogue(design, self.catalogue, problems)
        if problems.found:
            self.refused["contradiction"] += 1
            return None
        parts = []
        for name in pool.group:
            part = answer_supply(design.supply(name), design, self.catalogue)
            stops = [finding.code for finding in part.findings if finding.grade == "stop"]
            self.refused.update(set(stops))
            if stops:
                return None
            parts.append(part)
        return tuple(parts)

    def _weigh(self, side: int, chosen: Sequence[int]) -> Standing | None:
        """Put a design together, and return it if it meets every demand and none beats it."""
        pools = self.sides[side]
        parts = [
            part
            for group, power in enumerate(chosen)
            for part in self._parts(side, group, power) or ()
        ]
        powers = tuple(pool.powers[power] for pool, power in zip(pools, chosen, strict=True))
        choice = Choice(pools[0].light, powers)
        design = self.choices.design_of(choice)
        assert design is not None
        merits = merits_of(parts, design, self.catalogue)
        missed = self.demands.missed_by(merits)
        self.refused.update(missed)
        if missed or any(f.grade == "stop" for f in remote_findings(design, self.catalogue)):
            return None
        rank = ranks_of(merits)
        if any(np.all(one.ranks <= rank) for one in self.standing):
            return None
        return Standing(choice, design, merits, rank)


def merits_of(parts: Sequence[Part], design: Design, catalogue: Catalogue) -> Merits:
    """Weigh what was answered of the supplies of a design."""
    wired, sized = [part.wired for part in parts], [part.sized for part in parts]
    return Merits(
        price=price_of(wired, sized, catalogue),
        hours_h=min(part.supply.hours_h for part in parts),
        light_fall_ratio=max(run.light_fall_ratio for part in parts for run in part.runs),
        mass_kg=mass_of(wired, sized, catalogue),
        light_lm=sum(light_lm(part.wired, part.runs, design.use) for part in parts),
        hidden=all(dots.verdict == HIDDEN for part in parts for dots in part.dots),
    )
