"""What is typical of each cell chemistry: shape of its curve, rate law, cold, age, wear."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightcalc.problems import BadInput, Problem

Floats = NDArray[np.float64]

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Chemistry:
    """Typical figures of one chemistry; volts are per cell, meanings stand in chemistries.toml.

    `drawn` and `volts` are the open-circuit curve: share of charge drawn (ascending, a little
    below 0 and above 1) and volts (descending).
    """

    key: str
    row: int
    name: str
    rate_law: str
    rechargeable: bool
    volts_label: float
    volts_full: float
    volts_cutoff: float
    label_volts: tuple[float, ...]
    label_trust: float
    mean_volts_reach: float
    slow_hours: float
    drop_at_1c: float
    lag_s: float
    lag_even_s: float
    peukert: float
    temperature_c: tuple[float, ...]
    capacity_share: tuple[float, ...]
    resistance_factor: tuple[float, ...]
    resistance_rise_at_80: float
    self_discharge_month: float
    cycles: float
    calendar_years: float
    worn_health: float
    drawn: Floats
    volts: Floats


@cache
def _curve_points() -> dict[str, list[tuple[float, float]]]:
    points: dict[str, list[tuple[float, float]]] = {}
    text = (_HERE / "open_circuit_volts.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    for line in lines[1:]:
        key, drawn, volts = line.split(",")
        points.setdefault(key, []).append((float(drawn), float(volts)))
    return points


@cache
def _chemistries() -> dict[str, Chemistry]:
    with (_HERE / "chemistries.toml").open("rb") as file:
        tables = tomllib.load(file)
    found = {}
    for row, (key, table) in enumerate(tables.items()):
        drawn, volts = np.array(_curve_points()[key]).T
        figures: dict[str, Any] = {
            k: tuple(v) if isinstance(v, list) else v for k, v in table.items()
        }
        found[key] = Chemistry(key=key, row=row, drawn=drawn, volts=volts, **figures)
    return found


def chemistry_keys() -> tuple[str, ...]:
    """Keys a pack's chemistry may have, in the order of the table.

    >>> "lifepo4" in chemistry_keys()
    True
    """
    return tuple(_chemistries())


def chemistry(key: str) -> Chemistry:
    """Typical figures of the chemistry called `key`.

    Raises BadInput when the key is unknown.

    >>> chemistry("alkaline").rechargeable
    False
    """
    known = _chemistries()
    if key not in known:
        allowed = ", ".join(known)
        raise BadInput([Problem("", "chemistry", f'found "{key}"; write one of: {allowed}.')])
    return known[key]
