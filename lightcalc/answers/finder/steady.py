"""Loads that do not follow the volts of their pack: all behind a converter or a bank's socket."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.finder.energy import Energies, Stage, longest_s
from lightcalc.answers.finder.longest import Loads
from lightcalc.answers.finder.stock import Stock
from lightcalc.design.piece import Use

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

HOUR_S = 3600.0
ROUNDING = 1.0 - 1e-9


@dataclass(frozen=True)
class Steady:
    """What light sides (n,) draw at the terminals of packs (p,): at least that of `stages`.

    `peaks_w` is drawn in the pulses of each stage and `full_w` at full level, through a lead of at
    least `lead_ohm` (p,); between evenings it is `dark_w`. Bare packs go down to `floor_v`.
    """

    use: Use
    stock: Stock
    rows: Places
    multiple: Array
    stages: tuple[Stage, ...]
    peaks_w: tuple[Array, ...]
    full_w: Array
    dark_w: Array
    floor_v: float
    lead_ohm: Array | float = 0.0

    @property
    def least_w(self) -> Array:
        """Power of the gentlest stage."""
        return np.asarray(np.min([np.asarray(stage.least_w) for stage in self.stages], axis=0))

    @property
    def _floors_v(self) -> Array:
        return np.where(self.stock.bank[self.rows], 0.0, self.floor_v)

    def hours_h(self, energies: Energies) -> Array:
        """Return hours that no charge exceeds, quickly told (n, p)."""
        rows, times = self.rows, self._times
        each_w, bank = self.least_w / times, self.stock.bank[self.rows]
        cells_j = energies.at(rows, self.floor_v, each_w)
        if bank.any():
            cells_j = np.where(bank, energies.at(rows, 0.0, each_w), cells_j)
        # In the dark the cells are at rest, and give the same power at less current.
        dark_w = self.dark_w * energies.least_share(rows, each_w)
        longest = longest_s(times * cells_j, self.stages, dark_w, self.use.evenings_a_week)
        return np.asarray(longest / HOUR_S)

    def carried(self, energies: Energies) -> Flags:
        """Whether packs and sockets may bear the current (n, p)."""
        rows, full_w = self.rows, self.full_w / self._times
        peak_a, bank = energies.peak_a(rows, self.floor_v, full_w), self.stock.bank[rows]
        if bank.any():
            peak_a = np.where(bank, energies.peak_a(rows, 0.0, full_w), peak_a)
        socket_a = ROUNDING * self.full_w / self.stock.terminal_v[rows]
        fits = (peak_a <= self.stock.max_amps[rows]) & (socket_a <= self.stock.socket_a[rows])
        return np.asarray(fits)

    @property
    def _times(self) -> Array:
        """How many times what one pack's cells give comes out: of a bank, less its losses."""
        return np.asarray(self.multiple * self.stock.efficiency[self.rows])

    def loads(self, light: Places, place: Places) -> Loads:
        """Return the loads of lights on packs (m,) of these, both paired."""
        rows, multiple = self.rows[place], self.multiple[place]
        efficiency, full_v = self.stock.efficiency[rows], self.stock.source_v[rows]
        lead_ohm = np.broadcast_to(self.lead_ohm, self.rows.shape)[place]

        def at(watts: Array | float) -> Array:
            paired = np.broadcast_to(watts, self.dark_w.shape)[light, place]
            return np.asarray(paired)

        def drawn(watts: Array | float, pulse_w: Array) -> Array:
            through_lead_w = lead_ohm * at(pulse_w) * at(watts) / full_v**2
            return np.asarray((at(watts) + through_lead_w) / efficiency)

        pairs = list(zip(self.stages, self.peaks_w, strict=True))
        mean_w = np.stack([drawn(stage.least_w, pulse_w) for stage, pulse_w in pairs], axis=-1)
        peak_w = np.stack([drawn(pulse_w, pulse_w) for _, pulse_w in pairs], axis=-1)
        return Loads(
            cells=self.stock.cells(rows, multiple),
            volts=np.ones((len(rows), 1)),
            mean_w=mean_w[..., None],
            peak_w=peak_w[..., None],
            floor_v=self._floors_v[place],
            most_a=self.stock.max_amps[rows] * multiple,
            dark_w=at(self.dark_w) / efficiency,
            leak_a=self.stock.leak_a[rows] * multiple,
        )
