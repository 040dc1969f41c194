"""Loads that do not follow the volts of their pack: all behind a converter or a bank's socket."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.finder.energy import Energies, Stage, longest_s
from lightcalc.answers.finder.longest import Close, Loads
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

    def quickly(self, energies: Energies) -> tuple[Array, Flags]:
        """Return hours that no charge exceeds, and whether packs may bear it (n, p)."""
        return self._hours_h(energies), self._carried(energies)

    def closely(self, light: Places, place: Places) -> Close:
        """Look closely at lights on packs (m,) of these, both paired."""
        return Close(0.0, True, self._loads(light, place))

    def _hours_h(self, energies: Energies) -> Array:
        rows, times = self.rows, self._times
        each_w, bank = self.least_w / times, self.stock.bank[self.rows]
        cells_j = energies.at(rows, self.floor_v, each_w)
        if bank.any():
            cells_j = np.where(bank, energies.at(rows, 0.0, each_w), cells_j)
        # In the dark the cells are at rest, and give the same power at less current.
        dark_w = self.dark_w * energies.least_share(rows, each_w)
        longest = longest_s(times * cells_j, self.stages, dark_w, self.use.evenings_a_week)
        return np.asarray(longest / HOUR_S)

    def _carried(self, energies: Energies) -> Flags:
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

    def _loads(self, light: Places, place: Places) -> Loads:
        lead_ohm = np.broadcast_to(self.lead_ohm, self.rows.shape)[place]

        def at(watts: Array | float) -> Array:
            paired = np.broadcast_to(watts, self.dark_w.shape)[light, place]
            return np.asarray(paired)

        pairs = [
            (at(stage.least_w), at(pulse_w))
            for stage, pulse_w in zip(self.stages, self.peaks_w, strict=True)
        ]
        rows, dark_w = self.rows[place], at(self.dark_w)
        loads = steady_loads(
            self.stock, rows, self.multiple[place], pairs, dark_w=dark_w, lead_ohm=lead_ohm
        )
        return replace(loads, floor_v=self._floors_v[place])


def steady_loads(
    stock: Stock,
    rows: Places,
    multiple: Array,
    stages: Sequence[tuple[Array, Array]],
    *,
    dark_w: Array,
    lead_ohm: Array | float = 0.0,
) -> Loads:
    """Return the loads of packs (m,): mean and pulse at the terminals in each stage (m,)."""
    efficiency, full_v = stock.efficiency[rows], stock.source_v[rows]

    def drawn(watts: Array, pulse_w: Array) -> Array:
        return np.asarray((watts + lead_ohm * pulse_w * watts / full_v**2) / efficiency)

    mean_w = np.stack([drawn(watts, pulse_w) for watts, pulse_w in stages], axis=-1)
    peak_w = np.stack([drawn(pulse_w, pulse_w) for _, pulse_w in stages], axis=-1)
    return Loads(
        cells=stock.cells(rows, multiple),
        volts=np.ones((len(rows), 1)),
        mean_w=mean_w[..., None],
        peak_w=peak_w[..., None],
        floor_v=np.zeros(len(rows)),
        most_a=stock.max_amps[rows] * multiple,
        dark_w=dark_w / efficiency,
        leak_a=stock.leak_a[rows] * multiple,
    )
