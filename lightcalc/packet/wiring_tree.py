"""The lower half of a wiring diagram: from the supply's output through trunks to every feed.

::

    ==+==================== trunk ====+            bus of the supply, bus of the trunk
      |                               |
      +====== lead =============================[ run A    ]
      |                               |         [          ]
      |                               +== lead =[          ]
      +====== lead =============================[ run B    ]

Each bus is upright, each lead level; every conductor is a line of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.answers.results import RunAnswer
from lightcalc.packet.dimensions import measure
from lightcalc.packet.feeds import place_words
from lightcalc.packet.lettering import LINE_RATIO, SMALL_MM, clip, wrap
from lightcalc.packet.paper import ABOVE, MEDIUM_MM, Box, Paper, Spot
from lightcalc.packet.symbols import plug_mark
from lightcalc.packet.wiring_chain import DOT_MM, MINUS_MM, PLUS_COLOUR, PLUS_MM
from lightcalc.packet.wiring_parts import LeadRow, SupplyWiring, amps, volts

LETTERS_MM = 2.4
# Conductors are that far apart in a bus, and in a lead, whose conductors bear their colours.
BUS_MM, APART_MM = 2.2, 3.3
AFTER_BUS_MM = 3.0
RUN_BOX_MM = 56.0
LEAST_LABEL_MM = 62.0
# A connector in a lead takes so much of it, and beside all of them its colours stay readable.
PLUG_MM, LEAST_MARK_MM = 9.0, 30.0
DETAILS_MM = 2.0
HALO_MM = 1.2
BELOW_ROW_MM = 2.5
SUPPLY = -1


@dataclass(frozen=True)
class Item:
    """What stays together on one sheet: a trunk, or a run with all of its feeds."""

    rows: tuple[LeadRow, ...]
    run: RunAnswer | None


def items_of(wiring: SupplyWiring) -> tuple[Item, ...]:
    """Return trunks in the order they branch, then runs with their feeds."""
    trunks = [Item((row,), None) for row in wiring.rows if row.run is None]
    runs = list(dict.fromkeys(row.run.run for row in wiring.rows if row.run))
    fed = []
    for name in runs:
        rows = tuple(row for row in wiring.rows if row.run and row.run.run == name)
        fed.append(Item(rows, rows[0].run))
    return (*trunks, *fed)


@dataclass(frozen=True)
class Bus:
    """What leads branch from, on one sheet: where each conductor starts, + first, and branches.

    `branches` are the heights of the + of the leads, from above down; `foot` is how far it goes
    on when leads on a later sheet branch from it too, else None.
    """

    number: int
    starts: tuple[float, ...]
    branches: tuple[float, ...]
    foot: float | None


@dataclass
class Tree:
    """The tree of leads of one supply on one sheet.

    `columns` says where each bus is, by the number of its lead, and `label_x` where what is said
    of each lead begins, to the right of all of them.
    """

    paper: Paper
    wiring: SupplyWiring
    width_mm: float
    columns: dict[int, float]
    label_x: float

    @property
    def count(self) -> int:
        """How many conductors each lead has."""
        return 1 + len(self.wiring.returns)

    @property
    def run_x(self) -> float:
        """Where the boxes of runs begin."""
        return self.width_mm - RUN_BOX_MM

    def bus_x(self, bus: int, conductor: int) -> float:
        """Return where a conductor of a bus is; + is the one farthest right."""
        return self.columns[bus] + (self.count - 1 - conductor) * BUS_MM

    def height(self, item: Item) -> float:
        """Return how high an item is."""
        return self._head_height(item) + sum(self.row_height(row) for row in item.rows)

    def _head_height(self, item: Item) -> float:
        """Return what the head of a run needs beyond the name of its first lead beside it."""
        lines = self._head_lines(item.run) if item.run else []
        head = len(lines) * LINE_RATIO * LETTERS_MM + 4.0 if lines else 0.0
        return max(head - self._before(item.rows[0]), 0.0)

    def _head_lines(self, run: RunAnswer) -> list[tuple[str, bool]]:
        room = RUN_BOX_MM - 3.0
        units = "1 cut unit" if run.cut_units_count == 1 else f"{run.cut_units_count} cut units"
        plain = (
            run.strip,
            f"{measure(run.cut_length_m, self.wiring.system)}, {units}; {amps(run.amps_a)} in all",
        )
        return [
            *((line, True) for line in wrap(run.run, LETTERS_MM, room, bold=True)),
            *((line, False) for text in plain for line in wrap(text, LETTERS_MM, room)),
        ]

    def row_height(self, row: LeadRow) -> float:
        """Return how high the row of a lead is: its name, its conductors, what is said of it."""
        return self._before(row) + (self.count - 1) * APART_MM + self._after(row)

    def _before(self, row: LeadRow) -> float:
        return len(self._names(row)) * LINE_RATIO * LETTERS_MM + 2.2

    def _after(self, row: LeadRow) -> float:
        return DETAILS_MM + len(self._details(row)) * LINE_RATIO * LETTERS_MM + BELOW_ROW_MM

    def _label_room(self) -> float:
        return self.run_x - self.label_x - 3.0

    def _names(self, row: LeadRow) -> tuple[str, ...]:
        return wrap(row.wire.lead, LETTERS_MM, self._label_room(), bold=True)

    def _details(self, row: LeadRow) -> tuple[str, ...]:
        return wrap(row.details(self.wiring.system), LETTERS_MM, self._label_room())

    def places(self, items: Sequence[Item], top: float) -> dict[int, float]:
        """Return how far down the + of every lead is."""
        found = {}
        for item in items:
            y = top + self._head_height(item)
            for row in item.rows:
                found[row.number] = y + self._before(row)
                y += self.row_height(row)
            top = y
        return found

    def draw(self, items: Sequence[Item], top: float) -> float:
        """Draw all items below a height, on top of the buses; return where they end."""
        places = self.places(items, top)
        for item in items:
            if item.run:
                self._run_box(item, top)
            for row in item.rows:
                self._row(row, places[row.number])
            top += self.height(item)
        return top

    def bus(self, bus: Bus) -> None:
        """Draw the conductors of a bus, before the leads that branch from it."""
        for k in range(self.count):
            x = self.bus_x(bus.number, k)
            last = bus.foot if bus.foot is not None else bus.branches[-1] + k * APART_MM
            self._wire(((x, bus.starts[k]), (x, last)), k)

    def joints(self, bus: Bus) -> None:
        """Draw the dots of a bus where it goes on past a branch, after all lines."""
        for k in range(self.count):
            x = self.bus_x(bus.number, k)
            for y in bus.branches if bus.foot is not None else bus.branches[:-1]:
                at = (x, y + k * APART_MM)
                self.paper.circle(at, DOT_MM, 0.0, fill="black", class_="joint")

    def _wire(self, places: Sequence[Spot], conductor: int, over: bool = False) -> None:
        weight = PLUS_MM if conductor == 0 else MINUS_MM
        if over:
            # White beside a wire shows that it passes over others, but not over its own bus.
            (left, y), (right, _) = places
            ends = ((left + HALO_MM / 2.0, y), (right - HALO_MM / 2.0, y))
            self.paper.line(ends, HALO_MM, colour="white", class_="halo")
        colour = PLUS_COLOUR if conductor == 0 else "black"
        self.paper.line(places, weight, colour=colour, class_="conductor")

    def _row(self, row: LeadRow, y: float) -> None:
        end = self.run_x if row.feed else self.bus_x(row.number, 0)
        with self.paper.group("lead", lead=row.wire.lead):
            for k, conductor in enumerate(row.conductors):
                level = y + k * APART_MM
                start = self.bus_x(row.parent, k)
                stop = end if row.feed else self.bus_x(row.number, k)
                self._wire(((start, level), (stop, level)), k, over=True)
                if row.feed:
                    self._mark(conductor.words, level, self._plugs_mm(row))
            self._plugs(row, y)
            self._label(row, y)
        if row.feed:
            self._feed(row, y)

    def _plugs_mm(self, row: LeadRow) -> float:
        """Return the room that the connectors in the lead of a feed take, at its right end."""
        if row.feed is None:
            return 0.0
        most = int((self._label_room() - LEAST_MARK_MM) // PLUG_MM)
        return PLUG_MM * min(len(row.crossing.connectors), most)

    def _plugs(self, row: LeadRow, y: float) -> None:
        """Draw the connectors in a lead, each in all of its conductors; a trunk only names them."""
        count = round(self._plugs_mm(row) / PLUG_MM)
        for number in range(count):
            x = self.run_x - PLUG_MM * (count - number)
            with self.paper.group("plug", part=row.crossing.connector or ""):
                for k in range(self.count):
                    plug_mark(self.paper, (x, y + k * APART_MM))

    def _mark(self, words: str, level: float, beside_mm: float) -> None:
        at = (self.label_x + 2.0, level + 0.8)
        words = clip(words, LETTERS_MM, self._label_room() - 6.0 - beside_mm)
        self.paper.text(at, words, LETTERS_MM, backed=True, class_="conductor-mark")

    def _label(self, row: LeadRow, y: float) -> None:
        top = y - self._before(row) + 0.6
        for line in self._names(row):
            at = (self.label_x, top + ABOVE * LETTERS_MM)
            self.paper.text(at, line, LETTERS_MM, bold=True)
            top += LINE_RATIO * LETTERS_MM
        if not row.feed:
            for k, conductor in enumerate(row.conductors):
                at = (self.label_x, y + k * APART_MM + 0.8)
                words = clip(conductor.words, LETTERS_MM, self._label_room())
                self.paper.text(at, words, LETTERS_MM, class_="conductor-mark")
        below = y + (self.count - 1) * APART_MM + DETAILS_MM
        self.paper.lines((self.label_x, below), self._details(row), LETTERS_MM)

    def _run_box(self, item: Item, top: float) -> None:
        run = item.run
        assert run is not None
        foot = top + self.height(item) - BELOW_ROW_MM
        box = Box(self.run_x, top, self.width_mm, foot)
        with self.paper.group("run", run=run.run):
            self.paper.box(box, MEDIUM_MM, class_="run-box")
            y = top + 1.0
            for line, bold in self._head_lines(run):
                y += LINE_RATIO * LETTERS_MM
                self.paper.text(
                    (self.run_x + 1.5, y - 0.25 * LETTERS_MM), line, LETTERS_MM, bold=bold
                )

    def _feed(self, row: LeadRow, y: float) -> None:
        """Write what a meter finds between + and each return of a feed."""
        feed, run = row.feed, row.run
        assert feed is not None
        assert run is not None
        with self.paper.group("feed", lead=feed.lead):
            words = [f"feed {place_words(feed, run, self.wiring.system)}"]
            for returned, channel in zip(self.wiring.returns, feed.channels, strict=True):
                named = f"{clip(returned, LETTERS_MM, 18.0)}: " if returned else ""
                words.append(f"{named}{volts(channel.volts_v)}, {amps(channel.amps_a)}")
            for k, text in enumerate(words):
                level = y + k * APART_MM
                self.paper.circle((self.run_x, level), DOT_MM, MEDIUM_MM)
                sign = "+" if k == 0 else "\u2212"
                at = (self.run_x + 2.6, level + 0.9)
                self.paper.text(at, sign, SMALL_MM, anchor="middle", bold=True)
                self.paper.text((self.run_x + 5.0, level + 0.8), text, LETTERS_MM)
