"""What the cut units of a network draw at given volts, for a whole batch."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lightcalc.physics.elimination import Indices
from lightcalc.physics.network import Run
from lightcalc.physics.strip import Array, channel_current, idle_current


class Draw(NamedTuple):
    """What the units draw: current into each return rail and its slope (returns, units, cases).

    led_a, idle_a: of each run, through the LEDs (channels, units, cases) and besides.
    """

    unit_a: Array
    siemens: Array
    led_a: list[list[Array]]
    idle_a: list[Array]

    def put(self, cases: Indices, part: Draw) -> None:
        """Write what some of the cases draw in the place of what is here."""
        for mine, theirs in zip(self._arrays(), part._arrays(), strict=True):
            mine[..., cases] = theirs

    def _arrays(self) -> list[Array]:
        return [self.unit_a, self.siemens, *(a for run in self.led_a for a in run), *self.idle_a]


def drawn(
    runs: tuple[Run, ...], on: tuple[bool, ...], volts: Array, stretches: list[slice]
) -> Draw:
    """Find what the units of all runs draw.

    Parameters: `on` which channels are switched on; `volts` (returns, units, cases); `stretches`
    which of these units belong to each run.
    """
    draw = Draw(np.zeros_like(volts), np.zeros_like(volts), [], [])
    for run, stretch in zip(runs, stretches, strict=True):
        unit = run.unit
        draw.led_a.append([])
        for c, channel in enumerate(unit.channels):
            rail = 0 if unit.shared_return else c
            there = volts[rail, stretch]
            led_a = led_s = np.zeros_like(there)
            if on[c]:
                led_a, led_s = channel_current(channel, unit.holds_current, there)
                draw.unit_a[rail, stretch] += led_a
                draw.siemens[rail, stretch] += led_s
            draw.led_a[-1].append(led_a)
        there = volts[0, stretch]
        if np.any(np.asarray(unit.idle_a) > 0):
            idle_a, idle_s = idle_current(unit, there)
            draw.unit_a[0, stretch] += idle_a
            draw.siemens[0, stretch] += idle_s
            draw.idle_a.append(idle_a)
        else:
            draw.idle_a.append(np.zeros_like(there))
    return draw
