"""What flows through thick wire, from which sizing starts: the most that any wire would carry.

All volts that a batch is asked at are known beforehand, so they are solved in one go.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.finder.alike import Batch
from lightcalc.answers.full_load import THICK
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.wire import loop_ohm

Array = NDArray[np.float64]
Places = NDArray[np.intp]


class ThickWire:
    """Currents in the leads of supplies wired alike, were they all of thick wire.

    `asked` are places in the batch, each list with the volts that its supplies will be asked at.
    """

    def __init__(self, batch: Batch, asked: Iterable[tuple[Places, Iterable[float]]]) -> None:
        pairs = [(k, v) for of, volts in asked for v in dict.fromkeys(volts) for k in of.tolist()]
        self._row = {pair: row for row, pair in enumerate(pairs)}
        of = np.array([k for k, _ in pairs], dtype=np.intp)
        ambient_c = batch.offer.ambient_c
        ohm = np.asarray(loop_ohm(THICK, batch.leads_m[of], ambient_c))
        strip_c = np.full((len(of), len(batch.wireds[0].runs)), ambient_c)
        found = solve(batch.network(of, ohm, strip_c, 0.0), np.array([v for _, v in pairs]))
        self._lead_a = np.abs(found.lead_a)

    def lead_a(self, of: Places, volts: Array) -> Array:
        """Return the current in each lead (cases, leads) of supplies at volts (cases,)."""
        pairs = zip(of.tolist(), volts.tolist(), strict=True)
        return np.asarray(self._lead_a[[self._row[pair] for pair in pairs]])
