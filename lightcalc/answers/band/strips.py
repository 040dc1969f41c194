"""The strip side of a supply in every sample: its network, what it draws, and its light.

The same steps as `answer.build_supply`, `surroundings.heat_answer` and `runs` take for one answer,
over arrays of samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import FAR_BEYOND_K, Built
from lightcalc.answers.band.inputs import Factors
from lightcalc.answers.bench.model import MOST_FORWARD_SHARE, sagged_v, some_cases, spread_cases
from lightcalc.answers.draw import terminal_volts, with_jumpers
from lightcalc.answers.jumpers import JumperOhms
from lightcalc.answers.wiring import CutRun, copper_times
from lightcalc.design.piece import Use
from lightcalc.physics.circuit import network
from lightcalc.physics.circuit.ladder import Solution, solve
from lightcalc.physics.circuit.strip import (
    CutUnit,
    channel_current,
    describe_cut_unit,
    idle_current,
)
from lightcalc.physics.circuit.wire import hot_copper_ratio, loop_ohm
from lightcalc.physics.heat import strip_rise_k
from lightcalc.tables.mountings import mountings

Array = NDArray[np.float64]
On = tuple[bool, ...]


@dataclass(frozen=True)
class RunCases:
    """One run at full level in every sample, each (samples,)."""

    light_lm: Array
    dimmest_light_ratio: Array
    light_fall_ratio: Array
    strip_c: Array


@dataclass(frozen=True)
class Pulse:
    """What goes to the runs while some channels are on [W], and their light [lm].

    (samples, rows) straight on a pack, else (samples, 1).
    """

    source_w: Array
    held_v: Array
    light_lm: Array


class StripCases:
    """The runs and leads of one supply in every sample."""

    def __init__(self, number: int, built: Built, use: Use, factors: Factors) -> None:
        self.number, self.built, self.factors, self.use = number, built, factors, use
        self.wired, self.circuit = built.wired, built.circuit
        self.room_c = use.temperature_c + factors.log("temperature")
        self.units = [self._unit(run, one) for run, one in enumerate(self.wired.runs)]
        self.strip_c = [self._strip_c(run, one) for run, one in enumerate(self.wired.runs)]
        self.network = self._network()
        self._solved: dict[On, tuple[Array, Solution]] = {}

    def own(self, code: str, *place: int) -> Array:
        """Return the factor of a figure of this supply, or of one of its places (samples,)."""
        return self.factors.of(code, self.number, *place)

    @property
    def straight(self) -> bool:
        """Whether the runs hang straight on a bare pack, and follow its volts."""
        return self.circuit.converter is None and self.wired.pack.output_v is None

    @cached_property
    def idle_a(self) -> Array:
        """Current of the controller itself [A]."""
        controller = self.wired.controller
        return np.asarray((controller.idle_a if controller else 0.0) * self.own("idle"))

    @cached_property
    def set_v(self) -> Array:
        """Volts that a converter or a bank is set to; a bare pack's nominal volts [V]."""
        code = "output" if self.circuit.converter is not None else "bank output"
        return np.asarray(self.wired.output_v * self.own(code))

    @cached_property
    def pack_lead_ohm(self) -> Array:
        """Loop from the terminals on, with fuses and connectors [ohm]."""
        sized = self.built.sized.pack_lead
        length_m, size = 2.0 * sized.length_m, sized.check.wire.size
        others_ohm = self.circuit.pack_lead_ohm - loop_ohm(size, length_m, self.use.temperature_c)
        factor = self.own("wire") * self.own("lead length")
        return np.asarray(loop_ohm(size, length_m, self.room_c) * factor + others_ohm)

    # How the network comes about.

    def _unit(self, run: int, cut_run: CutRun) -> CutUnit:
        strip = cut_run.strip
        room_v = strip.rated_v * MOST_FORWARD_SHARE - (strip.dropout_v or 0.0)
        forward = self.own("forward", run)
        return describe_cut_unit(
            strip.kind,
            rated_v=strip.rated_v,
            power_w_per_m=strip.power_w_per_m * self.own("power", run),
            cut_unit_length_m=strip.cut_unit_m,
            forward_v=[np.minimum(volts * forward, room_v) for volts in strip.forward_v],
            leds_in_series=strip.leds_in_series,
            dropout_v=strip.dropout_v,
            idle_a=strip.idle_a,
        )

    def _strip_c(self, run: int, cut_run: CutRun) -> Array:
        """How warm a run gets at full level and the highest volts."""
        strip, unit = cut_run.strip, self.units[run]
        highest_v = self.wired.pack.full_v if self.straight else self.set_v
        at = np.broadcast_to(np.asarray(highest_v, dtype=float), (self.factors.size,))
        amps = [channel_current(one, unit.holds_current, at)[0] for one in unit.channels]
        rated = [one.rated_a for one in unit.channels]
        shares = [a / b for a, b in zip(amps, rated, strict=True)]
        light = np.asarray(sum(shares)) / len(shares)
        power = strip.power_w_per_m * self.own("power", run)
        total_a = np.asarray(sum(amps)) + idle_current(unit, at)[0]
        heat = at * total_a / strip.cut_unit_m - power * (1.0 - strip.heat_share) * light
        mounting = mountings()[cut_run.run.mounting]
        rise_k = strip_rise_k(np.maximum(heat, 0.0), mounting, strip.width_m, self.room_c)
        return np.asarray(self.room_c + rise_k * self.own("mounting", run))

    def _network(self) -> network.Network:
        drawn = self.circuit.network
        runs = tuple(self._run(number, one) for number, one in enumerate(drawn.runs))
        warmer = hot_copper_ratio(self.room_c) / hot_copper_ratio(self.use.temperature_c)
        leads = []
        for number, lead in enumerate(drawn.leads):
            factor = self.own("wire", number) * self.own("lead length", number) * warmer
            leads.append(copper_times(lead, factor, self.wired.leads[number].contact_ohm))
        jumpers = self.circuit.jumpers
        series_ohm = drawn.series_positive_ohm - jumpers.positive_ohm
        if self.circuit.converter is None:
            series_ohm = self.pack_lead_ohm
        returns = tuple(ohm - jumpers.return_ohm for ohm in drawn.series_return_ohm)
        warm = JumperOhms(jumpers.positive_ohm * warmer, jumpers.return_ohm * warmer)
        return with_jumpers(network.Network(runs, tuple(leads), series_ohm, returns), warm)

    def _run(self, number: int, drawn: network.Run) -> network.Run:
        built = self.built.heat[number]
        warm_c = np.minimum(self.strip_c[number], built.limit_c + FAR_BEYOND_K)
        strip = self.wired.runs[number].strip
        ohm_per_m = strip.rail_ohm_per_m * self.own("rail", number) * hot_copper_ratio(warm_c)
        return network.Run(
            self.units[number],
            drawn.units,
            drawn.unit_length_m,
            ohm_per_m,
            (ohm_per_m,) * len(drawn.return_ohm_per_m),
        )

    # What it draws.

    def solved(self, on: On) -> tuple[Array, Solution]:
        """Volts held for the runs with these channels on, and the runs there; not on a bare pack.

        A converter holds its setting, or less where its current limit bites.
        """
        if on not in self._solved:
            held_v = self.set_v.copy()
            found, converter = solve(self.network, held_v, on), self.circuit.converter
            if converter is not None:
                limit_a = converter.limit_a - self.idle_a
                over = found.supply_a > limit_a
                if over.any():
                    wiring = some_cases(self.network, over)
                    held_v[over] = sagged_v(wiring, held_v[over], limit_a[over], on)
                    found = solve(self.network, held_v, on)
            self._solved[on] = held_v, found
        return self._solved[on]

    def pulse(self, on: On) -> Pulse:
        """Return what the runs draw with these channels on."""
        if not any(on) and self._rests:
            return self._nothing()
        if self.straight:
            volts = terminal_volts(self.wired)
            at = np.broadcast_to(volts, (self.factors.size, volts.size))
            found = solve(spread_cases(self.network), at, on)
            return Pulse(found.power.source_w, at, self._light_lm(found))
        held_v, found = self.solved(on)
        light = self._light_lm(found)
        return Pulse(found.power.source_w[:, None], held_v[:, None], light[:, None])

    @property
    def _rests(self) -> bool:
        """Whether no strip draws anything when all of its channels are off."""
        return not any(np.any(unit.idle_a) for unit in self.units)

    def _nothing(self) -> Pulse:
        """Return the pulse in which no current flows."""
        held_v = terminal_volts(self.wired)[None, :] if self.straight else self.set_v[:, None]
        held_v = np.broadcast_to(held_v, (self.factors.size, held_v.shape[1]))
        none = np.zeros(held_v.shape)
        return Pulse(none, held_v, none)

    def _light_lm(self, found: Solution) -> Array:
        return np.asarray(sum(self._run_lm(run, found) for run in range(len(found.runs))))

    def _run_lm(self, run: int, found: Solution) -> Array:
        cut_run, light = self.wired.runs[run], found.runs[run].light.mean(axis=(-1, -2))
        # More watts of the same LEDs are more light.
        brighter = self.own("light", run) * self.own("power", run)
        brighter = brighter.reshape(-1, *(1,) * (light.ndim - 1))
        return np.asarray(light * brighter * cut_run.strip.light_lm_per_m * cut_run.length_m)

    def runs_at_full(self) -> tuple[RunCases, ...]:
        """Return every run at full level, with a bare pack at its nominal volts."""
        on = (True,) * len(self.wired.runs[0].strip.channels)
        found = solve(self.network, self.set_v, on) if self.straight else self.solved(on)[1]
        cases = []
        for run, one in enumerate(found.runs):
            light = one.light.mean(axis=-1)
            dimmest, brightest = light.min(axis=-1), np.maximum(light.max(axis=-1), 1e-12)
            warm_c = self.strip_c[run]
            fall = 1.0 - dimmest / brightest
            cases.append(RunCases(self._run_lm(run, found), dimmest, fall, warm_c))
        return tuple(cases)
