"""Tables of what to measure between the steps: where, what to expect, and a box to write it in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from lightcalc.answers.fuses import PACK_SIDE
from lightcalc.answers.results import RunAnswer
from lightcalc.answers.words import told_apart
from lightcalc.design.piece import Design
from lightcalc.packet.conductors import MINUS, returns_of
from lightcalc.packet.dimensions import SAME_M
from lightcalc.packet.feeds import is_between
from lightcalc.packet.figures import Figures
from lightcalc.packet.html import Child, Element, Row, element, table, whole
from lightcalc.parts.kinds import Catalogue

OHM = "\u03a9"


@dataclass(frozen=True)
class Bench:
    """What a check is made of."""

    design: Design
    catalogue: Catalogue
    figures: Figures
    no_short_ohm: int


def check_table(
    check: str, design: Design, catalogue: Catalogue, figures: Figures, no_short_ohm: int
) -> Element | None:
    """Return the table of a check of `steps.toml`, or None when it has no rows.

    Raises KeyError for a check that there is not.
    """
    headings, rows_of = CHECKS[check]
    rows = list(rows_of(Bench(design, catalogue, figures, no_short_ohm)))
    return table(headings, rows, class_=f"readings {check}") if rows else None


def box(unit: str = "") -> Element:
    """Return an empty box to write a reading in, its unit at the right."""
    return element("td", unit, class_="box")


def _polarity(bench: Bench) -> Iterator[Row]:
    for number, wire in enumerate(bench.figures.answer.wires):
        size = bench.figures.show(f"wires.{number}.size")
        yield (wire.lead, size, whole("+ to +"), box(), whole(f"{MINUS} to {MINUS}"), box())


def _resistance(bench: Bench) -> Iterator[Row]:
    for run in bench.design.runs:
        for channel in returns_of(bench.catalogue.strips[run.strip]):
            across = f"+ to {MINUS} {channel}".rstrip()
            expected = f"no short: more than {bench.no_short_ohm} {OHM}"
            yield (run.name, across, expected, box(OHM))


def _pack(bench: Bench) -> Iterator[Row]:
    figures = bench.figures
    for supply in bench.design.supplies:
        if bench.catalogue.packs[supply.pack].output_v is not None:
            volts = figures.show(f"wires.{first_wire(figures, supply.name)}.start_v")
            yield (supply.name, "its socket", ("+, ", volts), box("V"))
            continue
        for number, fuse in enumerate(figures.answer.fuses):
            if fuse.supply == supply.name and fuse.place == PACK_SIDE:
                full = figures.show(f"fuses.{number}.volts_v")
                yield (supply.name, "its own leads, fuse out", ("+, at most ", full), box("V"))


def _output(bench: Bench) -> Iterator[Row]:
    for number, supply in enumerate(bench.design.supplies):
        if supply.converter:
            volts = bench.figures.show(f"supplies.{number}.output_v")
            yield (supply.name, "after the converter", ("+, ", volts), box("V"))


def _lit(bench: Bench) -> Iterator[Row]:
    figures = bench.figures
    for supply in bench.design.supplies:
        lead = first_wire(figures, supply.name)
        yield (
            f"{supply.name}: at the pack",
            figures.show(f"wires.{lead}.start_v"),
            box("V"),
            figures.show(f"wires.{lead}.full_level_a"),
            box("A"),
        )
        for number, run in enumerate(figures.answer.runs):
            if run.supply == supply.name:
                yield from _lit_run(number, run, figures)


def first_wire(figures: Figures, supply: str) -> int:
    """Return the place in the answer of the lead of a supply's pack."""
    return next(n for n, wire in enumerate(figures.answer.wires) if wire.supply == supply)


def _lit_run(number: int, run: RunAnswer, figures: Figures) -> Iterator[Row]:
    for place, feed in enumerate(run.feeds):
        several = len(run.feeds) > 1
        for turn, channel in enumerate(feed.channels):
            path = f"runs.{number}.feeds.{place}.channels.{turn}"
            named = f", {channel.channel}" if len(feed.channels) > 1 else ""
            where: list[Child] = [
                f"{run.run}: feed {place + 1} " if several else f"{run.run}: feed "
            ]
            if is_between(feed, run):
                where += ["at ", figures.show(f"runs.{number}.feeds.{place}.at_m")]
            else:
                where.append("at the start" if feed.at_m <= SAME_M else "at the end")
            yield (
                (*where, named),
                figures.show(f"{path}.volts_v"),
                box("V"),
                figures.show(f"{path}.amps_a"),
                box("A"),
            )
    yield (
        (f"{run.run}: far end, at ", figures.show(f"runs.{number}.dimmest_at_m"), "; amps in all"),
        figures.show(f"runs.{number}.dimmest_v"),
        box("V"),
        figures.show(f"runs.{number}.amps_a"),
        box("A"),
    )


def _heat(bench: Bench) -> Iterator[Row]:
    for number, heat in enumerate(bench.figures.answer.heat):
        system = bench.design.system
        strip, limit = told_apart(heat.strip_c, heat.limit_c, "temperature", system)
        yield (
            heat.run,
            heat.mounting,
            (
                *("about ", bench.figures.show(f"heat.{number}.strip_c", strip)),
                *("; never above ", bench.figures.show(f"heat.{number}.limit_c", limit)),
            ),
            box("\u00b0F" if system == "inch" else "\u00b0C"),
        )


def _remote(bench: Bench) -> Iterator[Row]:
    """Yield from where each eye of an infrared receiver is to be worked."""
    figures = bench.figures
    for supply in bench.design.supplies:
        controller = bench.catalogue.controllers.get(supply.controller or "")
        if supply.sensor_at_m is None or controller is None or controller.sensor != "eye":
            continue
        lines = [
            (number, line)
            for number, line in enumerate(figures.answer.remotes)
            if line.supply == supply.name
        ]
        if not lines:
            yield (supply.name, "where the client sits", "it works each time", box())
        for number, line in lines:
            seen = figures.show(f"remotes.{number}.free_ratio")
            hand = figures.show(f"remotes.{number}.hand_m")
            from_hand: tuple[Child, ...] = (seen, " of a hand ", hand, " wide")
            yield (supply.name, line.viewer, ("its eye is seen from ", *from_hand), box())


Rows = Callable[[Bench], Iterator[Row]]
CHECKS: dict[str, tuple[tuple[str, ...], Rows]] = {
    "polarity": (("lead", "wire", "beeps", "", "beeps", ""), _polarity),
    "resistance": (("run", "between", "expected", "measured"), _resistance),
    "pack": (("supply", "at", "expected", "measured"), _pack),
    "output": (("supply", "at", "expected", "measured"), _output),
    "lit": (("at full level", "volts", "measured", "amps", "measured"), _lit),
    "remote": (("supply", "from", "expected", "works?"), _remote),
    "heat": (("run", "mounting", "expected", "measured"), _heat),
}
