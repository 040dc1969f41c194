"""Hours a charge of many supplies at once, evening after evening, as an answer works out one.

A batch holds supplies that are lit at the same levels in the same evenings: samples of one design,
or designs side by side. The rules are those of `endurance`, over arrays of cases.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.answers.draw import Circuit, draws
from lightcalc.answers.endurance import (
    ENDED_BY,
    FADED,
    GONE,
    HALF,
    HALF_LIGHT,
    HOUR_S,
    STARVED,
    levels_of,
    useful_down_to_v,
)
from lightcalc.answers.standby import bank_falls_asleep, dark_w_of, leak_a_of
from lightcalc.design.piece import Use
from lightcalc.physics.charge import habit
from lightcalc.physics.charge.discharge import ENDINGS, GRID, QUICK_GRID, Discharge, discharge
from lightcalc.physics.charge.load import Load
from lightcalc.physics.charge.pack import Pack as Cells
from lightcalc.physics.charge.pack import stack_packs
from lightcalc.physics.interpolation import interp_rows

Array = NDArray[np.float64]

# Cases marched together, so that a batch of any size takes little memory.
CHUNK = 2048
RAN_DOWN, ASLEEP = "ran down unlit", "auto-off"


@dataclass(frozen=True)
class SupplyCases:
    """Supplies to run down, `n` cases of `levels` over `rows` volts at the terminals.

    cells             of shape (n,)
    volts             ascending, (rows,) [V]
    mean_w, peak_w    drawn from the cells, in the mean and while a pulse lasts,
                      (n, levels, rows) [W]
    max_a             what the protection lets through [A]
    least_v           volts at which a converter lets go, or the light is as good as gone,
                      (n, levels); 0 where nothing does before the pack's own end
    light_lm          (n, levels, rows) for strips straight on a pack; None behind a converter
    dark_w, leak_a    drawn from the cells between evenings, and lost all day, (n,)
    asleep            whether a USB bank takes the light for nothing, (n,)
    """

    cells: Cells
    volts: Array
    mean_w: Array
    peak_w: Array
    max_a: ArrayLike
    least_v: Array
    light_lm: Array | None
    dark_w: Array
    leak_a: Array
    asleep: NDArray[np.bool_]


@dataclass(frozen=True)
class BatchHours:
    """What becomes of each charge, every field of shape (n,).

    hours_h       light of one charge, evening after evening; 0 when a bank falls asleep
    evenings      how many evenings that is
    ended_by      what ended it, in the words of an answer
    pack_peak_a   most current at the terminals during a charge at the first level
    """

    hours_h: Array
    evenings: Array
    ended_by: NDArray[np.str_]
    pack_peak_a: Array


def evening_of(use: Use) -> tuple[habit.Stretch, ...]:
    """Return the evening by numbers of its levels, as `endurance.levels_of` lists them."""
    keys = [(one.level_ratio, one.mix) for one in levels_of(use)]
    return tuple(
        habit.Stretch(keys.index((one.level_ratio, one.mix)), one.duration_s)
        for one in use.stretches
    )


def cases_of(
    supplies: Sequence[tuple[Circuit, Cells]], use: Use
) -> tuple[SupplyCases, tuple[habit.Stretch, ...]]:
    """Put supplies side by side, each with its cells, and the evening they are lit for.

    All have the same pack of the catalogue, any number of times; ValueError when they do not.
    """
    if len({circuit.wired.pack.name for circuit, _ in supplies}) != 1:
        raise ValueError("Only supplies with the same pack can be run down side by side.")
    levels = levels_of(use)
    tables = [draws(circuit, levels) for circuit, _ in supplies]
    straight = all(
        circuit.converter is None and circuit.wired.pack.output_v is None for circuit, _ in supplies
    )
    least_v = [
        [useful_down_to_v(circuit, drawn) for drawn in table]
        for (circuit, _), table in zip(supplies, tables, strict=True)
    ]
    asleep = [
        bank_falls_asleep(cells, levels, table, circuit.wired.pack, use)
        for (circuit, cells), table in zip(supplies, tables, strict=True)
    ]
    parts = [(circuit.wired.pack, circuit.wired.supply.pack_multiple) for circuit, _ in supplies]
    dark_w = [dark_w_of(one) / (one.wired.pack.output_efficiency or 1.0) for one, _ in supplies]
    leak_a = [leak_a_of(cells, circuit.wired.pack) for circuit, cells in supplies]
    cases = SupplyCases(
        cells=stack_packs([cells for _, cells in supplies]),
        volts=tables[0][0].volts,
        mean_w=np.array([[drawn.watts.total_w for drawn in table] for table in tables]),
        peak_w=np.array([[drawn.peak_w for drawn in table] for table in tables]),
        max_a=np.array([part.max_amps * multiple for part, multiple in parts]),
        least_v=np.array(least_v),
        light_lm=np.array([[one.light_lm for one in table] for table in tables])
        if straight
        else None,
        dark_w=np.array(dark_w),
        leak_a=np.array(leak_a),
        asleep=np.array(asleep),
    )
    return cases, evening_of(use)


def batch_hours(
    cases: SupplyCases,
    evening: Sequence[habit.Stretch],
    evenings_a_week: float,
    grid: Array | None = None,
) -> BatchHours:
    """Run every case down at each of its levels and live with it.

    A stretch of the evening names its level by number. Left out, the grid is QUICK_GRID behind
    converters, which gives hours within 0.1 % of those of an answer; half light falls anywhere in
    a charge, so strips straight on a pack get the whole GRID. Raises BadInput for an evening
    without light.
    """
    if grid is None:
        grid = QUICK_GRID if cases.light_lm is None else GRID
    size = len(cases.dark_w)
    parts = []
    for start in range(0, size, CHUNK):
        some = _some(cases, slice(start, min(start + CHUNK, size)), size)
        parts.append(_run_down(some, evening, evenings_a_week, grid))
    joined = [np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(BatchHours)]
    return BatchHours(*joined)


def _some(cases: SupplyCases, part: slice, size: int) -> SupplyCases:
    """Return some of the cases."""
    names = ("mean_w", "peak_w", "least_v", "light_lm", "dark_w", "leak_a", "asleep")
    cut: dict[str, Any] = {name: getattr(cases, name) for name in names}
    cut = {name: None if values is None else values[part] for name, values in cut.items()}
    cells = Cells(*(getattr(cases.cells, field.name)[part] for field in fields(Cells)))
    max_a = np.broadcast_to(np.asarray(cases.max_a, dtype=float), (size,))[part]
    return replace(cases, cells=cells, max_a=max_a, **cut)


def _run_down(
    cases: SupplyCases, evening: Sequence[habit.Stretch], evenings_a_week: float, grid: Array
) -> BatchHours:
    column = Cells(*(getattr(cases.cells, field.name)[:, None] for field in fields(Cells)))
    load = Load(cases.volts, cases.mean_w, cases.peak_w)
    whole = discharge(column, load, np.asarray(cases.max_a)[:, None], grid=grid)
    levels = [_Level(cases, whole, number) for number in range(cases.mean_w.shape[1])]
    courses = habit.live_with_many(
        cases.cells,
        [level.counted for level in levels],
        evening,
        evenings_a_week,
        idle_w=cases.dark_w,
        self_discharge_a=cases.leak_a,
    )
    ended_by = np.where(cases.asleep, ASLEEP, RAN_DOWN).astype("<U24")
    for number, level in enumerate(levels):
        here = (courses.level == number) & ~cases.asleep
        ended_by[here] = level.ended_by[here]
    awake = np.where(cases.asleep, 0.0, 1.0)
    return BatchHours(
        hours_h=courses.lit_s / HOUR_S * awake,
        evenings=courses.evenings * awake,
        ended_by=ended_by,
        pack_peak_a=levels[0].peak_a,
    )


class _Level:
    """One level of every case, up to where it no longer counts as light."""

    def __init__(self, cases: SupplyCases, whole: Discharge, number: int) -> None:
        time_s, volts = whole.time_s[:, number], whole.volts[:, number]
        least_v = cases.least_v[:, number]
        ending = whole.totals.ending[:, number]
        end_s, early = time_s[:, -1], volts[:, -1] < least_v
        end_s = np.where(early, interp_rows(-least_v, -volts, time_s), end_s)
        words = np.array([ENDED_BY[end] for end in ENDINGS])[ending].astype("<U24")
        words[early] = FADED if cases.light_lm is not None else STARVED
        peak = whole.peak_amps[:, number]
        at_end = interp_rows(end_s, time_s, peak)
        self.peak_a = np.where(time_s < end_s[:, None], peak, at_end[:, None]).max(axis=1)
        if cases.light_lm is not None:
            half_s = _half_light_s(cases.volts, cases.light_lm[:, number], time_s, volts)
            words[half_s < end_s] = HALF_LIGHT
            end_s = np.minimum(half_s, end_s)
        drawn = whole.charge_coulomb[:, number]
        at_end = interp_rows(end_s, time_s, drawn)
        cut = np.where(time_s < end_s[:, None], drawn, at_end[:, None])
        self.ended_by = words
        self.counted = replace(
            whole,
            time_s=np.minimum(time_s, end_s[:, None]),
            charge_coulomb=cut,
            totals=replace(whole.totals, ending=ending),
        )


def _half_light_s(table_v: Array, table_lm: Array, time_s: Array, volts: Array) -> Array:
    """Seconds until the light is half of what it was when the charge began; else to its end."""
    rows = np.broadcast_to(table_v, table_lm.shape)
    light = interp_rows(volts, np.ascontiguousarray(rows), table_lm)
    falls = np.minimum.accumulate(light, axis=1)
    never = falls[:, -1] > HALF * light[:, 0]
    half_s = interp_rows(-HALF * light[:, 0], -falls, time_s)
    return np.where(never, np.inf, half_s)


def gone_v(volts: Array, light_lm: Array) -> Array:
    """Volts at which the light is as good as gone, (n, levels), of light (n, levels, rows)."""
    flat = light_lm.reshape(-1, volts.size)
    rows = np.ascontiguousarray(np.broadcast_to(volts, flat.shape))
    return interp_rows(GONE * flat[:, -1], flat, rows).reshape(light_lm.shape[:-1])
