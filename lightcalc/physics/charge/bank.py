"""A USB bank: cells whose label counts charge at cell volts, behind a converter of their own.

cells 3.7 V, label 10 Ah --> converter 90 % --> 5 V, of which 6.7 Ah come out
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lightcalc.physics.charge.load import Load, constant_power
from lightcalc.physics.charge.pack import Pack, describe_pack

TYPICAL_EFFICIENCY = 0.88
"""Cells to output at a light load; typical of makers' sheets, from memory."""

TYPICAL_HOLD_S = 30.0
"""How long a bank waits before it switches off; typical, 10 s to 60 s, from memory."""


@dataclass(frozen=True)
class Bank:
    """Cells as a pack, the share of their energy that comes out, and when the bank switches off."""

    pack: Pack
    efficiency: float
    output_volts: float
    auto_off_a: float
    auto_off_hold_s: float


@dataclass(frozen=True)
class AutoOff:
    """Whether a load leaves the bank asleep, and the share of lit time it is below the limit."""

    switches_off: bool
    share_below: float


def describe_bank(
    label_coulomb: float,
    *,
    label_volts: float = 3.7,
    output_volts: float = 5.0,
    rated_output_coulomb: float | None = None,
    efficiency: float = TYPICAL_EFFICIENCY,
    auto_off_a: float = 0.0,
    auto_off_hold_s: float = TYPICAL_HOLD_S,
    health: float = 1.0,
    temperature_c: float = 25.0,
    key: str = "lithium-ion",
) -> Bank:
    """Describe a bank by its label.

    Where the label also states the charge that comes out at `output_volts` (rated capacity), the
    efficiency follows from it; else it is `efficiency`. `auto_off_a` [A] is an output current.

    >>> bank = describe_bank(3600 * 10.0, rated_output_coulomb=3600 * 6.5)
    >>> round(bank.efficiency, 3)
    0.878
    """
    if rated_output_coulomb is not None:
        efficiency = rated_output_coulomb * output_volts / (label_coulomb * label_volts)
    pack = describe_pack(
        key, label_coulomb, label_volts, health=health, temperature_c=temperature_c
    )
    return Bank(pack, efficiency, output_volts, auto_off_a, auto_off_hold_s)


def bank_load(bank: Bank, output_w: ArrayLike, peak_output_w: ArrayLike | None = None) -> Load:
    """Load on the cells of a bank whose output gives `output_w` [W].

    >>> float(bank_load(describe_bank(36000.0, efficiency=0.9), 4.5).power_w[0])
    5.0
    """
    peak = None if peak_output_w is None else np.asarray(peak_output_w) / bank.efficiency
    return constant_power(np.asarray(output_w) / bank.efficiency, peak)


def auto_off(bank: Bank, stretches: Sequence[tuple[float, float]]) -> AutoOff:
    """Whether the bank switches off under stretches of (average output amps, seconds).

    It does when any stretch stays below its limit for longer than it waits.

    >>> bank = describe_bank(36000.0, auto_off_a=0.08)
    >>> auto_off(bank, [(0.5, 3600.0), (0.05, 3600.0)])
    AutoOff(switches_off=True, share_below=0.5)
    """
    below = [seconds for amps, seconds in stretches if amps < bank.auto_off_a]
    total = sum(seconds for _, seconds in stretches)
    share = sum(below) / total if total else 0.0
    return AutoOff(any(seconds > bank.auto_off_hold_s for seconds in below), share)
