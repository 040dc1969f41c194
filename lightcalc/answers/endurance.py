"""How long one supply lasts: every level from full to its end, and evening after evening."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import pack_of
from lightcalc.answers.draw import FULL, Circuit, Draw, draw, standby_w
from lightcalc.answers.results import (
    BalanceAnswer,
    LevelAnswer,
    SeriesAnswer,
    SupplyAnswer,
)
from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Stretch, Use
from lightcalc.parts.kinds import Pack
from lightcalc.physics import habit
from lightcalc.physics.bank import TYPICAL_HOLD_S, Bank, auto_off
from lightcalc.physics.converter import lowest_input_v
from lightcalc.physics.discharge import ENDINGS, Discharge, Endurance, Ending, discharge
from lightcalc.physics.load import Load
from lightcalc.physics.pack import Pack as Cells
from lightcalc.physics.wear import MONTH_S, wear

Array = NDArray[np.float64]

HOUR_S = 3600.0
SERIES_POINTS = 60
# Stable words for what ended a charge; the screens put them into sentences.
ENDED_BY = {
    Ending.CUTOFF: "cut-off",
    Ending.STALL: "cannot deliver",
    Ending.TRIP: "protection",
    Ending.FLAT: "empty",
    Ending.IDLE: "nothing drawn",
}


@dataclass(frozen=True)
class Charge:
    """One supply on one charge, level by level; level 0 is full, then those of the evening."""

    cells: Cells
    levels: tuple[Stretch, ...]
    draws: tuple[Draw, ...]
    curves: tuple[Discharge, ...]
    starved: tuple[bool, ...]
    """Whether a level ends because the pack is too low for the converter."""


def run_down(circuit: Circuit, use: Use) -> Charge:
    """Discharge the pack at full level and at each level of the evening."""
    supply, part = circuit.wired.supply, circuit.wired.pack
    cells = pack_of(part, supply.pack_multiple, supply.health_ratio, use.temperature_c)
    found: dict[tuple[float, tuple[tuple[str, float], ...]], Stretch] = {}
    for stretch in (FULL, *use.stretches):
        found.setdefault((stretch.level_ratio, stretch.mix), stretch)
    levels = tuple(found.values())
    draws = tuple(draw(circuit, level) for level in levels)
    lowest_v = np.array([_lowest_terminal_v(circuit, drawn) for drawn in draws])
    cutoff_v = np.maximum(float(cells.cutoff_volts), lowest_v)
    load = Load(
        draws[0].volts,
        np.array([drawn.watts.total_w for drawn in draws]),
        np.array([drawn.peak_w for drawn in draws]),
    )
    batch = replace(cells, cutoff_volts=cutoff_v)
    together = discharge(batch, load, part.max_amps * supply.pack_multiple)
    return Charge(
        cells=cells,
        levels=levels,
        draws=draws,
        curves=tuple(_one(together, number) for number in range(len(levels))),
        starved=tuple(bool(v > float(cells.cutoff_volts) + 1e-9) for v in lowest_v),
    )


def _one(batch: Discharge, number: int) -> Discharge:
    """Take one discharge out of a batch."""
    names = ("time_s", "charge_coulomb", "volts", "amps", "peak_amps", "pack_heat_w")
    totals = batch.totals
    names_of_totals = ("duration_s", "charge_coulomb", "energy_j", "heat_j", "open_circuit_j")
    own = Endurance(
        *(getattr(totals, name)[number] for name in names_of_totals), totals.ending[number]
    )
    return Discharge(*(getattr(batch, name)[number] for name in names), totals=own)


def _lowest_terminal_v(circuit: Circuit, drawn: Draw) -> float:
    """Volts at the terminals below which the converter lets go, with the pack lead's drop."""
    if circuit.converter is None or circuit.wired.pack.output_v is not None:
        return 0.0
    amps = drawn.peak_w / drawn.volts
    input_v = drawn.volts - circuit.pack_lead_ohm * amps
    return float(np.interp(lowest_input_v(circuit.converter), input_v, drawn.volts))


def supply_answer(
    circuit: Circuit, charge: Charge, use: Use, power_tolerance: float
) -> SupplyAnswer:
    """Say how long the supply lasts under the habit, and what its pack goes through."""
    wired = circuit.wired
    part = wired.pack
    leak_a = part.self_discharge_per_month * float(charge.cells.capacity_coulomb) / MONTH_S
    dark_w = (
        0.0 if wired.supply.switched_off else standby_w(circuit, part.output_v or part.nominal_v)
    )
    asleep = _falls_asleep(charge, part, use)
    course = _course(charge, use, dark_w, leak_a)
    hours_h = 0.0 if asleep else course.lit_s / HOUR_S
    spread = math.hypot(part.capacity_tolerance, power_tolerance)
    worn = wear(
        part.chemistry,
        max(course.total_s, 1.0),
        cycles=part.cycle_life or None,
        calendar_years=part.shelf_years,
    )
    full = charge.curves[0]
    return SupplyAnswer(
        supply=wired.supply.name,
        pack=part.name,
        packs_count=wired.supply.pack_multiple,
        chemistry=part.chemistry,
        converter=wired.converter.name if wired.converter else "",
        controller=wired.controller.name if wired.controller else "",
        runs=tuple(run.run.name for run in wired.runs),
        hours_h=hours_h,
        hours_low_h=hours_h * max(1.0 - spread, 0.0),
        hours_high_h=hours_h * (1.0 + spread),
        ended_by="auto-off" if asleep else _ended_by(charge, course),
        evenings_per_charge_count=0.0 if asleep else course.evenings,
        charges_per_year_count=worn.charges_per_year,
        full_level_h=float(full.duration_s) / HOUR_S,
        half_light_h=_half_light_h(circuit, charge),
        days_until_flat_unlit_d=habit.days_until_flat(charge.cells, dark_w, leak_a),
        years_until_worn_years=worn.years if part.rechargeable else None,
        standby_a=dark_w / (part.output_v or part.nominal_v),
        pack_peak_a=float(full.peak_amps.max()),
        output_v=float(charge.draws[0].output_v[-1]),
        output_peak_a=float(charge.draws[0].output_peak_a.max()),
        levels=tuple(_level_answer(charge, number) for number in range(len(charge.levels))),
        balance=_balance(charge, part),
        series=_series(charge, part),
    )


def _course(charge: Charge, use: Use, dark_w: float, leak_a: float) -> habit.Course:
    keys = [(level.level_ratio, level.mix) for level in charge.levels]
    evening = [
        habit.Stretch(keys.index((stretch.level_ratio, stretch.mix)), stretch.duration_s)
        for stretch in use.stretches
    ]
    return habit.live_with(
        charge.cells,
        charge.curves,
        evening,
        use.evenings_a_week,
        idle_w=dark_w,
        self_discharge_a=leak_a,
    )


def _falls_asleep(charge: Charge, part: Pack, use: Use) -> bool:
    """Whether a USB bank takes the light for nothing at one of the evening's levels."""
    if part.auto_off_a is None or part.output_v is None:
        return False
    efficiency = part.output_efficiency or 1.0
    amps = {
        (level.level_ratio, level.mix): float(drawn.watts.total_w[0]) * efficiency / part.output_v
        for level, drawn in zip(charge.levels, charge.draws, strict=True)
    }
    stretches = [(amps[(s.level_ratio, s.mix)], s.duration_s) for s in use.stretches]
    bank = Bank(charge.cells, efficiency, part.output_v, part.auto_off_a, TYPICAL_HOLD_S)
    return auto_off(bank, stretches).switches_off


def _ended_by(charge: Charge, course: habit.Course) -> str:
    if course.level is None:
        return "ran down unlit"
    if course.ended_by is Ending.CUTOFF and charge.starved[course.level]:
        return "converter"
    return ENDED_BY[course.ended_by]


def _level_ended_by(charge: Charge, number: int) -> str:
    ending = ENDINGS[int(charge.curves[number].totals.ending)]
    if ending is Ending.CUTOFF and charge.starved[number]:
        return "converter"
    return ENDED_BY[ending]


def _last(curve: Discharge) -> int:
    """Return the index of the moment a curve ends."""
    return int(np.searchsorted(curve.time_s, curve.time_s[-1]))


def _terminal_v(curve: Discharge, part: Pack) -> Array:
    """Volts at which the draw is tabulated: the socket's for a bank, else the cells'."""
    return curve.volts if part.output_v is None else np.full_like(curve.volts, part.output_v)


def _half_light_h(circuit: Circuit, charge: Charge) -> float | None:
    """Hours until the light is half of what it was, for a strip straight on the pack."""
    part = circuit.wired.pack
    if circuit.converter is not None or part.output_v is not None:
        return None
    drawn, curve = charge.draws[0], charge.curves[0]
    end = _last(curve) + 1
    light = np.interp(curve.volts[:end], drawn.volts, drawn.light_lm)
    if light[-1] > light[0] / 2:
        return None
    return float(np.interp(-light[0] / 2, -light, curve.time_s[:end])) / HOUR_S


def _level_answer(charge: Charge, number: int) -> LevelAnswer:
    curve, drawn = charge.curves[number], charge.draws[number]
    watts = drawn.watts
    place = float(curve.volts[0])
    strip_w = float(np.interp(place, drawn.volts, watts.strip_light_w + watts.strip_heat_w))
    last = _last(curve)
    return LevelAnswer(
        level_ratio=charge.levels[number].level_ratio,
        hours_h=float(curve.duration_s) / HOUR_S,
        ended_by=_level_ended_by(charge, number),
        strip_w=strip_w,
        pack_start_w=float(curve.volts[0] * curve.amps[0]),
        pack_start_a=float(curve.amps[0]),
        pack_end_a=float(curve.amps[last]),
        light_lm=float(np.interp(place, drawn.volts, drawn.light_lm)),
    )


def _balance(charge: Charge, part: Pack) -> BalanceAnswer:
    """Where the power goes at half time of a charge at full level."""
    curve, drawn = charge.curves[0], charge.draws[0]
    moment = int(np.searchsorted(curve.time_s, curve.time_s[-1] / 2))
    watts = drawn.watts.at(drawn.volts, float(_terminal_v(curve, part)[moment]))
    pack_heat_w = float(curve.pack_heat_w[moment])
    return BalanceAnswer(
        cells_w=float(curve.volts[moment] * curve.amps[moment]) + pack_heat_w,
        pack_heat_w=pack_heat_w,
        **watts,
    )


def _series(charge: Charge, part: Pack) -> SeriesAnswer:
    curve, drawn = charge.curves[0], charge.draws[0]
    end_s = float(curve.time_s[-1])
    times = np.linspace(0.0, end_s, SERIES_POINTS)
    volts = np.interp(times, curve.time_s, curve.volts)
    amps = np.interp(times, curve.time_s, curve.amps)
    at = volts if part.output_v is None else np.full_like(volts, part.output_v)
    light = np.interp(at, drawn.volts, drawn.light_lm)
    start = max(float(light[0]), 1e-12)
    return SeriesAnswer(
        time_h=tuple((times / HOUR_S).tolist()),
        pack_v=tuple(volts.tolist()),
        pack_a=tuple(amps.tolist()),
        light_ratio=tuple((light / start).tolist()),
    )
