"""How long strips straight on a pack could last: they fade with its volts, and draw ever less.

A charge is told in stretches. Each takes longest at the least current, which flows at its end,
where all there can be of sag and lag has built up. Full level for so long is what a stretch holds;
of that an evening spends its levels, and what flows until the next begins.

    current ▔▔▔▔▔╲___▁▁▁       charge drawn ▶
            ├───┼───┼───┼───┤   stretches
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.finder.energy import SHORT_SLACK, SLACK, Stage, lit_s
from lightcalc.physics.charge.discharge import GRID
from lightcalc.physics.charge.habit import WEEK_S
from lightcalc.physics.charge.pack import Pack
from lightcalc.physics.charge.rate import MOST_TIMES

Array = NDArray[np.float64]

STRETCHES = 16
# State down to which a march goes at most.
FLAT = float(GRID[-1])
# What straight lines in the table of `physics.charge.rate` leave of corners of its curve at least.
CORNERS = 0.993
# A march rounds more where a pack is empty so soon.
SHORT_S = 600.0


@dataclass(frozen=True)
class Fading:
    """Lights on packs (m,): `amps` is the least that flows at full level at volts (m, ...).

    They last down to `floor_v`; in the dark they draw `dark_w`, and the cells lose `leak_a` always.
    """

    cells: Pack
    amps: Callable[[Array], Array]
    floor_v: Array
    dark_w: Array
    leak_a: Array


def longest_s(load: Fading, stages: Sequence[Stage], evenings_a_week: float) -> Array:
    """Return no less than how long the stages of evening after evening are lit (m,) [s].

    Each stage draws at least its share, `least_w`, of full level.
    """
    least_share = min(float(stage.least_w) for stage in stages)
    full_s, pace, rest_v = _stretches(load, least_share)
    evening_s = sum(stage.least_w * stage.duration_s for stage in stages)
    cycle_s = WEEK_S / evenings_a_week
    dark_s = max(cycle_s - sum(stage.duration_s for stage in stages), 0.0)
    dark_coulomb = dark_s * load.dark_w[:, None] / rest_v + cycle_s * load.leak_a[:, None]
    each_s = evening_s + dark_coulomb * pace
    evenings = (full_s / each_s).sum(axis=1)
    slack = np.where(full_s.sum(axis=1) < SHORT_S, SHORT_SLACK, SLACK)
    # None of them spends more than the last.
    return slack * lit_s(evenings * each_s[:, -1], each_s[:, -1], stages)


def _stretches(load: Fading, least_share: float) -> tuple[Array, Array, Array]:
    """Find what stretches hold [s], that of a coulomb, and most volts at rest (m, k)."""
    cells, floor_v = load.cells, load.floor_v
    begins_a, ends_a = load.amps(cells.open_circuit_volts(0.0)), load.amps(floor_v)
    # At the end the volts at rest are above the floor by the sag at the least current.
    state = np.clip(cells.drawn_at_rest(floor_v + cells.ohms * ends_a), 0.0, FLAT)
    gentle, strong = (_run_down(cells, amps) for amps in (least_share * ends_a, begins_a))
    drawn = state / np.minimum(gentle, strong)
    fastest = np.maximum(begins_a / cells.slow_amps, 1.0) ** (cells.peukert - 1.0)
    marks = drawn[:, None] * np.linspace(0.0, 1.0, STRETCHES + 1)
    rest_v = cells.column().open_circuit_volts(marks[:, :-1])
    behind = begins_a * (cells.lag_s + cells.lag_rise_s_per_a * begins_a) / cells.capacity_coulomb
    down = marks[:, 1:] * fastest[:, None] + behind[:, None]
    least_v = cells.column().open_circuit_volts(down) - (cells.ohms * begins_a)[:, None]
    pace = 1.0 / np.maximum(load.amps(np.maximum(least_v, floor_v[:, None])), 1e-9)
    return pace * (cells.capacity_coulomb * drawn / STRETCHES)[:, None], pace, rest_v


def _run_down(cells: Pack, amps: Array) -> Array:
    """Return no more than the state run down per charge drawn at currents (m,).

    See `physics.charge.rate`, whose table is level beyond its last current and cuts corners a
    little. Between two currents it is nowhere less than at both.
    """
    amps = np.clip(amps, cells.slow_amps, MOST_TIMES * cells.slow_amps)
    end = np.clip(cells.drawn_at_rest(cells.cutoff_volts + amps * cells.ohms_new), 0.02, 1.0)
    found = (amps / cells.slow_amps) ** (cells.peukert - 1.0) * end
    return np.where(cells.peukert > 1.0, CORNERS * found, 1.0)
