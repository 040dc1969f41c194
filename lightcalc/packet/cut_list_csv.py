"""The cut list as CSV for a spreadsheet: strip cuts and what is left over, then every single wire.

Lengths are in millimetres. Where the design is in inches they are in feet, inches and sixteenths,
as a rule shows them; what to cut to stands there as a decimal to count with, too.
"""

from __future__ import annotations

from collections.abc import Iterator

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
CUT_TO = "cut to"
LENGTHS = tuple(HEADS.index(head) for head in ("drawn", CUT_TO, "from", "to"))
# To count with: a thousandth of an inch is less than any saw or pair of cutters knows.
PLACES = 3
MM_M = 0.001


def cut_list_csv(cuts: CutList) -> str:
    """Return the list as CSV text (RFC 4180), in which no cell can begin a formula."""
    rows = list(_rows(cuts))
    if cuts.units == "inch":
        place = HEADS.index(CUT_TO)
        heads = (*HEADS[:place], f"{CUT_TO} (in)", SHOP, *HEADS[place + 1 :])
        return csv_of((heads, *map(_by_the_rule, rows)))
    heads = tuple(f"{head} (mm)" if n in LENGTHS else head for n, head in enumerate(HEADS))
    return csv_of((heads, *map(_in_millimetres, rows)))


def _in_millimetres(row: Row) -> Row:
    cells = list(row)
    for place in LENGTHS:
        metres = row[place]
        if isinstance(metres, float):
            cells[place] = metres / MM_M
    return tuple(cells)


def _by_the_rule(row: Row) -> Row:
    """Put every length as a rule shows it, and before what to cut to its decimal inches."""
    cells = list(row)
    for place in LENGTHS:
        metres = row[place]
        if isinstance(metres, float):
            cells[place] = measure(metres, "inch")
    place = HEADS.index(CUT_TO)
    metres = row[place]
    decimal = round(metres / INCH_M, PLACES) if isinstance(metres, float) else ""
    return (*cells[:place], decimal, *cells[place:])


def _rows(cuts: CutList) -> Iterator[Row]:
    """Yield every row with its lengths in metres."""
    for strip in cuts.strips:
        yield from _strip_rows(strip)
    for wire in cuts.wires:
        yield _wire_row(wire)


def _strip_rows(strip: StripCuts) -> Iterator[Row]:
    for reel in strip.reels:
        mark = f"reel {reel.number}"
        for cut in reel.cuts:
            ends = (cut.length_m, cut.start_m, cut.end_m)
            yield ("strip", strip.strip, "", cut.run, mark, cut.units_count, "", *ends, "")
        left = reel.offcut_m
        start = reel.cuts[-1].end_m
        count = reel.offcut_units_count
        yield ("left over", strip.strip, "", "", mark, count, "", left, start, start + left, "")
    for run in strip.too_long:
        yield ("longer than a reel", strip.strip, "", run, "", "", "", "", "", "", "")


def _wire_row(wire: WireCut) -> Row:
    # A sign alone would be a formula, and cells keep text as it is where they can.
    sign = "plus" if wire.sign == PLUS else "minus"
    mark = f"{sign} {wire.channel}".rstrip()
    lengths = (wire.drawn_m, wire.length_m)
    part = f"{wire.size} ({wire.wire})"
    return ("wire", part, wire.colour, wire.lead, mark, 1, *lengths, "", "", "; ".join(wire.joints))
