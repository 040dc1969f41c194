"""The answers on the build sheet: in short, then supplies, runs, wires, fuses, dots."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.answers.fuses import BY_LIMIT
from lightcalc.answers.results import FuseAnswer, SupplyAnswer
from lightcalc.design.piece import Design
from lightcalc.packet.figures import Figures
from lightcalc.packet.html import Child, Element, Row, element, table
from lightcalc.packet.readings_sheet import first_wire


def in_short(figures: Figures) -> Element:
    """Return how long every supply lasts, and the light at the far end."""
    answer, show = figures.answer, figures.show
    items = []
    for n, supply in enumerate(answer.supplies):
        path = f"supplies.{n}"
        named = f"{supply.supply}: " if len(answer.supplies) > 1 else "Lasts "
        parts: list[Child] = [
            named, show(f"{path}.hours_h"), " a charge, likely ", show(f"{path}.hours_low_h"),
            " to ", show(f"{path}.hours_high_h"), "; ", show(f"{path}.full_level_h"),
            " at full level without a break.",
        ]  # fmt: skip
        if n == 0 and answer.asked_h is not None:
            parts += [" Asked for ", show("asked_h"), "."]
        items.append(element("li", *parts))
    dimmest = min(range(len(answer.runs)), key=lambda n: answer.runs[n].dimmest_light_ratio)
    items.append(
        element(
            "li",
            f"The dimmest LEDs ({answer.runs[dimmest].run}) give ",
            show(f"runs.{dimmest}.dimmest_light_ratio"),
            " of their rated light, ",
            show(f"runs.{dimmest}.light_fall_ratio"),
            " less than the brightest of the same run.",
        )
    )
    return element("ul", *items)


def answer_tables(design: Design, figures: Figures) -> Iterator[Element]:
    """Yield a table for the supplies, runs, wires, fuses, and dots where they were asked about."""
    yield _supplies(figures)
    yield from _pack_amps(figures)
    yield _runs(figures)
    yield _wires(figures)
    yield _fuses(design, figures)
    if figures.answer.dots:
        yield _dots(figures)


def _supplies(figures: Figures) -> Element:
    show = figures.show
    rows: list[Row] = []
    for n, supply in enumerate(figures.answer.supplies):
        path = f"supplies.{n}"
        worn = supply.years_until_worn_years is not None
        rows.append((
            supply.supply,
            (show(f"{path}.packs_count"), " \u00d7 ", show(f"{path}.pack")),
            show(f"{path}.evenings_per_charge_count"),
            (show(f"{path}.charges_per_year_count"), " a year"),
            show(f"{path}.days_until_flat_unlit_d"),
            show(f"{path}.years_until_worn_years") if worn else "\u2013",
            show(f"{path}.pack_peak_a"),
        ))  # fmt: skip
    heads = (
        "supply",
        "pack",
        "evenings a charge",
        "charges or sets",
        "flat, if never lit",
        "worn after",
        "most amps in a charge",
    )
    return table(heads, rows, "Supplies")


def _pack_amps(figures: Figures) -> Iterator[Element]:
    """Say of each current of a pack when it flows: there are three, and all are right."""
    show = figures.show
    for n, supply in enumerate(figures.answer.supplies):
        lead = f"wires.{first_wire(figures, supply.supply)}"
        parts: list[Child] = [
            f"Amps of {supply.supply} at the pack, full level: ",
            show(f"{lead}.full_level_a"), " with ", show(f"{lead}.start_v"), " there; ",
            show(f"supplies.{n}.pack_peak_a"), f" at most in a charge, {_when_most(supply)}; ",
            show(f"{lead}.peak_a"), " at the worst, for its wire.",
        ]  # fmt: skip
        yield element("p", *parts, class_="small")


def _when_most(supply: SupplyAnswer) -> str:
    """Say when in a charge a pack gives most, from its currents over time."""
    amps = supply.series.pack_a
    if len(amps) < 2 or math.isclose(amps[0], amps[-1], rel_tol=0.02):
        return "the same from full to flat"
    if amps[-1] > amps[0]:
        return "at its end, volts low"
    return "at its start, volts high"


def _runs(figures: Figures) -> Element:
    show = figures.show
    names = ("cut_length_m", "cut_units_count", "amps_a", "strip_w", "light_lm", "fed_v")
    more = ("dimmest_v", "dimmest_light_ratio", "light_fall_ratio")
    rows: list[Row] = [
        (run.run, *(show(f"runs.{n}.{name}") for name in (*names, *more)))
        for n, run in enumerate(figures.answer.runs)
    ]
    heads = (
        "run",
        "cut to",
        "cut units",
        "amps",
        "power",
        "light",
        "at the feed",
        "far end",
        "dimmest",
        "fall",
    )
    return table(heads, rows, "Runs at full level")


def _wires(figures: Figures) -> Element:
    show = figures.show
    names = ("size", "length_m", "peak_a", "drop_ratio", "smallest_awg", "smallest_mm2")
    rows: list[Row] = [
        (wire.lead, *(show(f"wires.{n}.{name}") for name in (*names, "decided_by")))
        for n, wire in enumerate(figures.answer.wires)
    ]
    heads = ("lead", "wire", "length", "most amps", "drop", "or, in AWG", "or, in mm2", "set by")
    return table(heads, rows, "Wires, two conductors or more in each lead")


def _fuses(design: Design, figures: Figures) -> Element:
    named = {supply.name for supply in design.supplies if supply.fuse}
    show = figures.show
    rows: list[Row] = [
        (
            f"{fuse.supply}, {fuse.place}",
            _fuse_words(n, fuse, fuse.supply in named, figures),
            show(f"fuses.{n}.continuous_a"),
            show(f"fuses.{n}.wire_ampacity_a"),
            show(f"fuses.{n}.prospective_a"),
            show(f"fuses.{n}.far_end_short_a"),
        )
        for n, fuse in enumerate(figures.answer.fuses)
    ]
    heads = ("place", "fuse", "load", "wire may carry", "short at the fuse", "short at the far end")
    return table(heads, rows, "Fuses")


def _fuse_words(
    number: int, fuse: FuseAnswer, named: bool, figures: Figures
) -> Child | tuple[Child, ...]:
    if fuse.protected_by == BY_LIMIT and not named:
        return "not needed: the source limits itself"
    if fuse.fuse is None:
        return "none fits, see the findings"
    path = f"fuses.{number}"
    words = (figures.show(f"{path}.fuse"), ", ", figures.show(f"{path}.rating_a"))
    return words if fuse.fits else (*words, "; see the findings")


def _dots(figures: Figures) -> Element:
    show = figures.show
    rows: list[Row] = [
        (
            dots.run,
            dots.surface,
            show(f"dots.{n}.distance_m"),
            show(f"dots.{n}.verdict"),
            show(f"dots.{n}.contrast_ratio"),
            show(f"dots.{n}.threshold_ratio"),
        )
        for n, dots in enumerate(figures.answer.dots)
    ]
    heads = ("run", "on", "at", "dots", "contrast", "an eye just sees")
    return table(heads, rows, "Dots")
