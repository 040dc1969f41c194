"""The longest a pack could last: what no pack of the catalogue exceeds, for many loads at once.

A pack gives more energy the less power is drawn, so its energy at a power a little below is never
too little. It is worked out for every pack at a ladder of powers, down to the volts at which each
converter lets go. How long an evening's stages can go on from that energy needs no discharge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.charge.discharge import QUICK_GRID, discharge
from lightcalc.physics.charge.habit import WEEK_S
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import Pack, stack_packs

Array = NDArray[np.float64]
Places = NDArray[np.intp]

# Powers a pack is worked out at, and room for what a march rounds, on a grid that is coarse for
# packs that do not last an hour.
RUNGS = 40
NEXT_TO_NOTHING = 0.02
SLACK, SHORT_SLACK = 1.003, 1.1
HOUR_S = 3600.0


@dataclass(frozen=True)
class Stage:
    """A part of the evening: the least power that can be drawn at the pack then, and how long."""

    least_w: Array | float
    duration_s: float


class Energies:
    """Energy that packs give at a ladder of powers, down to whatever volts are asked for.

    Most powers asked for of one pack lie between `lowest_w` and `highest_w`; of others less is
    told.
    """

    def __init__(self, packs: Sequence[Pack], lowest_w: float, highest_w: float) -> None:
        batch = stack_packs(list(packs))
        column = batch.column()
        ladder = np.geomspace(lowest_w, max(highest_w, 1.01 * lowest_w), RUNGS - 1)
        self.power_w = np.concatenate(([NEXT_TO_NOTHING * lowest_w], ladder))
        self._log_step = np.log(ladder[1] / ladder[0])
        found = discharge(column, constant_power(self.power_w), grid=QUICK_GRID)
        self._volts, self._peak_a = found.volts, found.peak_amps
        rest_v = found.volts + found.pack_heat_w / np.maximum(found.amps, 1e-12)
        self._share = np.min(found.volts / rest_v, axis=-1)
        steps = np.diff(found.charge_coulomb) * (found.volts[..., 1:] + found.volts[..., :-1]) / 2.0
        self._slack = np.where(found.duration_s < HOUR_S, SHORT_SLACK, SLACK)
        self._energy_j = np.zeros_like(found.volts)
        np.cumsum(steps, axis=-1, out=self._energy_j[..., 1:])
        self._down_to: dict[float, tuple[Array, Array]] = {}

    def at(self, packs: Places, floor_v: float, power_w: Array) -> Array:
        """Return no less than packs (n,) give at powers (..., n), down to a voltage [J]."""
        return np.asarray(self._tables(floor_v)[0][packs, self._below(power_w)])

    def peak_a(self, packs: Places, floor_v: float, power_w: Array) -> Array:
        """Return no more than the greatest current of packs (n,) at steady powers (..., n)."""
        return np.asarray(self._tables(floor_v)[1][packs, self._below(power_w)] / SLACK)

    def least_share(self, packs: Places, power_w: Array) -> Array:
        """Return the least that volts under such a load are of those at rest, over a charge."""
        steps = np.minimum(self._below(power_w) + 1, RUNGS - 1)
        return np.asarray(self._share[packs, steps])

    def _below(self, power_w: Array) -> Places:
        with np.errstate(divide="ignore"):
            step = np.floor(np.log(power_w / self.power_w[1]) / self._log_step - 1e-9)
        return np.asarray(np.clip(step + 1, 0, RUNGS - 1), dtype=np.intp)

    def _tables(self, floor_v: float) -> tuple[Array, Array]:
        """Energy down to a voltage, and the greatest current by then (packs, powers)."""
        if floor_v not in self._down_to:
            volts, energy_j = self._volts, self._energy_j
            after = np.minimum(np.count_nonzero(volts >= floor_v, axis=-1), volts.shape[-1] - 1)
            pair = np.stack((np.maximum(after - 1, 0), after), axis=-1)
            high_v, low_v = np.moveaxis(np.take_along_axis(volts, pair, axis=-1), -1, 0)
            from_j, to_j = np.moveaxis(np.take_along_axis(energy_j, pair, axis=-1), -1, 0)
            share = np.clip((high_v - floor_v) / np.maximum(high_v - low_v, 1e-12), 0.0, 1.0)
            table_j = np.where(after > 0, from_j + share * (to_j - from_j), 0.0) * self._slack
            # No power gives less energy than one above it.
            table_j = np.maximum.accumulate(table_j[:, ::-1], axis=1)[:, ::-1]
            useful_a = np.where(volts >= floor_v, self._peak_a, 0.0).max(axis=-1)
            self._down_to[floor_v] = (
                table_j,
                np.minimum.accumulate(useful_a[:, ::-1], axis=1)[:, ::-1],
            )
        return self._down_to[floor_v]


def longest_s(
    energy_j: Array, stages: Sequence[Stage], dark_w: Array | float, evenings_a_week: float
) -> Array:
    """Return no less than how long the stages of evening after evening are lit [s].

    Parameters: `energy_j` (...) of a pack; `dark_w` at least drawn between evenings, (...).

    >>> float(longest_s(np.array(10.0), (Stage(2.0, 3.0),), 0.0, 7.0))
    5.0
    """
    evening_j = sum(stage.least_w * stage.duration_s for stage in stages)
    dark_s = WEEK_S / evenings_a_week - sum(stage.duration_s for stage in stages)
    return lit_s(energy_j, evening_j + np.asarray(dark_w) * max(dark_s, 0.0), stages)


def lit_s(amount: Array, each: Array, stages: Sequence[Stage]) -> Array:
    """Return how long stages are lit until an amount (...) is spent, evening after evening [s].

    Of what an evening and the dark after it spend (...), energy or anything else that is spent at
    steady rates, each stage takes its part.

    >>> float(lit_s(np.array(10.0), np.array(8.0), (Stage(2.0, 3.0),)))
    4.0
    """
    # Where nothing is drawn at all it lasts as good as for ever.
    each = np.maximum(each, 1e-9)
    whole = np.floor(amount / each)
    left, longest = amount - whole * each, whole * sum(stage.duration_s for stage in stages)
    for stage in stages:
        most = stage.least_w * stage.duration_s
        spent = np.minimum(left, most)
        part_s = spent / np.maximum(stage.least_w, 1e-12)
        longest = longest + np.where(spent < most, part_s, stage.duration_s)
        left = left - spent
    return np.asarray(longest)
