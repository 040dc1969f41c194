"""Hours of many loads at once, each run down and lived with as an answer does.

A load that draws no more than the true one at any volts, and ends at volts no higher, lasts at
least as long; so do its evenings, stretch by stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.design.piece import Use
from lightcalc.physics.charge.discharge import (
    ENDINGS,
    GRID,
    QUICK_GRID,
    Discharge,
    Ending,
    discharge,
)
from lightcalc.physics.charge.habit import Stretch, live_with_many
from lightcalc.physics.charge.load import Load
from lightcalc.physics.charge.pack import Pack

Array = NDArray[np.float64]

# Room for what marches on the coarser grid and walks round, for packs that last an hour; packs
# that do not are marched on the finer one.
SLACK = 1.003
QUICK_FROM_S = 3600.0
IDLE = ENDINGS.index(Ending.IDLE)


@dataclass(frozen=True)
class Loads:
    """What the cells of many powers give (n,), stage by stage of one evening.

    `mean_w` and `peak_w` (n, stages, k) are over `volts` (n, k), down to `floor_v` (n,).
    """

    cells: Pack
    volts: Array
    mean_w: Array
    peak_w: Array
    floor_v: Array
    most_a: Array
    dark_w: Array
    leak_a: Array

    def of(self, rows: NDArray[np.intp]) -> Loads:
        """Take some of the loads."""
        cells = Pack(*(getattr(self.cells, field.name)[rows] for field in fields(Pack)))
        columns = {
            field.name: getattr(self, field.name)[rows]
            for field in fields(Loads)
            if field.name != "cells"
        }
        return Loads(cells=cells, **columns)


@dataclass(frozen=True)
class Close:
    """Lights on packs (m,) looked at closely, at best: fall in light, and whether they may do.

    `loads` are still to be run down; None where nothing is known of them.
    """

    fall: Array | float
    possible: NDArray[np.bool_] | bool
    loads: Loads | None


def longest_h(loads: Loads, use: Use) -> Array:
    """Return the hours of light of each load (n,), a little too many rather than too few."""
    found = _marched(loads, QUICK_GRID)
    lit_h = _lit_h(loads, found, use)
    short = np.flatnonzero(found.duration_s.min(axis=1) < QUICK_FROM_S)
    if short.size:
        few = loads.of(short)
        lit_h[short] = _lit_h(few, _marched(few, GRID), use)
    return SLACK * lit_h


def _marched(loads: Loads, grid: Array) -> Discharge:
    column = loads.cells.column()
    table = Load(loads.volts[:, None], loads.mean_w, loads.peak_w)
    return discharge(column, table, loads.most_a[:, None], grid=grid)


def _lit_h(loads: Loads, found: Discharge, use: Use) -> Array:
    """Return the hours of light of each load (n,); infinite where so little need be drawn.

    A march ends where it is as good as nothing, and what truly is drawn may go on for years.
    """
    curves = [_down_to(found, number, loads.floor_v) for number in range(len(use.stretches))]
    evening = [Stretch(number, stretch.duration_s) for number, stretch in enumerate(use.stretches)]
    courses = live_with_many(
        loads.cells,
        curves,
        evening,
        use.evenings_a_week,
        idle_w=loads.dark_w,
        self_discharge_a=loads.leak_a,
    )
    above_floor = found.volts[..., -1] > loads.floor_v[:, None]
    idle = np.any((found.totals.ending == IDLE) & above_floor, axis=1)
    return np.where(idle, np.inf, courses.lit_s / 3600.0)


def _down_to(found: Discharge, number: int, floor_v: Array) -> Discharge:
    """Take the curves of one stage, cut where they pass below some volts."""
    volts, time_s, drawn = (
        getattr(found, name)[:, number] for name in ("volts", "time_s", "charge_coulomb")
    )
    rows, last = np.arange(len(volts)), volts.shape[1] - 1
    after = np.minimum(np.count_nonzero(volts >= floor_v[:, None], axis=1), last)
    before = np.maximum(after - 1, 0)
    fallen_v = volts[rows, before] - volts[rows, after]
    share = (volts[rows, before] - floor_v) / np.maximum(fallen_v, 1e-12)
    share = np.where(after > 0, np.clip(share, 0.0, 1.0), 0.0)

    def cut(values: Array) -> Array:
        end = values[rows, before] + share * (values[rows, after] - values[rows, before])
        return np.asarray(np.minimum(values, end[:, None]))

    whole = {name: getattr(found, name)[:, number] for name in ("amps", "peak_amps", "pack_heat_w")}
    totals = replace(found.totals, ending=found.totals.ending[:, number])
    return Discharge(time_s=cut(time_s), charge_coulomb=cut(drawn), volts=volts, **whole,
                     totals=totals)  # fmt: skip


def joined(parts: Sequence[Loads]) -> Loads:
    """Put loads of as many rows of volts together."""
    cells = {
        field.name: np.concatenate([getattr(part.cells, field.name) for part in parts])
        for field in fields(Pack)
    }
    columns = {
        field.name: np.concatenate([getattr(part, field.name) for part in parts])
        for field in fields(Loads)
        if field.name != "cells"
    }
    return Loads(cells=Pack(**cells), **columns)
