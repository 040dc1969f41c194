"""Search what a maker left open for the designs that none beats in every respect.

Every design has merits that no answer of it can be better than (`pool`). Designs are answered
in full in the order of those, some at a time, and each that meets every demand strikes out all
that could at best be worse. What is left at the end has been answered; the rest cannot be on the
frontier.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import Part
from lightcalc.answers.cost import mass_of, price_of
from lightcalc.answers.finder.bounds import Bounds
from lightcalc.answers.finder.choices import Choice, Choices
from lightcalc.answers.finder.demands import Demands, ranks, ranks_of
from lightcalc.answers.finder.frontier import beaten, frontier
from lightcalc.answers.finder.judge import Judged, Known, judge
from lightcalc.answers.finder.light_side import HIDDEN, light_lm
from lightcalc.answers.finder.pool import Pool, run_down
from lightcalc.answers.finder.results import Merits
from lightcalc.answers.findings.remotes import remote_findings
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue

Ranks = NDArray[np.int64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]
# Of so many that could be best, those that none of them beats are answered next, and so few at
# least: fewer take hardly less time.
HEAD, FEW = 48, 4
# How many of a source are looked at more closely at a time: of strips straight on packs, for which
# it takes longer, and of others.
STRAIGHT, BEHIND = 12, 128
# Rank of hours that are too few.
DARK = 10**8


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


class _Row(NamedTuple):
    """Where a row of bounds comes from: build, group of supplies, light side, power."""

    build: int
    group: int
    light: int
    power: int


class _Rows(NamedTuple):
    """Rows of bounds (n, 4) with their owners (n, 4).

    `source` numbers what is looked at in one go (n,), `straight` are strips on packs with nothing
    between, `rough` what was not looked at closely yet.
    """

    ranks: Ranks
    owners: Places
    source: Places
    straight: Flags
    rough: Flags

    def of(self, which: Places | Flags) -> _Rows:
        """Take some of them."""
        ranks, owners, source, straight, rough = self
        return _Rows(ranks[which], owners[which], source[which], straight[which], rough[which])

    def next_rough(self) -> Places:
        """Return the first rough ones of every source that is rough near the head."""
        some = []
        for source in np.unique(self.source[:HEAD][self.rough[:HEAD]]):
            alike = np.flatnonzero(self.rough & (self.source == source))
            some.append(alike[: STRAIGHT if self.straight[alike[0]] else BEHIND])
        return np.concatenate(some)


_NO_ROWS = _Rows(
    np.empty((0, 4), dtype=np.int64),
    np.empty((0, 4), dtype=np.intp),
    np.empty(0, dtype=np.intp),
    np.empty(0, dtype=bool),
    np.empty(0, dtype=bool),
)


class _Search:
    def __init__(self, design: Design, catalogue: Catalogue, demands: Demands) -> None:
        self.catalogue, self.demands = catalogue, demands
        self.choices = Choices(design, catalogue)
        self.builds = list(Bounds(self.choices, demands).pools())
        self.answered: dict[_Row, Judged] = {}
        self.standing: list[Standing] = []
        self.refused: Counter[str] = Counter()

    def steps(self) -> Iterator[Progress]:
        rows = self._rows()
        while len(rows.ranks):
            rows = rows.of(np.argsort(rows.ranks.sum(axis=1), kind="stable"))
            alive = np.ones(len(rows.ranks), dtype=bool)
            if rows.rough[:HEAD].any():
                some = rows.next_rough()
                rows.ranks[some], rows.rough[some] = self._refined(rows.owners[some]), False
            else:
                some = np.union1d(frontier(rows.ranks[:HEAD]), np.arange(len(rows.ranks))[:FEW])
                alive[some] = False
                for found in self._answer([_Row(*owner) for owner in rows.owners[some].tolist()]):
                    self._let_stand(found)
            rows = rows.of(alive & self._alive(rows.ranks))
            yield self._progress(len(rows.ranks))
        yield self._progress(0)

    def _progress(self, left_count: int) -> Progress:
        refused = tuple(self.refused.most_common())
        return Progress(left_count, len(self.answered), tuple(self.standing), refused)

    def _let_stand(self, found: Standing) -> None:
        self.standing = [one for one in self.standing if not beaten(one.ranks, found.ranks)]
        self.standing.append(found)

    def _alive(self, rows: Ranks) -> NDArray[np.bool_]:
        """Whether rows may still be part of something that stands."""
        alive = rows[:, 1] < DARK
        for one in self.standing:
            alive &= ~np.all(rows >= one.ranks, axis=1)
        return np.asarray(alive)

    def _refined(self, owners: Places) -> Ranks:
        """Look at rows more closely, and rank them again."""
        ranked = np.empty((len(owners), 4), dtype=np.int64)
        groups = []
        for build, group in np.unique(owners[:, :2], axis=0).tolist():
            some = np.flatnonzero(np.all(owners[:, :2] == (build, group), axis=1))
            groups.append((build, group, some, owners[some, 2], owners[some, 3]))
        run_down(
            look
            for build, group, _, light, power in groups
            for look in self.builds[build][group].looks(light, power)
        )
        for build, group, some, light, power in groups:
            pool = self.builds[build][group]
            ranked[some] = self._ranks(self.builds[build], pool, light, power)
            ranked[some[self._missed(pool, light, power)], 1] = DARK
        return ranked

    def _missed(self, pool: Pool, light: Places, power: Places) -> NDArray[np.bool_]:
        """Whether powers looked at closely cannot meet the demands."""
        missed = ~pool.possible[light, power] | (pool.hours_h[light, power] <= 0.0)
        if self.demands.hours_h is not None:
            missed |= pool.hours_h[light, power] < self.demands.hours_h
        if self.demands.light_fall_ratio is not None:
            missed |= pool.fall[light, power] > self.demands.light_fall_ratio
        return np.asarray(missed)

    def _rows(self) -> _Rows:
        """Rank the best that each power could be part of."""
        every, sources = [_NO_ROWS], 0
        for build, pools in enumerate(self.builds):
            lit = np.all([pool.possible.any(axis=1) for pool in pools], axis=0)
            for group, pool in enumerate(pools):
                light, power = np.nonzero(pool.possible & lit[:, None])
                ones = np.ones(len(light), dtype=np.intp)
                owners = np.stack((build * ones, group * ones, light, power), axis=1)
                ranked = self._ranks(pools, pool, light, power)
                source = sources + pool.source(light, power)
                sources = int(source.max(initial=sources)) + 1
                every.append(_Rows(ranked, owners, source, pool.straight(power), ones > 0))
        return _Rows(
            ranks=np.concatenate([rows.ranks for rows in every]),
            owners=np.concatenate([rows.owners for rows in every]),
            source=np.concatenate([rows.source for rows in every]),
            straight=np.concatenate([rows.straight for rows in every]),
            rough=np.concatenate([rows.rough for rows in every]),
        )

    def _ranks(self, pools: Sequence[Pool], pool: Pool, light: Places, power: Places) -> Ranks:
        """Rank powers of a group beside the best of the others in each merit."""
        price, hours_h, fall, mass_kg = (
            getattr(pool, name)[light, power] for name in ("price", "hours_h", "fall", "mass_kg")
        )
        for other in (other for other in pools if other is not pool):
            price = price + _least(other, other.price)[light]
            mass_kg = mass_kg + _least(other, other.mass_kg)[light]
            hours_h = np.minimum(hours_h, -_least(other, -other.hours_h)[light])
            fall = np.maximum(fall, _least(other, other.fall)[light])
        return ranks(price, hours_h, fall, mass_kg)

    def _answer(self, batch: Sequence[_Row]) -> Iterator[Standing]:
        """Answer powers of groups, and weigh the designs they make with those of the others."""
        candidates = []
        for row in batch:
            pool = self.builds[row.build][row.group]
            power, lit = pool.powers[row.power], pool.powered[row.light]
            candidates.append((self.choices.powered(lit, pool.group, power), pool.group))

        def worth(number: int, known: Known) -> bool:
            return self._worth(batch[number], known)

        for number, judged in judge(candidates, self.catalogue, worth):
            self.answered[batch[number]] = judged
            self.refused.update(judged.stops)
            if not judged.stops:
                yield from self._designs_with(batch[number])

    def _worth(self, row: _Row, known: Known) -> bool:
        """Whether nothing that stands beats a design, however even its light may be."""
        pools = self.builds[row.build]
        if len(pools) > 1:
            return True
        fall = float(pools[0].fall[row.light, row.power])
        rank = ranks_of(Merits(known.price, known.hours_h, fall, known.mass_kg, 0.0, False))
        return not any(np.all(one.ranks <= rank) for one in self.standing)

    def _designs_with(self, row: _Row) -> Iterator[Standing]:
        groups = range(len(self.builds[row.build]))
        known = [[row] if group == row.group else self._known(row, group) for group in groups]
        for chosen in itertools.product(*known):
            found = self._weigh(chosen)
            if found is not None:
                yield found

    def _known(self, row: _Row, group: int) -> list[_Row]:
        """Rows of another group that were answered and may stand beside this one."""
        return [
            other
            for other, judged in self.answered.items()
            if (other.build, other.light, other.group) == (row.build, row.light, group)
            and not judged.stops
        ]

    def _weigh(self, chosen: Sequence[_Row]) -> Standing | None:
        """Put a design together, and return it if it meets every demand and none beats it."""
        pools = self.builds[chosen[0].build]
        parts = [part for row in chosen for part in self.answered[row].parts]
        powers = tuple(pool.powers[row.power] for pool, row in zip(pools, chosen, strict=True))
        choice = Choice(pools[0].lights[chosen[0].light], powers)
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


def _least(pool: Pool, merit: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.where(pool.possible, merit, np.inf).min(axis=1))


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
