"""The shop's part of the build sheet: what to cut, and what to buy."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from lightcalc import units
from lightcalc.packet.cut_list import CutList, StripCuts, WireCut
from lightcalc.packet.dimensions import measure
from lightcalc.packet.html import Element, Row, element, table, whole
from lightcalc.packet.shopping import FOOT, LONG_M, ShoppingList


def cut_tables(cuts: CutList) -> Iterator[Element]:
    """Yield what to cut from each kind of strip, every wire, and what to know beside it."""
    for strip in cuts.strips:
        if strip.reels:
            yield _strip_table(strip, cuts.units)
    yield _wire_table(cuts)
    yield element("ul", *(element("li", note) for note in cuts.notes), class_="notes")


def _strip_table(strip: StripCuts, system: str) -> Element:
    rows: list[Row] = []
    for reel in strip.reels:
        for cut in reel.cuts:
            along = f"{measure(cut.start_m, system)} to {measure(cut.end_m, system)}"
            length = whole(measure(cut.length_m, system))
            rows.append((f"{reel.number}", cut.run, length, f"{cut.units_count}", along))
        left = whole(measure(reel.offcut_m, system))
        rows.append((f"{reel.number}", "left over", left, f"{reel.offcut_units_count}", ""))
    heads = ("reel", "run", "cut to", "cut units", "along the reel")
    return table(heads, rows, f"Cut from {strip.strip}, reels of {measure(strip.reel_m, system)}")


def _wire_table(cuts: CutList) -> Element:
    rows: list[Row] = []
    for (lead, length_m), group in groupby(cuts.wires, key=lambda cut: (cut.lead, cut.length_m)):
        some = list(group)
        first = some[0]
        rows.append((
            lead,
            f"{first.size} ({first.wire})",
            "; ".join(_mark(cut) for cut in some),
            whole(measure(first.drawn_m, cuts.units)),
            whole(measure(length_m, cuts.units)),
            ", ".join(first.joints),
        ))  # fmt: skip
    heads = ("lead", "wire", "one of each", "as drawn", "cut each to", "again at")
    return table(heads, rows, "Cut wire")


def _mark(cut: WireCut) -> str:
    return " ".join(part for part in (cut.sign, cut.channel, cut.colour) if part)


def buy_tables(found: ShoppingList) -> Iterator[Element]:
    """Yield what to buy, in short: each part with spares and its price, and the sum.

    What each is for, and how many of it are spares, stands in the shopping list.
    """
    rows: list[Row] = [
        (
            " ".join(part for part in (line.part, line.colour) if part),
            _count(line.buy_count, line.sold_by),
            "unknown" if line.price is None else f"{line.price:.2f}",
        )
        for line in found.lines
    ]
    rows += [(one.what, _count(one.count, one.sold_by), "") for one in found.also]
    half = (len(rows) + 1) // 2
    heads = ("part", "buy", f"price ({found.currency})")
    halves = (table(heads, some, class_="buy") for some in (rows[:half], rows[half:]) if some)
    yield element("section", *halves, class_="halves")
    total = found.known_total if found.total is None else found.total
    least = "" if found.total is not None else "at least "
    words = f"In all {least}{total:.2f} {found.currency}"
    if found.also:
        words += "; what has no price here is in no sum"
    said = (f"{words}.", *found.notes, "The shopping list says what each part is for.")
    yield element("p", " ".join(said), class_="small")


def _count(count: float, sold_by: str) -> str:
    # Wire comes by the whole foot; what is not whole is as a rule shows it.
    if sold_by == FOOT and count % 1.0:
        return units.show(count * LONG_M[FOOT], "length", "inch")
    words = {"each": "", "reel": " reel" if count == 1 else " reels"}.get(sold_by, f" {sold_by}")
    return f"{count:.10g}{words}"
