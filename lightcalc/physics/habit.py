"""Evening after evening from one charge: how many there are, and what ends them.

Every stretch of time, lit or dark, is a curve of time against charge drawn. A stretch starts where
the one before left off and moves along its own curve:

    charge  ^        bright  /      . dark (idle current and self-discharge)
            |               /     .
            |    ._________/....'
            +-------------------------> time
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.discharge import Discharge, Ending
from lightcalc.physics.pack import Pack
from lightcalc.problems import BadInput, Problem

Floats = NDArray[np.float64]

WEEK_S = 7 * 86400.0
_WALKED = 200
_LEAST_AMPS = 1e-12


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


class _Curve(NamedTuple):
    """Time against charge drawn, to its end."""

    time_s: Floats
    drawn: Floats
    ended_by: Ending

    def after(self, drawn: Floats, seconds: float) -> Floats:
        return np.interp(
            np.interp(drawn, self.drawn, self.time_s) + seconds, self.time_s, self.drawn
        )

    def left_s(self, drawn: float) -> float:
        return float(self.time_s[-1] - np.interp(drawn, self.drawn, self.time_s))


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

    >>> from lightcalc.physics.pack import describe_pack
    >>> from lightcalc.physics.discharge import discharge
    >>> from lightcalc.physics.load import constant_power
    >>> pack = describe_pack("lithium-ion", 3600 * 5.0, 3.65)
    >>> full = discharge(pack, constant_power(1.0))
    >>> course = live_with(pack, [full], [Stretch(0, 3600.0)], 7)
    >>> abs(course.lit_s - float(full.duration_s)) < 1.0
    True
    """
    lit_s = sum(stretch.seconds for stretch in evening)
    if not (lit_s > 0 and 0 < evenings_per_week <= 7):
        sentence = "found no lit time, or not 0 to 7 evenings a week; write both above 0."
        raise BadInput([Problem("", "evening", sentence)])
    dark = _dark_curve(pack, idle_w, self_discharge_a)
    curves = [_lit_curve(level, self_discharge_a) for level in levels]
    dark_s = max(WEEK_S / evenings_per_week - lit_s, 0.0)
    parts = [(curves[stretch.level], stretch.seconds) for stretch in evening]
    bulk = _average_first(parts, dark, dark_s)
    return _walk_rest(bulk, curves, evening, dark, dark_s)


def days_until_flat(pack: Pack, idle_w: float, self_discharge_a: float) -> float:
    """Days a full pack (one, not a batch) lasts when the light is never switched on.

    >>> from lightcalc.physics.pack import describe_pack
    >>> pack = describe_pack("lead-acid", 3600 * 7.0, 12.0)
    >>> 60 < days_until_flat(pack, 0.05, 0.0) < 75
    True
    """
    return float(_dark_curve(pack, idle_w, self_discharge_a).time_s[-1] / 86400)


def _dark_curve(pack: Pack, idle_w: float, self_discharge_a: float) -> _Curve:
    # At rest the pack reaches its cut-off a little later than under the slow current.
    share = np.linspace(0.0, float(pack.drawn_at_rest(pack.cutoff_volts)), 201)
    amps = np.maximum(idle_w / pack.open_circuit_volts(share) + self_discharge_a, _LEAST_AMPS)
    drawn = share * pack.capacity_coulomb
    pace = 1 / amps
    seconds = np.concatenate(([0.0], np.cumsum(np.diff(drawn) * (pace[1:] + pace[:-1]) / 2)))
    return _Curve(seconds, drawn, Ending.FLAT)


def _lit_curve(level: Discharge, self_discharge_a: float) -> _Curve:
    """Curve of a level with self-discharge on top, up to its end."""
    end = int(np.searchsorted(level.charge_coulomb, level.charge_coulomb[-1])) + 1
    seconds, load = np.diff(level.time_s[:end]), np.diff(level.charge_coulomb[:end])
    seconds = seconds * load / np.maximum(load + self_discharge_a * seconds, 1e-30)
    time_s = np.concatenate(([0.0], np.cumsum(seconds)))
    return _Curve(time_s, level.charge_coulomb[:end], level.ended_by)


def _average_first(
    parts: Sequence[tuple[_Curve, float]], dark: _Curve, dark_s: float
) -> tuple[Floats, Floats]:
    """Whole evenings passed and charge drawn, up to some hundred evenings before the end.

    With G(q) drawn in the evening that starts at q, evenings to q are the integral of dq/G plus
    half the logarithm of G(q)/G(0) (Euler-Maclaurin, first correction).
    """
    # An evening that reaches an end lies in the part that is walked.
    last = min(curve.drawn[-1] for curve, _ in parts)
    q = np.linspace(0.0, min(last, dark.drawn[-1]), 801)[:-1]
    after = q
    for curve, seconds in [*parts, (dark, dark_s)]:
        after = curve.after(after, seconds)
    step = np.maximum(after - q, 1e-30)
    pace = 1 / step
    passed = np.concatenate(([0.0], np.cumsum(np.diff(q) * (pace[1:] + pace[:-1]) / 2)))
    passed = np.maximum.accumulate(passed + np.log(step / step[0]) / 2)
    steady = after < last - step
    until = passed[steady][-1] - _WALKED / 2 if steady.any() else 0.0
    if until < _WALKED:
        return np.zeros(1), np.zeros(1)
    evenings = np.unique(np.floor(np.linspace(0.0, until, 201)))
    return evenings, np.interp(evenings, passed, q)


def _walk_rest(
    bulk: tuple[Floats, Floats],
    curves: Sequence[_Curve],
    evening: Sequence[Stretch],
    dark: _Curve,
    dark_s: float,
) -> Course:
    lit_an_evening = sum(stretch.seconds for stretch in evening)
    times, charges = list(bulk[0] * (lit_an_evening + dark_s)), list(bulk[1])
    stretches: list[tuple[_Curve, float, int | None]]
    stretches = [(curves[s.level], s.seconds, s.level) for s in evening if s.seconds > 0]
    stretches.append((dark, dark_s, None))
    lit_s = float(bulk[0][-1]) * lit_an_evening
    while True:
        for curve, seconds, level in stretches:
            left = curve.left_s(charges[-1])
            spent = min(seconds, max(left, 0.0))
            lit_s += spent if level is not None else 0.0
            times.append(times[-1] + spent)
            charges.append(float(curve.after(np.asarray(charges[-1]), spent)))
            if left < seconds:
                return Course(
                    evenings=lit_s / lit_an_evening,
                    lit_s=lit_s,
                    total_s=float(times[-1]),
                    ended_by=curve.ended_by,
                    level=level,
                    time_s=np.array(times),
                    drawn_coulomb=np.array(charges),
                )
