"""The upper half of a wiring diagram: pack, fuse, connectors, converter and controller in a row.

::

    +------+   fuse             +-----------+      +------------+
    | pack +---[==]----||------+ converter +------+ controller +---
    |      |                   |           |      |            |
    |     -+-----------||------+           +------+            +---
    +------+                   +-----------+      +------------+
           |------- pack lead -|

A row that is full goes on at the left of the next one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.packet.conductors import MINUS, PLUS
from lightcalc.packet.dimensions import measure
from lightcalc.packet.lettering import LINE_RATIO, SMALL_MM, clip, width_mm, wrap
from lightcalc.packet.paper import MEDIUM_MM, THICK_MM, THIN_MM, Box, Paper, Spot
from lightcalc.packet.symbols import plug_mark
from lightcalc.packet.wiring_parts import Part, SupplyWiring, amps

PLUS_MM, MINUS_MM = THICK_MM, MEDIUM_MM
PLUS_COLOUR = "#b00000"
BOX_MM, SYMBOL_MM, GAP_MM = 32.0, 21.0, 4.0
# Where + and - run below the top of a row, and how far wires reach out past its last part.
PLUS_AT_MM, MINUS_AT_MM = 5.0, 12.0
LETTERS_MM = 2.4
PADDING_MM = 3.4
BEYOND_MM = 3.0
# Wires that turn a corner together are that far apart.
NEST_MM = 2.2
# Returns that leave a controller are that far apart, their names as wide at most.
OUTPUT_MM, CHANNEL_MM = 3.3, 16.0
DOT_MM = 0.7


@dataclass
class Chain:
    """Draws the chain of a supply; then `ends` is where its wires leave it, + first.

    There are as many as each lead has conductors. `bottom` is the foot of all of it.
    """

    paper: Paper
    wiring: SupplyWiring
    width_mm: float
    ends: tuple[Spot, ...] = ()
    bottom: float = 0.0

    @property
    def returns(self) -> int:
        """How many returns leave the chain."""
        return len(self.wiring.returns)

    def _channels_mm(self) -> float:
        """Return how far out past the last part wires go, which bear names if there are several."""
        if self.returns == 1:
            return BEYOND_MM
        named = [clip(one, LETTERS_MM, CHANNEL_MM) for one in self.wiring.returns]
        return 2.0 * BEYOND_MM + 2.0 + max(width_mm(one, LETTERS_MM) for one in named)

    def draw(self, top: float) -> None:
        """Draw every part, row by row."""
        room = self.width_mm - self._channels_mm() - NEST_MM * (self.returns + 1)
        rows, left = rows_of(self.wiring.parts, room), 0.0
        if len(rows) > 1:
            # Wires that go on from row to row need room on the left.
            left = NEST_MM * 3
            rows = rows_of(self.wiring.parts, room - left)
        for number, row in enumerate(rows):
            if number:
                top = self._carry_over(left, top)
            last = number == len(rows) - 1
            top = self._row(row, (left, top), first=number == 0, last=last)
        self.bottom = top

    def _row(self, parts: Sequence[Part], corner: Spot, first: bool, last: bool) -> float:
        (x, top), foot = corner, corner[1]
        plus, minus = top + PLUS_AT_MM, top + MINUS_AT_MM
        lead_from = lead_to = None
        for number, part in enumerate(parts):
            box = Box(x, top, x + (BOX_MM if part.boxed else SYMBOL_MM), top)
            if part.kind == "pack":
                lead_from = box.right
            elif part.boxed and lead_to is None:
                lead_to = box.left
            if number or not first:
                self._wires(x - GAP_MM, x, plus, minus)
            drawn = self._boxed if part.boxed else self._symbol
            with self.paper.group("part", kind=part.kind, part=part.name):
                foot = max(foot, drawn(part, box, plus, minus))
            x = box.right + GAP_MM
        edge = end = x - GAP_MM
        if first and lead_from is not None:
            bracket_end = edge + BEYOND_MM if lead_to is None else lead_to
            end, foot = self._pack_lead(lead_from, bracket_end, foot + 1.0)
        # The wires that leave go round what is written below the row.
        end = max(edge, end) + BEYOND_MM
        if last:
            end = max(end, edge + self._channels_mm())
        self._wires(edge, end, plus, minus)
        self.ends = ((end, plus), (end, minus))
        if last:
            self._split(edge, minus)
        return foot + 2.0

    def _split(self, edge: float, minus: float) -> None:
        """Bring out one return for each channel: of its own, or joined where nothing switches."""
        end, _ = self.ends[1]
        levels = [minus + k * OUTPUT_MM for k in range(self.returns)]
        self.ends = (self.ends[0], *((end, y) for y in levels))
        if self.returns == 1:
            return
        joined = self.wiring.parts[-1].kind != "controller"
        start = edge + 1.0 if joined else edge
        for y, channel in zip(levels, self.wiring.returns, strict=True):
            if y > minus:
                self._wire(((start, y), (end, y)), plus=False)
            named = clip(channel, LETTERS_MM, CHANNEL_MM)
            at = (end - BEYOND_MM, y + 0.8)
            self.paper.text(at, named, LETTERS_MM, anchor="end", backed=True)
        if joined:
            self._wire(((start, minus), (start, levels[-1])), plus=False)
            for y in levels[:-1]:
                self.paper.circle((start, y), DOT_MM, 0.0, fill="black", class_="joint")

    def _wire(self, places: Sequence[Spot], plus: bool) -> None:
        weight, colour = (PLUS_MM, PLUS_COLOUR) if plus else (MINUS_MM, "black")
        self.paper.line(places, weight, colour=colour, class_="conductor")

    def _carry_over(self, left: float, top: float) -> float:
        """Lead the wires of a full row round to the left of the next; return where it begins."""
        below = top + NEST_MM * 2
        for k in range(2):
            (x, y), to = self.ends[k], below + (PLUS_AT_MM, MINUS_AT_MM)[k]
            right, low = x + (1 - k) * NEST_MM, top + (1 - k) * NEST_MM
            start = left - GAP_MM
            turn = start - k * NEST_MM
            places = ((x, y), (right, y), (right, low), (turn, low), (turn, to), (start, to))
            self._wire(places, plus=k == 0)
        return below

    def _wires(self, left: float, right: float, plus: float, minus: float) -> None:
        for y in (plus, minus):
            self._wire(((left, y), (right, y)), plus=y == plus)

    def _boxed(self, part: Part, box: Box, plus: float, minus: float) -> float:
        room = box.width - 2.0 * PADDING_MM
        lines = _lines(part, room)
        outputs = (self.returns - 1) * OUTPUT_MM if part.kind == "controller" else 0.0
        foot = max(box.top + len(lines) * LINE_RATIO * LETTERS_MM + 2.0, minus + outputs + 3.0)
        self.paper.box(Box(box.left, box.top, box.right, foot), MEDIUM_MM, class_="part-box")
        sides = [box.right - 1.7] if part.kind == "pack" else [box.left + 1.7, box.right - 1.7]
        for x in sides:
            for sign, y in ((PLUS, plus), (MINUS, minus)):
                self.paper.text((x, y + 0.9), sign, SMALL_MM, anchor="middle", bold=True)
        if part.kind == "controller":
            for k in range(1, self.returns):
                at = (box.right - 1.7, minus + k * OUTPUT_MM + 0.9)
                self.paper.text(at, MINUS, SMALL_MM, anchor="middle", bold=True)
        self._words(lines, (box.left + PADDING_MM, box.top + 1.0))
        return foot

    def _symbol(self, part: Part, box: Box, plus: float, minus: float) -> float:
        self._wires(box.left, box.right, plus, minus)
        x, _ = box.middle
        if part.kind == "fuse":
            self.paper.box(Box(x - 4.0, plus - 1.4, x + 4.0, plus + 1.4), MEDIUM_MM)
            self.paper.line(((x - 4.0, plus), (x + 4.0, plus)), MEDIUM_MM)
        elif part.kind == "switch":
            self.paper.box(Box(x - 3.0, plus - 0.6, x + 3.0, plus + 0.6), 0.0)
            self.paper.line(((x - 3.0, plus), (x + 2.6, plus - 2.4)), THICK_MM)
            for end in (x - 3.0, x + 3.0):
                self.paper.circle((end, plus), 0.6, MEDIUM_MM, fill="black")
        else:
            for y in (plus, minus):
                plug_mark(self.paper, (x, y))
        lines = _lines(part, box.width - 1.0)
        return self._words(lines, (box.left + 0.5, minus + 1.5))

    def _words(self, lines: Sequence[tuple[str, bool]], at: Spot) -> float:
        x, y = at
        for line, bold in lines:
            y += LINE_RATIO * LETTERS_MM
            self.paper.text((x, y - 0.25 * LETTERS_MM), line, LETTERS_MM, bold=bold)
        return y + 0.8

    def _pack_lead(self, left: float, right: float, top: float) -> Spot:
        """Draw a bracket below what the pack lead runs through; return its far corner."""
        wire = self.wiring.pack_lead
        with self.paper.group("lead", lead=wire.lead):
            ends = ((left, top), (left, top + 1.6), (right, top + 1.6), (right, top))
            self.paper.line(ends, THIN_MM)
            made_of = " and ".join(one.words for one in self.wiring.pack_conductors)
            words = (
                f"{wire.lead}: {measure(wire.length_m, self.wiring.system)} of {wire.size} "
                f"({wire.wire}), {made_of}; {amps(wire.full_level_a)}, at most "
                f"{amps(wire.peak_a)}"
            )
            if any(part.kind == "fuse" for part in self.wiring.parts):
                words += "; the fuse within a hand's width of the pack"
            room = self.width_mm - left - BEYOND_MM - NEST_MM * (self.returns + 1)
            lines = wrap(words, LETTERS_MM, room)
            foot = self.paper.lines((left, top + 2.8), lines, LETTERS_MM)
        return left + max(width_mm(line, LETTERS_MM) for line in lines), foot


def _lines(part: Part, room_mm: float) -> list[tuple[str, bool]]:
    """Return the words of a part as lines that fit, with whether each is bold."""
    lines = [(part.kind, True)]
    lines += [(line, False) for line in wrap(part.name, LETTERS_MM, room_mm)]
    for words in part.lines:
        lines += [(line, False) for line in wrap(words, LETTERS_MM, room_mm)]
    return lines


def rows_of(parts: Sequence[Part], room_mm: float) -> list[list[Part]]:
    """Put parts into rows that fit, one after the other."""
    rows: list[list[Part]] = [[]]
    used = 0.0
    for part in parts:
        wide = BOX_MM if part.boxed else SYMBOL_MM
        if rows[-1] and used + wide > room_mm:
            rows.append([])
            used = 0.0
        rows[-1].append(part)
        used += wide + GAP_MM
    return rows
