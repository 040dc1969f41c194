"""Catalogue figures of a pack brought down to one cell, checked, and gaps filled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.physics.charge.pack_fit import Figures, usual_mean_volts
from lightcalc.problems import BadInput, Problem, Problems
from lightcalc.tables.chemistries import Chemistry

Floats = NDArray[np.float64]

HOUR_S = 3600.0
LABEL_WITHIN_V = 5e-4
"""A figure this close to a customary label is taken for the label [V per cell]."""


@dataclass(frozen=True)
class Stated:
    """What a catalogue says of a whole pack, None where it says nothing; see `describe_pack`."""

    capacity_coulomb: ArrayLike
    nominal_volts: ArrayLike
    full_volts: ArrayLike | None = None
    cutoff_volts: ArrayLike | None = None
    resistance_ohm: ArrayLike | None = None
    slow_current_a: ArrayLike | None = None
    fast_capacity_coulomb: ArrayLike | None = None
    fast_current_a: ArrayLike | None = None
    cells_in_series: ArrayLike | None = None
    nominal_is_label: bool | None = None


def cell_figures(kind: Chemistry, stated: Stated) -> tuple[Figures, Floats]:
    """Figures of one cell and the cells in series; raises BadInput for impossible ones."""

    def given(value: ArrayLike | None, usual: ArrayLike) -> Floats:
        return np.asarray(usual if value is None else value, dtype=float)

    capacity, nominal = given(stated.capacity_coulomb, 0), given(stated.nominal_volts, 0)
    one_c = capacity / HOUR_S
    cells = given(stated.cells_in_series, np.maximum(np.round(nominal / kind.volts_label), 1.0))
    full = given(stated.full_volts, cells * kind.volts_full) / cells
    cutoff = given(stated.cutoff_volts, cells * kind.volts_cutoff) / cells
    usual_ohms = kind.drop_at_1c * cells * kind.volts_label / np.maximum(one_c, 1e-12)
    ohms = given(stated.resistance_ohm, usual_ohms) / cells
    slow = given(stated.slow_current_a, one_c / kind.slow_hours)
    fast_amps = given(stated.fast_current_a, one_c)
    fast = given(stated.fast_capacity_coulomb, np.nan)
    _check_signs(capacity=capacity, resistance=ohms, slow_current=slow, fast_current=fast_amps)
    nominal = nominal / cells
    _check_volts(full, nominal, cutoff)
    usual_mean = usual_mean_volts(kind, full, cutoff) - slow * ohms
    name = _is_label(kind, nominal, stated.nominal_is_label)
    trust = np.where(name, kind.label_trust, 1.0)
    parts = np.broadcast_arrays(
        full,
        cutoff,
        trust * nominal + (1 - trust) * usual_mean,
        capacity,
        slow,
        ohms,
        np.where(np.isnan(fast), kind.lag_s, np.nan),
        np.where(np.isnan(fast), 1.0, np.clip(fast / capacity, 0.02, 1.0)),
        fast_amps,
        cells,
    )
    *of_cell, cells = (np.array(part) for part in parts)
    return Figures(*of_cell), cells


def _check_signs(**figures: Floats) -> None:
    problems = Problems("")
    for where, figure in figures.items():
        if not np.all(figure > 0):
            problems.add(where, "found a figure that is not above 0; write one above 0.")
    problems.raise_if_any()


def _check_volts(full: Floats, nominal: Floats, cutoff: Floats) -> None:
    full, nominal, cutoff = (part.ravel() for part in np.broadcast_arrays(full, nominal, cutoff))
    wrong = np.flatnonzero(~((cutoff > 0) & (cutoff < nominal) & (nominal < full)))
    if wrong.size:
        i = wrong[0]
        found = f"cut-off {cutoff[i]:.3g}, nominal {nominal[i]:.3g}, full {full[i]:.3g} V a cell"
        rule = "cut-off lies below nominal and nominal below full"
        todo = "Check the three volts and the number of cells in series."
        raise BadInput([Problem("", "volts", f"found {found}; {rule}. {todo}")])


def _is_label(kind: Chemistry, nominal: Floats, stated: bool | None) -> NDArray[np.bool_]:
    """Where nominal volts are a name rather than a mean: as stated, else by custom."""
    if stated is not None:
        return np.full(nominal.shape, stated)
    distance = np.abs(np.subtract.outer(nominal, np.array(kind.label_volts))).min(axis=-1)
    return np.asarray(distance < LABEL_WITHIN_V)


def peukert_exponent(kind: Chemistry, f: Figures) -> Floats:
    """Exponent from the slow and the fast pair, t = H (C / (I H))^k; else that of the chemistry."""
    usual = np.full_like(f.capacity_coulomb, kind.peukert)
    if kind.rate_law != "peukert":
        return usual
    stated = np.isnan(f.lag_s) & (f.fast_amps > 1.05 * f.slow_amps)
    rates = np.log(np.where(stated, f.fast_amps / f.slow_amps, np.e))
    return np.where(stated, 1.0 - np.log(f.fast_share) / rates, usual)
