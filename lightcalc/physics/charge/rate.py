"""How fast a pack runs down with current: Peukert's relation, made to hold exactly.

Peukert's relation t = H (C / (I H))^k (W. Peukert, 1897) tells when a discharge at steady current
I reaches cut-off volts. At that moment the pack stands at s_end(I) on its open-circuit curve, where
E(s_end) - I R = cut-off: with more current it gives up earlier. So the state s runs at

    ds/dt = I / C * (I / slow amps)^(k - 1) * s_end(I)

and a steady current ends when Peukert says it does. Below the slow rate, where the relation would
promise ever more charge, the capacity stays that of the slow rate.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.charge.open_circuit import drawn_at
from lightcalc.physics.charge.pack import Pack

Floats = NDArray[np.float64]

_ROWS = 96
MOST_TIMES = 1000.0
"""Times the slow current at which the table ends; it is level beyond."""
_SPAN = np.log(MOST_TIMES)


class StateRate:
    """State run down per charge drawn, times the slow capacity, for a flat batch of packs [-].

    One for the lithium chemistries; for the others a table over the logarithm of current, kept
    such that more current never runs the state down more slowly.
    """

    def __init__(self, pack: Pack) -> None:
        self._plain = bool(np.all(pack.peukert <= 1.0))
        if self._plain:
            return
        steps = np.linspace(0.0, _SPAN, _ROWS)
        with_current = pack.slow_amps[:, None] * np.exp(steps)
        volts = pack.cutoff_volts[:, None] + with_current * pack.ohms_new[:, None]
        cell = volts / pack.cells[:, None] - pack.curve_shift_volts[:, None]
        x = drawn_at(pack.curve, cell)
        end = np.clip((x - pack.curve_start[:, None]) / pack.curve_width[:, None], 0.02, 1.0)
        end = np.where(pack.peukert[:, None] > 1.0, end, 1.0)
        log_rate = steps * pack.peukert[:, None] + np.log(end)
        self._log_gear = np.maximum.accumulate(log_rate, axis=1) - steps
        self._log_slow = np.log(pack.slow_amps)
        self._first = np.arange(pack.slow_amps.size) * _ROWS

    def at(self, amps: Floats) -> Floats:
        """State run down for each share of the slow capacity drawn at `amps`."""
        if self._plain:
            return np.ones_like(amps)
        step = _SPAN / (_ROWS - 1)
        place = (np.log(np.maximum(amps, 1e-12)) - self._log_slow) / step
        place = np.clip(place, 0.0, _ROWS - 1.001)
        left = place.astype(np.intp)
        flat = self._first + left
        low = self._log_gear.take(flat)
        log_gear = low + (self._log_gear.take(flat + 1) - low) * (place - left)
        return np.asarray(np.exp(log_gear))
