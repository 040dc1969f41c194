"""The wiring of each supply as a diagram, to no scale: its parts in a row, its leads below them.

A diagram that is too long for one sheet goes on on the next.
"""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design
from lightcalc.packet.drawing import A4_FRAME_MM, Drawing
from lightcalc.packet.lettering import LARGE_MM, LINE_RATIO, SMALL_MM, wrap
from lightcalc.packet.paper import MARGIN_MM, THICK_MM, Paper
from lightcalc.packet.symbols import heading
from lightcalc.packet.wiring_chain import MINUS_MM, NEST_MM, PLUS_COLOUR, PLUS_MM, Chain
from lightcalc.packet.wiring_parts import SupplyWiring, supply_wiring
from lightcalc.packet.wiring_tree import (
    AFTER_BUS_MM,
    APART_MM,
    BUS_MM,
    LEAST_LABEL_MM,
    LETTERS_MM,
    RUN_BOX_MM,
    SUPPLY,
    Bus,
    Item,
    Tree,
    items_of,
)
from lightcalc.parts.kinds import Catalogue

BELOW_TITLE_MM = 3.0
ABOVE_TREE_MM = 2.0
# Room at the foot of a sheet for what says where a bus goes on.
FOOT_MM = 6.0


def wiring_drawings(
    design: Design,
    catalogue: Catalogue,
    answer: Answer,
    frame_mm: tuple[float, float] = A4_FRAME_MM,
) -> tuple[Drawing, ...]:
    """Draw the wiring of every supply, each drawing within a frame of (width, height).

    Every number is one of `answer`, the answer to the same design and catalogue. What would not
    fit even so, such as a run of very many feeds, is drawn smaller.
    """
    return tuple(
        drawing
        for supply in design.supplies
        for drawing in _of_supply(
            supply_wiring(supply.name, design, catalogue, answer), answer.piece, frame_mm
        )
    )


def _of_supply(
    wiring: SupplyWiring, piece: str, frame_mm: tuple[float, float]
) -> tuple[Drawing, ...]:
    columns, label_x = _columns(wiring)
    least = label_x + LEAST_LABEL_MM + RUN_BOX_MM
    # Lines at the edge are half outside of it.
    edge = 2.0 * MARGIN_MM + THICK_MM
    width = max(frame_mm[0] - edge, least)
    high = frame_mm[1] * (width + edge) / frame_mm[0] - edge
    title = f"{piece}: wiring of {wiring.supply}"
    maker = _Sheets(wiring, title, width, high, columns, label_x)
    groups = maker.shared_out()
    return tuple(maker.draw(groups, number, frame_mm) for number in range(len(groups)))


def _columns(wiring: SupplyWiring) -> tuple[dict[int, float], float]:
    """Return where each bus is, that of the supply first, and where they end."""
    wide = len(wiring.returns) * BUS_MM + AFTER_BUS_MM
    trunks = [row.number for row in wiring.rows if row.run is None]
    columns = {number: place * wide for place, number in enumerate((SUPPLY, *trunks))}
    return columns, len(columns) * wide + 1.0


class _Sheets:
    """Draws the sheets of one supply, which share their layout."""

    def __init__(  # noqa: PLR0917 - what all sheets share
        self,
        wiring: SupplyWiring,
        title: str,
        width: float,
        high: float,
        columns: dict[int, float],
        label_x: float,
    ) -> None:
        self.wiring, self.title, self.width, self.high = wiring, title, width, high
        self.columns, self.label_x = columns, label_x
        self.items = items_of(wiring)

    def _tree(self, paper: Paper) -> Tree:
        return Tree(paper, self.wiring, self.width, self.columns, self.label_x)

    def shared_out(self) -> list[list[Item]]:
        """Put what stays together on sheets, one after the other, a new one when one is full."""
        tree = self._tree(Paper())
        groups: list[list[Item]] = [[]]
        y = self._top(Paper(), "", first=True)[-1] + ABOVE_TREE_MM
        for number, item in enumerate(self.items):
            last = number == len(self.items) - 1
            needed = tree.height(item) + (self._notes_height() if last else FOOT_MM)
            if groups[-1] and y + needed > self.high:
                groups.append([])
                y = self._top(Paper(), "", first=False)[-1] + ABOVE_TREE_MM
            groups[-1].append(item)
            y += tree.height(item)
        return groups

    def _notes_height(self) -> float:
        lines = [line for note in self.wiring.notes for line in self._wrapped(note)]
        return 2.0 + len(self.wiring.notes) + len(lines) * LINE_RATIO * LETTERS_MM

    def _wrapped(self, note: str) -> tuple[str, ...]:
        return wrap(note, LETTERS_MM, self.width)

    def draw(
        self, groups: Sequence[Sequence[Item]], number: int, frame_mm: tuple[float, float]
    ) -> Drawing:
        """Draw one sheet."""
        paper = Paper()
        which = f" ({number + 1} of {len(groups)})" if len(groups) > 1 else ""
        starts = self._top(paper, which, first=number == 0)
        tree = self._tree(paper)
        top = max(starts) + ABOVE_TREE_MM
        places = tree.places(groups[number], top)
        foot = top + sum(tree.height(item) for item in groups[number])
        buses = self._buses(groups, number, starts, places, foot)
        for bus in buses:
            tree.bus(bus)
        tree.draw(groups[number], top)
        for bus in buses:
            tree.joints(bus)
        if number < len(groups) - 1:
            words = f"Wires that go on down from here go on on sheet {number + 2}."
            paper.lines((self.label_x, foot + 1.0), (words,), LETTERS_MM)
        else:
            y = foot + 1.0
            for note in self.wiring.notes:
                y = paper.lines((0.0, y + 1.0), self._wrapped(note), LETTERS_MM)
        whole = paper.bounds.grown(MARGIN_MM) if paper.bounds else None
        shrink = 1.0
        if whole:
            shrink = min(1.0, frame_mm[0] / whole.width, frame_mm[1] / whole.height)
        return paper.drawing(self.title + which, f"{self.title}{which}.", shrink=shrink)

    def _top(self, paper: Paper, which: str, first: bool) -> tuple[float, ...]:
        """Draw title and parts; return how far down each conductor begins its way, + first."""
        words = wrap(self.title + which, LARGE_MM, self.width, bold=True)
        y = heading(paper, (0.0, 0.0), words, LARGE_MM) + BELOW_TITLE_MM
        count = 1 + len(self.wiring.returns)
        if not first:
            begun = "Wires that come from above come from the sheet before."
            y = paper.lines((0.0, y), wrap(begun, SMALL_MM, self.width), SMALL_MM)
            return (y + 1.0,) * count
        chain = Chain(paper, self.wiring, self.width)
        chain.draw(y)
        return self._carry_down(paper, chain, count)

    def _carry_down(self, paper: Paper, chain: Chain, count: int) -> tuple[float, ...]:
        """Lead every conductor from the end of the chain round to the bus of the supply."""
        tree = self._tree(paper)
        lows = []
        for k, (x, y) in enumerate(chain.ends):
            outer = count - 1 - k
            right, low = x + outer * NEST_MM, chain.bottom + outer * NEST_MM
            weight, colour = (PLUS_MM, PLUS_COLOUR) if k == 0 else (MINUS_MM, "black")
            places = ((x, y), (right, y), (right, low), (tree.bus_x(SUPPLY, k), low))
            paper.line(places, weight, colour=colour, class_="conductor")
            lows.append(low)
        return tuple(lows)

    def _buses(
        self,
        groups: Sequence[Sequence[Item]],
        number: int,
        starts: Sequence[float],
        places: dict[int, float],
        foot: float,
    ) -> list[Bus]:
        """Return the buses of a sheet, with those that only pass over it."""
        sheet_of = {
            row.number: n for n, group in enumerate(groups) for item in group for row in item.rows
        }
        buses = []
        for bus in self.columns:
            begins = 0 if bus == SUPPLY else sheet_of[bus]
            children = [row.number for row in self.wiring.rows if row.parent == bus]
            later = any(sheet_of[child] > number for child in children)
            here = sorted(places[child] for child in children if child in places)
            if begins > number or not (here or later):
                continue
            own = places.get(bus)
            tops = starts if own is None else [own + k * APART_MM for k in range(len(starts))]
            buses.append(Bus(bus, tuple(tops), tuple(here), foot if later else None))
        return buses
