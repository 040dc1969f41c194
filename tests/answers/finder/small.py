"""Small searches of every kind, small enough to answer every design of them."""

import random
from dataclasses import dataclass, replace

import numpy as np
from designs import HOUR_S, parts

from lightcalc.answers.answer import answer
from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.demands import Demands, demands_of, ranks_of
from lightcalc.answers.finder.frontier import frontier
from lightcalc.answers.finder.results import Merits
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.find import OPEN, Find
from lightcalc.design.piece import Ask, Design, Feed, Lead, Piece, Run, Seen, Stretch, Supply, Use
from lightcalc.design.service import Crossing
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import Problems

MOST_DESIGNS = 40
# Strips that may take one another's place, with packs and converters that feed some of them.
GROUPS = (
    (
        ("strip-12v-60-warm", "strip-12v-120-warm", "strip-12v-cc-60-warm", "strip-24v-168-warm"),
        ("liion-3s-5200", "liion-4s-6800", "lifepo4-4s-6000", "sla-12v-7ah", "d-alkaline-8"),
        ("buck-12v-5a", "boost-12v-3a", "buckboost-12v-4a"),
    ),
    (
        ("strip-24v-168-warm", "strip-24v-120-neutral", "strip-24v-cc-70-warm"),
        ("liion-6s-5200", "lifepo4-8s-12000", "liion-4s-6800", "sla-12v-7ah"),
        ("boost-24v-2a", "buckboost-24v-4a", "buckboost-adjustable-2a"),
    ),
    (
        ("strip-5v-60-warm", "strip-12v-60-warm", "strip-12v-cc-60-warm"),
        ("usb-10000", "usb-20000-stays-on", "aa-alkaline-4", "liion-1s-10000", "aa-alkaline-8"),
        ("boost-5v-3a", "boost-12v-1a5", "buck-adjustable-3a"),
    ),
    (
        ("strip-12v-tunable-120", "strip-24v-tunable-240"),
        ("liion-4s-6800", "lifepo4-4s-6000", "sla-12v-7ah", "lifepo4-8s-12000"),
        ("buck-12v-5a", "buckboost-12v-4a", "buckboost-24v-4a"),
    ),
    (
        ("strip-5v-pixel-60", "strip-12v-pixel-60"),
        ("usb-20000-stays-on", "liion-3s-10400", "liion-1s-10000", "lifepo4-4s-6000"),
        ("buck-5v-5a", "boost-5v-3a", "buckboost-12v-4a"),
    ),
)
CONTROLLERS = ("receiver-radio-1ch", "dimmer-inline-1ch", "dimmer-smooth-1ch")


@dataclass(frozen=True)
class Searched:
    """A design that leaves something open, with its catalogue and demands."""

    design: Design
    catalogue: Catalogue
    demands: Demands


def small_search(seed):
    """Make up a design with something open, of at most some dozens of designs."""
    pick = random.Random(seed)
    group = pick.choice((*GROUPS, GROUPS[0], GROUPS[0]))
    catalogue = _catalogue(pick, *group)
    supplies = _supplies(pick, catalogue)
    runs, trunks = _runs(pick, list(catalogue.strips), [supply.name for supply in supplies])
    runs = _plugged(random.Random(seed + 1000), runs)
    channels = catalogue.strips[runs[0].strip].channels
    design = Design(
        piece=Piece("bench"),
        runs=runs,
        supplies=supplies,
        use=_use(pick, channels),
        ask=Ask(
            charge_s=pick.choice([None, None, None, 1.0 * HOUR_S, 3.0 * HOUR_S]),
            light_fall_ratio=pick.choice([0.05, 0.1, 0.3, 0.3]),
            lead_drop_ratio=pick.choice([0.01, 0.03]),
        ),
        find=_find(pick),
        trunks=trunks,
    )
    design = _opened(pick, design, catalogue)
    return Searched(design, catalogue, demands_of(design, None))


def _catalogue(pick, strips, packs, converters):
    whole = parts()
    strips = [
        _changed(pick, whole.strips[name], "price", "power_w_per_m", "rail_ohm_per_m",
                 "mass_kg_per_m", "light_lm_per_m", unknown=("price", "mass_kg_per_m"))
        for name in pick.sample(strips, min(pick.randint(2, 3), len(strips)))
    ]  # fmt: skip
    packs = [
        _changed(pick, whole.packs[name], "price", "capacity_coulomb", "resistance_ohm", "mass_kg",
                 unknown=("price", "mass_kg", "auto_off_a"))
        for name in pick.sample(packs, pick.randint(2, 4))
    ]  # fmt: skip
    packs = [replace(pack, fast_capacity_coulomb=None, fast_current_a=None) for pack in packs]
    converters = [
        _changed(
            pick, whole.converters[name], "price", "output_max_a", "idle_a", unknown=("price",)
        )
        for name in pick.sample(converters, pick.randint(1, 2))
    ]
    wires = {name: wire for name, wire in whole.wires.items() if pick.random() < 0.6}
    wires["wire-18awg"] = whole.wires["wire-18awg"]
    table = {
        kind: {part.name: part for part in made}
        for kind, made in (("strips", strips), ("packs", packs), ("converters", converters))
    }
    return replace(whole, **table, wires=wires)


def _changed(pick, part, *scaled, unknown=()):
    """Return a part with figures somewhat off, and some of them not known."""
    ratios = (0.6, 0.83, 0.97, 1.0, 1.0, 1.07, 1.4)
    changes = {name: getattr(part, name) * pick.choice(ratios) for name in scaled}
    for name in unknown:
        if pick.random() < 0.08:
            changes[name] = None
    return replace(part, **changes)


def _supplies(pick, catalogue):
    strip = next(iter(catalogue.strips.values()))
    controller = pick.choice(CONTROLLERS)
    if len(strip.channels) > 1:
        controller = "receiver-radio-pixel" if strip.kind == "pixel" else "receiver-radio-2ch"
    first = Supply(
        name="box 0",
        pack=pick.choice(list(catalogue.packs)),
        converter=pick.choice([None, *catalogue.converters]),
        controller=controller,
        pack_lead_m=pick.choice([0.1, 0.6]),
        connectors=pick.choice([(), ("plug-polarised-2",)]),
        health_ratio=pick.choice([1.0, 1.0, 0.8]),
        switched_off=pick.random() < 0.5,
    )
    if pick.random() < 0.7:
        return (first,)
    second = replace(first, name="box 1")
    if pick.random() < 0.5:
        second = replace(second, pack=pick.choice(list(catalogue.packs)))
    return (first, second)


def _runs(pick, strips, supplies):
    trunk = Lead("trunk", pick.choice([0.4, 1.5])) if pick.random() < 0.3 else None
    if len(supplies) > 1:
        trunk = None
    runs = []
    for number in range(pick.randint(len(supplies), 2)):
        length_m = pick.choice([0.31, 0.6, 1.0, 1.45])
        lead = Lead(
            f"lead {number}",
            pick.choice([0.2, 0.5, 2.5]),
            pick.choice([None, None, None, "18 AWG"]),
            trunk and trunk.name,
        )
        runs.append(
            Run(
                name=f"run {number}",
                strip=strips[0] if pick.random() < 0.8 else pick.choice(strips),
                length_m=length_m,
                feeds=(Feed(pick.choice([0.0, 0.0, length_m]), lead),),
                supply=supplies[number % len(supplies)],
                mounting=pick.choice(["bare on wood", "aluminium channel on the surface"]),
                seen=(Seen("the floor", pick.choice([0.005, 0.03, 0.4]), 2.0),),
            )
        )
    return tuple(runs), (trunk,) if trunk else ()


def _plugged(pick, runs):
    """Put a connector into the lead of some runs."""
    plugs = [pick.choice([None, "plug-small-2", "strip-clip-4"]) for _ in runs]
    return tuple(
        replace(
            run,
            feeds=tuple(
                replace(feed, lead=replace(feed.lead, crossing=Crossing((), plug)))
                for feed in run.feeds
            ),
        )
        for run, plug in zip(runs, plugs, strict=True)
    )


def _use(pick, channels):
    mix = ()
    if len(channels) > 1 and pick.random() < 0.5:
        mix = tuple(zip(channels, (1.0, 0.3, 0.0), strict=False))
    stretches = tuple(
        Stretch(pick.choice([0.05, 0.4, 0.8, 1.0]), pick.choice([0.2, 1.5, 4.0]) * HOUR_S, mix)
        for _ in range(pick.randint(1, 2))
    )
    return Use(
        stretches,
        evenings_a_week=pick.choice([0.5, 4.0, 7.0]),
        temperature_c=pick.choice([5.0, 20.0, 30.0]),
    )


def _find(pick):
    return Find(
        open=(),
        any_colour=True,
        price=pick.choice([None, None, None, None, 90.0]),
        mass_kg=pick.choice([None, None, None, None, 1.0]),
        light_lm=pick.choice([None, None, 40.0]),
        hidden=pick.random() < 0.08,
    )


def _opened(pick, design, catalogue):
    """Open so much of a design that all of it can be answered."""
    opened = ()
    for word in pick.sample(OPEN, len(OPEN)):
        find = replace(design.find, open=(*opened, word))
        if Choices(replace(design, find=find), catalogue).count() <= MOST_DESIGNS:
            opened = find.open
    return replace(design, find=replace(design.find, open=opened))


def answered(searched):
    """Answer every design of a search that can be built: choice, design and answer."""
    choices = Choices(searched.design, searched.catalogue)
    for choice in choices.every():
        design = choices.design_of(choice)
        problems = Problems("")
        check_against_catalogue(design, searched.catalogue, problems)
        if not problems.found:
            yield choice, design, answer(design, searched.catalogue)


def merits_in(found, design, catalogue):
    """Take the merits of a design out of its answer."""
    level = {}
    for run in design.runs:
        channels = catalogue.strips[run.strip].channels
        stretches = [
            [stretch.level_ratio * dict(stretch.mix).get(name, 1.0) for name in channels]
            for stretch in design.use.stretches
        ]
        level[run.name] = max(sum(stretch) / len(stretch) for stretch in stretches)
    return Merits(
        price=found.price,
        hours_h=min(supply.hours_h for supply in found.supplies),
        light_fall_ratio=max(run.light_fall_ratio for run in found.runs),
        mass_kg=found.mass_kg,
        light_lm=sum(run.light_lm * level[run.run] for run in found.runs),
        hidden=all(dots.verdict == "hidden" for dots in found.dots),
    )


def stops_in(found):
    """Return the codes of the findings of grade stop."""
    return {finding.code for finding in found.findings if finding.grade == "stop"}


def best_of_all(searched, every=None):
    """Return the ranks of the frontier, from an answer to every design."""
    rows = []
    for _, design, found in every or answered(searched):
        merits = merits_in(found, design, searched.catalogue)
        if not stops_in(found) and searched.demands.met_by(merits):
            rows.append(ranks_of(merits))
    if not rows:
        return set()
    whole = np.array(rows)
    return {tuple(row) for row in whole[frontier(whole)].tolist()}
