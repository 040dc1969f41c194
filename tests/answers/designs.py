"""Designs to answer: a plain one to change by hand, and any that the example catalogue allows."""

from dataclasses import dataclass, replace
from functools import cache

from example_parts import parts
from hypothesis import settings
from hypothesis import strategies as st

from lightcalc.answers.answer import circuit_of
from lightcalc.answers.bought import Cells, cells_of, converter_of
from lightcalc.answers.draw import Circuit
from lightcalc.answers.endurance import Charge, run_down
from lightcalc.answers.sizing import Sized, size_supply
from lightcalc.answers.surroundings import heat_answer
from lightcalc.answers.wiring import Wired, wire_up
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.piece import Ask, Design, Feed, Lead, Piece, Run, Stretch, Supply, Use
from lightcalc.design.service import Crossing
from lightcalc.problems import Problems
from lightcalc.tables.mountings import mounting_names

HOUR_S = 3600.0
few = settings(settings.get_profile("answers"), max_examples=8)
some = settings(settings.get_profile("answers"))


def catalogue_with(kind, name, **changes):
    """Return the example catalogue with one part changed."""
    table = getattr(parts(), kind)
    return replace(parts(), **{kind: {**table, name: replace(table[name], **changes)}})


def feed(at_m=0.0, lead_m=0.5, *, wire=None, parent=None, name="lead", connector=None):
    return Feed(at_m, Lead(name, lead_m, wire, parent, crossing=Crossing((), connector)))


def run(strip="strip-12v-60-warm", length_m=1.5, *, name="rail", supply="box", **changes):
    """Return one run, fed at its start unless told otherwise."""
    changes.setdefault("feeds", (feed(name=f"{name} lead"),))
    return Run(name=name, strip=strip, length_m=length_m, supply=supply, **changes)


def supply(pack="liion-4s-6800", converter="buck-12v-5a", *, name="box", **changes):
    return Supply(name=name, pack=pack, converter=converter, **changes)


def evening(*levels, hours=3.0, **changes):
    """Return a use of one stretch for each level, of equal length."""
    levels = levels or (1.0,)
    stretches = tuple(Stretch(level, hours * HOUR_S / len(levels)) for level in levels)
    return Use(stretches, **changes)


def design(*runs, supplies=None, use=None, ask=None, trunks=()):
    """Return a design that answers without a finding of grade stop unless a part is changed."""
    return Design(
        piece=Piece("bench"),
        runs=runs or (run(),),
        supplies=supplies or (supply(),),
        use=use or evening(),
        ask=ask or Ask(),
        trunks=trunks,
    )


def mistakes(made, catalogue=None):
    problems = Problems("")
    check_against_catalogue(made, catalogue or parts(), problems)
    return [str(problem) for problem in problems.found]


@dataclass(frozen=True)
class Built:
    """One supply of a design on its way to an answer."""

    wired: Wired
    cells: Cells
    sized: Sized
    circuit: Circuit
    charge: Charge


def build(made, catalogue=None, number=0):
    """Take the supply of that number as far as its discharges."""
    catalogue = catalogue or parts()
    drawn = made.supplies[number]
    wired = wire_up(drawn, made, catalogue)
    converter = converter_of(wired.converter, wired.output_v) if wired.converter else None
    cells = cells_of(wired.pack, drawn.pack_multiple, drawn.health_ratio, made.use.temperature_c)
    sized = size_supply(wired, converter, cells, made.use, made.ask, catalogue=catalogue)
    warm = tuple(heat_answer(one, wired.highest_v, made.use).strip_c for one in wired.runs)
    circuit = circuit_of(wired, sized, warm, made.use.temperature_c)
    return Built(wired, cells, sized, circuit, run_down(circuit, cells.used, made.use))


@cache
def groups():
    """Strips that one supply can feed together: same volts, driven alike."""
    alike = {}
    for strip in parts().strips.values():
        driven = strip.channels if len(strip.channels) > 1 else ("one",)
        key = (strip.rated_v, strip.kind == "pixel", driven)
        alike.setdefault(key, []).append(strip.name)
    return tuple(tuple(names) for names in alike.values())


@cache
def sources(strip):
    """Packs, converters and controllers that a supply of this strip may be made of."""
    catalogue = parts()
    return tuple(
        (pack, converter, controller)
        for pack in catalogue.packs
        for converter in (None, *catalogue.converters)
        for controller in (None, *catalogue.controllers)
        if not mistakes(
            design(run(strip, 0.5), supplies=(supply(pack, converter, controller=controller),))
        )
    )


def lengths(low_m, high_m):
    return st.floats(low_m, high_m).map(lambda metres: round(metres, 3))


@st.composite
def runs(draw, strips, trunks=(), *, number=0, most_units=60):
    """Draw one run of any length to a reel, with 1 to 4 feeds at pads of their own."""
    strip = parts().strips[draw(st.sampled_from(strips))]
    longest = min(int(strip.reel_m / strip.cut_unit_m + 1e-9), most_units)
    units = draw(st.integers(1, longest))
    pads = draw(st.lists(st.integers(0, units), min_size=1, max_size=4, unique=True))
    wires = st.sampled_from([None, None, "22 AWG", "0.5 mm2", "18 AWG"])
    parents = st.sampled_from([None, *(trunk.name for trunk in trunks)])
    connectors = st.sampled_from([None, None, "plug-small-2", "strip-clip-4"])
    feeds = tuple(
        feed(
            pad * strip.cut_unit_m,
            draw(lengths(0.05, 4.0)),
            wire=draw(wires),
            parent=draw(parents),
            name=f"run {number} feed {place}",
            connector=draw(connectors),
        )
        for place, pad in enumerate(pads)
    )
    return Run(
        name=f"run {number}",
        strip=strip.name,
        length_m=units * strip.cut_unit_m,
        feeds=feeds,
        supply="box",
        mounting=draw(st.sampled_from(sorted(mounting_names()))),
    )


@st.composite
def uses(draw, channels, *, dims=True):
    """Draw an evening of 1 to 3 levels, at any temperature a room may have."""
    level = st.sampled_from([0.001, 0.05, 0.3, 0.6, 0.999, 1.0]) if dims else st.just(1.0)
    stretches = []
    for _ in range(draw(st.integers(1, 3))):
        mix = ()
        if dims and len(channels) > 1 and draw(st.booleans()):
            shares = [draw(st.sampled_from([0.0, 0.4, 1.0])) for _ in channels]
            if any(shares):
                mix = tuple(zip(channels, shares, strict=True))
        stretches.append(Stretch(draw(level), draw(st.floats(60.0, 4 * HOUR_S)), mix))
    return Use(
        tuple(stretches),
        evenings_a_week=draw(st.sampled_from([0.1, 2.0, 7.0])),
        temperature_c=draw(st.sampled_from([-20.0, 0.0, 20.0, 35.0, 60.0])),
    )


@st.composite
def trees(draw):
    """Draw no trunk, one, or one that branches from another."""
    count = draw(st.integers(0, 2))
    first = Lead("trunk", draw(lengths(0.1, 3.0)))
    second = Lead("branch", draw(lengths(0.1, 3.0)), parent=draw(st.sampled_from([None, "trunk"])))
    return (first, second)[:count]


@st.composite
def designs(draw, *, most_runs=3, straight=None, most_units=60):
    """Draw any design of one supply that the checks let through.

    `straight` asks for a supply with (True) or without (False) runs straight on a bare pack.
    """
    group = draw(st.sampled_from(groups()))
    trunks = draw(trees())
    count = draw(st.integers(1, most_runs))
    made = tuple(draw(runs(group, trunks, number=n, most_units=most_units)) for n in range(count))
    allowed = [
        (pack, converter, controller)
        for pack, converter, controller in sources(group[0])
        if straight is None
        or straight == (converter is None and parts().packs[pack].output_v is None)
    ]
    pack, converter, controller = draw(st.sampled_from(allowed))
    box = Supply(
        name="box",
        pack=pack,
        converter=converter,
        controller=controller,
        pack_multiple=draw(st.integers(1, 3)),
        pack_lead_m=draw(lengths(0.05, 2.0)),
        connectors=tuple(
            draw(st.lists(st.sampled_from(["plug-polarised-2", "plug-small-2"]), max_size=2))
        ),
        health_ratio=draw(st.sampled_from([0.2, 0.8, 1.0])),
        switched_off=draw(st.booleans()),
    )
    used = {one_feed.lead.parent for one in made for one_feed in one.feeds}
    used |= {trunk.parent for trunk in trunks if trunk.name in used}
    kept = tuple(trunk for trunk in trunks if trunk.name in used)
    channels = parts().strips[group[0]].channels
    found = design(*made, supplies=(box,), use=draw(uses(channels)), trunks=kept)
    assert not mistakes(found), mistakes(found)
    return found
