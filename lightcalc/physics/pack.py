"""A pack of cells, described only as a catalogue describes it."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.physics.open_circuit import cell_volts
from lightcalc.physics.pack_fit import Figures, fit, usual_mean_volts
from lightcalc.tables.chemistries import Chemistry, chemistry

Floats = NDArray[np.float64]

HOUR_S = 3600.0


@dataclass(frozen=True)
class Pack:
    """A pack ready to be discharged; every field is an array of one shape, () for one pack.

    capacity_coulomb   charge at the slow rate, at this age and temperature [C]
    slow_amps          current that capacity belongs to [A]
    full_volts         rested and fully charged, at the pack's terminals [V]
    cutoff_volts       where the discharge ends, at the pack's terminals [V]
    cells              cells in series [-]
    curve              row of the chemistry's open-circuit curve [-]
    curve_start, curve_width, curve_shift_volts
                       place of this pack's curve on that of its chemistry [-, -, V per cell]
    ohms               resistance that acts at once [ohm]
    lag_s              lag of charge at the electrode over the drawn current [s]
    peukert            exponent of Peukert's relation; 1 for the lithium chemistries
    ohms_new           ohms of the pack new at 25 degC [ohm]
    """

    capacity_coulomb: Floats
    slow_amps: Floats
    full_volts: Floats
    cutoff_volts: Floats
    cells: Floats
    curve: NDArray[np.intp]
    curve_start: Floats
    curve_width: Floats
    curve_shift_volts: Floats
    ohms: Floats
    lag_s: Floats
    peukert: Floats
    ohms_new: Floats

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the batch; () for one pack."""
        return self.capacity_coulomb.shape

    def open_circuit_volts(self, drawn: ArrayLike) -> Floats:
        """Rested volts at the pack's terminals [V] with the share `drawn` of the charge gone."""
        x = self.curve_start + self.curve_width * np.asarray(drawn, dtype=float)
        return self.cells * (cell_volts(self.curve, x) + self.curve_shift_volts)


def describe_pack(
    key: str,
    capacity_coulomb: ArrayLike,
    nominal_volts: ArrayLike,
    *,
    full_volts: ArrayLike | None = None,
    cutoff_volts: ArrayLike | None = None,
    resistance_ohm: ArrayLike | None = None,
    slow_current_a: ArrayLike | None = None,
    fast_capacity_coulomb: ArrayLike | None = None,
    fast_current_a: ArrayLike | None = None,
    health: ArrayLike = 1.0,
    temperature_c: ArrayLike = 25.0,
    cells_in_series: ArrayLike | None = None,
) -> Pack:
    """Build a pack from what its label and sheet say; arrays of one shape make a batch."""
    kind = chemistry(key)
    capacity, nominal = _same(capacity_coulomb, nominal_volts)
    one = np.ones_like(capacity)

    def given(value: ArrayLike | None, usual: Floats) -> Floats:
        return usual if value is None else np.asarray(value, dtype=float) * one

    cells = given(cells_in_series, np.maximum(np.round(nominal / kind.volts_label), 1.0))
    full = given(full_volts, cells * kind.volts_full) / cells
    cutoff = given(cutoff_volts, cells * kind.volts_cutoff) / cells
    one_c = capacity / HOUR_S
    slow = given(slow_current_a, one_c / kind.slow_hours)
    fast_amps = given(fast_current_a, one_c)
    ohms = given(resistance_ohm, kind.drop_at_1c * cells * kind.volts_label / one_c) / cells
    fast = given(fast_capacity_coulomb, np.full_like(capacity, np.nan))
    figures = Figures(
        full_volts=full,
        cutoff_volts=cutoff,
        mean_volts=_mean_volts(kind, nominal / cells, full, cutoff),
        capacity_coulomb=capacity,
        slow_amps=slow,
        ohms=ohms,
        ohms_amps=fast_amps,
        lag_s=np.where(np.isnan(fast), kind.lag_s, np.nan),
        fast_share=np.where(np.isnan(fast), 1.0, fast / capacity),
        fast_amps=fast_amps,
    )
    found = fit(kind, figures)
    return Pack(
        capacity_coulomb=capacity,
        slow_amps=slow,
        full_volts=full * cells,
        cutoff_volts=cutoff * cells,
        cells=cells,
        curve=np.full(capacity.shape, kind.row, dtype=np.intp),
        curve_start=found.start,
        curve_width=found.width,
        curve_shift_volts=found.shift_volts,
        ohms=found.ohms * cells,
        lag_s=found.lag_s,
        peukert=_peukert(kind, capacity, slow, fast, fast_amps),
        ohms_new=found.ohms * cells,
    )


def _same(*values: ArrayLike) -> list[Floats]:
    arrays = np.broadcast_arrays(*[np.asarray(value, dtype=float) for value in values])
    return [np.array(array) for array in arrays]


def _mean_volts(kind: Chemistry, nominal: Floats, full: Floats, cutoff: Floats) -> Floats:
    usual = usual_mean_volts(kind, full, cutoff)
    blend = kind.label_trust * nominal + (1 - kind.label_trust) * usual
    is_label = np.zeros(nominal.shape, dtype=bool)
    for label in kind.label_volts:
        is_label |= np.abs(nominal - label) < 5e-4
    return np.where(is_label, blend, nominal)


def _peukert(
    kind: Chemistry, capacity: Floats, slow: Floats, fast: Floats, fast_amps: Floats
) -> Floats:
    if kind.rate_law != "peukert":
        return np.ones_like(capacity)
    usual = np.full_like(capacity, kind.peukert)
    with np.errstate(invalid="ignore", divide="ignore"):
        k = 1.0 + np.log(capacity / fast) / np.log(fast_amps / slow)
    return np.where(np.isfinite(k), np.maximum(k, 1.0), usual)
