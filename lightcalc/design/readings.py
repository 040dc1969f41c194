"""What the maker measured on the built piece: where, what, and how good the meter is.

    cells ──(pack)── converter ──(output)── leads ──(lead)─joint─(pad)── run ── ... (pad)

A probe is a reading without its value: the place where a meter is put or a clock is stopped.
All quantities are SI floats.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Quantity = Literal["voltage", "current", "time"]
Until = Literal["out", "half light"]
Place = Literal["pack", "output", "lead", "pad", "run", "light"]


@dataclass(frozen=True)
class Probe:
    """Where and when something is measured.

    quantity   what is measured; each place has the quantities that make sense there
    place      "pack" at its terminals; "output" after the converter, or a bank's socket; "lead"
               on the wires of a feed just before its joint; "pad" on the strip at `at_m`;
               "run" all the current of a run; "light" the time until it goes
    run, feed  the run and, for a lead, which of its feeds, counted from 0
    channel    which return a voltage of a run is measured against, counted from 0
    level_ratio, lit_s, rested
               the level, how long it was lit since the pack was full, and whether the pack has
               rested since
    until      the end that a time is counted to
    spot       the place along a run in the maker's words
    """

    quantity: Quantity
    supply: str
    place: Place
    run: str = ""
    feed: int = 0
    at_m: float = 0.0
    channel: int = 0
    level_ratio: float = 1.0
    lit_s: float = 0.0
    rested: bool = False
    until: Until = "out"
    spot: str = field(default="", compare=False)


@dataclass(frozen=True)
class Accuracy:
    """How far a meter may be off: a share of what it shows, and a fixed part (SI) besides.

    Nearly every meter is within both together.
    """

    share: float
    fixed: float


@dataclass(frozen=True)
class Reading:
    """One thing measured: where, the value (SI), and the meter it was read on.

    `name` is what the maker calls it, "" when nothing.
    """

    name: str
    probe: Probe
    value: float
    meter: Accuracy


@dataclass(frozen=True)
class Readings:
    """Everything measured on one piece."""

    readings: tuple[Reading, ...]
    notes: str = ""

    @property
    def probes(self) -> tuple[Probe, ...]:
        """Where and when each was taken."""
        return tuple(reading.probe for reading in self.readings)


# A pocket meter's volts and amps, and how well a moment of dimming is seen (from memory).
USUAL_ACCURACY: dict[Quantity, Accuracy] = {
    "voltage": Accuracy(0.01, 0.05),
    "current": Accuracy(0.015, 0.02),
    "time": Accuracy(0.01, 300.0),
}
