"""One view of a piece on paper: blocks and inlays, hidden lines, runs, packs, sensors, wires.

Blocks are drawn from the farthest to the nearest, each on white, so that what is in front covers
what is behind; hidden lines are dashed on top of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lightcalc.design.space import Block, Inlay, Place, Side, edge_way_m
from lightcalc.packet.laid import Laid
from lightcalc.packet.lettering import NORMAL_MM
from lightcalc.packet.paper import HIDDEN_DASHES, MEDIUM_MM, THIN_MM, Box, Paper, Spot
from lightcalc.packet.symbols import (
    INLAY_FILL,
    feed_mark,
    pack_mark,
    sensor_mark,
    strip_end,
    strip_line,
    tag_beside,
    wire_line,
)
from lightcalc.packet.views import (
    SAME_M,
    Cover,
    Flat,
    Span,
    View,
    between,
    hidden_spans,
    joined,
    left_over,
)

# What is shorter on paper is drawn as seen end on.
SHORTEST_MM, ROUNDING_MM = 1.0, 1e-6
# A line is tagged in views in which it is at least that long.
TAGGED_MM = 4.0
# Tags of lines lead to places that are farther than that from marks of packs and sensors.
MARK_MM = 5.0


@dataclass(frozen=True)
class PackAt:
    """A pack whose place is known, and the feeds that its wires go to."""

    supply: str
    tag: str
    at_m: Place
    feeds: tuple[tuple[str, Place], ...]


@dataclass(frozen=True)
class SensorAt:
    """The eye, aerial or knob of a controller, and where its wire comes from if it has one."""

    supply: str
    noun: str
    tag: str
    at_m: Place
    wired_from_m: Place | None

    @property
    def wire_m(self) -> float:
        """How long its wire is along the way that is drawn, 0 without one."""
        if self.wired_from_m is None:
            return 0.0
        return edge_way_m(self.wired_from_m, self.at_m)


@dataclass(frozen=True)
class Piece:
    """Everything of a piece that is drawn in its views."""

    blocks: tuple[Block, ...]
    inlays: tuple[Inlay, ...]
    runs: tuple[Laid, ...]
    packs: tuple[PackAt, ...]
    sensors: tuple[SensorAt, ...] = ()

    @property
    def tagged(self) -> tuple[PackAt | SensorAt, ...]:
        """What is drawn as a mark with a tag beside it."""
        return (*self.packs, *self.sensors)

    def places(self) -> list[Place]:
        """Return the corners of all of it."""
        found = [corner for block in self.blocks for corner in (block.at_m, block.far_m)]
        found += [corner for run in self.runs for corner in run.corners]
        return found + [one.at_m for one in self.tagged]


@dataclass
class PlacedView:
    """A view that has its place on paper: `low` and `high` are the ends of what it shows."""

    paper: Paper
    view: View
    piece: Piece
    corner: Spot
    low: Flat
    high: Flat
    mm_per_m: float

    @property
    def box(self) -> Box:
        """Its room on paper."""
        left, top = self.corner
        width, height = ((b - a) * self.mm_per_m for a, b in zip(self.low, self.high, strict=True))
        return Box(left, top, left + width, top + height)

    def spot(self, flat: Flat) -> Spot:
        """Return where a place of the view is on paper."""
        return (
            self.corner[0] + (flat[0] - self.low[0]) * self.mm_per_m,
            self.corner[1] + (self.high[1] - flat[1]) * self.mm_per_m,
        )

    def draw(self) -> None:
        """Draw all of it, and its name above."""
        with self.paper.group("view", view=self.view.name):
            self._name()
            covers = {block.name: self.view.cover(block) for block in self.piece.blocks}
            order = sorted(self.piece.blocks, key=lambda one: -covers[one.name].near)
            for block in order:
                self._block(block, covers[block.name])
            self._hidden_edges(covers)
            for pack in self.piece.packs:
                for _, feed in pack.feeds:
                    self._wire(pack.at_m, feed)
            for sensor in self.piece.sensors:
                with self.paper.group("sensor-wire", supply=sensor.supply):
                    if sensor.wired_from_m is not None:
                        self._wire(sensor.wired_from_m, sensor.at_m)
            for run in self.piece.runs:
                self._run(run, tuple(covers.values()))
            # Where the two lie behind each other the pack is on top, with its signs.
            for sensor in self.piece.sensors:
                with self.paper.group("sensor", supply=sensor.supply):
                    sensor_mark(self.paper, self.spot(self.view.flat(sensor.at_m)))
            for pack in self.piece.packs:
                self._pack(pack)
            self._tags()

    def _name(self) -> None:
        at = (self.box.left, self.box.top - 3.0)
        self.paper.text(at, self.view.words, NORMAL_MM, bold=True)

    def _block(self, block: Block, cover: Cover) -> None:
        one, other = self.spot(cover.low), self.spot(cover.high)
        box = Box(one[0], other[1], other[0], one[1])
        with self.paper.group("block", block=block.name):
            self.paper.box(box, MEDIUM_MM, class_="outline")
            for inlay in self.piece.inlays:
                if inlay.block == block.name and block.thin_axes[0] == self.view.away[0]:
                    corners = [self.spot(self.view.flat(p)) for p in _corners(inlay, block)]
                    self.paper.shape(
                        corners, THIN_MM, fill=INLAY_FILL, class_="inlay", inlay=inlay.name
                    )

    def _hidden_edges(self, covers: dict[str, Cover]) -> None:
        drawn: dict[tuple[int, int], list[Span]] = {}
        with self.paper.group("hidden-edges"):
            for block in self.piece.blocks:
                cover = covers[block.name]
                (x0, y0), (x1, y1) = cover.low, cover.high
                ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
                for start, end in pairwise(ring):
                    self._hidden(start, end, cover.near, covers, drawn)
            for inlay in self.piece.inlays:
                for start, end, near in self._inlay_edges(inlay, covers):
                    self._hidden(start, end, near, covers, drawn)

    def _inlay_edges(
        self, inlay: Inlay, covers: dict[str, Cover]
    ) -> list[tuple[Flat, Flat, float]]:
        """Return the edges of an inlay that a block may hide, with how near they are."""
        block = next(block for block in self.piece.blocks if block.name == inlay.block)
        corners = _corners(inlay, block)
        near = covers[block.name].near
        if block.thin_axes[0] == self.view.away[0]:
            flat = [self.view.flat(corner) for corner in corners]
            return [(a, b, near) for a, b in pairwise([*flat, flat[0]])]
        # Seen across its block it is a stretch of the block's thickness, inside the wood.
        far = [_through(corner, block) for corner in corners]
        flat = [self.view.flat(corner) for corner in (*corners, *far)]
        low = (min(u for u, _ in flat), min(v for _, v in flat))
        high = (max(u for u, _ in flat), max(v for _, v in flat))
        ring = [low, (high[0], low[1]), high, (low[0], high[1]), low]
        return [(a, b, near + 2.0 * SAME_M) for a, b in pairwise(ring)]

    def _hidden(
        self,
        start: Flat,
        end: Flat,
        near: float,
        covers: dict[str, Cover],
        drawn: dict[tuple[int, int], list[Span]],
    ) -> None:
        """Draw the hidden parts of a line, but what of it is drawn dashed already."""
        for first, last in hidden_spans(start, end, (near, near), tuple(covers.values())):
            one, other = between(start, end, first), between(start, end, last)
            for a, b in _new_parts(one, other, drawn):
                self.paper.line(
                    (self.spot(a), self.spot(b)), THIN_MM, class_="hidden", dashes=HIDDEN_DASHES
                )

    def _run(self, laid: Laid, covers: Sequence[Cover]) -> None:
        with self.paper.group("run", run=laid.run.name, number=str(laid.number)):
            for side in laid.sides:
                start, end = self.view.flat(side.start_m), self.view.flat(side.end_m)
                depths = (self.view.depth(side.start_m), self.view.depth(side.end_m))
                if self._length_mm(start, end) < SHORTEST_MM - ROUNDING_MM:
                    strip_end(self.paper, self.spot(start))
                    continue
                hidden = hidden_spans(start, end, depths, covers)
                for spans, is_hidden in ((hidden, True), (left_over(hidden), False)):
                    for first, last in spans:
                        ends = (between(start, end, first), between(start, end, last))
                        strip_line(self.paper, [self.spot(one) for one in ends], is_hidden)
            for feed, place in zip(laid.answer.feeds, laid.feeds, strict=True):
                with self.paper.group("feed", lead=feed.lead):
                    at = self.spot(self.view.flat(place))
                    feed_mark(self.paper, at, beside=self._upright(laid))

    def _length_mm(self, start: Flat, end: Flat) -> float:
        return math.dist(start, end) * self.mm_per_m

    def _upright(self, laid: Laid) -> bool:
        """Whether a run goes up and down the paper more than across."""
        flat = [self.view.flat(corner) for corner in laid.corners]
        across, up = (max(one) - min(one) for one in zip(*flat, strict=True))
        return bool(up > across)

    def _tags(self) -> None:
        """Tag all that has a tag, once everything has its place that a tag may not cover."""
        for one in self.piece.tagged:
            tag_beside(self.paper, [self.spot(self.view.flat(one.at_m))], one.tag)
        for laid in self.piece.runs:
            side = max(laid.sides, key=lambda one: self._length_mm(*self._ends(one)))
            start, end = self._ends(side)
            length = self._length_mm(start, end)
            shares = (0.5, 0.35, 0.65, 0.2, 0.8) if length >= TAGGED_MM else (0.5,)
            spots = [self.spot(between(start, end, share)) for share in shares]
            marks = [self.spot(self.view.flat(one.at_m)) for one in self.piece.tagged]
            # A line that ends at a mark would seem to be that of the mark.
            clear = [at for at in spots if all(math.dist(at, to) > MARK_MM for to in marks)]
            tag_beside(self.paper, clear or spots, str(laid.number))

    def _ends(self, side: Side) -> tuple[Flat, Flat]:
        return self.view.flat(side.start_m), self.view.flat(side.end_m)

    def _wire(self, start: Place, end: Place) -> None:
        """Draw one possible way of a wire: along the piece, then across, then up or down."""
        (x, y, z), (fx, fy, fz) = start, end
        way = [(x, y, z), (fx, y, z), (fx, fy, z), (fx, fy, fz)]
        spots = [self.spot(self.view.flat(place)) for place in way]
        kept = [spots[0], *(b for a, b in pairwise(spots) if math.dist(a, b) > 1e-3)]
        if len(kept) > 1:
            wire_line(self.paper, kept)

    def _pack(self, pack: PackAt) -> None:
        with self.paper.group("pack", supply=pack.supply):
            pack_mark(self.paper, self.spot(self.view.flat(pack.at_m)))


def _corners(inlay: Inlay, block: Block) -> list[Place]:
    """Return an inlay's corners in space, on the near side of its block along the thin way."""
    thin = block.thin_axes[0]
    corners = []
    for one, other in inlay.outline_m:
        values = [one, other]
        values.insert(thin, block.at_m[thin])
        corners.append((values[0], values[1], values[2]))
    return corners


def _through(place: Place, block: Block) -> Place:
    """Return the place on the far side of a block."""
    thin = block.thin_axes[0]
    values = list(place)
    values[thin] = block.far_m[thin]
    return (values[0], values[1], values[2])


def _new_parts(
    one: Flat, other: Flat, drawn: dict[tuple[int, int], list[Span]]
) -> list[tuple[Flat, Flat]]:
    """Return what of a line along an axis is not drawn yet, and note it; slanted lines whole."""
    for axis in range(2):
        across = 1 - axis
        if abs(one[across] - other[across]) < 1e-9:
            key = (axis, round(one[across] / 1e-5))
            low, high = sorted((one[axis], other[axis]))
            done = drawn.setdefault(key, [])
            parts = left_over(joined(done), low, high)
            done.append((low, high))
            return [(_on(axis, a, one[across]), _on(axis, b, one[across])) for a, b in parts]
    return [(one, other)]


def _on(axis: int, along: float, across: float) -> Flat:
    return (along, across) if axis == 0 else (across, along)
