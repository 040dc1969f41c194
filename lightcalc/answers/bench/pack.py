"""The pack of a supply in every case of a batch: its charge run down at each level.

The same steps as `draw` and `endurance` take for one answer, over arrays of cases.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench.built import BuiltSupply
from lightcalc.answers.draw import terminal_volts
from lightcalc.answers.endurance import GONE, HALF
from lightcalc.physics.charge.discharge import discharge
from lightcalc.physics.charge.load import Crossing, Load
from lightcalc.physics.charge.pack import Pack, describe_pack, scale_pack
from lightcalc.physics.circuit.converter import loss_w, lowest_input_v

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Ends:
    """Watts into the controller with runs lit and dark, and the light [W]; (cases, rows or 1)."""

    lit_w: Array
    dark_w: Array
    light_w: Array


@dataclass(frozen=True)
class Curve:
    """One level held from full to the end, (cases, moments); level from the end on."""

    time_s: Array
    volts: Array
    amps: Array
    rest_v: Array


class StripSide(Protocol):
    """What the pack side asks of the rest of its supply."""

    knob: dict[tuple[str, int], Array]
    pack_lead_ohm: Array

    @property
    def straight(self) -> bool:
        """Whether the runs hang straight on a bare pack."""

    def draws(self, volts: Array) -> Ends:
        """Return what lit and dark runs take at these volts of the terminals."""

    def full_lit_v(self) -> Array:
        """Volts at the terminals of a full pack straight on its runs, at full level [V]."""


class PackSide:
    """The pack of one supply, discharged from full at each of some levels, in every case."""

    def __init__(self, supply: BuiltSupply, strips: StripSide, levels: tuple[float, ...]) -> None:
        self.circuit, self.wired = supply.circuit, supply.circuit.wired
        self.supply, self.strips, self.levels = supply, strips, levels

    # What a meter or a clock shows; every function returns one number for each case.

    def lit_v(self, level: float, lit_s: float) -> Array:
        """Volts at the terminals while lit [V]."""
        if lit_s == 0.0:
            return self._first(level)[0]
        return self._at(self._curve(level).volts, level, lit_s)

    def lit_a(self, level: float, lit_s: float) -> Array:
        """Mean current at the terminals while lit [A]."""
        if lit_s == 0.0:
            return self._first(level)[1]
        return self._at(self._curve(level).amps, level, lit_s)

    def rest_v(self, level: float, lit_s: float) -> Array:
        """Volts at the terminals of the rested pack after it was lit [V]."""
        if lit_s == 0.0:
            return self.full_v
        return self._at(self._curve(level).rest_v, level, lit_s)

    def until_s(self, level: float, until: str) -> Array:
        """Time from full until the light goes out, or until it is half of what it was [s]."""
        curve = self._curve(level)
        if self.wired.pack.output_v is not None:
            return curve.time_s[:, -1]
        ends_s = _falls_to(curve, self._least_v)
        if until == "out" or self.circuit.converter is not None:
            return ends_s
        light = self._ends.light_w
        start_v = curve.volts[:, 0]
        at_start = _interp(start_v, self._volts, light)
        half_v = _interp(HALF * at_start, light, self._volts)
        return np.minimum(_falls_to(curve, half_v), ends_s)

    def _at(self, values: Array, level: float, lit_s: float) -> Array:
        return _interp(lit_s, self._curve(level).time_s, values)

    # How it comes about.

    @cached_property
    def _volts(self) -> Array:
        return terminal_volts(self.wired)

    @cached_property
    def _ends(self) -> Ends:
        return self.strips.draws(self._volts)

    @cached_property
    def _cells(self) -> Pack:
        """The cells of every case, described as an answer describes those of the catalogue."""
        part, knob = self.wired.pack, self.strips.knob
        capacity = np.exp(knob["capacity", 0])
        fast = part.fast_capacity_coulomb
        cells = describe_pack(
            part.chemistry,
            part.capacity_coulomb * capacity,
            part.nominal_v,
            full_volts=part.full_v,
            cutoff_volts=part.cutoff_v,
            resistance_ohm=part.resistance_ohm * np.exp(knob["resistance", 0]),
            slow_current_a=part.slow_current_a,
            fast_capacity_coulomb=None if fast is None else fast * capacity,
            fast_current_a=part.fast_current_a,
            cells_in_series=part.cells_in_series,
            health=self.supply.supply.health_ratio,
            temperature_c=self.supply.temperature_c,
        )
        cells = scale_pack(cells, parallel=self.supply.supply.pack_multiple)
        raised_v = np.expm1(knob["rest", 0]) * part.nominal_v / cells.cells
        fields = {**vars(cells), "curve_shift_volts": cells.curve_shift_volts + raised_v}
        return Pack(**fields)

    @cached_property
    def _powers(self) -> tuple[Array, Array]:
        """Watts at the cells with runs lit and dark, (cases, rows)."""
        ends = self._ends
        lit_w, dark_w = (self._at_cells(watts) for watts in (ends.lit_w, ends.dark_w))
        return lit_w, dark_w

    def _at_cells(self, watts: Array) -> Array:
        """Watts at the cells for watts into the controller: converter, pack lead and bank."""
        efficiency = np.exp(self.strips.knob["efficiency", 0])[:, None]
        volts, ohm = self._volts[None, :], self.strips.pack_lead_ohm[:, None]
        converter, rows = self.circuit.converter, np.ones((len(efficiency), self._volts.size))
        if converter is not None:
            input_v = volts * rows
            for _ in range(3):
                # Only the idle draw depends on the input's volts, so this settles at once.
                input_w = watts + np.asarray(loss_w(converter, watts * rows, input_v))
                if self.wired.pack.output_v is None:
                    idle_w = converter.idle_a * input_v
                    input_w = np.maximum(input_w / efficiency, watts + idle_w)
                root = np.sqrt(np.maximum(volts**2 / 4.0 - ohm * input_w, 0.0))
                input_v = volts / 2.0 + root
            watts = input_w * volts / input_v
        if self.wired.pack.output_efficiency is not None:
            watts = watts / (self.wired.pack.output_efficiency * efficiency)
        return np.asarray(watts * rows)

    def _load(self, level: Array | float) -> Load:
        lit_w, dark_w = self._powers
        mean_w = level * lit_w + (1.0 - level) * dark_w
        return Load(self._volts, mean_w, np.broadcast_to(lit_w, mean_w.shape))

    def _first(self, level: float) -> tuple[Array, Array]:
        """Volts and amps when the full pack is switched on, without running it down."""
        if self.strips.straight and level == 1.0:
            volts = self.strips.full_lit_v()
            return volts, (self.full_v - volts) / self.cell_ohm
        crossing = Crossing(self._load(level), self.cell_ohm, self._cells.cutoff_volts)
        volts, amps, _ = crossing.at(self.full_v)
        return volts, amps

    @property
    def full_v(self) -> Array:
        """Volts at rest when full [V]."""
        return np.asarray(self._cells.open_circuit_volts(0.0))

    @property
    def cell_ohm(self) -> Array:
        """Resistance of the pack that acts at once [ohm]."""
        return self._cells.ohms

    @cached_property
    def _curves(self) -> tuple[Curve, ...]:
        load = self._load(np.array(self.levels)[:, None, None])
        most_a = self.wired.pack.max_amps * self.supply.supply.pack_multiple
        found = discharge(self._cells, load, most_a)
        rest_v = found.volts + found.pack_heat_w / np.maximum(found.amps, 1e-30)
        columns = (found.time_s, found.volts, found.amps, rest_v)
        return tuple(Curve(*(column[n] for column in columns)) for n in range(len(self.levels)))

    def _curve(self, level: float) -> Curve:
        return self._curves[self.levels.index(level)]

    @cached_property
    def _least_v(self) -> Array:
        """Volts of the terminals at which the converter lets go, or a straight strip is dark."""
        if self.circuit.converter is None:
            light = self._ends.light_w
            return _interp(GONE * light[:, -1], light, self._volts)
        input_v = self._volts - self.strips.pack_lead_ohm[:, None] * self._powers[0] / self._volts
        return _interp(lowest_input_v(self.circuit.converter), input_v, self._volts)


def _falls_to(curve: Curve, least_v: Array) -> Array:
    """Time at which the terminals have fallen to some volts, or the end of the charge [s]."""
    return _interp(-least_v, -curve.volts, curve.time_s)


def _interp(at: Array | float, x: Array, y: Array) -> Array:
    """Interpolate case by case; what all cases share may be given once."""
    cases = max(np.shape(at)[:1] + x.shape[: x.ndim - 1] + y.shape[: y.ndim - 1])
    places = np.broadcast_to(at, (cases,))
    xs, ys = (np.broadcast_to(values, (cases, values.shape[-1])) for values in (x, y))
    return np.array([np.interp(*row) for row in zip(places, xs, ys, strict=True)])
