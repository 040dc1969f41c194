"""What a look at the piece in space holds. Names end in their unit, as in `results`."""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.findings.finding import Finding


@dataclass(frozen=True)
class SightAnswer:
    """LEDs of one run that one eye sees in one way: direct, through (an inlay), or mirrored.

    A run that turns corners is looked at side by side. `kept_ratio` is the share of an LED's
    brightness that comes to the eye that way, and `multiple_ratio` how many times above what the
    eye can just see the line of LEDs stands.
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
    multiple_ratio: float


@dataclass(frozen=True)
class StoppedBy:
    """What of the piece is in the way of a remote, and for which share of a hand."""

    name: str
    share_ratio: float


@dataclass(frozen=True)
class RemoteAnswer:
    """Whether a hand with a remote, where a viewer is, has a straight line to an infrared eye.

    `free_ratio` is the share of the places a hand may be in, a cube with sides of `hand_m` round
    the viewer, from which the eye is seen; `middle_free` is of the viewer's very place.
    `stopped_by` names what hides it from the rest.
    """

    supply: str
    controller: str
    viewer: str
    free_ratio: float
    middle_free: bool
    stopped_by: tuple[StoppedBy, ...]
    hand_m: float


@dataclass(frozen=True)
class HideAnswer:
    """The smallest changes that hide a run from eyes that see it alike; None where none does.

    Each hides it from all of these eyes. `edge` is the one that they look in over, None for a
    run that lies on no face of a block.
    """

    run: str
    eyes: tuple[str, ...]
    edge: str | None
    set_back_m: float | None
    lip_m: float | None
    turning_hides: bool
    mounts_that_hide: tuple[str, ...]


@dataclass(frozen=True)
class PatternAnswer:
    """The dots of a run's light on one surface, as one eye sees them.

    `multiple_ratio` is that of the light's pattern, `straight_multiple_ratio` that of the LEDs
    seen through an inlay (None for other surfaces); the verdict goes by the larger. From
    `hiding_distance_m` between LEDs and surface on nothing shows; None when no distance does, or
    it is not known. `room_m` is the most distance that the piece leaves; None when not known.
    """

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
    hiding_distance_m: float | None
    room_m: float | None
    on_inlay: bool

    @property
    def surface_words(self) -> str:
        """The surface as a sentence has it: the floor, the wall, or an inlay by its name."""
        return f"the inlay {self.surface}" if self.on_inlay else f"the {self.surface}"


@dataclass(frozen=True)
class EvennessAnswer:
    """Light on the floor along the edge of the piece nearest to a run, or to a side of one."""

    run: str
    mean_lux: float
    least_over_mean_ratio: float


@dataclass(frozen=True)
class GlowAnswer:
    """Where the LEDs' light first lands, and how bright it makes floor, wall and inlays.

    What matt surfaces send on comes on top; pictures and maps of a look hold it.
    """

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
    """Everything seen of a piece with its runs mounted in one way.

    Each run is as in the stretch of the evening in which it is brightest; `level_ratio` is the
    highest of these levels.
    """

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
