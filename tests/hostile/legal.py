"""Readings and searches that are allowed and that no maker writes."""

import math
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

from hypothesis import strategies as st

from lightcalc.design.read import read_design_table
from lightcalc.problems import BadInput

sys.path.append(str(Path(__file__).parents[1] / "answers"))

import extremes

# A shelf on a USB bank, with a run of its own socket; what a maker of bedside shelves draws.
BANK = """
catalogue = "."

[piece]
name = "Shelf on a bank"

[[runs]]
name = "edge"
strip = "strip-5v-60-warm"
length = "1.2 m"
feeds = [{ at = "start", lead = "30 cm" }, { at = "end", lead = "1.6 m" }]

[[runs]]
name = "back"
strip = "strip-5v-60-warm"
length = "60 cm"
feeds = [{ at = "middle", lead = "50 cm", wire = "22 AWG" }]
seen = [{ surface = "the wall", distance = "10 cm" }]

[[supplies]]
name = "bank"
pack = "usb-20000"
controller = "dimmer-smooth-1ch"
health = "90 %"

[use]
evenings_a_week = 5
evening = [{ level = "100 %", time = "1 h" }, { level = "5 %", time = "3 h" }]

[ask]
hours_a_charge = "5 h"
light_fall = "10 %"
"""
# With a converter and without: runs of the design, its supply, whether straight on a pack.
BENCHES = {
    "hall-bench.toml": (("front rail", "back rail"), "seat box", False),
    "bedside-shelf.toml": (("shelf edge",), "drawer", True),
}
BANKS = tuple(
    (strip, bank, None, controller)
    for strip, controller in (
        ("strip-5v-60-warm", None),
        ("strip-5v-60-warm", "dimmer-smooth-1ch"),
        ("strip-5v-pixel-60", "receiver-radio-pixel"),
    )
    for bank in ("usb-5000", "usb-20000", "usb-20000-stays-on")
)


def ends(low, high, unit, usual):
    """Draw a quantity as usual, at an end of its range, or anywhere within."""
    least = max(low, high * 1e-6)
    within = st.floats(math.log(least), math.log(high)).map(math.exp)
    numbers = st.sampled_from([usual, usual, low, high]) | within
    return numbers.map(lambda value: f"{value:.6g} {unit}")


@st.composite
def readings(draw, runs, supply, *, straight):
    """Draw readings of a piece, as a text: any number of them, of any size and accuracy."""
    volts, amps = ends(0.0, 60.0, "V", 12.0), ends(0.0, 200.0, "A", 0.6)
    # A run may be joined the wrong way round.
    run_volts = volts | st.just("-60 V")
    year = ends(60.0, 31_557_600.0, "s", 20_000.0)
    on_run = st.fixed_dictionaries(
        {
            "run": st.sampled_from(runs),
            "at": st.sampled_from(["start", "middle", "end", "far end", "lead"]),
            "volts": run_volts,
        },
        optional={"lit": year},
    )
    of_run = st.fixed_dictionaries(
        {"run": st.sampled_from(runs), "amps": amps},
        optional={"level": ends(0.1, 100.0, "%", 60.0)},
    )
    pack_volts = st.fixed_dictionaries(
        {"supply": st.just(supply), "at": st.just("pack"), "volts": volts},
        optional={
            "state": st.sampled_from(["lit", "rested"]),
            "lit": year,
            "level": ends(0.1, 100.0, "%", 60.0),
        },
    )
    pack_amps = st.fixed_dictionaries(
        {"supply": st.just(supply), "at": st.just("pack"), "amps": amps},
        optional={"lit": year, "level": ends(0.1, 100.0, "%", 60.0)},
    )
    until = st.just("half light") if straight else st.just("out")
    lasted = st.fixed_dictionaries(
        {"supply": st.just(supply), "time": year},
        optional={"level": ends(0.1, 100.0, "%", 60.0), "until": until},
    )
    each = st.one_of(on_run, of_run, pack_volts, pack_amps, lasted)
    meter = st.sampled_from([None, "0 %", "50 %", "0 % + 0 {0}", "50 % + 36000 {0}", "36000 {0}"])
    lines = []
    for reading in draw(st.lists(each, min_size=1, max_size=12)):
        lines.append("[[readings]]")
        lines += [f'{key} = "{value}"' for key, value in reading.items()]
        accuracy = draw(meter)
        if accuracy:
            quantity = next(key for key in ("volts", "amps", "time") if key in reading)
            unit = {"volts": "V", "amps": "A", "time": "s"}[quantity]
            lines.append(f'meter = "{accuracy.format(unit)}"')
    return "\n".join(lines)


WORDS_OPEN = ("strip", "feeds", "pack", "packs", "converter", "wire", "level")
WORDS_THAT_MATTER = ("price", "hours", "evenness", "mass")


@st.composite
def searches(draw):
    """Draw what a search may change and demands, as tables of a design."""
    lines = ["[find]"]
    for key, words in (("open", WORDS_OPEN), ("matters", WORDS_THAT_MATTER)):
        chosen = draw(st.lists(st.sampled_from(words), min_size=1, max_size=3, unique=True))
        lines.append(f"{key} = {chosen}".replace("'", '"'))
    numbers = {"price": (0, 1e-9, 120.0, 1e6), "light": (0.1, 300.0, 1e6), "most_packs": (1, 2, 8)}
    for key, values in numbers.items():
        if draw(st.booleans()):
            lines.append(f"{key} = {draw(st.sampled_from(values))}")
    if draw(st.booleans()):
        lines.append(f'mass = "{draw(st.sampled_from(["1 g", "1.5 kg", "1000 kg"]))}"')
    for key in ("any_colour", "dots_hidden"):
        lines.append(f"{key} = {'true' if draw(st.booleans()) else 'false'}")
    hours = draw(st.sampled_from(["1 min", "6 h", "8766 h"]))
    fall = draw(st.sampled_from(["0.1 %", "10 %", "90 %"]))
    return "\n".join(lines), f'[ask]\nhours_a_charge = "{hours}"\nlight_fall = "{fall}"'


# Parts beside those drawn, by what a search may take in their place.
FEW = {
    "strips": ("strip-12v-60-warm", "strip-12v-cc-60-warm", "strip-5v-60-warm"),
    "packs": ("liion-4s-6800", "aa-alkaline-8", "usb-20000"),
    "converters": ("buck-12v-5a", "buck-adjustable-3a"),
    "controllers": ("dimmer-smooth-1ch", "receiver-radio-1ch"),
    "wires": ("22 AWG", "16 AWG"),
}


@st.composite
def small_searches(draw):
    """Draw a design with what to look for, and a catalogue so small that all of it is tried.

    Its parts are moved to the ends of what a catalogue may hold; None when the checks refuse it.
    """
    names = draw(st.sampled_from(extremes.TOGETHER))
    catalogue, most = extremes.parts(), draw(st.sampled_from([0, 1, 3]))
    for kind, others in FEW.items():
        drawn_name = dict(zip(extremes.KINDS, names, strict=True)).get(kind)
        kept = {}
        for name in dict.fromkeys((drawn_name, *draw(st.sets(st.sampled_from(others))))):
            if name:
                able = kind in extremes.KINDS
                part = getattr(catalogue, kind).get(name)
                kept[name] = draw(extremes.changed_part(kind, name, most)) if able else part
        if kind != "wires" or len(kept) > 1:
            catalogue = replace(
                catalogue, **{kind: {key: one for key, one in kept.items() if one is not None}}
            )
    table = draw(extremes.tables(catalogue, names))
    asked, ask = draw(searches())
    table |= tomllib.loads(f"{asked}\n\n{ask}")
    try:
        return read_design_table(table, catalogue, Path("search.toml")), catalogue
    except BadInput:
        return None
