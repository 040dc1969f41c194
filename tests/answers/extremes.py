"""Parts and designs at the ends of what the checks of files let through."""

import math
from dataclasses import replace
from pathlib import Path

from example_parts import parts
from hypothesis import strategies as st

from lightcalc.design.read import read_design_table
from lightcalc.parts.columns import columns
from lightcalc.parts.rules import rules
from lightcalc.problems import BadInput

_NUMBERS = ("number", "numbers", "count", "pitch", "capacity", "light")


def legal(kind, part):
    """Return whether a catalogue could hold this part: each cell in its range, no rule broken."""
    for column in columns()[kind]:
        value = getattr(part, column.field)
        if column.holds not in _NUMBERS or value is None:
            continue
        values = value if isinstance(value, tuple) else (value,)
        if not all(column.allows(one) for one in values):
            return False
    return not any(
        rule.check(*(getattr(part, field) for field in rule.fields)) for rule in rules(kind)
    )


def _ends(column):
    """Return the least and most a column allows, in SI."""
    factor, offset = 1.0, 0.0
    if column.unit:
        from lightcalc.units import scale

        factor, offset = scale(column.unit, column.quantity)
    ends = []
    for limit, inwards in ((column.least, 1.0 + 1e-6), (column.most, 1.0 - 1e-6)):
        if limit is not None:
            ends.append(limit.value * (1.0 if limit.included else inwards) * factor + offset)
    return ends


@st.composite
def changed_part(draw, kind, name, most):
    """Draw a part of the examples with some of its figures moved to an end, or on the way there.

    A change that no catalogue would hold is left out.
    """
    part = getattr(parts(), kind)[name]
    able = [column for column in columns()[kind] if column.holds in _NUMBERS and _ends(column)]
    for column in draw(st.lists(st.sampled_from(able), max_size=most, unique=True)):
        value = getattr(part, column.field)
        if value is None:
            continue
        end = draw(st.sampled_from(_ends(column)))
        here = value[0] if isinstance(value, tuple) and value else value
        if isinstance(here, float) and here > 0.0 and end > 0.0:
            way = draw(st.sampled_from([1.0, 1.0, 0.5, 0.2]))
            end = here * (end / here) ** way
        new = round(end) if column.holds == "count" else float(end)
        if isinstance(value, tuple):
            new = (new,) * len(value)
        candidate = replace(part, **{column.field: new})
        if column.field == "capacity_coulomb" and part.mass_kg is not None:
            # No cells hold more than their mass allows.
            candidate = replace(candidate, mass_kg=part.mass_kg * max(new / value, 1.0))
        if legal(kind, candidate):
            part = candidate
    return part


def with_parts(**chosen):
    """Return the example catalogue with these parts in place of those of their names."""
    found = parts()
    for kind, part in chosen.items():
        found = replace(found, **{kind: {**getattr(found, kind), part.name: part}})
    return found


def ends(low, high, unit, usual):
    """Draw a quantity as a maker writes it: as usual, at an end of its range, or within."""
    within = st.floats(math.log(low), math.log(high)).map(math.exp)
    return st.one_of(st.just(usual), st.just(usual), st.sampled_from([low, high]), within).map(
        lambda value: f"{value:.6g} {unit}"
    )


@st.composite
def tables(draw, catalogue, names):
    """Draw the table of a design of one supply; names are as in TOGETHER."""
    strip, pack, converter, controller = names
    part = catalogue.strips[strip]
    most_m = min(part.reel_m, 100.0, 1_000 * part.cut_unit_m)
    least_m = part.cut_unit_m
    runs = []
    for number in range(draw(st.integers(1, 3))):
        length = draw(st.sampled_from([least_m, most_m, min(1.5, most_m)]))
        feeds = [
            {
                "at": at,
                "lead": draw(ends(0.001, 100.0, "m", 0.5)),
                **draw(st.sampled_from([{}, {}, {}, {"wire": "28 AWG"}, {"wire": "14 AWG"}])),
            }
            for at in draw(st.sampled_from([["start"], ["end"], ["start", "end"], ["middle"]]))
        ]
        runs.append(
            {
                "name": f"run {number}",
                "strip": strip,
                "length": f"{length:.9g} m",
                "feeds": feeds[: 1 if length < 2 * least_m else 2],
                "mounting": draw(st.sampled_from(["bare on wood", "cast in resin"])),
                "seen": [{"surface": "floor", "distance": draw(ends(0.001, 100.0, "m", 0.4))}],
            }
        )
    supply = {
        "name": "box",
        "pack": pack,
        "health": draw(ends(20.0, 100.0, "%", 100.0)),
        "pack_lead": draw(ends(0.001, 100.0, "m", 0.15)),
        "pack_multiple": draw(st.sampled_from([1, 1, 1, 2, 16])),
        "switched_off": draw(st.booleans()),
    }
    for key, value in (("converter", converter), ("controller", controller)):
        if value:
            supply[key] = value
    levels = st.sampled_from(["0.1 %", "100 %"]) | ends(0.1, 100.0, "%", 60.0)
    evening = [
        {"level": draw(levels), "time": draw(ends(1.0, 28_800.0, "s", 7_200.0))}
        for _ in range(draw(st.integers(1, 3)))
    ]
    return {
        "piece": {"name": "extreme"},
        "runs": runs,
        "supplies": [supply],
        "use": {
            "evening": evening,
            "evenings_a_week": draw(st.sampled_from([0.02, 1, 7])),
            "temperature": draw(
                st.sampled_from(["20 degC", "20 degC", "-20 degC", "0 degC", "60 degC"])
            ),
            "room": draw(st.sampled_from(["0 lx", "50 lx", "200000 lx"])),
        },
    }


# A strip, a pack, a converter and a controller that go together, of every kind.
KINDS = ("strips", "packs", "converters", "controllers")
TOGETHER = (
    ("strip-12v-60-warm", "liion-4s-6800", "buck-12v-5a", "receiver-radio-1ch"),
    ("strip-12v-60-warm", "liion-4s-6800", "buck-adjustable-3a", None),
    ("strip-12v-120-warm", "aa-alkaline-8", None, "dimmer-smooth-1ch"),
    ("strip-12v-cc-60-warm", "sla-12v-7ah", None, None),
    ("strip-12v-rgb-60", "nimh-aa-10-2000", "buckboost-12v-4a", "receiver-infrared-3ch"),
    ("strip-24v-tunable-240", "liion-6s-5200", "buckboost-24v-4a", "receiver-radio-2ch"),
    ("strip-5v-pixel-60", "usb-20000-stays-on", None, "receiver-radio-pixel"),
    ("strip-5v-60-warm", "liion-1s-10000", "boost-5v-3a", None),
    ("strip-24v-rgbw-60", "lifepo4-8s-12000", None, "receiver-radio-4ch"),
    ("strip-5v-60-warm", "usb-5000", None, None),
)


@st.composite
def extreme_designs(draw, together=TOGETHER):
    """Draw a design and its catalogue; None when the checks refuse them together."""
    names = draw(st.sampled_from(together))
    most = draw(st.sampled_from([0, 1, 2, 6]))
    catalogue = with_parts(
        **{
            kind: draw(changed_part(kind, name, most))
            for kind, name in zip(KINDS, names, strict=True)
            if name
        }
    )
    table = draw(tables(catalogue, names))
    try:
        return read_design_table(table, catalogue, Path("extreme.toml")), catalogue
    except BadInput:
        return None
