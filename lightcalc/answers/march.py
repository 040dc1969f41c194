"""Many packs run down in one march, each at every level of its supply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.draw import Circuit, Draw
from lightcalc.physics.charge.discharge import Discharge, Endurance, discharge
from lightcalc.physics.charge.load import Load
from lightcalc.physics.charge.pack import Pack, stack_packs

Array = NDArray[np.float64]


class Trial(NamedTuple):
    """Cells to discharge, what their protection lets through, and what each level draws."""

    circuit: Circuit
    cells: Pack
    most_a: float
    tables: tuple[Draw, ...]


def march(trials: Sequence[Trial]) -> list[list[Discharge]]:
    """Discharge the cells of each trial at each of its levels; all have as many levels."""
    rows_count = max(trial.tables[0].volts.size for trial in trials)
    load = Load(
        np.array([[_longer(trial.tables[0].volts, rows_count, 1.0)] for trial in trials]),
        np.array([[_longer(d.watts.total_w, rows_count) for d in t.tables] for t in trials]),
        np.array([[_longer(d.peak_w, rows_count) for d in t.tables] for t in trials]),
    )
    batch = stack_packs([trial.cells for trial in trials])
    column = batch.column()
    together = discharge(column, load, np.array([[trial.most_a] for trial in trials]))
    return [_in_row(together, row) for row in range(len(trials))]


def _longer(column: Array, rows_count: int, step: float = 0.0) -> Array:
    """Go on with a column of a table: a load draws the same at all volts above its last row."""
    more = rows_count - column.size
    if not more:
        return column
    return np.concatenate((column, column[-1] + step * np.arange(1.0, more + 1.0)))


def _in_row(batch: Discharge, row: int) -> list[Discharge]:
    """Take the discharges of one row out of a batch."""
    names = ("time_s", "charge_coulomb", "volts", "amps", "peak_amps", "pack_heat_w")
    found = []
    for number in range(batch.time_s.shape[1]):
        totals = {f.name: getattr(batch.totals, f.name)[row, number] for f in fields(Endurance)}
        curves = {name: getattr(batch, name)[row, number] for name in names}
        found.append(Discharge(**curves, totals=Endurance(**totals)))
    return found
