"""Copper wire: resistance, the current it may carry, and the thinnest that will do.

```
   pack  o----------- lead, length l -----------o  run
         |   one conductor out, one back:       |
         o----------- loop length 2 l ----------o
```

A wire is chosen by the largest of four demands: voltage drop over the loop with hot copper,
ampacity, mechanical minimum, and that its fuse protects it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightcalc.tables.wires import (
    COPPER_COEFFICIENT_20C_PER_K,
    Construction,
    System,
    WireSize,
    ampacity_30c_a,
    awg_area_m2,
    factor_50c,
    insulation_column_c,
    standard_sizes,
)

Floats = float | NDArray[np.float64]
Demand = Literal["voltage drop", "ampacity", "fuse", "mechanical minimum"]

# Common practice of the trade: a free lead breaks at its solder joint when thinner than 22 AWG.
MECHANICAL_LEAST_M2 = awg_area_m2(22)

# IEC 60364-5-54: PVC on copper, from 70 to 160 degC, for a short of at most 5 s.
ADIABATIC_K_A_S05_PER_M2 = 115.0e6


@dataclass(frozen=True)
class Wire:
    """One conductor on offer: its size and the temperature its insulation is rated for."""

    name: str
    size: WireSize
    insulation_c: float


@dataclass(frozen=True)
class WireDuty:
    """What a pair of wires has to do.

    `peak_a` flows while a dimmer's pulse is on and makes the drop; `rms_a` makes the heat.
    `allowed_drop_ratio` is a share of `source_v`. `fuse_a` is the rating of the fuse before it;
    None leaves that demand out. `copper_c` states the copper's temperature; None works it out
    from the load. `least_area_m2` is the mechanical minimum; 0 leaves that out.
    """

    peak_a: float
    rms_a: float
    loop_length_m: float
    source_v: float
    allowed_drop_ratio: float
    ambient_c: float = 30.0
    fuse_a: float | None = None
    copper_c: float | None = None
    least_area_m2: float = MECHANICAL_LEAST_M2

    def __post_init__(self) -> None:
        """Refuse a duty that makes no sense."""
        if not 0.0 <= self.rms_a <= self.peak_a * (1.0 + 1e-9) < math.inf:
            raise ValueError(
                f"The root mean square current is {self.rms_a:g} A and the peak {self.peak_a:g} A; "
                "the first lies between 0 A and the second."
            )
        if not 0.0 <= self.loop_length_m < math.inf:
            raise ValueError(f"The loop is {self.loop_length_m:g} m long; give 0 m or more.")
        if not (self.source_v > 0.0 and self.allowed_drop_ratio > 0.0):
            raise ValueError(
                f"The source has {self.source_v:g} V and may lose {self.allowed_drop_ratio:g} of "
                "them; both are more than 0."
            )


@dataclass(frozen=True)
class WireCheck:
    """One wire at one duty. `uses` says how much of each allowance is used; up to 1 is met.

    `ampacity_a` is at the ambient, `loop_ohm` and `heat_w` are of both conductors, hot.
    """

    wire: Wire
    loop_ohm: float
    copper_c: float
    drop_v: float
    drop_ratio: float
    ampacity_a: float
    heat_w: float
    uses: Mapping[Demand, float]

    @property
    def unmet(self) -> tuple[Demand, ...]:
        """The demands that this wire does not meet."""
        return tuple(demand for demand, use in self.uses.items() if use > 1.0)


@dataclass(frozen=True)
class WireChoice:
    """The thinnest wire on offer that meets every demand, or None with what cannot be met.

    `closest` is the check of the chosen wire, or of the one that comes nearest when none will
    do. `decided_by` is the demand that the next thinner wire on offer misses by most, and None
    when the thinnest on offer will do; when none will do, it is the demand missed by most.
    `smallest` holds the thinnest on offer for each demand alone, None where there is none;
    `checks` every wire on offer, the thinnest first.
    """

    chosen: Wire | None
    decided_by: Demand | None
    closest: WireCheck
    smallest: Mapping[Demand, Wire | None]
    unmet: tuple[Demand, ...]
    checks: tuple[WireCheck, ...]


def hot_copper_ratio(copper_c: Floats) -> Floats:
    """Resistance of copper at `copper_c` degC over that at 20 degC; works on arrays.

    1 + 0.00393 (t - 20), IEC 60028; good from about -50 to 200 degC.

    >>> round(hot_copper_ratio(75.0), 4)
    1.2162
    """
    return 1.0 + COPPER_COEFFICIENT_20C_PER_K * (copper_c - 20.0)


def loop_ohm(size: WireSize, loop_length_m: Floats, copper_c: Floats = 20.0) -> Floats:
    """Resistance in ohms of a loop of `loop_length_m`, both conductors counted in that length.

    >>> from lightcalc.tables.wires import awg_size
    >>> round(loop_ohm(awg_size(18), 10.0), 3)
    0.214
    """
    return size.resistance_20c_ohm_per_m * loop_length_m * hot_copper_ratio(copper_c)


def ambient_ratio(insulation_c: float, ambient_c: float) -> float:
    """Ampacity at an ambient over that at 30 degC, for insulation rated `insulation_c`.

    A conductor reaches its insulation's rating at its ampacity, and its rise goes with the
    square of the current, so the square of this ratio falls in a straight line with the ambient.
    The line passes through 1 at 30 degC, the factor of 33 CFR 183.425 at 50 degC, and 0 at the
    rating. A cooler room than 30 degC earns nothing.

    >>> ambient_ratio(105.0, 50.0), ambient_ratio(105.0, 20.0), ambient_ratio(60.0, 70.0)
    (0.85, 1.0, 0.0)
    """
    at_50 = factor_50c(insulation_c)
    rating_c = float(insulation_column_c(insulation_c))
    square = np.interp(ambient_c, (30.0, 50.0, rating_c), (1.0, at_50**2, 0.0))
    return math.sqrt(float(square))


@lru_cache(maxsize=1024)
def ampacity_a(wire: Wire, ambient_c: float = 30.0) -> float:
    """Amps that a wire may carry for good at an ambient in degC.

    33 CFR 183.425, table 5, for 18 AWG and thicker; from memory (NFPA 79) below. A size between
    two AWG sizes, as every metric one is, has the ampacity of the thinner: conservative.
    ValueError when the insulation is rated below 60 degC.

    >>> from lightcalc.tables.wires import metric_size
    >>> ampacity_a(Wire("red", metric_size(1.0), 105.0))  # as 18 AWG
    20.0
    """
    amps = ampacity_30c_a(wire.size.ampacity_awg, wire.insulation_c)
    return amps * ambient_ratio(wire.insulation_c, ambient_c)


def copper_c(wire: Wire, rms_a: float, ambient_c: float = 30.0) -> float:
    """Temperature in degC of a loaded conductor, at most its insulation's rating.

    The rise goes with the square of the current and reaches the rating at the ampacity. Beyond
    it the wire is refused anyway, so the figure stays at the rating.

    >>> from lightcalc.tables.wires import awg_size
    >>> copper_c(Wire("red", awg_size(18), 80.0), rms_a=7.5)
    42.5
    """
    room_k = max(wire.insulation_c - ambient_c, 0.0)
    if room_k == 0.0:
        return ambient_c
    return ambient_c + room_k * min(_use(rms_a, ampacity_a(wire, ambient_c)), 1.0) ** 2


def short_circuit_withstand_s(area_m2: Floats, fault_a: Floats) -> Floats:
    """Seconds for which PVC-insulated copper survives a fault current: (k S / I)^2.

    IEC 60364-5-54 with k = 115 A s^0.5/mm2, no heat leaving the wire; good up to 5 s.

    >>> round(short_circuit_withstand_s(1.0e-6, 115.0), 6)
    1.0
    """
    return (ADIABATIC_K_A_S05_PER_M2 * area_m2 / fault_a) ** 2


def check_wire(wire: Wire, duty: WireDuty) -> WireCheck:
    """Work out one wire at one duty.

    >>> from lightcalc.tables.wires import awg_size
    >>> duty = WireDuty(2.0, 2.0, loop_length_m=6.0, source_v=12.0, allowed_drop_ratio=0.03)
    >>> check = check_wire(Wire("red", awg_size(18), 105.0), duty)
    >>> round(check.drop_v, 3), check.unmet
    (0.267, ())
    """
    amps = ampacity_a(wire, duty.ambient_c)
    hot_c = duty.copper_c
    if hot_c is None:
        hot_c = copper_c(wire, duty.rms_a, duty.ambient_c)
    ohm = float(loop_ohm(wire.size, duty.loop_length_m, hot_c))
    drop_v = duty.peak_a * ohm
    uses: dict[Demand, float] = {
        "voltage drop": drop_v / duty.source_v / duty.allowed_drop_ratio,
        "ampacity": _use(duty.rms_a, amps),
        "fuse": _use(duty.fuse_a or 0.0, amps),
        "mechanical minimum": duty.least_area_m2 / wire.size.area_m2,
    }
    return WireCheck(
        wire=wire,
        loop_ohm=ohm,
        copper_c=hot_c,
        drop_v=drop_v,
        drop_ratio=drop_v / duty.source_v,
        ampacity_a=amps,
        heat_w=duty.rms_a**2 * ohm,
        uses=uses,
    )


def choose_wire(offered: Sequence[Wire], duty: WireDuty) -> WireChoice:
    """Choose the thinnest wire on offer that meets every demand of a duty.

    ValueError when nothing is on offer.

    >>> from lightcalc.tables.wires import awg_size
    >>> offered = [Wire(f"{gauge} AWG", awg_size(gauge), 105.0) for gauge in (24, 22, 20, 18, 16)]
    >>> duty = WireDuty(2.0, 2.0, loop_length_m=6.0, source_v=12.0, allowed_drop_ratio=0.03)
    >>> choice = choose_wire(offered, duty)
    >>> choice.chosen.name, choice.decided_by
    ('18 AWG', 'voltage drop')
    """
    if not offered:
        raise ValueError("No wire is on offer; list at least one.")
    by_area = sorted(
        offered, key=lambda wire: (wire.size.area_m2, -wire.size.resistance_20c_ohm_per_m)
    )
    checks = tuple([check_wire(wire, duty) for wire in by_area])
    smallest: dict[Demand, Wire | None] = {
        demand: next((check.wire for check in checks if check.uses[demand] <= 1.0), None)
        for demand in checks[0].uses
    }
    position = next((index for index, check in enumerate(checks) if not check.unmet), None)
    if position is None:
        closest = min(checks, key=lambda check: max(check.uses.values()))
        nowhere = tuple(demand for demand, wire in smallest.items() if wire is None)
        unmet = nowhere or closest.unmet
        return WireChoice(None, _worst(closest), closest, smallest, unmet, checks)
    thinner = [
        check
        for check in checks[:position]
        if check.wire.size.area_m2 < by_area[position].size.area_m2
    ]
    decided_by = _worst(thinner[-1]) if thinner else None
    return WireChoice(by_area[position], decided_by, checks[position], smallest, (), checks)


def smallest_standard_size(
    system: System, duty: WireDuty, insulation_c: float, construction: Construction = "stranded"
) -> WireSize | None:
    """Return the thinnest size sold everywhere that meets a duty, offered or not; None if none.

    >>> duty = WireDuty(2.0, 2.0, loop_length_m=6.0, source_v=12.0, allowed_drop_ratio=0.03)
    >>> smallest_standard_size("mm2", duty, 105.0).name
    '0.75 mm2'
    """
    sizes = standard_sizes(system, construction)
    choice = choose_wire([Wire(size.name, size, insulation_c) for size in sizes], duty)
    return choice.chosen.size if choice.chosen else None


def _use(needed: float, allowed: float) -> float:
    if needed == 0.0:
        return 0.0
    return needed / allowed if allowed > 0.0 else math.inf


def _worst(check: WireCheck) -> Demand:
    return max(check.uses, key=lambda demand: check.uses[demand])
