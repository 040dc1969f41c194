"""What to buy for a piece: quantities with spares, prices, and the same as CSV for a spreadsheet.

Strip is bought by the reel and wire by the metre, or by the foot where a design is in inches, as
the cut list counts them. The price in an
answer counts strip and wire by the length used and no spares, to compare designs; a shop does not
sell that, so the total here is higher.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lightcalc.answers.jumpers import joined_leads_count
from lightcalc.answers.results import Answer, FuseAnswer
from lightcalc.answers.wiring import wire_up
from lightcalc.design.piece import Design
from lightcalc.packet.charging import charger_words
from lightcalc.packet.conductors import returns_of
from lightcalc.packet.cut_list import CutList
from lightcalc.packet.spreadsheet import csv_of
from lightcalc.parts.kinds import Catalogue, Controller, Converter, Pack
from lightcalc.tables.rows import rows_in

# What a shop sells wire and channels by, and how long it is.
METRE, FOOT = "m", "ft"
LONG_M = {METRE: 1.0, FOOT: 0.3048}
# A shop cuts channel to whole centimetres or inches: so many steps in what it is sold by.
CHANNEL_STEPS = {METRE: 100, FOOT: 12}
# A shop rounds what a line costs to hundredths of its currency.
CENTS = 2
# In the CSV: a hundredth of a foot is an eighth of an inch, and leads are laid no closer; a price
# made from one by the metre is told closely enough to multiply with.
LENGTH_PLACES, PRICE_PLACES = 2, 4

_Priced = Pack | Converter | Controller


@dataclass(frozen=True)
class SpareRule:
    """How a kind of part is sold, and what is bought of it beyond what is needed."""

    kind: str
    sold_by: str
    share_ratio: float
    least_count: float

    def to_buy(self, needed: float) -> int:
        """Return how many whole ones to buy where so much is needed, spares among them.

        >>> spare_rules()["wire"].to_buy(3.6), spare_rules()["fuse"].to_buy(2)
        (4, 3)
        """
        return math.ceil(needed + max(self.share_ratio * needed, self.least_count) - 1e-9)


@dataclass(frozen=True)
class ShoppingLine:
    """One line of the list. Counts and `unit_price` are of `sold_by` (each, reel, m or ft).

    `needed_count` goes into the piece; of a strip, so many reels are cut. `colour` is that of a
    wire. `price` is of all that is bought; None where the catalogue has no price.
    """

    kind: str
    part: str
    colour: str
    what_for: str
    sold_by: str
    needed_count: float
    buy_count: int
    unit_price: float | None
    price: float | None

    @property
    def spare_count(self) -> float:
        """What is bought beyond what goes into the piece."""
        return self.buy_count - self.needed_count


@dataclass(frozen=True)
class AlsoNeeded:
    """Something the piece takes that the catalogue does not list, so its price is not known."""

    what: str
    count: float
    sold_by: str
    what_for: str


@dataclass(frozen=True)
class PriceStep:
    """One part of what lies between the answer's price and the total."""

    what: str
    price: float


@dataclass(frozen=True)
class ShoppingList:
    """All that is bought for a piece, in the catalogue's currency.

    `total` is None when a line has no price; `known_total` is the sum of those that have.
    `by_length_price` is the price of the answer, and with `difference` it makes `total`; no
    steps when either is not known. `also` is in no sum.
    """

    piece: str
    currency: str
    lines: tuple[ShoppingLine, ...]
    also: tuple[AlsoNeeded, ...]
    known_total: float
    total: float | None
    unknown: tuple[str, ...]
    by_length_price: float | None
    difference: tuple[PriceStep, ...]
    notes: tuple[str, ...]


@cache
def spare_rules() -> dict[str, SpareRule]:
    """Return the rule for spares of each kind of part."""
    rows = rows_in(Path(__file__).with_name("spares.csv"))
    return {
        row["kind"]: SpareRule(
            kind=row["kind"],
            sold_by=row["sold_by"],
            share_ratio=float(row["share"]),
            least_count=float(row["least"]),
        )
        for row in rows
    }


def shopping(design: Design, catalogue: Catalogue, answer: Answer, cuts: CutList) -> ShoppingList:
    """List what to buy for a design, its answer and its cut list."""
    lines = (
        *_strips(catalogue, cuts),
        *_supplies(design, catalogue),
        *_fuses(catalogue, answer),
        *_connectors(design, catalogue),
        *_wires(catalogue, cuts, by_length(design)),
    )
    prices = [line.price for line in lines if line.price is not None]
    steps = tuple(_steps(lines, catalogue, answer, cuts))
    unknown = tuple(dict.fromkeys(line.part for line in lines if line.price is None))
    return ShoppingList(
        piece=design.piece.name,
        currency=catalogue.currency,
        lines=lines,
        also=tuple(_also(design, catalogue, answer)),
        known_total=math.fsum(prices),
        total=None if unknown else math.fsum(prices),
        unknown=unknown,
        by_length_price=answer.price,
        difference=() if unknown or answer.price is None else steps,
        notes=tuple(_notes(catalogue, answer, unknown, cuts, steps)),
    )


def by_length(design: Design) -> str:
    """Return what lengths are bought by where a design is in these units."""
    return FOOT if design.system == "inch" else METRE


def _line(
    kind: str,
    part: str,
    needed: float,
    unit_price: float | None,
    what_for: str,
    *,
    colour: str = "",
    sold_by: str = "",
) -> ShoppingLine:
    rule = spare_rules()[kind]
    buy = rule.to_buy(needed)
    return ShoppingLine(
        kind=kind,
        part=part,
        colour=colour,
        what_for=what_for,
        sold_by=sold_by or rule.sold_by,
        needed_count=needed,
        buy_count=buy,
        unit_price=unit_price,
        price=None if unit_price is None else round(unit_price * buy, CENTS),
    )


def _strips(catalogue: Catalogue, cuts: CutList) -> Iterator[ShoppingLine]:
    for one in cuts.strips:
        runs = [cut.run for reel in one.reels for cut in reel.cuts]
        if one.reels:
            price = catalogue.strips[one.strip].price
            yield _line("strip", one.strip, len(one.reels), price, _for(runs))


def _supplies(design: Design, catalogue: Catalogue) -> Iterator[ShoppingLine]:
    kinds: tuple[tuple[str, list[tuple[str | None, int, str]], Mapping[str, _Priced]], ...] = (
        ("pack", [(s.pack, s.pack_multiple, s.name) for s in design.supplies], catalogue.packs),
        ("converter", [(s.converter, 1, s.name) for s in design.supplies], catalogue.converters),
        ("controller", [(s.controller, 1, s.name) for s in design.supplies], catalogue.controllers),
    )
    for kind, used, parts in kinds:
        for name in dict.fromkeys(part for part, _, _ in used if part):
            needed = sum(count for part, count, _ in used if part == name)
            what_for = _for([supply for part, _, supply in used if part == name])
            yield _line(kind, name, needed, parts[name].price, what_for)


def fitted_fuses(answer: Answer) -> list[FuseAnswer]:
    """Return the fuses that are fitted, as the wiring diagram shows them."""
    return [fuse for fuse in answer.fuses if fuse.fitted]


def _fuses(catalogue: Catalogue, answer: Answer) -> Iterator[ShoppingLine]:
    places: dict[str, list[str]] = {}
    for fuse in fitted_fuses(answer):
        places.setdefault(fuse.fuse or "", []).append(f"{fuse.supply}, {fuse.place}")
    for name, where in places.items():
        yield _line("fuse", name, len(where), catalogue.fuses[name].price, _for(where))


def _connectors(design: Design, catalogue: Catalogue) -> Iterator[ShoppingLine]:
    """Count the connectors of packs, and of leads: one at each joint a lead crosses."""
    places: dict[str, list[str]] = {}
    for supply in design.supplies:
        for name in supply.connectors:
            places.setdefault(name, []).append(f"{supply.name} pack lead")
    for lead in (*design.trunks, *(feed.lead for run in design.runs for feed in run.feeds)):
        for name in lead.crossing.connectors:
            places.setdefault(name, []).append(lead.name)
    for name, where in places.items():
        yield _line("connector", name, len(where), catalogue.connectors[name].price, _for(where))


def _wires(catalogue: Catalogue, cuts: CutList, sold_by: str) -> Iterator[ShoppingLine]:
    long_m = LONG_M[sold_by]
    for total in cuts.wire_totals:
        price_per_m = catalogue.wires[total.wire].price_per_m
        yield _line(
            "wire",
            total.wire,
            total.length_m / long_m,
            None if price_per_m is None else price_per_m * long_m,
            "1 cut" if total.cuts_count == 1 else f"{total.cuts_count} cuts",
            colour=total.colour,
            sold_by=sold_by,
        )


def _for(names: list[str]) -> str:
    """Say what a part is for, each name once, with how often where it is more than once."""
    counted = Counter(names)
    return "; ".join(name if n == 1 else f"{name} ({n})" for name, n in counted.items())


def _also(design: Design, catalogue: Catalogue, answer: Answer) -> Iterator[AlsoNeeded]:
    """Name what every such piece takes and no catalogue lists."""
    for fuse in fitted_fuses(answer):
        kind = catalogue.fuses[fuse.fuse or ""].kind
        if kind != "resettable":
            yield AlsoNeeded(f"holder for a {kind} fuse", 1, "each", f"{fuse.supply}, {fuse.place}")
    for supply in design.supplies:
        if supply.switched_off:
            yield AlsoNeeded("switch by hand", 1, "each", f"{supply.name}, at the pack")
        if catalogue.packs[supply.pack].rechargeable:
            made_for = f"{supply.name}, the one made for {supply.pack}"
            yield AlsoNeeded(charger_words(supply, catalogue), 1, "each", made_for)
        if catalogue.packs[supply.pack].output_v is not None:
            into = f"{supply.name}, at the pack lead, into the bank's socket"
            yield AlsoNeeded("plug that fits the bank's socket", 1, "each", into)
        joined = joined_leads_count(wire_up(supply, design, catalogue))
        if joined > 1:
            where = f"{supply.name}, where its {joined} leads join; one for each sign and channel"
            strip = catalogue.strips[design.runs_of(supply.name)[0].strip]
            yield AlsoNeeded("splice for wires", 1 + len(returns_of(strip)), "each", where)
    cut_m = {run.run: run.cut_length_m for run in answer.runs}
    for run in design.runs:
        if "channel" in run.mounting:
            sold_by = by_length(design)
            steps = CHANNEL_STEPS[sold_by]
            length = math.ceil(cut_m[run.name] / LONG_M[sold_by] * steps - 1e-6) / steps
            yield AlsoNeeded(run.mounting, length, sold_by, run.name)


def _steps(
    lines: tuple[ShoppingLine, ...], catalogue: Catalogue, answer: Answer, cuts: CutList
) -> Iterator[PriceStep]:
    """Say step by step what lies between the price by length and that of this list.

    A part with no price counts 0; then there is no total to explain.
    """
    reels, rest = [], []
    rounded = [(line.price or 0.0) - line.buy_count * (line.unit_price or 0.0) for line in lines]
    for one in cuts.strips:
        strip = catalogue.strips[one.strip]
        too_long_m = math.fsum(r.cut_length_m for r in answer.runs if r.run in one.too_long)
        used = (one.used_m + too_long_m) / strip.reel_m
        reels.append((len(one.reels) - used) * (strip.price or 0.0))
    totals = {(one.wire, one.colour): one for one in cuts.wire_totals}
    wires, jumped = [], []
    for line in lines:
        unit_price = line.unit_price or 0.0
        if line.kind == "wire":
            total = totals[line.part, line.colour]
            long_m = LONG_M[line.sold_by]
            wires.append((line.buy_count - total.drawn_m / long_m) * unit_price)
            jumped.append(total.jumpers_m / long_m * unit_price)
        elif line.kind != "strip":
            rest.append(line.spare_count * unit_price)
    for what, prices in (
        ("whole reels", reels),
        (f"ends, loops and whole {_lengths(cuts)} of wire", wires),
        ("jumpers between parts", jumped),
        ("spare fuses and connectors", rest),
        ("each line rounded", rounded),
    ):
        if abs(math.fsum(prices)) > 1e-9:
            yield PriceStep(what, math.fsum(prices))


def _lengths(cuts: CutList) -> str:
    return "feet" if cuts.units == "inch" else "metres"


def _notes(
    catalogue: Catalogue,
    answer: Answer,
    unknown: tuple[str, ...],
    cuts: CutList,
    steps: tuple[PriceStep, ...],
) -> Iterator[str]:
    if unknown:
        yield f"No price in the catalogue, and not in the sum: {', '.join(unknown)}."
    elif answer.price is not None:
        told = [step for step in steps if abs(round(step.price, CENTS)) > 0.0]
        between = "; ".join(f"{step.what} {step.price:+.2f}" for step in told)
        yield (
            f"The answer's price of {answer.price:.2f} {catalogue.currency} counts strip and wire "
            f"by the length drawn; to that come {between}."
        )
    for one in cuts.strips:
        if one.too_long:
            yield (
                f"No reel of {one.strip} is long enough for {', '.join(one.too_long)}, so none is "
                "listed for it."
            )


def shopping_csv(found: ShoppingList) -> str:
    """Return the list as CSV text (RFC 4180), in which no cell can begin a formula.

    Numbers have a point; a price that is not known says so, and so does a sum that lacks one.
    Lengths have at most two decimals and are never less than what is needed.
    """
    priced = (f"unit price ({found.currency})", f"price ({found.currency})")
    rows: list[tuple[str | float | None, ...]] = [
        ("kind", "part", "colour", "for", "sold by", "needed", "spare", "buy", *priced)
    ]
    for line in found.lines:
        what = (line.kind, line.part, line.colour, line.what_for, line.sold_by)
        needed = _no_less(line.needed_count)
        counts = (needed, round(line.buy_count - needed, LENGTH_PLACES), line.buy_count)
        each = line.unit_price
        if each is not None and line.sold_by == FOOT:
            each = round(each, PRICE_PLACES)
        rows.append((*what, *counts, each, line.price))
    for one in found.also:
        what = ("also needed", one.what, "", one.what_for, one.sold_by)
        count = _no_less(one.count)
        rows.append((*what, count, 0, count, None, None))
    blank = ("",) * 7
    rows.append(("total", *blank, "", found.total))
    if found.total is None:
        rows.append(("total of known prices", *blank, "", found.known_total))
    return csv_of(rows)


def _no_less(count: float) -> float:
    """Round up to what the CSV shows of a length.

    >>> _no_less(7.08268), _no_less(2.5), _no_less(56.0 / 12.0)
    (7.09, 2.5, 4.67)
    """
    steps = 10.0**LENGTH_PLACES
    return math.ceil(count * steps - 1e-6) / steps
