"""Converters: what they draw from the pack for what the strip takes.

```
   pack  --- input_v ---[ converter ]--- output_v ---  strip
         input_w = output_w + loss_w
```

Behind a converter the load is constant power, so the pack's current rises as the pack falls and
is highest at the end of the charge. Functions work on arrays of one shape, or on floats. They
do not refuse a load above the limit or volts outside the window, so that a whole discharge can
be worked out in one go: ask `runs` and `limit_use` whether the figures mean anything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = float | NDArray[np.float64]
ConverterKind = Literal["buck", "boost", "buck-boost"]


@dataclass(frozen=True)
class Converter:
    """A converter set to `output_v`.

    Either `efficiency`, a share of one that holds at every load, or `loss_points`: pairs of
    output amps and watts lost, rising in both, at `loss_input_v`, or at any input volts when
    that is None. `idle_a` is drawn at the input when nothing is drawn at the output.
    `headroom_v` is how far a buck's input must stay above its output.
    """

    kind: ConverterKind
    output_v: float
    input_min_v: float
    input_max_v: float
    limit_a: float
    efficiency: float | None = None
    loss_points: tuple[tuple[float, float], ...] = ()
    idle_a: float = 0.0
    loss_input_v: float | None = None
    headroom_v: float = 0.0

    def __post_init__(self) -> None:
        """Refuse figures that make no sense."""
        if not (self.output_v > 0.0 and 0.0 < self.input_min_v <= self.input_max_v):
            raise ValueError(
                f"The converter gives {self.output_v:g} V from {self.input_min_v:g} V to "
                f"{self.input_max_v:g} V; all are above 0 and the window is not upside down."
            )
        if self.limit_a <= 0.0 or self.idle_a < 0.0 or self.headroom_v < 0.0:
            raise ValueError(
                f"The converter has a limit of {self.limit_a:g} A, draws {self.idle_a:g} A idle "
                f"and needs {self.headroom_v:g} V of headroom; the limit is above 0, the others "
                "are not below."
            )
        if (self.efficiency is None) == (not self.loss_points):
            raise ValueError("The converter needs either an efficiency or loss points, not both.")
        if self.efficiency is not None and not 0.0 < self.efficiency <= 1.0:
            raise ValueError(
                f"The converter's efficiency is {self.efficiency:g}; it is above 0 and at most 1."
            )
        _check_points(self.loss_points)


def lowest_input_v(converter: Converter) -> float:
    """Lowest input volts at which a converter still holds its output.

    >>> lowest_input_v(Converter("buck", 12.0, 6.0, 30.0, 3.0, efficiency=0.9, headroom_v=0.5))
    12.5
    """
    if converter.kind == "buck":
        return max(converter.input_min_v, converter.output_v + converter.headroom_v)
    return converter.input_min_v


def highest_input_v(converter: Converter) -> float:
    """Highest input volts at which a converter still holds its output.

    A boost converter lets a higher input straight through to the strip.

    >>> highest_input_v(Converter("boost", 12.0, 3.0, 30.0, 3.0, efficiency=0.9))
    12.0
    """
    if converter.kind == "boost":
        return min(converter.input_max_v, converter.output_v)
    return converter.input_max_v


def runs(converter: Converter, input_v: Floats) -> NDArray[np.bool_]:
    """Whether a converter holds its output at these input volts.

    >>> converter = Converter("boost", 12.0, 3.0, 30.0, 3.0, efficiency=0.9)
    >>> runs(converter, np.array([2.5, 9.0, 14.0])).tolist()
    [False, True, False]
    """
    volts = np.asarray(input_v)
    return (volts >= lowest_input_v(converter)) & (volts <= highest_input_v(converter))


def limit_use(converter: Converter, output_w: Floats) -> Floats:
    """Output current over the converter's limit; above 1 it cannot hold its volts.

    >>> limit_use(Converter("buck", 12.0, 6.0, 30.0, 3.0, efficiency=0.9), 18.0)
    0.5
    """
    return output_w / converter.output_v / converter.limit_a


def loss_w(converter: Converter, output_w: Floats, input_v: Floats) -> Floats:
    """Watts that a converter turns to heat, never less than what it draws idle.

    Converter losses are a fixed part, one that goes with the current (switching, diode) and one
    that goes with its square (copper, transistors): R. W. Erickson and D. Maksimovic,
    Fundamentals of Power Electronics, chapter 3. Such a curve bends upwards, so straight lines
    between the given points never say too little; beyond the last point the loss grows with the
    square of the current, which says too much rather than too little.

    The loss follows the current in the coil, which is the output's in a buck converter and the
    input's in a boost one. So points taken at `loss_input_v` are read, at other input volts, at
    the output current that puts the same current in the coil. First order only.

    >>> converter = Converter("buck", 12.0, 6.0, 30.0, 3.0, loss_points=((1.0, 0.8), (3.0, 3.6)))
    >>> round(float(loss_w(converter, 24.0, 18.0)), 3)
    2.2
    """
    _check_load(output_w, input_v)
    idle_w = converter.idle_a * np.asarray(input_v)
    if converter.efficiency is not None:
        lost_w: Floats = np.asarray(output_w) * (1.0 / converter.efficiency - 1.0)
    else:
        output_a = np.asarray(output_w) / converter.output_v
        lost_w = _curve_w(converter, output_a * _coil_ratio(converter, input_v), idle_w)
    return np.asarray(np.maximum(lost_w, idle_w))[()]


def input_power_w(converter: Converter, output_w: Floats, input_v: Floats) -> Floats:
    """Watts drawn from the pack while `output_w` goes to the strip; at 0 W the idle draw.

    ValueError for a negative output or input volts that are not above 0.

    >>> converter = Converter("buck", 12.0, 6.0, 30.0, 3.0, efficiency=0.9, idle_a=0.005)
    >>> round(float(input_power_w(converter, 18.0, 16.0)), 6)
    20.0
    >>> float(input_power_w(converter, 0.0, 16.0))
    0.08
    """
    return output_w + loss_w(converter, output_w, input_v)


def input_current_a(converter: Converter, output_w: Floats, input_v: Floats) -> Floats:
    """Amps drawn from the pack; `input_v` is at the converter, after pack and wire.

    Wire, fuse and connector on the pack's side are sized with the volts at the end of the
    charge, or `lowest_input_v` when that is higher.

    >>> converter = Converter("boost", 12.0, 3.0, 12.0, 3.0, efficiency=0.9)
    >>> [round(float(input_current_a(converter, 10.8, volts)), 2) for volts in (4.0, 3.0)]
    [3.0, 4.0]
    """
    return input_power_w(converter, output_w, input_v) / input_v


def _curve_w(converter: Converter, coil_a: Floats, idle_w: Floats) -> Floats:
    amps, watts = (np.array(column) for column in zip(*converter.loss_points, strict=True))
    beyond = np.maximum(coil_a / amps[-1], 1.0) ** 2
    lost_w: Floats = np.interp(coil_a, amps, watts) * beyond
    if amps[0] > 0.0:
        at_zero_w = np.minimum(idle_w, watts[0])
        below_w = at_zero_w + (watts[0] - at_zero_w) * coil_a / amps[0]
        lost_w = np.where(coil_a < amps[0], below_w, lost_w)
    return lost_w


def _coil_ratio(converter: Converter, input_v: Floats) -> Floats:
    if converter.loss_input_v is None:
        return 1.0
    output_v = converter.output_v
    return np.maximum(1.0, output_v / input_v) / max(1.0, output_v / converter.loss_input_v)


def _check_load(output_w: Floats, input_v: Floats) -> None:
    if not np.all(np.asarray(output_w) >= 0.0):
        raise ValueError("The converter's output is below 0 W; give 0 W or more.")
    if not np.all(np.asarray(input_v) > 0.0):
        raise ValueError("The converter's input is not above 0 V; give volts above 0.")


def _check_points(points: tuple[tuple[float, float], ...]) -> None:
    last_a, last_w = -math.inf, 0.0
    for amps, watts in points:
        if amps < 0.0 or amps <= last_a or watts < last_w:
            raise ValueError(
                f"The loss point ({amps:g} A, {watts:g} W) does not rise from the one before; "
                "give output amps from 0 in rising order, and watts that never fall."
            )
        last_a, last_w = amps, watts
    if points and last_a <= 0.0:
        raise ValueError("The loss points stop at 0 A; give at least one with a load.")
