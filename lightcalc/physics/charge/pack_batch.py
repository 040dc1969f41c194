"""Many packs of one label that differ a little in what they really hold and resist.

Meeting the figures of a label takes a search for each pack. What it finds changes little by little
with capacity and resistance, so it is done on a grid of both and read off straight between, and a
few of the packs are then searched for themselves, to see that this holds.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.charge.pack import Pack, age_and_cool, describe_pack

Floats = NDArray[np.float64]

_NODES = 25
_CHECKED = 12
# What is found by searching, and how far off it may be: in shares of charge, in volts a cell, or as
# shares of the most there is of it.
_FOUND = {
    "curve_start": 2e-4,
    "curve_width": 4e-4,
    "curve_shift_volts": 4e-4,
    "ohms": 3e-3,
    "ohms_new": 3e-3,
    "lag_s": 0.1,
    "lag_rise_s_per_a": 0.1,
    "peukert": 1e-3,
}
_ABSOLUTE = frozenset({"curve_start", "curve_width", "curve_shift_volts"})


def describe_packs(
    key: str,
    stated: dict[str, Any],
    *,
    capacity: Floats,
    resistance: Floats,
    health: Floats,
    temperature_c: Floats,
) -> Pack:
    """Describe packs as `describe_pack` does, `capacity` and `resistance` being factors (n,).

    `stated` holds the figures of the label, by the names `describe_pack` has for them. The fast
    capacity goes with the capacity. Raises BadInput as it does.

    >>> stated = {"capacity_coulomb": 18000.0, "nominal_volts": 3.65, "resistance_ohm": 0.05}
    >>> one = np.ones(3)
    >>> packs = describe_packs(
    ...     "lithium-ion", stated,
    ...     capacity=1.1 * one, resistance=one, health=one, temperature_c=25.0 * one,
    ... )
    >>> packs.capacity_coulomb.round(6).tolist()
    [19800.0, 19800.0, 19800.0]
    """
    new = None
    # Fewer packs than nodes are each searched for.
    if capacity.size > 2 * _NODES**2:
        new = _between_nodes(key, stated, capacity, resistance)
    if new is None:
        new = _searched(key, stated, capacity, resistance)
    return age_and_cool(key, new, health, temperature_c)


def _searched(key: str, stated: dict[str, Any], capacity: Floats, resistance: Floats) -> Pack:
    figures = dict(stated)
    figures["capacity_coulomb"] = stated["capacity_coulomb"] * capacity
    figures["resistance_ohm"] = stated["resistance_ohm"] * resistance
    if stated.get("fast_capacity_coulomb") is not None:
        figures["fast_capacity_coulomb"] = stated["fast_capacity_coulomb"] * capacity
    return describe_pack(key, **figures)


def _between_nodes(
    key: str, stated: dict[str, Any], capacity: Floats, resistance: Floats
) -> Pack | None:
    """Read the packs off between nodes; None where a few that are searched for say otherwise."""
    at = (np.log(capacity), np.log(resistance))
    nodes = [_nodes(values) for values in at]
    grid = (np.exp(x).ravel() for x in np.meshgrid(*nodes, indexing="ij"))
    found = vars(_searched(key, stated, *grid))
    corners = _corners(at, nodes)
    fields = {
        name: np.full(capacity.shape, values[0])
        if name not in _FOUND and not np.ptp(values)
        else np.asarray(sum(weight * np.take(values, place) for place, weight in corners))
        for name, values in found.items()
    }
    fields["capacity_coulomb"] = stated["capacity_coulomb"] * capacity
    some = np.linspace(0, capacity.size - 1, _CHECKED).astype(np.intp)
    some[:4] = [at[0].argmin(), at[0].argmax(), at[1].argmin(), at[1].argmax()]
    exact = vars(_searched(key, stated, capacity[some], resistance[some]))
    for name, allowed in _FOUND.items():
        most = 1.0 if name in _ABSOLUTE else float(np.abs(found[name]).max())
        if np.any(np.abs(fields[name][some] - exact[name]) > allowed * most + 1e-12):
            return None
    return Pack(**fields)


def _nodes(values: Floats) -> Floats:
    """Even places over the range of some values, or the one value there is."""
    low, high = float(values.min()), float(values.max())
    return np.linspace(low, high, _NODES) if high - low > 1e-9 else np.array([low])


def _corners(
    at: tuple[Floats, Floats], nodes: list[Floats]
) -> list[tuple[NDArray[np.intp], Floats]]:
    """Nodes round each place, by their number in the grid, and the weight of each."""
    sides = []
    for values, places in zip(at, nodes, strict=True):
        if places.size == 1:
            sides.append([(np.zeros(values.shape, dtype=np.intp), np.ones(values.shape))])
            continue
        where = (values - places[0]) / (places[1] - places[0])
        low = np.clip(where.astype(np.intp), 0, places.size - 2)
        sides.append([(low, 1.0 - (where - low)), (low + 1, where - low)])
    return [
        (row * nodes[1].size + column, by_row * by_column)
        for row, by_row in sides[0]
        for column, by_column in sides[1]
    ]
