"""The pack side of a supply in every sample: its cells, and what they give lit and dark.

The same steps as `draw`, `bought` and `endurance` take for one answer, over arrays of samples.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.band.hours import BatchHours, SupplyCases, batch_hours, evening_of, gone_v
from lightcalc.answers.band.strips import Pulse, StripCases
from lightcalc.answers.bought import stated_figures
from lightcalc.answers.draw import duties, terminal_volts
from lightcalc.answers.endurance import levels_of
from lightcalc.design.piece import Stretch
from lightcalc.physics.charge import habit
from lightcalc.physics.charge.bank import TYPICAL_HOLD_S
from lightcalc.physics.charge.pack import Pack as Cells
from lightcalc.physics.charge.pack import scale_pack
from lightcalc.physics.charge.pack_batch import describe_packs
from lightcalc.physics.charge.wear import MONTH_S
from lightcalc.physics.circuit.converter import loss_w, lowest_input_v
from lightcalc.physics.circuit.pwm import time_slices
from lightcalc.physics.interpolation import interp_rows

Array = NDArray[np.float64]

# A pack with less of its charge left than this is no pack.
LEAST_HEALTH = 0.05
EVERY_ROW = 4


class PackCases:
    """The pack of one supply, and all that it feeds, in every sample."""

    def __init__(self, strips: StripCases) -> None:
        self.strips, self.own = strips, strips.own
        self.wired, self.use = strips.wired, strips.use
        self.part, self.converter = strips.wired.pack, strips.circuit.converter
        self.levels = levels_of(self.use)
        # What a converter draws is so nearly straight over the volts that fewer rows will do.
        self.table_v = terminal_volts(self.wired)[:: EVERY_ROW if self.converter else 1]

    def hours(self) -> BatchHours:
        """Live with every pack, evening after evening."""
        evening = evening_of(self.use)
        return batch_hours(self.cases, evening, self.use.evenings_a_week)

    def days_until_flat(self) -> Array:
        """Days a full pack lasts when the light is never switched on (samples,)."""
        return habit.days_until_flat(self.cells, self._dark_w, self._leak_a)

    @cached_property
    def cases(self) -> SupplyCases:
        """Everything that `batch_hours` asks for."""
        tables = [self._level(level) for level in self.levels]
        mean, peak, light, least = (np.stack(part, axis=1) for part in zip(*tables, strict=True))
        return SupplyCases(
            cells=self.cells,
            volts=self.table_v,
            mean_w=mean,
            peak_w=peak,
            max_a=self.part.max_amps * self.wired.supply.pack_multiple,
            least_v=gone_v(self.table_v, light) if self.strips.straight else least,
            light_lm=light if self.strips.straight else None,
            dark_w=self._dark_w,
            leak_a=self._leak_a,
            asleep=self._asleep(mean),
        )

    # The cells.

    @cached_property
    def cells(self) -> Cells:
        """The cells of every sample, described as an answer describes those of the catalogue."""
        lost = (1.0 - self.wired.supply.health_ratio) * self.own("age")
        cells = describe_packs(
            self.part.chemistry,
            stated_figures(self.part),
            capacity=self.own("capacity"),
            resistance=self.own("resistance"),
            health=np.maximum(1.0 - lost, LEAST_HEALTH),
            temperature_c=self.strips.room_c,
        )
        return scale_pack(cells, parallel=self.wired.supply.pack_multiple)

    @property
    def _leak_a(self) -> Array:
        month = self.part.self_discharge_per_month * self.own("self-discharge")
        return np.asarray(month * self.cells.capacity_coulomb / MONTH_S)

    # What they give.

    @cached_property
    def terminal_v(self) -> Array:
        """Volts at the terminals for each row: (1, rows), or (samples, 1) of a bank's socket."""
        if self.part.output_v is None:
            return self.table_v[None, :]
        return (self.part.output_v * self.own("bank output"))[:, None]

    @cached_property
    def bank_share(self) -> Array:
        """Share of what a bank's cells give that comes out of it; 1 for other packs."""
        if self.part.output_efficiency is None:
            return np.ones(self.strips.factors.size)
        return np.minimum(self.part.output_efficiency * self.own("bank efficiency"), 1.0)

    @cached_property
    def _pulses(self) -> dict[tuple[bool, ...], tuple[Array, Pulse]]:
        """Watts at the cells for each state of the channels that a level goes through."""
        channels = self.wired.runs[0].strip.channels
        periods = [time_slices(duties(channels, level)) for level in self.levels]
        states = dict.fromkeys(part.on for period in periods for part in period)
        found = {}
        for on in states:
            pulse = self.strips.pulse(on)
            output_w = pulse.source_w + self.strips.idle_a[:, None] * pulse.held_v
            watts = self._at_terminals(output_w)
            found[on] = watts / self.bank_share[:, None], pulse
        return found

    def _level(self, level: Stretch) -> tuple[Array, Array, Array, Array]:
        """Mean and peak watts, light (samples, rows), and volts to hold out to (samples,)."""
        channels = self.wired.runs[0].strip.channels
        period = time_slices(duties(channels, level))
        parts = [(part.share, *self._pulses[part.on]) for part in period]
        mean = np.asarray(sum(share * watts for share, watts, _ in parts))
        peak = np.max([watts for _, watts, _ in parts], axis=0)
        light = np.asarray(sum(share * pulse.light_lm for share, _, pulse in parts))
        return mean, peak, light, self._let_go_v(peak)

    def _at_terminals(self, output_w: Array) -> Array:
        """Watts at the terminals (samples, rows) for watts into the controller."""
        volts, converter = self.terminal_v, self.converter
        rows = np.ones((len(output_w), self.table_v.size))
        if converter is None:
            return np.asarray(output_w * rows)
        ohm, input_v = self.strips.pack_lead_ohm[:, None], volts * rows
        for _ in range(3):
            # Only the idle draw depends on the input's volts, so this settles at once.
            input_w = self._into_converter(output_w * rows, input_v)
            root = np.sqrt(np.maximum(volts**2 / 4.0 - ohm * input_w, 0.0))
            input_v = volts / 2.0 + root
        return np.asarray(input_w + ohm * (input_w / input_v) ** 2)

    def _into_converter(self, output_w: Array, input_v: Array) -> Array:
        """Watts into the converter; a better or worse one takes less or more for all it gives."""
        converter = self.converter
        assert converter is not None
        factor = self.own("efficiency")[:, None]
        idle_w = converter.idle_a * self.own("converter idle")[:, None] * input_v
        if converter.efficiency is not None:
            share = np.minimum(converter.efficiency * factor, 1.0)
            return np.asarray(np.maximum(output_w / share, output_w + idle_w))
        # The loss goes with the amps that leave it.
        as_set_w = output_w * (converter.output_v / self.strips.set_v[:, None])
        lost_w = np.asarray(loss_w(replace(converter, idle_a=0.0), as_set_w, input_v))
        return np.asarray(np.maximum((output_w + lost_w) / factor, output_w + idle_w))

    def _let_go_v(self, peak_w: Array) -> Array:
        """Volts at the terminals at which the converter lets go; 0 where it never does."""
        converter = self.converter
        if converter is None or self.part.output_v is not None:
            return np.zeros(len(peak_w))
        lowest_v = np.full(len(peak_w), lowest_input_v(converter))
        if converter.kind == "buck":
            set_v = self.strips.set_v
            lowest_v = np.maximum(converter.input_min_v, set_v + converter.headroom_v)
        input_v = self.table_v - self.strips.pack_lead_ohm[:, None] * peak_w / self.table_v
        rows = np.ascontiguousarray(np.broadcast_to(self.table_v, input_v.shape))
        return interp_rows(lowest_v, np.maximum.accumulate(input_v, axis=1), rows)

    # Between evenings.

    @cached_property
    def _standby_w(self) -> Array:
        """Watts at the terminals when the piece is dark but not switched off (samples,)."""
        strips, part = self.strips, self.part
        terminal_v = self.terminal_v[:, 0] if part.output_v is not None else part.nominal_v
        controller_v = strips.set_v if self.converter is not None else terminal_v
        pixels_a = sum(
            one.strip.idle_a * one.units for one in self.wired.runs if one.strip.kind == "pixel"
        )
        watts = (strips.idle_a + pixels_a) * controller_v
        if self.converter is None:
            return np.asarray(watts)
        at = np.broadcast_to(terminal_v, watts.shape)
        return self._into_converter(watts[:, None], at[:, None])[:, 0]

    @cached_property
    def _dark_w(self) -> Array:
        """Watts drawn from the cells between evenings (samples,)."""
        watts, part = self._standby_w, self.part
        if self.wired.supply.switched_off:
            return 0.0 * watts
        if part.auto_off_a is not None and part.output_v is not None:
            sleeps = watts / self.terminal_v[:, 0] < part.auto_off_a
            watts = np.where(sleeps, 0.0, watts)
        return np.asarray(watts / self.bank_share)

    def _asleep(self, mean_w: Array) -> NDArray[np.bool_]:
        """Whether a bank switches itself off at one of the evening's levels (samples,)."""
        asleep = np.zeros(len(mean_w), dtype=bool)
        if self.part.auto_off_a is None or self.part.output_v is None:
            return asleep
        socket_a = mean_w[:, :, 0] * (self.bank_share / self.terminal_v[:, 0])[:, None]
        for number, level in enumerate(self.levels):
            waits = [
                one.duration_s > TYPICAL_HOLD_S
                for one in self.use.stretches
                if (one.level_ratio, one.mix) == (level.level_ratio, level.mix)
            ]
            if any(waits):
                asleep |= socket_a[:, number] < self.part.auto_off_a
        return asleep
