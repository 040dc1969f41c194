"""Wires and fuses on offer as columns, and the choice of wires for many leads at once.

The rules are those of `physics.circuit.wire.choose_wire`; tests hold one against the other. Where
rounding could tip a choice it is marked as unsure.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import fuse_of, wire_of
from lightcalc.answers.full_load import THICK
from lightcalc.design.check import find_wire_name
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.fuse import FUSE_RATED_AT_C
from lightcalc.physics.circuit.wire import (
    MECHANICAL_LEAST_M2,
    Wire,
    ampacity_a,
    hot_copper_ratio,
)
from lightcalc.tables.fuses import fuse_behaviours

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]

NONE = -1
# What rounding may shift.
TIP = 3e-9


class WireOffer:
    """Every wire of a catalogue in the order in which it is tried, those not on offer last."""

    def __init__(self, catalogue: Catalogue, ambient_c: float) -> None:
        self.catalogue, self.ambient_c = catalogue, ambient_c
        parts = list(catalogue.wires.values())
        made = {part.name: wire_of(part) for part in parts}

        def key(name: str) -> tuple[bool, float, float]:
            size = made[name].size
            solid = catalogue.wires[name].construction != "stranded"
            return solid, size.area_m2, -size.resistance_20c_ohm_per_m

        self.names = sorted(made, key=key)
        self.wires: list[Wire] = [made[name] for name in self.names]
        ordered = [catalogue.wires[name] for name in self.names]
        self.offered = np.array([part.construction == "stranded" for part in ordered])
        self.area_m2 = np.array([wire.size.area_m2 for wire in self.wires])
        self.ohm_per_m = np.array([wire.size.resistance_20c_ohm_per_m for wire in self.wires])
        self.amps = np.array([ampacity_a(wire, ambient_c) for wire in self.wires])
        self.room_k = np.array([max(wire.insulation_c - ambient_c, 0.0) for wire in self.wires])
        self.price = unknown_as_most([part.price_per_m for part in ordered])
        self.mass_kg = unknown_as_most([part.mass_kg_per_m for part in ordered])

    def named(self, names: Sequence[str | None]) -> list[int]:
        """Return the place of each wire named, NONE where the choice is free."""
        return [
            NONE if name is None else self.names.index(find_wire_name(name, self.catalogue))
            for name in names
        ]

    def stands(self, named: Places, rating_a: Array) -> Flags:
        """Whether every wire named (..., leads) stands a rating (...); free ones are chosen so."""
        too_thin = (named != NONE) & ((1.0 - TIP) * rating_a[..., None] > self.amps[named])
        return np.asarray(~too_thin.any(axis=-1))

    def thin(self, places: Places) -> Flags:
        """Say which wires carry no more than the one that sizing tries first."""
        return np.asarray(self.ohm_per_m[places] >= THICK.resistance_20c_ohm_per_m)

    def least(self, name: str, amps: Array) -> Array:
        """Return the least of a column among wires on offer that stand a current (...)."""
        stands_a, least = self._least_of(name)
        return np.asarray(least[np.searchsorted(stands_a, 0.999999 * amps)])

    @lru_cache(maxsize=8)  # noqa: B019 - lives as long as one search
    def _least_of(self, name: str) -> tuple[Array, Array]:
        """Ampacities on offer, rising, and the least of a column from each of them upwards."""
        order = np.argsort(self.amps[self.offered])
        column = getattr(self, name)[self.offered][order]
        least = np.append(np.minimum.accumulate(column[::-1])[::-1], np.inf)
        return self.amps[self.offered][order], least

    def ohm(self, places: Places, length_m: Array, copper_c: float) -> Array:
        """Resistance of one conductor of each lead."""
        return np.asarray(self.ohm_per_m[places] * length_m * hot_copper_ratio(copper_c))

    def choose(
        self, amps: Array, loop_m: Array, allowed_v: Array, rating_a: Array, named: Places
    ) -> tuple[Places, Flags]:
        """Choose the wire of each lead (cases, leads), NONE where none will do.

        Parameters: current, loop and volts it may lose (cases, leads); what the wire must stand
        (cases,); wires named (cases, leads). Also says which choices rounding could tip.
        """
        flows = amps[..., None]
        with np.errstate(divide="ignore", invalid="ignore"):
            use = np.where(flows == 0.0, 0.0, flows / self.amps)
        hot_c = self.ambient_c + self.room_k * np.minimum(use, 1.0) ** 2
        drop_v = flows * self.ohm_per_m * loop_m[..., None] * hot_copper_ratio(hot_c)
        stands = rating_a[:, None, None] <= self.amps
        fair = self.offered & (self.area_m2 >= MECHANICAL_LEAST_M2) & stands
        # Warm copper makes the drop grow up to three times as fast as the current.
        over_v = drop_v - allowed_v[..., None]
        near = (np.abs(over_v) <= 3.0 * TIP * drop_v) | (np.abs(use - 1.0) <= TIP)
        fits, tips = fair & (over_v <= 0.0) & (use <= 1.0), (fair & near).any(axis=-1)
        free = named == NONE
        places = np.where(fits.any(axis=-1), np.argmax(fits, axis=-1), NONE)
        return np.where(free, places, named), free & tips


class FuseOffer:
    """Every fuse of a catalogue in the order in which it is tried; resettable ones are not."""

    def __init__(self, catalogue: Catalogue, ambient_c: float) -> None:
        ordered = sorted(catalogue.fuses.values(), key=lambda part: part.rating_a)
        self.names = [part.name for part in ordered]
        made = [fuse_of(part) for part in ordered]
        kinds = [fuse_behaviours()[fuse.kind] for fuse in made]
        warm_k = max(ambient_c - FUSE_RATED_AT_C, 0.0)
        self.offered = np.array([fuse.kind != "resettable" for fuse in made])
        self.rating_a = np.array([fuse.rating_a for fuse in made])
        derated = [max(1.0 - kind.derating_per_k * warm_k, 0.0) for kind in kinds]
        self.carries_a = self.rating_a * derated
        self.volts_v = np.array([fuse.volts_v for fuse in made])
        self.breaking_a = np.array([fuse.breaking_a for fuse in made])
        self.opens_a = self.rating_a * [fuse.opens_at_ratio for fuse in made]
        self.ohm = np.array([fuse.resistance_ohm for fuse in made])
        self.price = unknown_as_most([part.price for part in ordered])
        self.mass_kg = unknown_as_most([part.mass_kg for part in ordered])


def unknown_as_most(values: Sequence[float | None]) -> Array:
    """Return figures as a column; one that is not known is infinite."""
    return np.array([np.inf if value is None else value for value in values], dtype=float)
