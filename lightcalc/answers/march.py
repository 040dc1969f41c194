"""Many packs run down in one march, each at every level of its supply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import NamedTuple

import numpy as np

from lightcalc.answers.draw import Circuit, Draw
from lightcalc.physics.charge.discharge import Discharge, Endurance, discharge
from lightcalc.physics.charge.load import Load
from lightcalc.physics.charge.pack import Pack, stack_packs


class Trial(NamedTuple):
    """Cells to discharge, what their protection lets through, and what each level draws."""

    circuit: Circuit
    cells: Pack
    most_a: float
    tables: tuple[Draw, ...]


def march(trials: Sequence[Trial]) -> list[list[Discharge]]:
    """Discharge the cells of each trial at each of its levels; all have as many levels."""
    found: dict[int, list[Discharge]] = {}
    # Tables of as many rows go in one march; a bank's has one row.
    for rows_count in {trial.tables[0].volts.size for trial in trials}:
        places = [k for k, trial in enumerate(trials) if trial.tables[0].volts.size == rows_count]
        together = _together([trials[k] for k in places])
        found.update((k, _in_row(together, row)) for row, k in enumerate(places))
    return [found[k] for k in range(len(trials))]


def _together(trials: Sequence[Trial]) -> Discharge:
    """Discharge cells at every level (trials, levels)."""
    load = Load(
        np.array([[trial.tables[0].volts] for trial in trials]),
        np.array([[drawn.watts.total_w for drawn in trial.tables] for trial in trials]),
        np.array([[drawn.peak_w for drawn in trial.tables] for trial in trials]),
    )
    batch = stack_packs([trial.cells for trial in trials])
    column = Pack(*(getattr(batch, field.name)[:, None] for field in fields(Pack)))
    return discharge(column, load, np.array([[trial.most_a] for trial in trials]))


def _in_row(batch: Discharge, row: int) -> list[Discharge]:
    """Take the discharges of one row out of a batch."""
    names = ("time_s", "charge_coulomb", "volts", "amps", "peak_amps", "pack_heat_w")
    found = []
    for number in range(batch.time_s.shape[1]):
        totals = {f.name: getattr(batch.totals, f.name)[row, number] for f in fields(Endurance)}
        curves = {name: getattr(batch, name)[row, number] for name in names}
        found.append(Discharge(**curves, totals=Endurance(**totals)))
    return found
