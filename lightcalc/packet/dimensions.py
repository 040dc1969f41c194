"""Dimensions of a drawing: what is measured, on which lane beside a view, and how it is drawn.

::

    +----------------------+
    |        view          |
    +----------------------+
    |  |            |      |      witness lines
    /--/            |      |      lane 1
    40 mm
       /------------/      |      lane 2
           1400 mm
    /----------------------/      the overall size, outermost
             1500 mm
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc import units
from lightcalc.packet.lettering import SMALL_MM, width_mm
from lightcalc.packet.paper import MEDIUM_MM, THIN_MM, Paper, Spot

FIRST_LANE_MM, LANE_MM = 5.5, 4.6
BESIDE_MM = 0.8
TICK_MM = 0.8
OVERSHOOT_MM = 1.0
GAP_MM, TOUCH_MM = 1.2, 1e-6
SAME_M = 1e-4
INCH_M = 0.0254
SIXTEENTH_M = INCH_M / 16.0


def measure(length_m: float, system: str) -> str:
    """Show a length as drawings do: in millimetres, or in inches with fractions.

    Sixteenths are what a rule shows, however short the length.

    >>> measure(1.4625, "metric"), measure(1.6002, "inch"), measure(0.025, "inch")
    ('1462.5 mm', '5 ft 3 in', '1 in')
    >>> measure(0.01667, "inch")
    '11/16 in'
    """
    if system == "inch":
        return units.show(round(length_m / SIXTEENTH_M) * SIXTEENTH_M, "length", "inch")
    return f"{round(length_m * 1000.0, 1) + 0.0:.10g} mm"


@dataclass(frozen=True)
class Length:
    """A length along one axis of a view, from here to there, and of what."""

    start_m: float
    end_m: float
    of: str

    @property
    def length_m(self) -> float:
        """How long it is."""
        return abs(self.end_m - self.start_m)


def distinct(lengths: Sequence[Length]) -> tuple[Length, ...]:
    """Return every length once that is more than nothing, whichever way it was measured."""
    found: dict[tuple[int, int], Length] = {}
    for length in lengths:
        low, high = sorted((length.start_m, length.end_m))
        if high - low > SAME_M:
            found.setdefault((round(low / SAME_M), round(high / SAME_M)), length)
    return tuple(found.values())


def lanes(
    lengths: Sequence[Length], mm_per_m: float, system: str
) -> tuple[tuple[Length, ...], ...]:
    """Put lengths on lanes, the shortest nearest to the view, so that no lettering meets."""
    found: list[list[Length]] = []
    for length in sorted(distinct(lengths), key=lambda one: (one.length_m, one.start_m)):
        room = _room(length, mm_per_m, system)
        for lane in found:
            others = [_room(other, mm_per_m, system) for other in lane]
            # Lengths in a chain touch at their ends.
            if all(room[0] > b - TOUCH_MM or room[1] < a + TOUCH_MM for a, b in others):
                lane.append(length)
                break
        else:
            found.append([length])
    return tuple(tuple(lane) for lane in found)


def _room(length: Length, mm_per_m: float, system: str) -> tuple[float, float]:
    low, high = sorted((length.start_m * mm_per_m, length.end_m * mm_per_m))
    wide = width_mm(measure(length.length_m, system), SMALL_MM)
    return (low, high if _fits(wide, high - low) else high + wide + 2.0 * GAP_MM)


def _fits(wide_mm: float, span_mm: float) -> bool:
    """Whether letters fit between the ends of a length; else they stand beyond its far end."""
    return wide_mm <= span_mm - 2.0 * TICK_MM


def reach_mm(drawn: Sequence[Sequence[Length]], mm_per_m: float, system: str) -> float:
    """Return how far along its axis the farthest lettering of some lanes goes, on paper."""
    return max(_room(length, mm_per_m, system)[1] for lane in drawn for length in lane)


def depth_mm(count: int) -> float:
    """Return how far from the view so many lanes reach."""
    return FIRST_LANE_MM + LANE_MM * (count - 1) + OVERSHOOT_MM if count else 0.0


@dataclass(frozen=True)
class Ruler:
    """A side of a view that lanes are drawn along.

    `at_mm` is the edge of the view; lengths run along x below it, or, `upright`, along y to the
    left of it. A place `m` along the axis is on paper at `zero_mm + m * mm_per_m`.
    """

    paper: Paper
    at_mm: float
    zero_mm: float
    mm_per_m: float
    upright: bool
    system: str

    def spot(self, along_mm: float, away_mm: float) -> Spot:
        """Return a place on paper from the lengths along the edge and away from it."""
        if self.upright:
            return (self.at_mm - away_mm, along_mm)
        return (along_mm, self.at_mm + away_mm)

    def draw(self, drawn: Sequence[Sequence[Length]]) -> None:
        """Draw every lane."""
        # Witness lines first, so that lettering stands on top of them.
        for number, lane in enumerate(drawn):
            for length in lane:
                for place_m in (length.start_m, length.end_m):
                    self._witness(place_m, number)
        for number, lane in enumerate(drawn):
            for length in lane:
                self._length(length, number)

    def _along(self, place_m: float) -> float:
        return self.zero_mm + place_m * self.mm_per_m

    def _witness(self, place_m: float, lane: int) -> None:
        along = self._along(place_m)
        away = FIRST_LANE_MM + LANE_MM * lane + OVERSHOOT_MM
        self.paper.line(
            (self.spot(along, OVERSHOOT_MM), self.spot(along, away)), THIN_MM, class_="witness"
        )

    def _length(self, length: Length, lane: int) -> None:
        away = FIRST_LANE_MM + LANE_MM * lane
        low, high = sorted((self._along(length.start_m), self._along(length.end_m)))
        words = measure(length.length_m, self.system)
        at_along, anchor = (low + high) / 2.0, "middle"
        if not _fits(width_mm(words, SMALL_MM), high - low):
            # Up the paper is where y falls.
            at_along, anchor = (low - GAP_MM if self.upright else high + GAP_MM), "start"
        at = self.spot(at_along, away + (BESIDE_MM if self.upright else -BESIDE_MM))
        with self.paper.group(
            "dimension", of=length.of, axis="upright" if self.upright else "level"
        ):
            self.paper.text(
                at, words, SMALL_MM, anchor=anchor, turned=self.upright, backed=True,
                class_="measure",
            )  # fmt: skip
            self.paper.line((self.spot(low, away), self.spot(high, away)), THIN_MM, class_="span")
            for along in (low, high):
                self._tick(along, away)

    def _tick(self, along: float, away: float) -> None:
        x, y = self.spot(along, away)
        self.paper.line(
            ((x - TICK_MM, y + TICK_MM), (x + TICK_MM, y - TICK_MM)), MEDIUM_MM, class_="tick"
        )
