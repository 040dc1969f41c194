"""What time and use take from cells: self-discharge, charges a year, years until worn."""

from __future__ import annotations

import math
from dataclasses import dataclass

from lightcalc.tables.chemistries import chemistry

MONTH_S = 365.25 / 12 * 86400.0


@dataclass(frozen=True)
class Wear:
    """How often the pack is charged, and when it is worn.

    `charges_per_year` counts sets of cells when the chemistry cannot be recharged; `years` is then
    the life of one set.
    """

    charges_per_year: float
    years: float
    ended_by_cycles: bool


def self_discharge_amps(key: str, capacity_coulomb: float, temperature_c: float = 20.0) -> float:
    """Self-discharge as a steady current [A], doubling with each 10 K (van 't Hoff's rule).

    >>> round(self_discharge_amps("nimh", 3600 * 2.0) * 1e6)
    82
    """
    warmth = math.exp2((temperature_c - 20.0) / 10.0)
    return chemistry(key).self_discharge_month * warmth * capacity_coulomb / MONTH_S


def wear(
    key: str,
    charge_s: float,
    *,
    drawn_share: float = 1.0,
    cycles: float | None = None,
    calendar_years: float | None = None,
) -> Wear:
    """Wear of a pack that is charged every `charge_s` seconds after `drawn_share` of its charge.

    Cycle life is counted in full charges (common practice for shallow use, cautious for lithium);
    the smaller of cycle life and calendar life counts. Lives are typical ones of the chemistry,
    from memory, unless stated.

    >>> wear("lithium-ion", 86400.0).years < 2
    True
    >>> wear("lithium-ion", 86400.0 * 60).ended_by_cycles
    False
    """
    kind = chemistry(key)
    per_year = 365.25 * 86400.0 / charge_s
    by_use = (kind.cycles if cycles is None else cycles) / (per_year * drawn_share)
    by_time = kind.calendar_years if calendar_years is None else calendar_years
    return Wear(per_year, min(by_use, by_time), by_use < by_time)
