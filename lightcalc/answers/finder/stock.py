"""The packs of a catalogue as columns: what they give, weigh and cost, and which fuse stands them.

A row is one pack of the catalogue; a power takes one or several of its kind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import cells_of_packs
from lightcalc.answers.finder.offers import FuseOffer, WireOffer, unknown_as_most
from lightcalc.answers.fuses import PACK_TO_FUSE_LOOP_M
from lightcalc.design.piece import Supply
from lightcalc.parts import kinds
from lightcalc.physics.charge.pack import Pack, stack_packs
from lightcalc.physics.charge.wear import MONTH_S
from lightcalc.physics.circuit.fuse import CONTINUOUS_MARGIN

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]


Offer = tuple[WireOffer, FuseOffer]


class Stock:
    """Every pack of a catalogue at one age and temperature, each column (packs,)."""

    def __init__(
        self, parts: Sequence[kinds.Pack], health_ratio: float, temperature_c: float
    ) -> None:
        self.parts = tuple(parts)
        cells = cells_of_packs(parts, health_ratio, temperature_c)
        self.used = stack_packs([one.used for one in cells])
        self._fresh_ohm = np.array([float(one.fresh.ohms) for one in cells])
        self._weak_ohm = np.array([float(one.weak.ohms) for one in cells])
        self.bank = np.array([part.output_v is not None for part in parts])
        self.sleeps_a = np.array(
            [part.auto_off_a or 0.0 if part.output_v is not None else 0.0 for part in parts]
        )
        self.full_v = np.array([part.full_v for part in parts])
        self.cutoff_v = np.array([part.cutoff_v for part in parts])
        self.source_v = np.array([part.output_v or part.full_v for part in parts])
        self.terminal_v = np.array([part.output_v or part.nominal_v for part in parts])
        self.lowest_v = np.array([part.output_v or part.cutoff_v for part in parts])
        self.efficiency = np.array([part.output_efficiency or 1.0 for part in parts])
        self.socket_a = unknown_as_most([part.output_max_a for part in parts])
        self.max_amps = np.array([part.max_amps for part in parts])
        self.price = unknown_as_most([part.price for part in parts])
        self.mass_kg = unknown_as_most([part.mass_kg for part in parts])
        self.leak_a = (
            self.used.capacity_coulomb
            / MONTH_S
            * np.array([part.self_discharge_per_month for part in parts])
        )
        self._tolerance = np.array([part.resistance_tolerance for part in parts])
        self._stated_a = np.array([part.prospective_a or 1e-9 for part in parts])

    def cells(self, rows: Places, multiple: Array) -> Pack:
        """Return the cells of powers (n,), several of a kind as one pack."""
        some = {field.name: getattr(self.used, field.name)[rows] for field in fields(Pack)}
        for name in ("capacity_coulomb", "slow_amps"):
            some[name] = some[name] * multiple
        for name in ("ohms", "ohms_new", "lag_rise_s_per_a"):
            some[name] = some[name] / multiple
        return Pack(**some)

    def fuses(
        self, rows: Places, multiple: Array, supply: Supply, offer: Offer, *, surely: bool = False
    ) -> Flags:
        """Say which fuses might do beside the cells of powers (n, fuses): no other will.

        With `surely` only those that break the cells' short behind whatever wire.
        """
        wires, fuses = offer
        if supply.pack_fuse is not None:
            named = np.array(fuses.names) == supply.pack_fuse
            return np.broadcast_to(named, (len(rows), len(named)))
        (place,) = wires.named([supply.pack_wire])
        least_or_most = np.min if surely else np.max
        per_m = (
            least_or_most(wires.ohm_per_m[wires.offered]) if place < 0 else wires.ohm_per_m[place]
        )
        full_v = self.full_v[rows]
        fresh_ohm = np.minimum(
            self._fresh_ohm[rows] / multiple, full_v / (self._stated_a[rows] * multiple)
        )
        fresh_ohm = np.where(
            np.isinf(self._stated_a[rows]), self._fresh_ohm[rows] / multiple, fresh_ohm
        )
        most_a = full_v / (fresh_ohm + PACK_TO_FUSE_LOOP_M * per_m)
        weak_ohm = np.maximum(self._weak_ohm[rows] / multiple, fresh_ohm)
        far_a = self.cutoff_v[rows] / (weak_ohm * (1.0 + self._tolerance[rows]))
        # Rounding must not refuse a fuse that just does.
        slack = 1.000001 if surely else 0.999999
        return np.asarray(
            fuses.offered
            & (fuses.breaking_a >= slack * most_a[:, None])
            & (fuses.volts_v >= slack * full_v[:, None])
            & (slack * fuses.opens_a <= far_a[:, None])
        )


def least_rating_a(fits: Flags, load_a: Array, fuses: FuseOffer, slack: float = 0.999999) -> Array:
    """Return the least rating of the fuses that might do (n, fuses) for loads (..., n).

    Infinite where none carries the load.
    """
    carries = slack * CONTINUOUS_MARGIN * load_a[..., None] <= fuses.carries_a
    return np.asarray(np.min(np.where(fits & carries, fuses.rating_a, np.inf), axis=-1))
