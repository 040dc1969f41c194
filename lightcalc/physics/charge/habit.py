"""Evening after evening from one charge: how many there are, and what ends them.

Every stretch of time, lit or dark, is a curve of time against charge drawn. A stretch starts where
the one before left off and moves along its own curve:

    charge  ^        bright  /      . dark (idle current and self-discharge)
            |               /     .
            |    ._________/....'
            +-------------------------> time

Many charges walk together, each along curves of its own; a charge that has ended stands still.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.physics.charge.discharge import ENDINGS, Discharge, Ending
from lightcalc.physics.charge.pack import Pack
from lightcalc.physics.interpolation import interp_rows
from lightcalc.problems import BadInput, Problem

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

WEEK_S = 7 * 86400.0
IN_THE_DARK = -1
_WALKED = 200
# So many evenings are walked from the first on; of more the first are averaged.
_WALKED_ALL = 300
_LEAST_AMPS = 1e-12
_DARK_ROWS, _AVERAGED_ROWS, _FEW_ROWS = 65, 801, 9
# How many charges are averaged at once, which bounds the memory that takes.
_CHUNK = 512


@dataclass(frozen=True)
class Stretch:
    """Part of an evening: which of the levels is lit, and for how long [s]."""

    level: int
    seconds: float


@dataclass(frozen=True)
class Course:
    """One charge under a habit.

    evenings         whole evenings and the part of the last one that was lit
    lit_s, total_s   time lit, and time from the charger to the end [s]
    ended_by         what ended it; FLAT when the pack ran down in the dark
    level            level it ended in; None in the dark
    time_s, drawn_coulomb
                     course of the charge; the first of very many evenings are thinned out
    """

    evenings: float
    lit_s: float
    total_s: float
    ended_by: Ending
    level: int | None
    time_s: Floats
    drawn_coulomb: Floats


@dataclass(frozen=True)
class Courses:
    """Many charges under one habit, each of shape (n,).

    evenings, lit_s, total_s   as in `Course`
    ending                     index into ENDINGS
    level                      level it ended in; IN_THE_DARK when it ran down unlit
    drawn_coulomb              charge drawn by then, self-discharge and all
    """

    evenings: Floats
    lit_s: Floats
    total_s: Floats
    ending: Indices
    level: Indices
    drawn_coulomb: Floats


class _Curve(NamedTuple):
    """Time against charge drawn, to the end of each row (n, m); level from there on."""

    time_s: Floats
    drawn: Floats
    ending: Indices

    def after(self, drawn: Floats, seconds: float, rows: Indices) -> Floats:
        """Charge drawn `seconds` after it was `drawn`, which is (rows,) or (rows, j)."""
        then_s = interp_rows(drawn, self.drawn, self.time_s, rows) + seconds
        return interp_rows(then_s, self.time_s, self.drawn, rows)


class _Habit(NamedTuple):
    """The curves of an evening in their order, the last of them dark, and its lit time [s]."""

    parts: tuple[tuple[_Curve, float, int], ...]
    lit_s: float
    dark_s: float


class _Start(NamedTuple):
    """Whole evenings passed and charge drawn when the walk begins, and the way there of one."""

    evenings: Floats
    drawn: Floats
    passed: Floats
    passed_drawn: Floats


def live_with(
    pack: Pack,
    levels: Sequence[Discharge],
    evening: Sequence[Stretch],
    evenings_per_week: float,
    *,
    idle_w: float = 0.0,
    self_discharge_a: float = 0.0,
) -> Course:
    """Live with one charge of `pack`, evening after evening, until it ends.

    Each level is the discharge of this pack (one, not a batch) from full at that level. In the dark
    the pack gives `idle_w` [W] to converter and controller; `self_discharge_a` [A] it loses always.
    Evenings are spread evenly over the week. Of more than a few hundred the first are averaged.

    Raises BadInput for an evening without light or not 0 to 7 evenings a week.

    >>> from lightcalc.physics.charge.pack import describe_pack
    >>> from lightcalc.physics.charge.discharge import discharge
    >>> from lightcalc.physics.charge.load import constant_power
    >>> pack = describe_pack("lithium-ion", 3600 * 5.0, 3.65)
    >>> full = discharge(pack, constant_power(1.0))
    >>> course = live_with(pack, [full], [Stretch(0, 3600.0)], 7)
    >>> abs(course.lit_s - float(full.duration_s)) < 1.0
    True
    """
    row = Pack(*(np.reshape(getattr(pack, field.name), (1,)) for field in fields(Pack)))
    curves = [_lit_curve(_as_row(level), np.array([self_discharge_a])) for level in levels]
    dark = _dark_curve(row, idle_w, self_discharge_a)
    habit = _habit(curves, dark, evening, evenings_per_week)
    start = _average_first(habit)
    trace: list[tuple[float, float]] = []
    found = _walk_rest(start, habit, trace)
    level = int(found.level[0])
    times, drawn = np.array(trace).T
    whole_s = habit.lit_s + habit.dark_s
    return Course(
        evenings=float(found.evenings[0]),
        lit_s=float(found.lit_s[0]),
        total_s=float(found.total_s[0]),
        ended_by=ENDINGS[int(found.ending[0])],
        level=None if level == IN_THE_DARK else level,
        time_s=np.concatenate((start.passed * whole_s, times)),
        drawn_coulomb=np.concatenate((start.passed_drawn, drawn)),
    )


def live_with_many(
    pack: Pack,
    levels: Sequence[Discharge],
    evening: Sequence[Stretch],
    evenings_per_week: float,
    *,
    idle_w: ArrayLike = 0.0,
    self_discharge_a: ArrayLike = 0.0,
) -> Courses:
    """Live with the charges of many packs at once, each as `live_with` does with one.

    Every field of `pack` is of shape (n,); the curves of every level are (n, m), those of charge
    and time rising or level. `idle_w` [W] and `self_discharge_a` [A] are single or (n,).

    Raises BadInput as `live_with` does.

    >>> from lightcalc.physics.charge.pack import describe_pack
    >>> from lightcalc.physics.charge.discharge import discharge
    >>> from lightcalc.physics.charge.load import constant_power
    >>> packs = describe_pack("lithium-ion", 3600 * np.array([5.0, 10.0]), 3.65)
    >>> full = discharge(packs, constant_power(1.0))
    >>> found = live_with_many(packs, [full], [Stretch(0, 3600.0)], 7)
    >>> bool(np.all(np.abs(found.lit_s - full.duration_s) < 1.0))
    True
    """
    leak_a = np.broadcast_to(np.asarray(self_discharge_a, dtype=float), pack.shape)
    curves = [_lit_curve(level, leak_a) for level in levels]
    dark = _dark_curve(pack, idle_w, leak_a)
    habit = _habit(curves, dark, evening, evenings_per_week)
    return _walk_rest(_average_first(habit), habit, None)


def days_until_flat(pack: Pack, idle_w: ArrayLike, self_discharge_a: ArrayLike) -> Floats:
    """Days a full pack lasts when the light is never switched on, of the pack's shape.

    >>> from lightcalc.physics.charge.pack import describe_pack
    >>> pack = describe_pack("lead-acid", 3600 * 7.0, 12.0)
    >>> 60 < float(days_until_flat(pack, 0.05, 0.0)) < 75
    True
    """
    flat = Pack(*(np.ravel(getattr(pack, field.name)) for field in fields(Pack)))
    dark = _dark_curve(flat, idle_w, self_discharge_a)
    return np.asarray(dark.time_s[:, -1] / 86400).reshape(pack.shape)


def _as_row(level: Discharge) -> Discharge:
    """One discharge as a batch of one, up to its end."""
    end = int(np.searchsorted(level.charge_coulomb, level.charge_coulomb[-1])) + 1
    ending = np.reshape(level.totals.ending, (1,))
    return replace(
        level,
        time_s=level.time_s[None, :end],
        charge_coulomb=level.charge_coulomb[None, :end],
        totals=replace(level.totals, ending=ending),
    )


def _habit(
    curves: Sequence[_Curve], dark: _Curve, evening: Sequence[Stretch], evenings_per_week: float
) -> _Habit:
    lit_s = sum(stretch.seconds for stretch in evening)
    if not (lit_s > 0 and 0 < evenings_per_week <= 7):
        sentence = "found no lit time, or not 0 to 7 evenings a week; write both above 0."
        raise BadInput([Problem("", "evening", sentence)])
    dark_s = max(WEEK_S / evenings_per_week - lit_s, 0.0)
    parts = [(curves[one.level], one.seconds, one.level) for one in evening if one.seconds > 0]
    return _Habit((*parts, (dark, dark_s, IN_THE_DARK)), lit_s, dark_s)


def _dark_curve(pack: Pack, idle_w: ArrayLike, self_discharge_a: ArrayLike) -> _Curve:
    # At rest the pack reaches its cut-off a little later than under the slow current.
    column = pack.column()
    flat_at = pack.drawn_at_rest(pack.cutoff_volts)[:, None]
    share = np.linspace(0.0, 1.0, _DARK_ROWS) * flat_at
    idle, leak_a = (np.reshape(values, (-1, 1)) for values in (idle_w, self_discharge_a))
    amps = np.maximum(idle / column.open_circuit_volts(share) + leak_a, _LEAST_AMPS)
    drawn = share * column.capacity_coulomb
    pace = 1 / amps
    steps = np.diff(drawn, axis=1) * (pace[:, 1:] + pace[:, :-1]) / 2
    ending = np.full(len(drawn), ENDINGS.index(Ending.FLAT))
    return _Curve(_summed(steps), drawn, ending)


def _lit_curve(level: Discharge, leak_a: Floats) -> _Curve:
    """Curve of a level with self-discharge on top."""
    seconds, load = np.diff(level.time_s, axis=1), np.diff(level.charge_coulomb, axis=1)
    seconds = seconds * load / np.maximum(load + leak_a[:, None] * seconds, 1e-30)
    return _Curve(_summed(seconds), level.charge_coulomb, level.totals.ending)


def _summed(steps: Floats) -> Floats:
    """Return the running sums along each row, from 0."""
    found = np.zeros((len(steps), steps.shape[1] + 1))
    np.cumsum(steps, axis=1, out=found[:, 1:])
    return found


def _average_first(habit: _Habit) -> _Start:
    """Whole evenings passed and charge drawn, up to some hundred evenings before the end."""
    size = len(habit.parts[-1][0].drawn)
    evenings, drawn = np.zeros(size), np.zeros(size)
    passed = passed_drawn = np.zeros(1)
    every = np.arange(size)
    last, step = _steps(habit, every, _FEW_ROWS)
    many = np.flatnonzero(last > _WALKED_ALL * step.min(axis=1))
    for start in range(0, many.size, _CHUNK):
        rows = many[start : start + _CHUNK]
        q, count, until = _averaged(habit, rows)
        evenings[rows] = np.floor(until)
        drawn[rows] = interp_rows(evenings[rows], count, q)
        if size == 1 and until[0] > 0.0:
            passed = np.unique(np.floor(np.linspace(0.0, until[0], 201)))
            passed_drawn = np.interp(passed, count[0], q[0])
    return _Start(evenings, drawn, passed, passed_drawn)


def _steps(habit: _Habit, rows: Indices, columns: int) -> tuple[Floats, Floats]:
    """Charge up to which evenings are whole (rows,), and drawn in each that starts before it."""
    # An evening that reaches an end lies in the part that is walked.
    ends = [curve.drawn[rows, -1] for curve, _, _ in habit.parts]
    last = np.min(ends, axis=0)
    q = last[:, None] * np.linspace(0.0, 1.0, columns)[:-1]
    after = q
    for curve, seconds, _ in habit.parts:
        after = curve.after(after, seconds, rows)
    return last, np.maximum(after - q, 1e-30)


def _averaged(habit: _Habit, rows: Indices) -> tuple[Floats, Floats, Floats]:
    """Charge drawn, evenings passed by then (rows, columns), and evenings until the walk (rows,).

    With G(q) drawn in the evening that starts at q, evenings to q are the integral of dq/G plus
    half the logarithm of G(q)/G(0) (Euler-Maclaurin, first correction).
    """
    last, step = _steps(habit, rows, _AVERAGED_ROWS)
    q = last[:, None] * np.linspace(0.0, 1.0, _AVERAGED_ROWS)[:-1]
    pace = 1 / step
    passed = _summed(np.diff(q, axis=1) * (pace[:, 1:] + pace[:, :-1]) / 2)
    passed = np.maximum.accumulate(passed + np.log(step / step[:, :1]) / 2, axis=1)
    lit = np.min([curve.drawn[rows, -1] for curve, _, _ in habit.parts[:-1]], axis=0)
    steady = q + step < lit[:, None] - step
    until = np.where(steady, passed, 0.0).max(axis=1) - _WALKED / 2
    return q, passed, np.where(until < _WALKED, 0.0, until)


def _walk_rest(start: _Start, habit: _Habit, trace: list[tuple[float, float]] | None) -> Courses:
    """Walk evening after evening; `trace` takes in the way of a single charge."""
    drawn, size = start.drawn.copy(), len(start.drawn)
    lit_s, total_s = start.evenings * habit.lit_s, start.evenings * (habit.lit_s + habit.dark_s)
    ending, level = np.zeros(size, dtype=np.intp), np.full(size, IN_THE_DARK)
    rows = np.arange(size)
    while rows.size:
        for curve, seconds, number in habit.parts:
            now_s = interp_rows(drawn[rows], curve.drawn, curve.time_s, rows)
            left_s = curve.time_s[rows, -1] - now_s
            spent_s = np.minimum(seconds, np.maximum(left_s, 0.0))
            drawn[rows] = interp_rows(now_s + spent_s, curve.time_s, curve.drawn, rows)
            total_s[rows] += spent_s
            if number != IN_THE_DARK:
                lit_s[rows] += spent_s
            if trace is not None and rows.size:
                trace.append((float(total_s[0]), float(drawn[0])))
            ends = left_s < seconds
            ended = rows[ends]
            ending[ended], level[ended] = curve.ending[ended], number
            rows = rows[~ends]
    return Courses(lit_s / habit.lit_s, lit_s, total_s, ending, level, drawn)
