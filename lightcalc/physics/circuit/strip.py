"""What one cut unit of LED strip draws, and the light it gives, as a function of its volts.

A channel of a cut unit is a string of LEDs in series with a resistor or a regulator::

    positive rail --+--[ LED ]--[ LED ]--[ LED ]--[ resistor or regulator ]--+-- return rail
                    |<------ forward voltage ------>|<---- what is left ---->|

The string follows Shockley's equation, written around the rated current `I0`:

    string volts = Vf + m ln(I / I0),   m = LEDs in series * ideality * kT/q

With a resistor `R` in series the current has a closed form in Wright's omega function [1]_ [2]_:

    I = (m / R) omega( (V - Vf)/m + ln(R I0 / m) )

A constant-current strip has a regulator that passes `I0 min(1, Vx / dropout)` for the volts
`Vx` left to it, so it follows the resistor law with `R = dropout / I0` until that reaches `I0`
and holds there. A pixel strip has one such regulator for each colour of each pixel, between the
same two rails, and a driver chip that draws an idle current even when dark.

Validity: forward conduction at a fixed junction temperature. Reverse current, breakdown and
the fall of forward voltage with temperature (about -2 mV/K for each LED) are left out. Light is
taken as proportional to LED current. That is an assumption: real LEDs give up to about a
tenth more light for each amp at half current (from memory, no source), so the fall in light
stated here is slightly pessimistic.

References
----------
.. [1] R. Corless, D. Jeffrey, "The Wright omega function", AISC 2002, LNAI 2385, pp. 76-89.
.. [2] P. Lawrence, R. Corless, D. Jeffrey, "Algorithm 917: complex double-precision evaluation
   of the Wright omega function", ACM Trans. Math. Softw. 38 (2012) 20. The step used here is
   that of Fritsch, Shafer and Crowley quoted there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Values = float | Array
"""A number, or an array over the cases of a batch."""

Kind = Literal["resistor", "constant-current", "pixel"]

THERMAL_V = 0.02585
"""kT/q at 300 K in volts (CODATA: k = 1.380649e-23 J/K, q = 1.602176634e-19 C)."""

_BLOCK = 8192
"""Numbers worked on at a time, so that everything between stays in the processor's cache."""

_PADE_AT_1 = np.e * (60.0 + np.e * (114.0 + 17.0 * np.e)) / (60.0 + np.e * (174.0 + 101.0 * np.e))

IDEALITY = 2.0
"""Emission coefficient of the LEDs; about 2 is common practice for coloured and white LEDs."""


def wright_omega(x: Array) -> Array:
    """Solve `y + ln y = x` for real `x`, to full double precision.

    Parameters: `x` any real numbers, any shape. Below -700 the result is that of -700, about
    1e-304, so that its logarithm stays finite.

    >>> float(wright_omega(np.array(1.0)))
    1.0
    >>> round(float(wright_omega(np.array(0.0))), 12)
    0.56714329041
    """
    given = np.asarray(x, dtype=float)
    flat = given.ravel()
    found = np.empty_like(flat)
    room = np.empty((5, min(flat.size, _BLOCK)))
    for start in range(0, flat.size, _BLOCK):
        part = slice(start, start + _BLOCK)
        _omega_of_block(flat[part], found[part], room[:, : len(flat[part])])
    return found.reshape(given.shape)


def _omega_of_block(given: Array, y: Array, room: Array) -> None:
    """Write omega of `given` into `y`; `room` is five rows to work in."""
    x, rest, base, pair, spare = room
    np.maximum(given, -700.0, out=x)
    if x.min() >= 1.0:
        _start_large(x, y, rest)
    else:
        _start_large(np.maximum(x, 1.0, out=base), y, rest)
        _start_small(np.minimum(x, 1.0, out=base), pair, rest)
        y *= pair  # one of the two is 1; a choice by mask would take longer than both
    for _ in range(2):
        np.subtract(x, y, out=rest)
        rest -= np.log(y, out=spare)
        np.add(y, 1.0, out=base)
        np.multiply(rest, 2.0 / 3.0, out=pair)
        pair += base
        pair *= base
        pair *= 2.0
        np.subtract(pair, rest, out=spare)
        pair -= rest
        pair -= rest
        # y (1 + rest / base * spare / pair)
        pair *= base
        spare *= rest
        spare /= pair
        spare *= y
        y += spare


def _start_large(x: Array, y: Array, room: Array) -> None:
    """About omega of x >= 1: x - ln(x) x / (x + 1)."""
    np.add(x, 1.0, out=room)
    np.divide(x, room, out=room)
    room *= np.log(x, out=y)
    np.subtract(x, room, out=y)


def _start_small(x: Array, y: Array, room: Array) -> None:
    """About omega of x <= 1, by a Pade form in e^x that is made 1 at 1."""
    small = np.exp(x, out=x)
    np.multiply(small, 17.0, out=y)
    y += 114.0
    y *= small
    y += 60.0
    y *= small
    np.multiply(small, 101.0, out=room)
    room += 174.0
    room *= small
    room += 60.0
    y /= room
    y *= 1.0 / _PADE_AT_1


@dataclass(frozen=True)
class Channel:
    """One string of LEDs of a cut unit with what limits its current.

    rated_a: current at rated volts [A]. forward_v: volts of the whole string at that current [V].
    slope_v: volts the string gains when its current grows e-fold [V].
    resistance_ohm: series resistor, or dropout volts over rated current for a regulator [ohm].
    """

    rated_a: Values
    forward_v: Values
    slope_v: Values
    resistance_ohm: Values

    @cached_property
    def offset(self) -> Values:
        """What is added to volts over `slope_v` for the argument of Wright's function."""
        log = np.log(self.resistance_ohm * self.rated_a / self.slope_v)
        return log - self.forward_v / self.slope_v

    @cached_property
    def current_unit_a(self) -> Values:
        """Amps for each 1 of Wright's function."""
        return self.slope_v / self.resistance_ohm

    @cached_property
    def held_v(self) -> Values:
        """Volts at and above which a regulator holds the rated current."""
        return self.forward_v + self.resistance_ohm * self.rated_a


@dataclass(frozen=True)
class CutUnit:
    """The electrical make-up of one cut unit. Numbers may be arrays over a batch.

    holds_current: a regulator holds each channel at its rated current.
    shared_return: all channels return by one rail (pixel strip), else each by its own.
    idle_a: drawn even when dark [A], in full from idle_min_v [V] upwards and in proportion below.
    """

    channels: tuple[Channel, ...]
    holds_current: bool = False
    shared_return: bool = False
    idle_a: Values = 0.0
    idle_min_v: Values = 1.0

    def __post_init__(self) -> None:
        if not self.channels:
            raise ValueError("A cut unit has no channel; it needs at least one string of LEDs.")
        if np.any(np.asarray(self.idle_a) > 0) and self.returns > 1:
            raise ValueError(
                "A cut unit with several return rails has an idle current; only a strip with "
                "one return rail can have one."
            )

    @property
    def returns(self) -> int:
        """How many return rails the strip has."""
        return 1 if self.shared_return else len(self.channels)


def channel_current(channel: Channel, holds_current: bool, volts: Array) -> tuple[Array, Array]:
    """Return the current of one channel [A] and its slope against volts [S].

    Parameters: `volts` between positive and return rail [V], any shape that the channel's
    numbers broadcast with. At or below 0 V the current is that of the forward law, less than
    1e-12 of rated for any real LED, never negative.

    >>> unit = describe_cut_unit("resistor", rated_v=12.0, power_w_per_m=9.6,
    ...     cut_unit_length_m=0.05, forward_v=(9.0,), leds_in_series=3)
    >>> amps, _ = channel_current(unit.channels[0], False, np.array([12.0, 11.4]))
    >>> [round(float(a), 5) for a in amps]
    [0.04, 0.03243]
    """
    amps = channel_amps(channel, holds_current, volts)
    return amps, channel_slope(channel, holds_current, amps)


def channel_amps(channel: Channel, holds_current: bool, volts: Array) -> Array:
    """Return the current alone; see `channel_current`."""
    x = np.asarray(volts / channel.slope_v + channel.offset)
    if not holds_current:
        return np.asarray(wright_omega(x) * channel.current_unit_a)
    # Only for what no regulator holds; the others are cut to rated current below.
    free = np.flatnonzero(volts < channel.held_v)
    omega = np.full(x.size, np.inf)
    omega[free] = wright_omega(x.ravel()[free])
    return np.minimum(omega.reshape(x.shape) * channel.current_unit_a, channel.rated_a)


def channel_slope(channel: Channel, holds_current: bool, amps: Array) -> Array:
    """Return the slope of the current against volts [S] where the current is `amps` [A].

    An LED has the slope resistance `slope_v / amps`, in series with the resistor.
    """
    siemens = amps / (channel.slope_v + channel.resistance_ohm * amps)
    return siemens * (amps < channel.rated_a) if holds_current else siemens


def idle_current(unit: CutUnit, volts: Array) -> tuple[Array, Array]:
    """Return the current drawn besides the LEDs [A] and its slope against volts [S].

    >>> unit = describe_cut_unit("pixel", rated_v=5.0, power_w_per_m=18.0, idle_a=0.001,
    ...     cut_unit_length_m=1/60, forward_v=(2.0, 3.0, 3.0), leds_in_series=1, dropout_v=0.4)
    >>> [float(a) for a in idle_current(unit, np.array([0.0, 1.25, 5.0]))[0]]
    [0.0, 0.0005, 0.001]
    """
    share = volts / unit.idle_min_v
    amps = unit.idle_a * np.clip(share, 0.0, 1.0)
    siemens = np.where((share >= 0.0) & (share < 1.0), unit.idle_a / unit.idle_min_v, 0.0)
    return amps, siemens


def describe_cut_unit(
    kind: Kind,
    *,
    rated_v: Values,
    power_w_per_m: Values,
    cut_unit_length_m: float,
    forward_v: Sequence[Values],
    leds_in_series: int | Sequence[int],
    dropout_v: Values | None = None,
    idle_a: Values = 0.0,
    idle_min_v: Values | None = None,
    ideality: float = IDEALITY,
) -> CutUnit:
    """Build a cut unit from the figures of a catalogue.

    A single unit at `rated_v` [V] draws exactly `power_w_per_m * cut_unit_length_m` [W] with
    every channel on; the channels share the current equally. The rated power of a pixel strip
    includes its idle current.

    Parameters: `power_w_per_m` [W/m] with all channels on; `forward_v` volts across the whole
    string of each channel at rated current [V], as many as there are channels; `leds_in_series`
    LEDs of a string, one number for all channels or one for each; `dropout_v` least volts the
    regulator needs to hold its current [V], not for a resistor strip; `idle_a` current of one
    unit when dark [A], pixel strips only; `idle_min_v` volts from which the idle current is drawn
    in full [V], half the rated volts when not given (an assumption); `ideality` emission
    coefficient of the LEDs.

    Raises ValueError, in a sentence, for figures that contradict each other.

    >>> unit = describe_cut_unit("resistor", rated_v=12.0, power_w_per_m=9.6,
    ...     cut_unit_length_m=0.05, forward_v=(9.0,), leds_in_series=3)
    >>> round(unit.channels[0].rated_a, 6), round(unit.channels[0].resistance_ohm, 6)
    (0.04, 75.0)
    """
    if kind not in ("resistor", "constant-current", "pixel"):
        raise ValueError(
            f'The kind of strip is "{kind}"; write resistor, constant-current or pixel.'
        )
    count = len(forward_v)
    series = [leds_in_series] * count if isinstance(leds_in_series, int) else list(leds_in_series)
    dropout = _dropouts(kind, rated_v, forward_v, dropout_v)
    if len(series) != count:
        raise ValueError(f"{len(series)} counts of LEDs in series for {count} channels; give one.")
    _require_above_zero(rated_v, "rated volts")
    _require_above_zero(power_w_per_m, "watts a metre")
    _require_above_zero(cut_unit_length_m, "length of a cut unit")
    if kind != "pixel" and np.any(np.asarray(idle_a) != 0):
        raise ValueError(f"A {kind} strip has no idle current; only a pixel strip has one.")
    total_a = power_w_per_m * cut_unit_length_m / rated_v
    if np.any(np.asarray(idle_a) < 0) or np.any(np.asarray(idle_a) >= total_a):
        raise ValueError(
            f"The idle current {idle_a} A does not lie between 0 and the {total_a} A that one "
            "unit draws at rated power; the rated power includes the idle current."
        )
    each_a = (total_a - idle_a) / max(count, 1)
    channels = tuple(
        Channel(each_a, volts, leds * ideality * THERMAL_V, left / each_a)
        for volts, leds, left in zip(forward_v, series, dropout, strict=True)
    )
    least = 0.5 * rated_v if idle_min_v is None else idle_min_v
    _require_above_zero(least, "volts for the full idle current")
    if np.any(np.asarray(least) > rated_v):
        raise ValueError(f"The full idle current needs {least} V, above the rated {rated_v} V.")
    return CutUnit(channels, kind != "resistor", kind == "pixel", idle_a, least)


def _dropouts(
    kind: Kind, rated_v: Values, forward_v: Sequence[Values], dropout_v: Values | None
) -> list[Values]:
    """Volts across the resistor or regulator of each channel at which it passes rated current."""
    for volts in forward_v:
        _require_above_zero(volts, "forward voltage")
        if np.any(np.asarray(rated_v - volts) <= 0):
            raise ValueError(
                f"The forward voltage {volts} V is not below the rated {rated_v} V; it is the "
                "volts of all LEDs of one string together."
            )
    if kind == "resistor":
        if dropout_v is not None:
            raise ValueError("A resistor strip has no dropout; leave the dropout volts out.")
        return [rated_v - volts for volts in forward_v]
    if dropout_v is None:
        raise ValueError(f"A {kind} strip needs the dropout volts of its regulator.")
    _require_above_zero(dropout_v, "dropout volts")
    for volts in forward_v:
        if np.any(np.asarray(volts + dropout_v) > rated_v):
            raise ValueError(
                f"Forward voltage {volts} V and dropout {dropout_v} V together exceed the rated "
                f"{rated_v} V; the regulator could never hold its current."
            )
    return [dropout_v for _ in forward_v]


def _require_above_zero(value: Values, name: str) -> None:
    if not np.all(np.asarray(value) > 0) or not np.all(np.isfinite(value)):
        raise ValueError(f"The {name} is {value}; give a number above 0.")
