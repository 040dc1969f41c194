"""What the cut units of a network draw at given volts, for a whole batch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from lightcalc.physics.circuit.elimination import Indices
from lightcalc.physics.circuit.network import Run
from lightcalc.physics.circuit.strip import Array, channel_amps, channel_slope, idle_current


class Draw(NamedTuple):
    """What the units draw: current into each return rail (returns, units, cases).

    led_a, idle_a: of each run, through the LEDs (channels, units, cases) and besides.
    """

    unit_a: Array
    led_a: list[list[Array]]
    idle_a: list[Array]

    def put(self, cases: Indices, part: Draw) -> None:
        """Write what some of the cases draw in the place of what is here."""
        for mine, theirs in zip(self._arrays(), part._arrays(), strict=True):
            mine[..., cases] = theirs

    def _arrays(self) -> list[Array]:
        return [self.unit_a, *(a for run in self.led_a for a in run), *self.idle_a]


class Drawing:
    """The units of all runs, with those of each run in its one of `stretches`.

    on: which channels are switched on.
    """

    def __init__(
        self, runs: tuple[Run, ...], on: tuple[bool, ...], stretches: Sequence[slice]
    ) -> None:
        self.runs, self.on, self.stretches = runs, on, stretches
        self.idles = [bool(np.any(np.asarray(run.unit.idle_a) > 0)) for run in runs]

    def at(self, volts: Array) -> Draw:
        """Find what they draw at their volts (returns, units, cases)."""
        draw = Draw(np.zeros_like(volts), [], [])
        for run, stretch, idles in zip(self.runs, self.stretches, self.idles, strict=True):
            unit = run.unit
            draw.led_a.append([])
            for c, channel in enumerate(unit.channels):
                there = volts[_rail(run, c), stretch]
                if self.on[c]:
                    led_a = channel_amps(channel, unit.holds_current, there)
                    draw.unit_a[_rail(run, c), stretch] += led_a
                else:
                    led_a = np.zeros_like(there)
                draw.led_a[-1].append(led_a)
            if idles:
                idle_a = idle_current(unit, volts[0, stretch])[0]
                draw.unit_a[0, stretch] += idle_a
            else:
                idle_a = np.zeros(volts[0, stretch].shape)
            draw.idle_a.append(idle_a)
        return draw

    def slopes(self, draw: Draw, volts: Array) -> Array:
        """Find how much more they would draw with more volts [S], same shape."""
        siemens = np.zeros_like(volts)
        for number, (run, stretch) in enumerate(zip(self.runs, self.stretches, strict=True)):
            unit = run.unit
            for c, channel in enumerate(unit.channels):
                if self.on[c]:
                    amps = draw.led_a[number][c]
                    slope = channel_slope(channel, unit.holds_current, amps)
                    siemens[_rail(run, c), stretch] += slope
            if self.idles[number]:
                siemens[0, stretch] += idle_current(unit, volts[0, stretch])[1]
        return siemens


def _rail(run: Run, channel: int) -> int:
    return 0 if run.unit.shared_return else channel
