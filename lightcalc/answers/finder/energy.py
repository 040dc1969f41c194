"""The longest a pack could last: what no pack of the catalogue exceeds, for many loads at once.

A pack gives more energy the less power is drawn, so its energy at a power a little below is never
too little. It is worked out for every pack at a ladder of powers, down to the volts at which each
converter lets go. How long an evening's stages can go on from that energy needs no discharge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.discharge import discharge
from lightcalc.physics.habit import WEEK_S
from lightcalc.physics.load import constant_power
from lightcalc.physics.pack import Pack, stack_packs

Array = NDArray[np.float64]

# Powers in parts of a pack's nominal energy an hour, and room for what a march rounds.
RATES_PER_H = np.geomspace(0.002, 4.0, 72)
SLACK = 1.003
HOUR_S = 3600.0


@dataclass(frozen=True)
class Stage:
    """A part of the evening: the least power that can be drawn at the pack then, and how long."""

    least_w: float
    duration_s: float


class Energies:
    """Energy that packs give at a ladder of powers, down to whatever volts are asked for."""

    def __init__(self, packs: Sequence[Pack], nominal_v: Sequence[float]) -> None:
        batch = stack_packs(list(packs))
        column = Pack(*(getattr(batch, field.name)[:, None] for field in fields(Pack)))
        nominal_j = batch.capacity_coulomb * np.asarray(nominal_v)
        self.power_w = nominal_j[:, None] / HOUR_S * RATES_PER_H
        found = discharge(column, constant_power(self.power_w))
        self._falling_v = -found.volts
        rest_v = found.volts + found.pack_heat_w / np.maximum(found.amps, 1e-12)
        self._share = np.min(found.volts / rest_v, axis=-1)
        steps = np.diff(found.charge_coulomb) * (found.volts[..., 1:] + found.volts[..., :-1]) / 2.0
        self._energy_j = np.zeros_like(found.volts)
        np.cumsum(steps, axis=-1, out=self._energy_j[..., 1:])
        self._down_to: dict[float, Array] = {}

    def at(self, packs: NDArray[np.intp], floor_v: float, power_w: Array) -> Array:
        """Return no less than packs (n,) give at powers (n,), down to a voltage [J]."""
        return np.asarray(SLACK * self._table_j(floor_v)[packs, self._below(packs, power_w)])

    def least_share(self, packs: NDArray[np.intp], power_w: Array) -> Array:
        """Return the least that volts under such a load are of those at rest, over a charge."""
        steps = np.minimum(self._below(packs, power_w) + 1, len(RATES_PER_H) - 1)
        return np.asarray(self._share[packs, steps])

    def _below(self, packs: NDArray[np.intp], power_w: Array) -> NDArray[np.intp]:
        step = np.sum(self.power_w[packs] <= power_w[:, None], axis=-1) - 1
        return np.asarray(np.maximum(step, 0))

    def _table_j(self, floor_v: float) -> Array:
        if floor_v not in self._down_to:
            table_j = np.empty_like(self.power_w)
            for place in np.ndindex(table_j.shape):
                curve = self._falling_v[place], self._energy_j[place]
                table_j[place] = np.interp(-floor_v, *curve, left=0.0)
            # At a power below the lowest of the ladder a pack gives a little more still.
            table_j[:, 0] *= SLACK
            self._down_to[floor_v] = np.maximum.accumulate(table_j[:, ::-1], axis=1)[:, ::-1]
        return self._down_to[floor_v]


def longest_s(
    energy_j: Array, stages: Sequence[Stage], dark_w: Array | float, evenings_a_week: float
) -> Array:
    """Return no less than how long the stages of evening after evening are lit [s].

    Parameters: `energy_j` (...) of a pack; `dark_w` at least drawn between evenings, (...). Any
    other quantity that is spent at steady rates will do in place of energy.
    """
    evening_j = sum(stage.least_w * stage.duration_s for stage in stages)
    lit_s = sum(stage.duration_s for stage in stages)
    cycle_j = evening_j + np.asarray(dark_w) * max(WEEK_S / evenings_a_week - lit_s, 0.0)
    whole = np.floor(energy_j / cycle_j)
    left_j, longest = energy_j - whole * cycle_j, whole * lit_s
    for stage in stages:
        spent_j = np.minimum(left_j, stage.least_w * stage.duration_s)
        longest = longest + spent_j / max(stage.least_w, 1e-12)
        left_j = left_j - spent_j
    return np.asarray(longest)
