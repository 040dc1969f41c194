"""The cut list as CSV for a spreadsheet: strip cuts and what is left over, then every single wire.

Lengths are in millimetres, or in inches where the design is in inches: as decimals to count with,
and what to cut to in feet, inches and sixteenths as well, as a rule shows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lightcalc import units
from lightcalc.packet.conductors import PLUS
from lightcalc.packet.cut_list import CutList, StripCuts, WireCut
from lightcalc.packet.dimensions import INCH_M, measure
from lightcalc.packet.spreadsheet import csv_of

Row = tuple[str | float, ...]
HEADS = (
    *("what", "part", "colour", "for", "mark", "count"),
    *("drawn", "cut to", "from", "to", "again at"),
)
SHOP = "cut to, by the rule"
LENGTHS = frozenset(("drawn", "cut to", "from", "to"))


def cut_list_csv(cuts: CutList) -> str:
    """Return the list as CSV text (RFC 4180), in which no cell can begin a formula."""
    unit = "in" if cuts.units == "inch" else "mm"
    metres = units.scale(unit, "length").factor
    heads = tuple(f"{head} ({unit})" if head in LENGTHS else head for head in HEADS)
    rows = (heads, *_rows(cuts, metres))
    return csv_of(_with_rule(rows) if cuts.units == "inch" else rows)


def _with_rule(rows: Iterable[Row]) -> Iterator[Row]:
    """Put beside each length to cut what it is on a rule."""
    place = HEADS.index("cut to")
    for number, row in enumerate(rows):
        inches = row[place]
        shown = measure(inches * INCH_M, "inch") if isinstance(inches, float) else ""
        yield (*row[: place + 1], shown if number else SHOP, *row[place + 1 :])


def _rows(cuts: CutList, metres: float) -> Iterator[Row]:
    for strip in cuts.strips:
        yield from _strip_rows(strip, metres)
    for wire in cuts.wires:
        yield _wire_row(wire, metres)


def _strip_rows(strip: StripCuts, metres: float) -> Iterator[Row]:
    for reel in strip.reels:
        mark = f"reel {reel.number}"
        for cut in reel.cuts:
            ends = (cut.length_m / metres, cut.start_m / metres, cut.end_m / metres)
            yield ("strip", strip.strip, "", cut.run, mark, cut.units_count, "", *ends, "")
        left = reel.offcut_m / metres
        start = reel.cuts[-1].end_m / metres
        count = reel.offcut_units_count
        yield ("left over", strip.strip, "", "", mark, count, "", left, start, start + left, "")
    for run in strip.too_long:
        yield ("longer than a reel", strip.strip, "", run, "", "", "", "", "", "", "")


def _wire_row(wire: WireCut, metres: float) -> Row:
    # A sign alone would be a formula, and cells keep text as it is where they can.
    sign = "plus" if wire.sign == PLUS else "minus"
    mark = f"{sign} {wire.channel}".rstrip()
    lengths = (wire.drawn_m / metres, wire.length_m / metres)
    part = f"{wire.size} ({wire.wire})"
    return ("wire", part, wire.colour, wire.lead, mark, 1, *lengths, "", "", "; ".join(wire.joints))
