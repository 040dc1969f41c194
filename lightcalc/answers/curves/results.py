"""Curves behind the charts: what happens when one thing about a design is changed step by step.

Names end in their unit, as in `results`. Tuples of one curve are of one length.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class EveningCurve:
    """One charge of a supply the way it is used: lit time only, evening after evening.

    `time_h` counts lit hours since the charger, up to the hours that the answer tells; where one
    stretch or evening ends and the next begins, two entries share a moment. `light_ratio` is the
    light of all its runs over their light at full level with a full pack. `evening_ends_h` are the
    moments at which an evening is over, not the end of the charge itself. Of very many evenings a
    selection is drawn, evenly spread, first and last among it, and `evening_ends_h` holds only
    theirs. A supply that gives no light has one entry: dark, its pack full and at rest.
    """

    supply: str
    time_h: tuple[float, ...]
    level_ratio: tuple[float, ...]
    light_ratio: tuple[float, ...]
    pack_v: tuple[float, ...]
    pack_a: tuple[float, ...]
    evening_ends_h: tuple[float, ...]
    cutoff_v: float


@dataclass(frozen=True)
class LevelCurve:
    """Hours of a supply from a full pack without a break, against the level it is dimmed to.

    Hours count until the pack's end, or until half light for a strip straight on its pack. `mix`
    dims single channels further, as in the mix that is lit longest in an evening; it is empty when
    they are dimmed together. `levels_used_ratio` are the evening's levels in that mix, in rising
    order. `stays_on` is False where a USB bank takes so little for nothing and switches itself off,
    so that its hours cannot be had.
    """

    supply: str
    level_ratio: tuple[float, ...]
    hours_h: tuple[float, ...]
    hours_low_h: tuple[float, ...]
    hours_high_h: tuple[float, ...]
    stays_on: tuple[bool, ...]
    mix: tuple[tuple[str, float], ...]
    levels_used_ratio: tuple[float, ...]
    asked_h: float | None


@dataclass(frozen=True)
class PackSizeCurve:
    """Hours a charge as the evenings use it, against the capacity of one pack.

    Each build is one of the three of `compare`. `capacity_ah` is what the label of the catalogue's
    pack would say, new, also where a build holds two of them or one of twice its cells, so the
    three builds share one axis. `hours_h` is 0 where it gives no light, and throughout for a build
    that is impossible.
    """

    build: str
    capacity_ah: tuple[float, ...]
    hours_h: tuple[float, ...]
    named_capacity_ah: float
    named_hours_h: float
    asked_h: float | None


@dataclass(frozen=True)
class WireCurve:
    """Fall in light along one run, and light at its dimmest LEDs, against the wire of its leads.

    All leads of its supply after the converter (after the pack lead, without one) take the size;
    the pack lead stays. `sizes` go from thin to thick by area; a metric size may still have more
    ohms than an AWG size a little thinner, for it has the most its standard allows. The fall along
    a run with one feed hardly depends on its lead; `dimmest_light_ratio` does. `lead_drop_ratio` is
    the share of the supply's volts lost on the way to the run, by its worst path. `suits` says
    whether that wire is thick enough on all of the run's leads for every demand (drop, ampacity,
    strength, fuse).
    `chosen_size` is that of its feed lead in the answer, the thinnest where there are several;
    `lead_sizes` holds the size of every lead on its way, so that with more than one of them the
    answer lies between points of the curve. `asked_drop_ratio` is what the whole way may lose.
    """

    run: str
    sizes: tuple[str, ...]
    area_mm2: tuple[float, ...]
    light_fall_ratio: tuple[float, ...]
    dimmest_light_ratio: tuple[float, ...]
    lead_drop_ratio: tuple[float, ...]
    suits: tuple[bool, ...]
    chosen_size: str
    lead_sizes: tuple[str, ...]
    asked_fall_ratio: float
    asked_drop_ratio: float


@dataclass(frozen=True)
class DistanceCurve:
    """Contrast of a run's dots on one surface against the distance between LEDs and surface.

    `threshold_ratio` is the contrast that an eye at the surface's viewer distance can just see at
    the pattern's pitch and brightness at each distance, at most 1: a pattern too fine for any
    contrast to show. `verdicts` ("hidden", "faint", "plain") count the images of LEDs seen straight
    through a sheet too, which `contrast_ratio` does not hold, so dots may show below the threshold.
    """

    run: str
    surface: str
    distance_m: tuple[float, ...]
    contrast_ratio: tuple[float, ...]
    threshold_ratio: tuple[float, ...]
    verdicts: tuple[str, ...]
    drawn_distance_m: float
    drawn_contrast_ratio: float
    hiding_distance_m: float | None
