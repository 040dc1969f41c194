"""What bench readings say of a built piece.

A quantity here may be volts, amps, hours, ohms or a share, so each number stands beside a `unit`
that holds for all numbers of its entry; every other number's name ends in its unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

ReadingVerdict = Literal["agrees", "too low", "too high", "low beside others", "high beside others"]
Value = float | tuple[float, ...] | tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class ReadingAnswer:
    """One reading beside its prediction.

    place             in words
    unit              of the numbers that follow with none of their own: V, A or h
    measured, meter   what was read, and how far the meter may be off (half width)
    predicted         from the catalogue and the drawing
    low, high         where nearly all such pieces lie; the meter is not counted in
    off_ratio         measured less predicted, over what band and meter allow together; 1 is the
                      edge
    beside            what the other readings lead one to expect there of a piece with no fault
    beside_ratio      how far it is from that, in the same measure; a fault may show there first
    refitted          what the refitted piece shows there
    verdict           "agrees"; "too low" or "too high"; or "agrees" alone but "low beside others"
                      or "high beside others"
    """

    place: str
    kind: str
    unit: str
    measured: float
    meter: float
    predicted: float
    low: float
    high: float
    refitted: float
    beside: float
    off_ratio: float
    beside_ratio: float
    verdict: ReadingVerdict


@dataclass(frozen=True)
class FaultAnswer:
    """One thing that may be wrong, how likely it is, and how bad.

    `unit` is that of the three magnitudes: ohm, "times", or "" when the fault has none;
    `magnitude_of` says what they are times of.
    """

    code: str
    place: str
    detail: str
    says: str
    remedy: str
    probability_ratio: float
    unit: str
    magnitude_of: str
    magnitude: float | None
    magnitude_low: float | None
    magnitude_high: float | None


@dataclass(frozen=True)
class FigureAnswer:
    """One figure of a part: as stated, and as the readings leave it; ranges hold 95 of 100.

    narrowed_ratio   width of the range found over that stated
    learned          whether the readings say much more than the label
    taught_by        the reading that would narrow it most, "" when none here does
    taught_ratio     what `narrowed_ratio` would then be
    """

    code: str
    owner: str
    part: str
    kind: str
    unit: str
    stated: float
    stated_low: float
    stated_high: float
    found: float
    found_low: float
    found_high: float
    narrowed_ratio: float
    learned: bool
    taught_by: str
    taught_ratio: float | None


@dataclass(frozen=True)
class DesignLine:
    """A line to change in the design, so that the next answer uses what was measured.

    `with_rows` says that only the catalogue as measured allows it: the part as it stands in the
    old one cannot be set so.
    """

    table: str
    name: str
    line: str
    with_rows: bool


@dataclass(frozen=True)
class BenchAnswer:
    """Everything one bench says.

    verdict      "no fault"; "fault": `faults` begins with the likeliest; "unexplained": nothing
                 considered here explains the readings, and nothing is learned from them
    faults       for a fault the likeliest, then those that these readings do not tell from it;
                 else faults that are not excluded (at least one in ten)
    tell_apart   the reading that would tell the likeliest two apart, no fault being one of those
                 that may be, "" when none or not needed
    tell_apart_deviations_ratio   how far apart they are there, in standard deviations
    odd_one      for "unexplained" the reading without which the others make most sense
    next_reading   where these readings leave several open: what parts most of them, though it
                   may not part them clearly; "" when nothing is left to measure
    rows         changes for the catalogue, by file, row and field, in SI
    """

    piece: str
    units: str
    verdict: str
    no_fault_ratio: float
    readings: tuple[ReadingAnswer, ...]
    faults: tuple[FaultAnswer, ...]
    tell_apart: str
    tell_apart_deviations_ratio: float | None
    odd_one: str
    next_reading: str
    figures: tuple[FigureAnswer, ...]
    lines: tuple[DesignLine, ...]
    rows: Mapping[str, Mapping[str, Mapping[str, Value]]]
