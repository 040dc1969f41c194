"""How long one supply lasts: every level from full to its end, and evening after evening."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.draw import FULL, Circuit, Draw, draws, standby_w
from lightcalc.answers.results import (
    BalanceAnswer,
    LevelAnswer,
    SeriesAnswer,
    SupplyAnswer,
)
from lightcalc.design.piece import Stretch, Use
from lightcalc.parts.kinds import Pack
from lightcalc.physics import habit
from lightcalc.physics.bank import TYPICAL_HOLD_S, Bank, auto_off
from lightcalc.physics.converter import lowest_input_v
from lightcalc.physics.discharge import ENDINGS, Discharge, Ending, Endurance, discharge
from lightcalc.physics.load import Load
from lightcalc.physics.pack import Pack as Cells
from lightcalc.physics.wear import MONTH_S, Wear, wear

Array = NDArray[np.float64]

HOUR_S = 3600.0
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

    cells: Cells
    levels: tuple[Stretch, ...]
    draws: tuple[Draw, ...]
    curves: tuple[Discharge, ...]
    ended_by: tuple[str, ...]
    half_s: tuple[float | None, ...]
    """When a level is down to half of its light; None where it never is before its end."""


def run_down(circuit: Circuit, cells: Cells, use: Use) -> Charge:
    """Discharge the cells at full level and at each level of the evening."""
    found: dict[tuple[float, tuple[tuple[str, float], ...]], Stretch] = {}
    for stretch in (FULL, *use.stretches):
        found.setdefault((stretch.level_ratio, stretch.mix), stretch)
    levels = tuple(found.values())
    tables = draws(circuit, levels)
    load = Load(
        tables[0].volts,
        np.array([drawn.watts.total_w for drawn in tables]),
        np.array([drawn.peak_w for drawn in tables]),
    )
    wired = circuit.wired
    together = discharge(cells, load, wired.pack.max_amps * wired.supply.pack_multiple)
    curves, ended_by = [], []
    for number, drawn in enumerate(tables):
        curve = _one(together, number)
        lowest_v = _useful_down_to_v(circuit, drawn)
        early = bool(curve.volts[-1] < lowest_v)
        if early:
            curve = cut_short(curve, float(np.interp(-lowest_v, -curve.volts, curve.time_s)))
        curves.append(curve)
        usual = ENDED_BY[ENDINGS[int(curve.totals.ending)]]
        ended_by.append((STARVED if circuit.converter else FADED) if early else usual)
    half_s = [_half_light_s(circuit, *pair) for pair in zip(tables, curves, strict=True)]
    return Charge(cells, levels, tables, tuple(curves), tuple(ended_by), tuple(half_s))


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


def _one(batch: Discharge, number: int) -> Discharge:
    """Take one discharge out of a batch."""
    names = ("time_s", "charge_coulomb", "volts", "amps", "peak_amps", "pack_heat_w")
    totals = {f.name: getattr(batch.totals, f.name)[number] for f in fields(Endurance)}
    curves = {name: getattr(batch, name)[number] for name in names}
    return Discharge(**curves, totals=Endurance(**totals))


def _useful_down_to_v(circuit: Circuit, drawn: Draw) -> float:
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


def supply_answer(
    circuit: Circuit, charge: Charge, use: Use, power_tolerance: float
) -> SupplyAnswer:
    """Say how long the supply lasts under the habit, and what its pack goes through."""
    wired, part = circuit.wired, circuit.wired.pack
    leak_a = part.self_discharge_per_month * float(charge.cells.capacity_coulomb) / MONTH_S
    dark_w = _dark_w(circuit)
    efficiency = part.output_efficiency or 1.0
    asleep = _falls_asleep(charge, part, use)
    course = _course(charge, use, dark_w / efficiency, leak_a)
    hours_h = 0.0 if asleep else course.lit_s / HOUR_S
    spread = math.hypot(part.capacity_tolerance, power_tolerance)
    worn = _worn(part, course.total_s) if hours_h > 0.0 else None
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
        ended_by="auto-off" if asleep else _course_ended_by(charge, course),
        evenings_per_charge_count=0.0 if asleep else course.evenings,
        charges_per_year_count=worn.charges_per_year if worn else 0.0,
        full_level_h=float(charge.curves[0].duration_s) / HOUR_S,
        half_light_h=None if charge.half_s[0] is None else charge.half_s[0] / HOUR_S,
        days_until_flat_unlit_d=habit.days_until_flat(charge.cells, dark_w / efficiency, leak_a),
        years_until_worn_years=worn.years if worn and part.rechargeable else None,
        standby_a=dark_w / (part.output_v or part.nominal_v),
        **_at_full_level(charge, part),
        socket_peak_a=_socket_a(charge.draws[0], part) if part.output_v is not None else None,
        levels=tuple(_level_answer(charge, number, part) for number in range(len(charge.levels))),
        balance=_balance(charge, part),
        series=_series(charge, part),
    )


def _at_full_level(charge: Charge, part: Pack) -> dict[str, float]:
    """Find the volts held for the runs when a charge starts, and the most that flows during it."""
    curve, drawn = charge.curves[0], charge.draws[0]
    terminal_v = _terminal_v(curve, part)
    return {
        "pack_peak_a": float(curve.peak_amps.max()),
        "output_v": float(drawn.at_v(terminal_v[0], drawn.output_v)),
        "output_peak_a": float(drawn.at_v(terminal_v, drawn.output_peak_a).max()),
        "channel_peak_a": float(drawn.at_v(terminal_v, drawn.channel_peak_a).max()),
    }


def _socket_a(drawn: Draw, part: Pack) -> float:
    """Mean current out of the socket of a USB bank."""
    return float(drawn.watts.total_w[0]) * (part.output_efficiency or 1.0) / (part.output_v or 5.0)


def _dark_w(circuit: Circuit) -> float:
    """Power drawn at the terminals between evenings [W]."""
    if circuit.wired.supply.switched_off or bank_sleeps(circuit):
        return 0.0
    part = circuit.wired.pack
    return standby_w(circuit, part.output_v or part.nominal_v)


def bank_sleeps(circuit: Circuit) -> bool:
    """Whether a USB bank switches itself off between evenings, so little does it feed then."""
    part = circuit.wired.pack
    if part.auto_off_a is None or part.output_v is None:
        return False
    return standby_w(circuit, part.output_v) / part.output_v < part.auto_off_a


def _worn(part: Pack, charge_s: float) -> Wear:
    return wear(
        part.chemistry,
        charge_s,
        cycles=part.cycle_life or None,
        calendar_years=part.shelf_years,
    )


def _course(charge: Charge, use: Use, dark_w: float, leak_a: float) -> habit.Course:
    keys = [(level.level_ratio, level.mix) for level in charge.levels]
    evening = [
        habit.Stretch(keys.index((stretch.level_ratio, stretch.mix)), stretch.duration_s)
        for stretch in use.stretches
    ]
    return habit.live_with(
        charge.cells,
        [
            curve if half_s is None else cut_short(curve, half_s)
            for curve, half_s in zip(charge.curves, charge.half_s, strict=True)
        ],
        evening,
        use.evenings_a_week,
        idle_w=dark_w,
        self_discharge_a=leak_a,
    )


def _falls_asleep(charge: Charge, part: Pack, use: Use) -> bool:
    """Whether a USB bank takes the light for nothing at one of the evening's levels."""
    if part.auto_off_a is None or part.output_v is None:
        return False
    amps = {
        (level.level_ratio, level.mix): _socket_a(drawn, part)
        for level, drawn in zip(charge.levels, charge.draws, strict=True)
    }
    stretches = [(amps[(s.level_ratio, s.mix)], s.duration_s) for s in use.stretches]
    bank = Bank(
        charge.cells, part.output_efficiency or 1.0, part.output_v, part.auto_off_a, TYPICAL_HOLD_S
    )
    return auto_off(bank, stretches).switches_off


def _course_ended_by(charge: Charge, course: habit.Course) -> str:
    if course.level is None:
        return "ran down unlit"
    if charge.half_s[course.level] is not None:
        return HALF_LIGHT
    return charge.ended_by[course.level]


def _last(curve: Discharge) -> int:
    """Return the index of the moment a curve ends."""
    return int(np.searchsorted(curve.time_s, curve.time_s[-1]))


def _terminal_v(curve: Discharge, part: Pack) -> Array:
    """Volts at which the draw is tabulated: the socket's for a bank, else the cells'."""
    return curve.volts if part.output_v is None else np.full_like(curve.volts, part.output_v)


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
    watts, start_v = drawn.watts, _terminal_v(curve, part)[0]
    return LevelAnswer(
        level_ratio=charge.levels[number].level_ratio,
        hours_h=float(curve.duration_s) / HOUR_S,
        ended_by=charge.ended_by[number],
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
    watts = drawn.watts.at(drawn.volts, float(_terminal_v(curve, part)[moment]))
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
    at = volts if part.output_v is None else np.full_like(volts, part.output_v)
    light = drawn.at_v(at, drawn.light_lm)
    return SeriesAnswer(
        time_h=tuple((times / HOUR_S).tolist()),
        pack_v=tuple(volts.tolist()),
        pack_a=tuple(amps.tolist()),
        light_ratio=tuple((light / max(float(light[0]), 1e-12)).tolist()),
    )
