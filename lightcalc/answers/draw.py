"""What one supply draws at each level, and where that power goes, over the pack's volts.

    cells ─[bank's own converter]─ terminals ─ pack lead ─[converter]─ controller ─ leads ─ runs

The terminals are the first place a meter can reach. A table over their volts serves every moment
of a discharge; interpolated straight, its columns still add up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.jumpers import JumperOhms
from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Stretch
from lightcalc.physics.circuit.batch import each_array
from lightcalc.physics.circuit.converter import Converter, loss_w
from lightcalc.physics.circuit.ladder import Solution, solve
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.pwm import time_slices

Array = NDArray[np.float64]

# Enough rows that straight lines between them miss a resistor strip's power by under 0.1 %.
ROWS = 33
LOWEST_SHARE_OF_CUTOFF = 0.8
# Where a converter's limit is sought among this many volts, then between two of them again.
SAG_LEVELS = 33
FULL = Stretch(level_ratio=1.0, duration_s=0.0)


@dataclass(frozen=True)
class Circuit:
    """A supply ready to be worked out: its network, and what lies between pack and network.

    `pack_lead_ohm` is the loop from the terminals to the converter, with fuse and connectors; with
    no converter it is part of the network's series resistance too. `jumpers` are always part of it.
    """

    wired: Wired
    network: Network
    pack_lead_ohm: float
    converter: Converter | None
    jumpers: JumperOhms


def with_jumpers(network: Network, jumpers: JumperOhms) -> Network:
    """Return a network with jumpers between supply and leads."""
    returns = network.series_return_ohm or (0.0,) * network.returns
    return replace(
        network,
        series_positive_ohm=network.series_positive_ohm + jumpers.positive_ohm,
        series_return_ohm=tuple(ohm + jumpers.return_ohm for ohm in returns),
    )


@dataclass(frozen=True)
class Watts:
    """Where the power goes [W], each of shape (rows,)."""

    strip_light_w: Array
    strip_heat_w: Array
    rail_heat_w: Array
    lead_heat_w: Array
    controller_heat_w: Array
    converter_heat_w: Array
    pack_lead_heat_w: Array
    standby_w: Array

    @property
    def total_w(self) -> Array:
        """All of it: what leaves the cells' terminals."""
        return np.asarray(sum(getattr(self, field.name) for field in fields(self)))

    def weighted(self, share: float) -> Watts:
        """Return a share of every column."""
        return Watts(*(share * getattr(self, field.name) for field in fields(self)))

    def plus(self, other: Watts) -> Watts:
        """Add column by column."""
        names = [field.name for field in fields(self)]
        return Watts(*(getattr(self, name) + getattr(other, name) for name in names))

    def at(self, volts: Array, place: float) -> dict[str, float]:
        """Return every column at one voltage."""
        names = [field.name for field in fields(self)]
        return {name: float(np.interp(place, volts, getattr(self, name))) for name in names}


@dataclass(frozen=True)
class Draw:
    """What one level draws over the volts at the pack's terminals, each of shape (rows,).

    `watts` are means over the dimmer's period; `peak_w` is drawn while its pulse is on.
    `light_lm` is the light of all runs. `output_peak_a` flows into the controller in the pulse, its
    own current included, and `channel_peak_a` into the channel that carries most. `told` is the
    network in the first pulse of a period, at the volts that a converter holds, or nominal ones.
    """

    volts: Array
    watts: Watts
    peak_w: Array
    light_lm: Array
    output_peak_a: Array
    channel_peak_a: Array
    output_v: Array
    told: Solution

    def at_v(self, volts: Array | float, values: Array) -> Array:
        """Return one of the columns at other volts; level outside the table."""
        return np.asarray(np.interp(volts, self.volts, values))


def duties(channels: Sequence[str], stretch: Stretch) -> tuple[float, ...]:
    """Return the share of the time each channel is on during a stretch of the evening."""
    mix = dict(stretch.mix)
    return tuple(stretch.level_ratio * mix.get(channel, 1.0) for channel in channels)


def terminal_volts(wired: Wired) -> Array:
    """Return the volts at the terminals to tabulate: one for a bank, else from low to full."""
    pack = wired.pack
    if pack.output_v is not None:
        return np.array([pack.output_v])
    return np.linspace(LOWEST_SHARE_OF_CUTOFF * pack.cutoff_v, pack.full_v * 1.001, ROWS)


def draws(circuit: Circuit, stretches: Sequence[Stretch]) -> tuple[Draw, ...]:
    """Tabulate what the supply draws at the level of each stretch.

    Levels differ in how long the pulses last, not in the pulses, so each pulse is solved once.
    """
    volts = terminal_volts(circuit.wired)
    source = _behind_converter if circuit.converter else _straight_from_pack
    channels = circuit.wired.runs[0].strip.channels
    periods = [time_slices(duties(channels, stretch)) for stretch in stretches]
    states = dict.fromkeys(part.on for period in periods for part in period)
    pulses = {on: source(circuit, on, volts) for on in states}
    return tuple(_mean([(part.share, pulses[part.on]) for part in period]) for period in periods)


def _mean(parts: Sequence[tuple[float, Draw]]) -> Draw:
    """Mean over a period: power and light by time, currents by the most."""
    watts = parts[0][1].watts.weighted(parts[0][0])
    for share, found in parts[1:]:
        watts = watts.plus(found.watts.weighted(share))
    first = parts[0][1]
    return Draw(
        volts=first.volts,
        watts=watts,
        peak_w=np.max([found.peak_w for _, found in parts], axis=0),
        light_lm=np.asarray(sum(share * found.light_lm for share, found in parts)),
        output_peak_a=np.max([found.output_peak_a for _, found in parts], axis=0),
        channel_peak_a=np.max([found.channel_peak_a for _, found in parts], axis=0),
        output_v=first.output_v,
        told=first.told,
    )


def _straight_from_pack(circuit: Circuit, on: tuple[bool, ...], volts: Array) -> Draw:
    found = solve(circuit.network, np.append(volts, circuit.wired.output_v), on)
    solution: Solution = each_array(lambda array: array[:-1], found)
    pack_lead_w = circuit.pack_lead_ohm * solution.supply_a**2
    watts = _strip_side(circuit, solution, volts, pack_lead_w)
    drawn = _as_draw(circuit, solution, watts, volts, volts)
    return replace(drawn, told=each_array(lambda array: np.asarray(array[-1]), found))


def _behind_converter(circuit: Circuit, on: tuple[bool, ...], volts: Array) -> Draw:
    converter = circuit.converter
    assert converter is not None
    held_v, solution = held(circuit, converter, on)
    output_v = np.full_like(volts, held_v)
    output_w = float(solution.power.source_w) + controller_idle_a(circuit.wired) * held_v
    ohm, input_v = circuit.pack_lead_ohm, volts
    for _ in range(3):
        # Only the idle draw depends on the input's volts, so this settles at once.
        input_w = output_w + np.asarray(loss_w(converter, output_w, input_v))
        # Below half of the volts the lead could not carry this power at all.
        input_v = volts / 2.0 + np.sqrt(np.maximum(volts**2 / 4.0 - ohm * input_w, 0.0))
    watts = _strip_side(circuit, solution, output_v, ohm * (input_w / input_v) ** 2)
    watts = watts.plus(_only_converter(input_w - output_w))
    return _as_draw(circuit, solution, watts, volts, output_v)


def _only_converter(lost_w: Array) -> Watts:
    none = np.zeros_like(lost_w)
    return Watts(none, none, none, none, none, lost_w, none, none)


def held(circuit: Circuit, converter: Converter, on: tuple[bool, ...]) -> tuple[float, Solution]:
    """Find the volts a converter holds: its setting, or less where its current limit bites.

    Many converters switch off instead of sagging; the finding about the limit says so.
    """
    limit_a = runs_limit_a(circuit.wired, converter)
    solution = solve(circuit.network, converter.output_v, on)
    if float(solution.supply_a) <= limit_a:
        return converter.output_v, solution
    low_v, high_v = 0.0, converter.output_v
    for _ in range(2):
        levels = np.linspace(low_v, high_v, SAG_LEVELS)
        amps = solve(circuit.network, levels, on).supply_a
        place = min(max(int(np.searchsorted(amps, limit_a)), 1), SAG_LEVELS - 1)
        low_v, high_v = float(levels[place - 1]), float(levels[place])
    held_v = float(np.interp(limit_a, amps[place - 1 : place + 1], (low_v, high_v)))
    return held_v, solve(circuit.network, held_v, on)


def runs_limit_a(wired: Wired, converter: Converter) -> float:
    """Return what a converter at its current limit has left for the runs [A]."""
    return converter.limit_a - controller_idle_a(wired)


def controller_idle_a(wired: Wired) -> float:
    """Return what the controller itself draws [A]; 0 when there is none."""
    return wired.controller.idle_a if wired.controller else 0.0


def standby_w(circuit: Circuit, terminal_v: float) -> float:
    """Power drawn at the terminals at all times when the piece is dark but not switched off [W]."""
    wired = circuit.wired
    controller_v = circuit.converter.output_v if circuit.converter else terminal_v
    watts = controller_idle_a(wired) * controller_v
    for run in wired.runs:
        if run.strip.kind == "pixel":
            watts += run.strip.idle_a * run.units * controller_v
    if circuit.converter:
        watts += float(loss_w(circuit.converter, watts, terminal_v))
    return watts


def _strip_side(
    circuit: Circuit, solution: Solution, controller_v: Array, pack_lead_w: Array
) -> Watts:
    """Everything from the controller on, and the pack lead, spread over the rows."""
    rows = np.ones_like(controller_v)
    power = solution.power
    jumpers_w = circuit.jumpers.positive_ohm * solution.supply_a**2
    jumpers_w = jumpers_w + circuit.jumpers.return_ohm * (solution.return_a**2).sum(axis=-1)
    series_w = np.asarray(power.series_w) - (0.0 if circuit.converter else pack_lead_w) - jumpers_w
    light = heat = np.zeros_like(controller_v)
    for cut_run, found in zip(circuit.wired.runs, solution.runs, strict=True):
        # Light goes with the current of the LEDs, so what it misses of the power is heat.
        light_w = cut_run.rated_light_w * np.asarray(found.light).mean(axis=(-1, -2))
        light_w = np.minimum(light_w, found.strip_w)
        light = light + light_w
        heat = heat + (found.strip_w - light_w)
    return Watts(
        strip_light_w=light * rows,
        strip_heat_w=heat * rows,
        rail_heat_w=np.asarray(power.rail_w) * rows,
        lead_heat_w=(np.asarray(power.lead_w) + jumpers_w) * rows,
        controller_heat_w=series_w * rows,
        converter_heat_w=0.0 * rows,
        pack_lead_heat_w=pack_lead_w * rows,
        standby_w=controller_idle_a(circuit.wired) * controller_v,
    )


def _as_draw(
    circuit: Circuit, solution: Solution, watts: Watts, volts: Array, output_v: Array
) -> Draw:
    efficiency = circuit.wired.pack.output_efficiency
    if efficiency is not None:
        watts = watts.plus(_only_converter(watts.total_w * (1.0 / efficiency - 1.0)))
    rows = np.ones_like(volts)
    light = np.zeros_like(volts)
    for cut_run, found in zip(circuit.wired.runs, solution.runs, strict=True):
        rated_lm = cut_run.strip.light_lm_per_m * cut_run.length_m
        light = light + rated_lm * np.asarray(found.light).mean(axis=(-1, -2))
    return Draw(
        volts=volts,
        watts=watts,
        peak_w=watts.total_w,
        light_lm=light * rows,
        output_peak_a=(solution.supply_a + controller_idle_a(circuit.wired)) * rows,
        channel_peak_a=np.max(np.abs(solution.return_a), axis=-1) * rows,
        output_v=output_v,
        told=solution,
    )
