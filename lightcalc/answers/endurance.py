"""How long one supply lasts: every level from full to its end, and evening after evening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.band.tolerances import DEVIATIONS_IN_A_TOLERANCE, DEVIATIONS_TO_THE_90TH
from lightcalc.answers.draw import FULL, Circuit, Draw, draws
from lightcalc.answers.march import Trial, march
from lightcalc.answers.results import (
    BalanceAnswer,
    LevelAnswer,
    SeriesAnswer,
    SupplyAnswer,
)
from lightcalc.answers.standby import bank_falls_asleep, dark_w_of, leak_a_of, socket_a
from lightcalc.design.piece import Stretch, Use
from lightcalc.parts.kinds import Pack
from lightcalc.physics.charge import habit
from lightcalc.physics.charge.discharge import ENDINGS, Discharge, Ending
from lightcalc.physics.charge.pack import Pack as Cells
from lightcalc.physics.charge.pack import scale_pack
from lightcalc.physics.charge.wear import Wear, wear
from lightcalc.physics.circuit.converter import lowest_input_v

Array = NDArray[np.float64]

HOUR_S, DAY_S = 3600.0, 86_400.0
SERIES_POINTS = 60
# A strip straight on its pack fades with it. Its light counts until it is half of what it was when
# the charge began, and as gone at a tenth of what the full pack gave (judgement).
HALF, GONE = 0.5, 0.1
# Stable words for what ended a charge; the screens put them into sentences.
ENDED_BY = {
    Ending.CUTOFF: "cut-off",
    Ending.STALL: "cannot deliver",
    Ending.TRIP: "protection",
    Ending.FLAT: "empty",
    Ending.IDLE: "nothing drawn",
}
HALF_LIGHT, STARVED, FADED = "half light", "converter", "nothing drawn"


@dataclass(frozen=True)
class Charge:
    """One supply on one charge, level by level; level 0 is full, then those of the evening."""

    circuit: Circuit
    use: Use
    cells: Cells
    levels: tuple[Stretch, ...]
    draws: tuple[Draw, ...]
    curves: tuple[Discharge, ...]
    ended_by: tuple[str, ...]
    half_s: tuple[float | None, ...]
    """When a level is down to half of its light; None where it never is before its end."""
    stranded: tuple[float, ...]
    """Share of what the pack could give at each level that is left in it at the end."""

    def number_of(self, stretch: Stretch) -> int:
        """Return which of the levels a stretch of the evening is lit at."""
        keys = [(level.level_ratio, level.mix) for level in self.levels]
        return keys.index((stretch.level_ratio, stretch.mix))

    def counted_s(self, number: int) -> float:
        """How long a level counts as light: to its end, or until it is down to half."""
        half_s = self.half_s[number]
        return float(self.curves[number].duration_s) if half_s is None else half_s

    @cached_property
    def course(self) -> habit.Course:
        """The charge lived with evening after evening, with all that is drawn in the dark."""
        part = self.circuit.wired.pack
        return self._course(dark_w_of(self.circuit) / (part.output_efficiency or 1.0))

    @property
    def lit_h(self) -> float:
        """Hours of light, evening after evening; 0 when a USB bank lets it go."""
        return 0.0 if falls_asleep(self, self.use) else self.course.lit_s / HOUR_S

    @property
    def switched_off_h(self) -> float:
        """The same of a supply that is switched off between evenings."""
        if falls_asleep(self, self.use):
            return 0.0
        course = self.course if dark_w_of(self.circuit) == 0.0 else self._course(0.0)
        return course.lit_s / HOUR_S

    def _course(self, dark_w: float) -> habit.Course:
        evening = [habit.Stretch(self.number_of(one), one.duration_s) for one in self.use.stretches]
        curves = [
            curve if half_s is None else cut_short(curve, half_s)
            for curve, half_s in zip(self.curves, self.half_s, strict=True)
        ]
        return habit.live_with(
            self.cells,
            curves,
            evening,
            self.use.evenings_a_week,
            idle_w=dark_w,
            self_discharge_a=leak_a_of(self.cells, self.circuit.wired.pack),
        )


def run_down(circuit: Circuit, cells: Cells, use: Use) -> Charge:
    """Discharge the cells at full level and at each level of the evening."""
    return run_down_sizes([(circuit, cells)], use, (1.0,))[0][0]


def run_down_sizes(
    supplies: Sequence[tuple[Circuit, Cells]], use: Use, sizes: Sequence[float]
) -> tuple[tuple[Charge, ...], ...]:
    """Discharge packs of several sizes together: for each supply, one charge for each size.

    A size is how many times the cells, protection and all, a supply has in place of its own; its
    wiring stays.
    """
    levels = levels_of(use)
    trials = []
    for circuit, cells in supplies:
        tables = draws(circuit, levels)
        most_a = circuit.wired.pack.max_amps * circuit.wired.supply.pack_multiple
        for size in sizes:
            trials.append(Trial(circuit, scale_pack(cells, parallel=size), most_a * size, tables))
    charges = [
        _charge(trial, use, levels, curves)
        for trial, curves in zip(trials, march(trials), strict=True)
    ]
    return tuple(tuple(charges[at : at + len(sizes)]) for at in range(0, len(charges), len(sizes)))


def levels_of(use: Use) -> tuple[Stretch, ...]:
    """Return full level, then every other level of the evening, each once."""
    found: dict[tuple[float, tuple[tuple[str, float], ...]], Stretch] = {}
    for stretch in (FULL, *use.stretches):
        found.setdefault((stretch.level_ratio, stretch.mix), stretch)
    return tuple(found.values())


def _charge(trial: Trial, use: Use, levels: tuple[Stretch, ...], whole: list[Discharge]) -> Charge:
    """Find where each level of a charge stops being light, and what ends it."""
    circuit, tables = trial.circuit, trial.tables
    curves, ended_by, stranded = [], [], []
    for drawn, curve in zip(tables, whole, strict=True):
        lowest_v = useful_down_to_v(circuit, drawn)
        early = bool(curve.volts[-1] < lowest_v)
        used = curve
        if early:
            used = cut_short(curve, float(np.interp(-lowest_v, -curve.volts, curve.time_s)))
        curves.append(used)
        left = 1.0 - float(used.charge_coulomb[-1]) / max(float(curve.charge_coulomb[-1]), 1e-12)
        stranded.append(left if early and circuit.converter else 0.0)
        usual = ENDED_BY[ENDINGS[int(curve.totals.ending)]]
        ended_by.append((STARVED if circuit.converter else FADED) if early else usual)
    half_s = [_half_light_s(circuit, *pair) for pair in zip(tables, curves, strict=True)]
    return Charge(
        circuit, use, trial.cells, levels, tables,
        tuple(curves), tuple(ended_by), tuple(half_s), tuple(stranded),
    )  # fmt: skip


def cut_short(curve: Discharge, end_s: float) -> Discharge:
    """Stop a discharge at a moment before its end."""
    after = curve.time_s > end_s
    names = ("charge_coulomb", "volts", "amps", "peak_amps", "pack_heat_w")
    cut = {
        name: np.where(after, np.interp(end_s, curve.time_s, getattr(curve, name)), values)
        for name in names
        for values in (getattr(curve, name),)
    }
    rest_v = cut["volts"] + cut["pack_heat_w"] / np.maximum(cut["amps"], 1e-30)
    steps = np.diff(cut["charge_coulomb"])

    def integral(volts: Array) -> Array:
        return np.asarray(np.sum(steps * (volts[1:] + volts[:-1]) / 2.0))

    energy_j, open_circuit_j = integral(cut["volts"]), integral(rest_v)
    totals = replace(
        curve.totals,
        duration_s=np.asarray(end_s),
        charge_coulomb=cut["charge_coulomb"][-1],
        energy_j=energy_j,
        heat_j=open_circuit_j - energy_j,
        open_circuit_j=open_circuit_j,
    )
    return Discharge(time_s=np.minimum(curve.time_s, end_s), **cut, totals=totals)


def useful_down_to_v(circuit: Circuit, drawn: Draw) -> float:
    """Volts at the terminals at which a converter lets go, pack lead and all, or the light is gone.

    A bank holds its socket's volts to its end.
    """
    if circuit.wired.pack.output_v is not None:
        return 0.0
    if circuit.converter is None:
        return float(np.interp(GONE * drawn.light_lm[-1], drawn.light_lm, drawn.volts))
    amps = drawn.peak_w / drawn.volts
    input_v = drawn.volts - circuit.pack_lead_ohm * amps
    return float(np.interp(lowest_input_v(circuit.converter), input_v, drawn.volts))


def supply_answer(charge: Charge, power_tolerance: float) -> SupplyAnswer:
    """Say how long the supply lasts under the habit, and what its pack goes through."""
    circuit, use, course = charge.circuit, charge.use, charge.course
    wired, part = circuit.wired, circuit.wired.pack
    dark_w, leak_a = dark_w_of(circuit), leak_a_of(charge.cells, part)
    efficiency = part.output_efficiency or 1.0
    asleep, hours_h = falls_asleep(charge, use), charge.lit_h
    low_h, high_h = band_h(hours_h, part, power_tolerance)
    days = 7.0 / use.evenings_a_week
    worn = _worn(part, course.evenings * days * DAY_S) if hours_h > 0.0 else None
    return SupplyAnswer(
        supply=wired.supply.name,
        pack=part.name,
        packs_count=wired.supply.pack_multiple,
        chemistry=part.chemistry,
        converter=wired.converter.name if wired.converter else "",
        controller=wired.controller.name if wired.controller else "",
        runs=tuple(run.run.name for run in wired.runs),
        hours_h=hours_h,
        hours_low_h=low_h,
        hours_high_h=high_h,
        switched_off_h=charge.switched_off_h,
        standby_share_ratio=_standby_share(charge),
        stranded_ratio=charge.stranded[0],
        ended_by="auto-off" if asleep else _course_ended_by(charge),
        evenings_per_charge_count=0.0 if asleep else course.evenings,
        charges_per_year_count=worn.charges_per_year if worn else 0.0,
        full_level_h=charge.counted_s(0) / HOUR_S,
        half_light_h=None if charge.half_s[0] is None else charge.half_s[0] / HOUR_S,
        days_until_flat_unlit_d=float(
            habit.days_until_flat(charge.cells, dark_w / efficiency, leak_a)
        ),
        years_until_worn_years=worn.years if worn and part.rechargeable else None,
        standby_a=dark_w / (part.output_v or part.nominal_v),
        **_at_full_level(charge, part),
        socket_peak_a=socket_a(charge.draws[0], part) if part.output_v is not None else None,
        levels=tuple(_level_answer(charge, number, part) for number in range(len(charge.levels))),
        balance=_balance(charge, part),
        series=_series(charge, part),
    )


def band_h(hours_h: float, part: Pack, power_tolerance: float) -> tuple[float, float]:
    """Return between what hours 8 of 10 builds lie, when pack and draw may miss their labels.

    Only what moves the hours of most designs, and as if each did so in proportion; `spread` counts
    everything, evenings and ends of a charge too.
    """
    sd = math.hypot(part.capacity_tolerance, power_tolerance) / DEVIATIONS_IN_A_TOLERANCE
    factor = math.exp(DEVIATIONS_TO_THE_90TH * sd)
    return hours_h / factor, hours_h * factor


def _standby_share(charge: Charge) -> float:
    """Share of what is drawn from the cells that goes between evenings.

    What the lit stretches draw is known from their levels; the rest goes in the dark.
    """
    use, course, lit_coulomb = charge.use, charge.course, 0.0
    evening_s = math.fsum(stretch.duration_s for stretch in use.stretches)
    for stretch in use.stretches:
        number = charge.number_of(stretch)
        curve, counted_s = charge.curves[number], charge.counted_s(number)
        drawn = float(np.interp(counted_s, curve.time_s, curve.charge_coulomb))
        mean_a = drawn / max(counted_s, 1e-9)
        lit_coulomb += mean_a * stretch.duration_s / evening_s * course.lit_s
    drawn_coulomb = max(float(course.drawn_coulomb[-1]), 1e-12)
    return min(max(1.0 - lit_coulomb / drawn_coulomb, 0.0), 1.0)


def _at_full_level(charge: Charge, part: Pack) -> dict[str, float]:
    """Find the volts held for the runs when a charge starts, and the most that flows during it."""
    curve, drawn = charge.curves[0], charge.draws[0]
    volts = terminal_v(curve.volts, part)
    return {
        "pack_peak_a": float(curve.peak_amps.max()),
        "output_v": float(drawn.at_v(volts[0], drawn.output_v)),
        "output_peak_a": float(drawn.at_v(volts, drawn.output_peak_a).max()),
        "channel_peak_a": float(drawn.at_v(volts, drawn.channel_peak_a).max()),
    }


def _worn(part: Pack, charge_s: float) -> Wear:
    return wear(
        part.chemistry,
        charge_s,
        cycles=part.cycle_life or None,
        calendar_years=part.shelf_years,
    )


def falls_asleep(charge: Charge, use: Use) -> bool:
    """Whether a USB bank takes the light for nothing at one of the evening's levels."""
    part = charge.circuit.wired.pack
    return bank_falls_asleep(charge.cells, charge.levels, charge.draws, part, use)


def _course_ended_by(charge: Charge) -> str:
    course = charge.course
    if course.level is None:
        return "ran down unlit"
    if charge.half_s[course.level] is not None:
        return HALF_LIGHT
    return charge.ended_by[course.level]


def _last(curve: Discharge) -> int:
    """Return the index of the moment a curve ends."""
    return int(np.searchsorted(curve.time_s, curve.time_s[-1]))


def terminal_v(volts: Array, part: Pack) -> Array:
    """Volts at which the draw is tabulated: the socket's for a bank, else the cells'."""
    return volts if part.output_v is None else np.full_like(volts, part.output_v)


def _half_light_s(circuit: Circuit, drawn: Draw, curve: Discharge) -> float | None:
    """Seconds until the light is half of what it was, for a strip straight on the pack."""
    if circuit.converter is not None or circuit.wired.pack.output_v is not None:
        return None
    end = _last(curve) + 1
    light = drawn.at_v(curve.volts[:end], drawn.light_lm)
    if end == 1 or light[-1] > HALF * light[0]:
        return None
    return float(np.interp(-HALF * light[0], -light, curve.time_s[:end]))


def _level_answer(charge: Charge, number: int, part: Pack) -> LevelAnswer:
    curve, drawn = charge.curves[number], charge.draws[number]
    watts, start_v = drawn.watts, terminal_v(curve.volts, part)[0]
    return LevelAnswer(
        level_ratio=charge.levels[number].level_ratio,
        hours_h=charge.counted_s(number) / HOUR_S,
        ended_by=charge.ended_by[number] if charge.half_s[number] is None else HALF_LIGHT,
        strip_w=float(drawn.at_v(start_v, watts.strip_light_w + watts.strip_heat_w)),
        pack_start_w=float(curve.volts[0] * curve.amps[0]),
        pack_start_a=float(curve.amps[0]),
        pack_end_a=float(curve.amps[_last(curve)]),
        light_lm=float(drawn.at_v(start_v, drawn.light_lm)),
    )


def _balance(charge: Charge, part: Pack) -> BalanceAnswer:
    """Where the power goes half way through a charge at full level; nowhere if there is none."""
    curve, drawn = charge.curves[0], charge.draws[0]
    if _last(curve) == 0:
        return BalanceAnswer(*(0.0 for _ in fields(BalanceAnswer)))
    drawn_coulomb = curve.charge_coulomb
    moment = int(np.searchsorted(drawn_coulomb, drawn_coulomb[-1] / 2, side="right")) - 1
    watts = drawn.watts.at(drawn.volts, float(terminal_v(curve.volts, part)[moment]))
    pack_heat_w = float(curve.pack_heat_w[moment])
    return BalanceAnswer(
        cells_w=float(curve.volts[moment] * curve.amps[moment]) + pack_heat_w,
        pack_heat_w=pack_heat_w,
        **watts,
    )


def _series(charge: Charge, part: Pack) -> SeriesAnswer:
    curve, drawn = charge.curves[0], charge.draws[0]
    times = np.linspace(0.0, float(curve.time_s[-1]), SERIES_POINTS)
    volts = np.interp(times, curve.time_s, curve.volts)
    amps = np.interp(times, curve.time_s, curve.amps)
    light = drawn.at_v(terminal_v(volts, part), drawn.light_lm)
    return SeriesAnswer(
        time_h=tuple((times / HOUR_S).tolist()),
        pack_v=tuple(volts.tolist()),
        pack_a=tuple(amps.tolist()),
        light_ratio=tuple((light / max(float(light[0]), 1e-12)).tolist()),
    )
