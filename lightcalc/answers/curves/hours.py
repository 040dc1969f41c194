"""How hours change with the evening as it goes, with the level, and with the size of the pack."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import Part, answer_parts, build_supply, load_tolerance
from lightcalc.answers.compare import builds, why_impossible
from lightcalc.answers.curves.results import EveningCurve, LevelCurve, PackSizeCurve
from lightcalc.answers.draw import Circuit
from lightcalc.answers.endurance import (
    HOUR_S,
    band_h,
    falls_asleep,
    run_down,
    run_down_sizes,
    terminal_v,
)
from lightcalc.design.piece import Design, Stretch, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.charge.habit import WEEK_S, Course
from lightcalc.physics.charge.pack import Pack as Cells

Array = NDArray[np.float64]
Mix = tuple[tuple[str, float], ...]

# Enough for a chart as wide as a page; evenings beyond that many cannot be told apart on it.
MOST_EVENINGS = 100
MOMENTS = 240
LEVELS = (0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
# From a quarter to four times, four steps to a doubling: hours stand still where a pack lasts just
# to the end of an evening and empties before the next, and fewer steps would miss that.
PACK_SIZES = tuple(2.0 ** (step / 4.0) for step in range(-8, 9))
COULOMB_PER_AH = 3600.0


def evening_curves(
    design: Design, catalogue: Catalogue, parts: Sequence[Part] | None = None
) -> tuple[EveningCurve, ...]:
    """Follow one charge of each supply through its lit hours; nothing is held fixed.

    `parts` are those of `answer_parts`, worked out here when they are not at hand. Within a stretch
    the charge goes as its level's own discharge does; self-discharge is spread evenly over it. Of
    the first of very many evenings, which `habit` averages, the charge is taken as drawn evenly.
    """
    parts = answer_parts(design, catalogue) if parts is None else parts
    return tuple(_evening_curve(part, design.use) for part in parts)


def level_curves(
    design: Design, catalogue: Catalogue, parts: Sequence[Part] | None = None
) -> tuple[LevelCurve, ...]:
    """Discharge each supply at levels from 5 % to full, and at those of its evening.

    Wires, fuses and the warmth of strips stay as the answer has them, which does not depend on the
    level. `parts` as in `evening_curves`.
    """
    parts = answer_parts(design, catalogue) if parts is None else parts
    return tuple(_level_curve(part, design) for part in parts)


def pack_size_curves(
    design: Design, catalogue: Catalogue, parts: Sequence[Part] | None = None
) -> tuple[PackSizeCurve, ...]:
    """Live with packs from a quarter to four times the named one, in each build of `compare`.

    A pack of another size is made of more or fewer of the same cells: its resistance goes down and
    the current its protection allows goes up as its charge does. Wires, fuses and converter are
    those chosen for the named pack. `parts` spare the work on the build that is the design itself.
    """
    supplies: list[tuple[Circuit, Cells]] = []
    owned: list[tuple[str, slice]] = []
    for build in builds(design, catalogue):
        first = len(supplies)
        if build.design is not None and not why_impossible(build, catalogue):
            known = parts if build.design == design else None
            supplies += _ready(build.design, catalogue, known)
        owned.append((build.name, slice(first, len(supplies))))
    charges = run_down_sizes(supplies, design.use, PACK_SIZES) if supplies else ()
    hours_h = [[charge.lit_h for charge in sizes] for sizes in charges]
    pack = catalogue.packs[design.supplies[0].pack]
    return tuple(
        _pack_size_curve(name, hours_h[own], pack.capacity_coulomb / COULOMB_PER_AH, design)
        for name, own in owned
    )


def _asked_h(design: Design) -> float | None:
    return None if design.ask.charge_s is None else design.ask.charge_s / HOUR_S


def _evening_curve(part: Part, use: Use) -> EveningCurve:
    circuit, charge, course = part.circuit, part.charge, part.charge.course
    if charge.lit_h <= 0.0:
        return _dark(part)
    lit_s = math.fsum(stretch.duration_s for stretch in use.stretches)
    # A charge that ends with an evening must not begin one more by rounding.
    begun = max(math.ceil(course.evenings - 1e-9), 1)
    evenings = np.unique(np.round(np.linspace(0.0, begun - 1.0, min(begun, MOST_EVENINGS))))
    moments = _moments(part, use, course, evenings)
    ends_s = (evenings + 1.0) * lit_s
    return EveningCurve(
        supply=circuit.wired.supply.name,
        time_h=_listed(moments.time_s / HOUR_S),
        level_ratio=_listed(moments.level_ratio),
        light_ratio=_listed(moments.light_lm / max(_full_lm(part), 1e-12)),
        pack_v=_listed(moments.volts),
        pack_a=_listed(moments.amps),
        evening_ends_h=_listed(ends_s[ends_s < course.lit_s * (1.0 + 1e-9)] / HOUR_S),
        cutoff_v=circuit.wired.pack.cutoff_v,
    )


def _dark(part: Part) -> EveningCurve:
    """Return the one entry of a supply that gives no light."""
    rest_v = float(part.charge.cells.open_circuit_volts(0.0))
    wired = part.circuit.wired
    dark = (0.0,)
    return EveningCurve(
        wired.supply.name, dark, dark, dark, (rest_v,), dark, (), wired.pack.cutoff_v
    )


def _full_lm(part: Part) -> float:
    """Light of all runs of a supply at full level with a full pack [lm]."""
    drawn, start = part.charge.draws[0], part.charge.curves[0].volts[:1]
    return float(drawn.at_v(terminal_v(start, part.circuit.wired.pack), drawn.light_lm)[0])


class _Moments(NamedTuple):
    """Moments of a charge: lit seconds since the charger, and what goes on then; of one shape."""

    time_s: Array
    level_ratio: Array
    light_lm: Array
    volts: Array
    amps: Array


def _moments(part: Part, use: Use, course: Course, evenings: Array) -> _Moments:
    """Take moments of every stretch of some evenings, up to the end of the charge, in order."""
    lit_s = math.fsum(stretch.duration_s for stretch in use.stretches)
    dark_s = max(WEEK_S / use.evenings_a_week - lit_s, 0.0)
    count = max(MOMENTS // (len(evenings) * len(use.stretches)), 1) + 1
    found, starts, begins_s = [], [], evenings * lit_s
    for stretch in use.stretches:
        ends_s = np.minimum(begins_s + stretch.duration_s, course.lit_s)
        spans_s = np.linspace(np.minimum(begins_s, ends_s), ends_s, count, axis=-1)
        # Beside the lit hours, the days between the evenings have passed by then.
        drawn = np.interp(spans_s + dark_s * evenings[:, None], course.time_s, course.drawn_coulomb)
        found.append(_in_stretch(part, stretch, spans_s, drawn))
        starts.append(begins_s)
        begins_s = begins_s + stretch.duration_s
    # A millionth of a second lets rounding begin no stretch at the very end.
    lit = np.stack(starts, axis=1) < course.lit_s - 1e-6
    columns = (np.stack(column, axis=1)[lit].ravel() for column in zip(*found, strict=True))
    moments = _Moments(*columns)
    # A stretch begins where the one before ends; rounding may put that a hair earlier.
    return moments._replace(time_s=np.maximum.accumulate(moments.time_s))


def _in_stretch(part: Part, stretch: Stretch, time_s: Array, drawn_coulomb: Array) -> _Moments:
    """Follow a level from the charge drawn when a stretch begins to that when it ends.

    Rows are evenings. Between its ends a stretch goes along the discharge of its level, moment by
    moment at an even pace.
    """
    charge, pack = part.charge, part.circuit.wired.pack
    number = charge.number_of(stretch)
    curve, drawn = charge.curves[number], charge.draws[number]
    ends_s = np.interp(drawn_coulomb[:, [0, -1]], curve.charge_coulomb, curve.time_s)
    along_s = np.linspace(ends_s[:, 0], ends_s[:, 1], time_s.shape[1], axis=-1)
    volts = np.interp(along_s, curve.time_s, curve.volts)
    return _Moments(
        time_s=time_s,
        level_ratio=np.full_like(time_s, stretch.level_ratio),
        light_lm=drawn.at_v(terminal_v(volts, pack), drawn.light_lm),
        volts=volts,
        amps=np.interp(along_s, curve.time_s, curve.amps),
    )


def _listed(values: Array) -> tuple[float, ...]:
    return tuple(values.tolist())


def _level_curve(part: Part, design: Design) -> LevelCurve:
    use, wired = design.use, part.circuit.wired
    mix = _lit_longest(use)
    used = sorted({stretch.level_ratio for stretch in use.stretches if stretch.mix == mix})
    stretches = tuple(Stretch(level, HOUR_S, mix) for level in sorted({*LEVELS, *used}))
    charge = run_down(part.circuit, part.charge.cells, replace(use, stretches=stretches))
    hours_h = [charge.counted_s(charge.number_of(stretch)) / HOUR_S for stretch in stretches]
    bands_h = [band_h(hours, wired.pack, load_tolerance(wired)) for hours in hours_h]
    return LevelCurve(
        supply=wired.supply.name,
        level_ratio=tuple(stretch.level_ratio for stretch in stretches),
        hours_h=tuple(hours_h),
        hours_low_h=tuple(low for low, _ in bands_h),
        hours_high_h=tuple(high for _, high in bands_h),
        stays_on=tuple(
            not falls_asleep(charge, replace(use, stretches=(stretch,))) for stretch in stretches
        ),
        mix=mix,
        levels_used_ratio=tuple(used),
        asked_h=_asked_h(design),
    )


def _lit_longest(use: Use) -> Mix:
    """Return the mix of channels that is lit longest in an evening; the first of equals."""
    lit_s: dict[Mix, float] = {}
    for stretch in use.stretches:
        lit_s[stretch.mix] = lit_s.get(stretch.mix, 0.0) + stretch.duration_s
    return max(lit_s, key=lambda mix: lit_s[mix])


def _ready(
    design: Design, catalogue: Catalogue, parts: Sequence[Part] | None
) -> list[tuple[Circuit, Cells]]:
    """Return the circuit and cells of every supply of a build."""
    if parts is not None:
        return [(part.circuit, part.charge.cells) for part in parts]
    built = [build_supply(supply, design, catalogue) for supply in design.supplies]
    return [(one.circuit, one.cells.used) for one in built]


def _pack_size_curve(
    name: str, hours_h: Sequence[Sequence[float]], named_ah: float, design: Design
) -> PackSizeCurve:
    """Of the packs of one build, the one that is empty first decides."""
    first_h = [min(packs) for packs in zip(*hours_h, strict=True)] or [0.0] * len(PACK_SIZES)
    return PackSizeCurve(
        build=name,
        capacity_ah=tuple(named_ah * size for size in PACK_SIZES),
        hours_h=tuple(first_h),
        named_capacity_ah=named_ah,
        named_hours_h=first_h[PACK_SIZES.index(1.0)],
        asked_h=_asked_h(design),
    )
