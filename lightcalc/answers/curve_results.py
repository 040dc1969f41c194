"""Curves behind the charts: what happens when one thing about a design is changed step by step.

Names end in their unit, as in `results`. Tuples of one curve are of one length.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class EveningCurve:
    """One charge of a supply the way it is used: lit time only, evening after evening.

    `time_h` counts lit hours since the charger; where one stretch or evening ends and the next
    begins, two entries share a moment. `light_ratio` is the light of all its runs over their light
    at full level with a full pack. `evening_ends_h` are the moments at which an evening is over.
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
    """Hours of a supply from a full pack without a break, against the level it is dimmed to."""

    supply: str
    level_ratio: tuple[float, ...]
    hours_h: tuple[float, ...]
    hours_low_h: tuple[float, ...]
    hours_high_h: tuple[float, ...]
    levels_used_ratio: tuple[float, ...]
    asked_h: float | None


@dataclass(frozen=True)
class PackSizeCurve:
    """Hours a charge as the evenings use it, against the capacity of one pack.

    Each build is one of the three of `compare`; `capacity_ah` is what the label of one pack
    would say, also where a build holds two. `hours_h` is 0 where it gives no light.
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

    All leads of its supply behind the converter (or, without one, from the pack) take the size;
    `sizes` go from thin to thick. `suits` says whether that wire is thick enough for every demand
    (drop, ampacity, strength, fuse).
    """

    run: str
    sizes: tuple[str, ...]
    area_mm2: tuple[float, ...]
    light_fall_ratio: tuple[float, ...]
    dimmest_light_ratio: tuple[float, ...]
    lead_drop_ratio: tuple[float, ...]
    suits: tuple[bool, ...]
    chosen_size: str
    asked_fall_ratio: float
    asked_drop_ratio: float


@dataclass(frozen=True)
class DistanceCurve:
    """Contrast of a run's dots on one surface against the distance between LEDs and surface.

    `threshold_ratio` is the contrast that an eye at the surface's viewer distance can just see at
    the pattern's pitch and brightness at each distance; above 1 nothing can be seen.
    """

    run: str
    surface: str
    distance_m: tuple[float, ...]
    contrast_ratio: tuple[float, ...]
    threshold_ratio: tuple[float, ...]
    drawn_distance_m: float
    drawn_contrast_ratio: float
    hiding_distance_m: float | None
