"""What one supply draws at each level, and where that power goes, over the pack's volts.

    cells ─[bank's own converter]─ terminals ─ pack lead ─[converter]─ controller ─ leads ─ runs

The terminals are the first place a meter can reach. A table over their volts serves every moment
of a discharge; interpolated straight, its columns still add up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Stretch
from lightcalc.physics.converter import Converter, loss_w
from lightcalc.physics.ladder import Solution, solve
from lightcalc.physics.network import Network
from lightcalc.physics.pwm import time_slices

Array = NDArray[np.float64]

# Enough rows that straight lines between them miss a resistor strip's power by under 0.1 %.
ROWS = 33
LOWEST_SHARE_OF_CUTOFF = 0.8
FULL = Stretch(level_ratio=1.0, duration_s=0.0)


@dataclass(frozen=True)
class Circuit:
    """A supply ready to be worked out: its network, and what lies between pack and network.

    `pack_lead_ohm` is the loop from the terminals to the converter, with fuse and connectors; with
    no converter it is part of the network's series resistance too.
    """

    wired: Wired
    network: Network
    pack_lead_ohm: float
    converter: Converter | None


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
    `light_lm` is the light of all runs. `output_peak_a` flows into the controller in the pulse.
    """

    volts: Array
    watts: Watts
    peak_w: Array
    light_lm: Array
    output_peak_a: Array
    output_v: Array


def duties(wired: Wired, stretch: Stretch) -> tuple[float, ...]:
    """Return the share of the time each channel is on during a stretch of the evening."""
    mix = dict(stretch.mix)
    channels = wired.runs[0].strip.channels
    return tuple(stretch.level_ratio * mix.get(channel, 1.0) for channel in channels)


def terminal_volts(wired: Wired) -> Array:
    """Return the volts at the terminals to tabulate: one for a bank, else from low to full."""
    pack = wired.pack
    if pack.output_v is not None:
        return np.array([pack.output_v])
    return np.linspace(LOWEST_SHARE_OF_CUTOFF * pack.cutoff_v, pack.full_v * 1.001, ROWS)


def draw(circuit: Circuit, stretch: Stretch) -> Draw:
    """Tabulate what the supply draws at the level of one stretch."""
    volts = terminal_volts(circuit.wired)
    source = _behind_converter if circuit.converter else _straight_from_pack
    parts = [
        (part.share, source(circuit, part.on, volts))
        for part in time_slices(duties(circuit.wired, stretch))
    ]
    watts = parts[0][1].watts.weighted(parts[0][0])
    for share, found in parts[1:]:
        watts = watts.plus(found.watts.weighted(share))
    return Draw(
        volts=volts,
        watts=watts,
        peak_w=np.max([found.peak_w for _, found in parts], axis=0),
        light_lm=np.asarray(sum(share * found.light_lm for share, found in parts)),
        output_peak_a=np.max([found.output_peak_a for _, found in parts], axis=0),
        output_v=parts[0][1].output_v,
    )


def _straight_from_pack(circuit: Circuit, on: tuple[bool, ...], volts: Array) -> Draw:
    solution = solve(circuit.network, volts, on)
    pack_lead_w = circuit.pack_lead_ohm * solution.supply_a**2
    watts = _strip_side(circuit, solution, volts, pack_lead_w)
    return _as_draw(circuit, solution, watts, volts, volts)


def _behind_converter(circuit: Circuit, on: tuple[bool, ...], volts: Array) -> Draw:
    converter = circuit.converter
    assert converter is not None
    output_v = held_output_v(converter, lambda level: solve(circuit.network, level, on).supply_a)
    solution = solve(circuit.network, output_v, on)
    idle_w = _controller_idle_a(circuit.wired) * output_v
    output_w = float(solution.power.source_w) + idle_w
    ohm, input_v = circuit.pack_lead_ohm, volts
    for _ in range(6):
        input_a = (output_w + loss_w(converter, output_w, input_v)) / input_v
        # Below half of the volts the lead could not carry this power at all.
        input_v = np.maximum(volts - ohm * input_a, 0.5 * volts)
    lost_w = np.asarray(loss_w(converter, output_w, input_v)) * np.ones_like(volts)
    input_a = (output_w + lost_w) / input_v
    watts = _strip_side(circuit, solution, output_v * np.ones_like(volts), ohm * input_a**2)
    watts = watts.plus(_only_converter(lost_w))
    return _as_draw(circuit, solution, watts, volts, output_v * np.ones_like(volts))


def _only_converter(lost_w: Array) -> Watts:
    none = np.zeros_like(lost_w)
    return Watts(none, none, none, none, none, lost_w, none, none)


def held_output_v(converter: Converter, draws_a: Callable[[Array], Array]) -> float:
    """Return the volts a converter holds: its setting, or less where its current limit bites.

    `draws_a` gives the current of the load at given volts. Many converters switch off instead of
    sagging; the finding about the limit says so.
    """
    setting = converter.output_v
    if float(draws_a(np.array(setting))) <= converter.limit_a:
        return setting
    levels = np.linspace(0.0, setting, 97)
    return float(np.interp(converter.limit_a, draws_a(levels), levels))


def _controller_idle_a(wired: Wired) -> float:
    return wired.controller.idle_a if wired.controller else 0.0


def standby_w(circuit: Circuit, terminal_v: float) -> float:
    """Power drawn from the cells at all times when the piece is dark but not switched off [W]."""
    wired = circuit.wired
    controller_v = circuit.converter.output_v if circuit.converter else terminal_v
    watts = _controller_idle_a(wired) * controller_v
    for run in wired.runs:
        if run.strip.kind == "pixel":
            watts += run.strip.idle_a * run.units * controller_v
    if circuit.converter:
        watts += float(loss_w(circuit.converter, watts, terminal_v))
    return watts / (wired.pack.output_efficiency or 1.0)


def _strip_side(
    circuit: Circuit, solution: Solution, controller_v: Array, pack_lead_w: Array
) -> Watts:
    """Everything from the controller on, and the pack lead, spread over the rows."""
    rows = np.ones_like(controller_v)
    power = solution.power
    series_w = np.asarray(power.series_w) - (0.0 if circuit.converter else pack_lead_w)
    light = heat = np.zeros_like(controller_v)
    for cut_run, found in zip(circuit.wired.runs, solution.runs, strict=True):
        light = light + found.strip_w * (1.0 - cut_run.strip.heat_share)
        heat = heat + found.strip_w * cut_run.strip.heat_share
    return Watts(
        strip_light_w=light * rows,
        strip_heat_w=heat * rows,
        rail_heat_w=np.asarray(power.rail_w) * rows,
        lead_heat_w=np.asarray(power.lead_w) * rows,
        controller_heat_w=series_w * rows,
        converter_heat_w=0.0 * rows,
        pack_lead_heat_w=pack_lead_w * rows,
        standby_w=_controller_idle_a(circuit.wired) * controller_v,
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
        volts, watts, watts.total_w, light * rows, np.asarray(solution.supply_a) * rows, output_v
    )
