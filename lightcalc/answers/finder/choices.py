"""Every design a search may try: what is open, the ways to choose it, and the design of a choice.

    light side   build, strips, feeds, wire, level    what the runs are and draw
    power        pack, how many, converter            one for each group of supplies drawn alike

What is alike in the design stays alike: runs of one strip change it together, and supplies of one
pack and converter change those together.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from lightcalc.answers.compare import builds
from lightcalc.design.find import Find
from lightcalc.design.piece import Design, Feed, Run, Supply, Use
from lightcalc.design.space import Place, edge_way_m
from lightcalc.parts.kinds import Catalogue, Strip

AS_DRAWN, TWO_PACKS = "as drawn", "two packs"
MIDDLE, BOTH_ENDS = "middle", "both ends"
# Of a lead whose way is told by the places of pack and run, in wood a hand's breadth (judgement).
SPARE_M = 0.1
LEVELS = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2)


@dataclass(frozen=True)
class Power:
    """What a supply runs from: so many of a pack's cells, straight or through a converter."""

    pack: str
    multiple: int
    converter: str | None


@dataclass(frozen=True)
class LightSide:
    """Everything of a choice but its power. `level` is that of the evening's brightest part."""

    build: str
    strips: tuple[str, ...]
    feeds: str
    wire: str | None
    level: float | None


@dataclass(frozen=True)
class Choice:
    """One design of a search; `powers` has one entry for each group of supplies."""

    light: LightSide
    powers: tuple[Power, ...]


@dataclass(frozen=True)
class Choices:
    """What is open in a design, and everything it may be."""

    design: Design
    catalogue: Catalogue

    @property
    def find(self) -> Find:
        """What may change, and what for."""
        return self.design.find

    @cached_property
    def strip_groups(self) -> tuple[str, ...]:
        """Name the strips of the design as drawn, each once."""
        return tuple(dict.fromkeys(run.strip for run in self.design.runs))

    @cached_property
    def strips(self) -> tuple[tuple[str, ...], ...]:
        """For each strip drawn, those that may take its place, itself first."""
        return tuple(self._like(name) for name in self.strip_groups)

    def _like(self, name: str) -> tuple[str, ...]:
        if "strip" not in self.find.open:
            return (name,)
        drawn = self.catalogue.strips[name]
        others = (other for other in self.catalogue.strips.values() if self._may_take(other, drawn))
        return (name, *(other.name for other in others if other.name != name))

    def _may_take(self, strip: Strip, drawn: Strip) -> bool:
        colour = self.find.any_colour or strip.colour == drawn.colour
        return strip.channels == drawn.channels and colour

    @cached_property
    def feeds(self) -> tuple[str, ...]:
        """Ways to feed the runs."""
        if "feeds" not in self.find.open:
            return (AS_DRAWN,)
        runs = self.design.runs
        ways = (MIDDLE, BOTH_ENDS)
        other = [way for way in ways if any(self._fed(run, way, None) != run for run in runs)]
        return (AS_DRAWN, *other)

    @cached_property
    def wires(self) -> tuple[str | None, ...]:
        """Wires for the leads; None lets each lead have what it was given, or the thinnest."""
        if "wire" not in self.find.open:
            return (None,)
        stranded = (w.name for w in self.catalogue.wires.values() if w.construction == "stranded")
        return (None, *stranded)

    @cached_property
    def levels(self) -> tuple[float | None, ...]:
        """Levels of the brightest part of the evening; None as drawn."""
        return (None, *LEVELS) if "level" in self.find.open else (None,)

    @cached_property
    def builds(self) -> tuple[str, ...]:
        """Ways to share the runs among supplies."""
        two = "packs" in self.find.open and len(self.design.supplies) == 1
        return (AS_DRAWN, TWO_PACKS) if two else (AS_DRAWN,)

    def supply_groups(self, design: Design) -> tuple[tuple[str, ...], ...]:
        """Names of the supplies that change together, in a design of one of the builds."""
        groups: dict[tuple[object, ...], list[str]] = {}
        for supply in design.supplies:
            alike = (supply.pack, supply.converter, supply.pack_multiple, supply.output_v)
            groups.setdefault(alike, []).append(supply.name)
        return tuple(tuple(names) for names in groups.values())

    def powers(self, drawn: Supply) -> tuple[Power, ...]:
        """Return what a supply may run from, what is drawn first."""
        key = drawn.pack, drawn.pack_multiple, drawn.converter
        if key not in self._powers:
            self._powers[key] = self._powers_of(drawn)
        return self._powers[key]

    @cached_property
    def _powers(self) -> dict[tuple[str, int, str | None], tuple[Power, ...]]:
        return {}

    def _powers_of(self, drawn: Supply) -> tuple[Power, ...]:
        opened, parts = self.find.open, self.catalogue
        packs = tuple(parts.packs) if "pack" in opened else (drawn.pack,)
        most = range(1, self.find.most_packs + 1) if "packs" in opened else (drawn.pack_multiple,)
        converters: tuple[str | None, ...] = (drawn.converter,)
        if "converter" in opened:
            converters = (None, *parts.converters)
        every = (Power(*one) for one in itertools.product(packs, most, converters))
        first = Power(drawn.pack, drawn.pack_multiple, drawn.converter)
        may = (power for power in every if self._may_run_from(power, drawn))
        return tuple(dict.fromkeys((first, *may)))

    def _may_run_from(self, power: Power, drawn: Supply) -> bool:
        """Whether a pack is of the sort drawn, and can be had with so many times the cells.

        Who drew a pack to be charged does not want cells to be thrown away after every charge, and
        nobody builds two USB banks into one.
        """
        pack = self.catalogue.packs[power.pack]
        charged = pack.rechargeable or not self.catalogue.packs[drawn.pack].rechargeable
        return charged and (pack.output_v is None or power.multiple == 1)

    @cached_property
    def light_sides(self) -> tuple[LightSide, ...]:
        """Every light side, the one drawn first."""
        return tuple(
            LightSide(build, strips, feeds, wire, level)
            for build in self.builds
            for strips in itertools.product(*self.strips)
            for feeds in self.feeds
            for wire in self.wires
            for level in self.levels
        )

    def count(self) -> int:
        """How many designs there are."""
        total = 0
        for build in self.builds:
            design = self.lit_by(replace(self.light_sides[0], build=build))
            groups = self.supply_groups(design) if design else ()
            powers = math.prod(len(self.powers(design.supply(g[0]))) for g in groups if design)
            total += powers * sum(light.build == build for light in self.light_sides)
        return total

    def lit_by(self, light: LightSide) -> Design | None:
        """Return the design with a light side and its power as drawn; None where there is none."""
        design = self.lit_by_alone(light)
        return builds(design, self.catalogue)[1].design if light.build == TWO_PACKS else design

    def lit_by_alone(self, light: LightSide) -> Design:
        """Return the design with a light side, its runs still among the supplies as drawn.

        Feeds that are drawn where they are wanted stay. Others have leads as `lead_m` says.
        """
        swap = dict(zip(self.strip_groups, light.strips, strict=True))
        runs = tuple(
            self._fed(replace(run, strip=swap[run.strip]), light.feeds, light.wire)
            for run in self.design.runs
        )
        trunks = self.design.trunks
        if light.wire is not None:
            trunks = tuple(replace(trunk, wire=light.wire) for trunk in trunks)
        return replace(self.design, runs=runs, trunks=trunks, use=self._use(light.level))

    def _fed(self, run: Run, way: str, wire: str | None) -> Run:
        """Feed a run another way, and give its leads a wire."""
        feeds, pack_m = run.feeds, self.pack_m(run)
        if way != AS_DRAWN:
            places = _places(run, way)
            kept = [feed for feed in feeds if feed.at_m in places.values()]
            drawn_m = [feed.at_m for feed in kept]
            new = [
                _new_feed(run, pack_m, name, at_m)
                for name, at_m in places.items()
                if at_m not in drawn_m
            ]
            feeds = (*kept, *new)
        if wire is not None:
            feeds = tuple(replace(feed, lead=replace(feed.lead, wire=wire)) for feed in feeds)
        return replace(run, feeds=feeds)

    def pack_m(self, run: Run) -> Place | None:
        """Return where the pack lies that feeds a run as drawn; None is not said."""
        return self.design.supply(run.supply).at_m

    def _use(self, level: float | None) -> Use:
        use = self.design.use
        if level is None:
            return use
        most = max(stretch.level_ratio for stretch in use.stretches)
        stretches = tuple(
            replace(stretch, level_ratio=stretch.level_ratio * level / most)
            for stretch in use.stretches
        )
        return replace(use, stretches=stretches)

    def powered(self, lit: Design, group: tuple[str, ...], power: Power) -> Design:
        """Return a design with one group of its supplies run from something else."""
        supplies = tuple(
            self._run_from(supply, power) if supply.name in group else supply
            for supply in lit.supplies
        )
        return replace(lit, supplies=supplies)

    def _run_from(self, supply: Supply, power: Power) -> Supply:
        # What a converter was set to is for the strip and the converter drawn.
        output_v = supply.output_v if supply.converter == power.converter else None
        if "strip" in self.find.open:
            output_v = None
        return replace(
            supply,
            pack=power.pack,
            pack_multiple=power.multiple,
            converter=power.converter,
            output_v=output_v,
        )

    def design_of(self, choice: Choice) -> Design | None:
        """Return the whole design of a choice."""
        design = self.lit_by(choice.light)
        if design is None:
            return None
        groups = self.supply_groups(design)
        for group, power in zip(groups, choice.powers, strict=True):
            design = self.powered(design, group, power)
        return design

    def every(self) -> Iterator[Choice]:
        """Go through every choice there is."""
        for light in self.light_sides:
            design = self.lit_by(light)
            if design is None:
                continue
            groups = self.supply_groups(design)
            powers = [self.powers(design.supply(group[0])) for group in groups]
            for one in itertools.product(*powers):
                yield Choice(light, one)


def _places(run: Run, way: str) -> dict[str, float]:
    ends = {"start": 0.0, "end": run.length_m}
    return {"middle": run.length_m / 2.0} if way == MIDDLE else ends


def nearest(run: Run, pack_m: Place | None, at_m: float) -> Feed:
    """Return the feed from which a lead to another place on a run is shortest."""
    return min(run.feeds, key=lambda feed: (lead_m(run, pack_m, feed, at_m), feed.at_m))


def lead_m(run: Run, pack_m: Place | None, drawn: Feed, at_m: float) -> float:
    """Return how long a lead is that is led like that of a drawn feed to another place [m].

    It goes along the run from there, or straight along the edges from the pack where that is
    shorter and the design says where both lie: as much longer or shorter as that way is, and some
    to spare.

        pack ──────────┐            pack ────┐
                       │ drawn               │ new
        ├──────────────┴───┤        ├────────┴─────────┤
    """
    along_m = drawn.lead.length_m + abs(at_m - drawn.at_m)
    if pack_m is None or not run.mounts or not run.mounts[0].path_m or drawn.lead.parent:
        return along_m
    drawn_m, new_m = (edge_way_m(pack_m, run.mounts[0].at(place)) for place in (drawn.at_m, at_m))
    return min(along_m, max(drawn.lead.length_m - drawn_m, 0.0) + new_m + SPARE_M)


def _new_feed(run: Run, pack_m: Place | None, name: str, at_m: float) -> Feed:
    near = nearest(run, pack_m, at_m)
    length_m = lead_m(run, pack_m, near, at_m)
    return Feed(at_m, replace(near.lead, name=f"{near.lead.name} ({name})", length_m=length_m))
