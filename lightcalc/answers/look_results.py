"""What a look at the piece in space holds. Names end in their unit, as in `results`."""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.finding import Finding


@dataclass(frozen=True)
class SightAnswer:
    """LEDs of one run that one eye sees in one way: direct, through (an insert), or mirrored.

    `kept_ratio` is the share of an LED's brightness that comes to the eye that way.
    """

    eye: str
    run: str
    way: str
    inserts: tuple[str, ...]
    leds_count: int
    of_count: int
    share_ratio: float
    kept_ratio: float
    nearest_m: float


@dataclass(frozen=True)
class HideAnswer:
    """The smallest change that hides a run from one eye; None where no such change does."""

    run: str
    eye: str
    set_back_m: float | None
    lip_m: float | None
    turning_hides: bool
    mounts_that_hide: tuple[str, ...]


@dataclass(frozen=True)
class PatternAnswer:
    """The dots of a run's light on one surface, as one eye sees them."""

    run: str
    surface: str
    eye: str
    viewer_distance_m: float
    mean_lux: float
    luminance_cd_m2: float
    contrast_ratio: float
    frequency_cycles_per_deg: float
    threshold_ratio: float
    multiple_ratio: float
    straight_multiple_ratio: float | None
    verdict: str
    remedy: str


@dataclass(frozen=True)
class EvennessAnswer:
    """Light on the floor along the edge of the piece nearest to a run."""

    run: str
    mean_lux: float
    least_over_mean_ratio: float


@dataclass(frozen=True)
class GlowAnswer:
    """Where the LEDs' light goes, and how bright it makes floor, wall and inserts."""

    emitted_lm: float
    floor_lm: float
    wall_lm: float
    piece_lm: float
    inserts_lm: float
    left_lm: float
    floor_peak_lux: float
    wall_peak_lux: float | None
    insert_peaks_cd_m2: tuple[tuple[str, float], ...]
    edges: tuple[EvennessAnswer, ...]


@dataclass(frozen=True)
class Look:
    """Everything seen of a piece with its runs mounted in one way."""

    piece: str
    units: str
    mounts: tuple[str, ...]
    level_ratio: float
    room_lux: float
    findings: tuple[Finding, ...]
    sights: tuple[SightAnswer, ...]
    hides: tuple[HideAnswer, ...]
    patterns: tuple[PatternAnswer, ...]
    glow: GlowAnswer
