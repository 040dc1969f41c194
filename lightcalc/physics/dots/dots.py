"""Whether an eye can tell the LEDs of a row apart, on a lit surface or through a sheet.

::

    seen through:   eye    viewer     sheet  distance  row
                     <)  - - - - - - - |       - - -   o o o
    seen lit:       eye and row on the same side of an opaque surface

Two things show dots. The glow on the surface is brighter under each LED, and distance
evens it out; a light haze keeps to the light's way and needs more distance than a milky
sheet (see ``lobes``). A share that passes straight shows an image of every LED, and no
distance takes that away; a layer that scatters does. The eye is taken to look square on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np

from lightcalc.physics.dots.diffusion import (
    Array,
    axial_intensity_cd,
    contrast_of_harmonics,
    mean_illuminance_lux,
    require_positive,
    row_harmonics,
    row_illuminance_lux,
)
from lightcalc.physics.dots.lobes import Lobe, LobeRow, even_lobe, lobe_row, sheet_lobes
from lightcalc.physics.dots.sheet import Sheet, sheet_shares
from lightcalc.physics.dots.vision import LEAST_LUMINANCE_CD_M2, angle_deg, pattern_multiple

# Between one and three times threshold a pattern is seen half of the time or more by
# someone who looks for it under good conditions. Someone who does not know where to look
# needs about 2.4 times as much (field factor of H. R. Blackwell's visibility work, taken up
# in CIE 19/2; from memory), so from three times on anyone sees it.
PLAIN_FROM_MULTIPLE = 3.0

MOST_WAVES = 48
# Nearer than this in pitches the row is summed LED by LED.
_NEAR_IN_PITCHES = 0.4
_ACUITY_DEG = 1.0 / 60.0


class Visibility(StrEnum):
    """How plainly the dots show."""

    HIDDEN = "hidden"
    FAINT = "faint"
    PLAIN = "plain"


class Remedy(StrEnum):
    """What would hide the dots."""

    NONE_NEEDED = "none needed"
    MORE_DISTANCE = "more distance"
    SCATTERING_LAYER = "scattering layer"


@dataclass(frozen=True)
class Surface:
    """What a lit surface gives on to the eye, as shares of the light that falls on it."""

    lobes: tuple[Lobe, ...]
    """The glow: the share of the row's light given off towards the viewer, by directions."""
    straight: float
    """Share of the row's light that passes straight, with an image of each LED."""
    room_reflectance: float
    """Share of the room's light, from the viewer's side, sent back to the viewer."""

    @property
    def glow(self) -> float:
        """Share of the row's light that goes into the glow."""
        return sum((lobe.share for lobe in self.lobes), 0.0)


@dataclass(frozen=True)
class DotScene:
    """A row of LEDs, the surface it lights and where the eye is."""

    pitch_m: float
    lumens_per_emitter: float
    beam_exponent: float
    distance_m: float
    """From the LEDs to the surface, square to it."""
    surface: Surface
    viewer_distance_m: float
    """From the eye to the surface."""
    row_length_m: float
    room_illuminance_lux: float = 0.0
    """On the viewer's side of the surface."""
    emitter_side_m: float = 0.003
    """Side of the bright square of one LED; a pitch or more for a continuous strip."""


@dataclass(frozen=True)
class DotSight:
    """Whether dots show as the scene stands."""

    contrast_ratio: float
    """Michelson contrast of the glow at the surface, room light included."""
    threshold_ratio: float
    """Contrast at which this pattern would just be seen; infinite when too fine to see."""
    multiple: float
    """``contrast_ratio / threshold_ratio``, for the glow."""
    straight_luminance_ratio: float
    """Luminance of an LED seen through the sheet over that of the glow around it."""
    straight_multiple: float
    """How many times above threshold the images of the LEDs stand."""
    verdict: Visibility
    """By the larger of the two multiples."""
    surface_luminance_cd_m2: float
    """Mean luminance of the glow below the middle of the row, without the room."""
    room_luminance_cd_m2: float
    """Luminance that the room's light adds."""
    remedy: Remedy


def reflecting_surface(reflectance: float) -> Surface:
    """Opaque matt surface lit and seen from the same side. Gloss is not covered.

    >>> reflecting_surface(0.5).glow
    0.5
    """
    if not 0.0 <= reflectance <= 1.0:
        raise ValueError(f"The reflectance is {reflectance}; it must lie between 0 and 1.")
    lobes = (even_lobe(reflectance),) if reflectance > 0.0 else ()
    return Surface(lobes, straight=0.0, room_reflectance=reflectance)


def sheet_surface(sheet: Sheet, thickness_m: float) -> Surface:
    """Sheet of that thickness [m] lit from behind and looked at.

    >>> sheet_surface(Sheet(1.5, 0.0, 0.0), 0.003).glow
    0.0
    """
    shares = sheet_shares(sheet, thickness_m)
    return Surface(
        lobes=sheet_lobes(sheet, thickness_m),
        straight=shares.straight,
        room_reflectance=shares.reflected,
    )


def see_dots(scene: DotScene) -> DotSight:
    """Say whether the LEDs of a row can be told apart, as the scene stands.

    The pattern is that of a long row, the brightness that below its middle; the field is a
    square as wide as the row, which a smaller glow makes a little harder to see than said.
    Raises ValueError, in a sentence, for lengths that are not above zero.

    >>> scene = DotScene(
    ...     pitch_m=0.0167, lumens_per_emitter=8.0, beam_exponent=1.0, distance_m=0.0167,
    ...     surface=reflecting_surface(0.7), viewer_distance_m=1.0, row_length_m=1.0,
    ... )
    >>> seen = see_dots(scene)
    >>> seen.verdict, round(seen.contrast_ratio, 4), seen.remedy.value
    (<Visibility.PLAIN: 'plain'>, 0.0272, 'more distance')
    """
    _check_scene(scene)
    distance, viewer = scene.distance_m, np.asarray(scene.viewer_distance_m)
    contrast = _surface_contrast(scene)
    multiple = float(glow_multiple(scene, distance, viewer))
    straight = float(straight_multiple(scene, distance, viewer))
    verdict = visibility(max(multiple, straight))
    glow, room = _luminances(scene, distance)
    return DotSight(
        contrast_ratio=contrast,
        threshold_ratio=contrast / multiple if multiple > 0.0 else math.inf,
        multiple=multiple,
        straight_luminance_ratio=_image_luminance(scene) / max(glow + room, LEAST_LUMINANCE_CD_M2),
        straight_multiple=straight,
        verdict=verdict,
        surface_luminance_cd_m2=glow,
        room_luminance_cd_m2=room,
        remedy=_remedy(verdict, straight),
    )


def visibility(multiple: float) -> Visibility:
    """Grade a multiple of the threshold contrast.

    >>> visibility(2.0).value
    'faint'
    """
    if multiple < 1.0:
        return Visibility.HIDDEN
    return Visibility.FAINT if multiple < PLAIN_FROM_MULTIPLE else Visibility.PLAIN


def _remedy(verdict: Visibility, straight_multiple: float) -> Remedy:
    if verdict is Visibility.HIDDEN:
        return Remedy.NONE_NEEDED
    return Remedy.SCATTERING_LAYER if straight_multiple >= 1.0 else Remedy.MORE_DISTANCE


def _check_scene(scene: DotScene) -> None:
    require_positive(
        lumens_per_emitter=scene.lumens_per_emitter,
        viewer_distance_m=scene.viewer_distance_m,
        row_length_m=scene.row_length_m,
        emitter_side_m=scene.emitter_side_m,
    )
    if not 0.0 <= scene.room_illuminance_lux < math.inf:
        raise ValueError(
            f"The room's light is {scene.room_illuminance_lux} lx; it must be 0 or more."
        )


def _lobe_rows(scene: DotScene, distance_m: float) -> list[LobeRow]:
    return [lobe_row(lobe, distance_m, scene.beam_exponent) for lobe in scene.surface.lobes]


def _glow_means(scene: DotScene, rows: list[LobeRow], row_length_m: float) -> Array:
    """Luminance below the middle of the row, averaged over a pitch, for each lobe."""
    pitch, lumens = scene.pitch_m, scene.lumens_per_emitter
    means = [
        row.cd_m2_per_lux
        * mean_illuminance_lux(row.distance_m, pitch, lumens, row.exponent, row_length_m)
        for row in rows
    ]
    return np.array(means, dtype=np.float64)


def _luminances(scene: DotScene, distance_m: float) -> tuple[float, float]:
    """Mean luminance of the glow, and what the room adds to it as to a matt surface."""
    means = _glow_means(scene, _lobe_rows(scene, distance_m), scene.row_length_m)
    room = scene.surface.room_reflectance * scene.room_illuminance_lux / math.pi
    return float(means.sum()), room


# One look asks twice for the waves at the scene's own distance: for contrast and for the eye.
@lru_cache(maxsize=16)
def _glow_waves(scene: DotScene, distance_m: float) -> Array:
    """Waves of the glow of an endless row, as shares of its mean."""
    rows = _lobe_rows(scene, distance_m)
    means = _glow_means(scene, rows, math.inf)
    waves = np.zeros(MOST_WAVES)
    for mean, row in zip(means, rows, strict=True):
        shares = row_harmonics(row.distance_m, scene.pitch_m, row.exponent, MOST_WAVES)
        waves += mean / means.sum() * shares
    waves.flags.writeable = False
    return waves


def _surface_contrast(scene: DotScene) -> float:
    """Michelson contrast at the surface, thinned by the room's even light."""
    rows = _lobe_rows(scene, scene.distance_m)
    if not rows:
        return 0.0
    if min(row.distance_m for row in rows) < _NEAR_IN_PITCHES * scene.pitch_m:
        bright, dim = _extremes(scene, rows)
        contrast = (bright - dim) / (bright + dim)
        middle = (bright + dim) / 2.0 / float(_glow_means(scene, rows, math.inf).sum())
    else:
        # Straight from the waves, so that the faintest contrasts keep their digits.
        waves = _glow_waves(scene, scene.distance_m)
        contrast = min(contrast_of_harmonics(waves), 1.0)
        middle = 1.0 + float(waves[1::2].sum())
    glow, room = _luminances(scene, scene.distance_m)
    lit = glow * middle
    return contrast * lit / max(lit + room, LEAST_LUMINANCE_CD_M2)


def _extremes(scene: DotScene, rows: list[LobeRow]) -> tuple[float, float]:
    """Luminance of an endless row's glow below an LED and midway between two."""
    pitch = scene.pitch_m
    places = np.array([0.0, pitch / 2.0])
    total = np.zeros(2)
    for row in rows:
        lux = row_illuminance_lux(
            places, row.distance_m, pitch, scene.lumens_per_emitter, row.exponent
        )
        total += row.cd_m2_per_lux * lux
    return float(total[0]), float(total[1])


def glow_multiple(scene: DotScene, distance_m: float, viewer_m: Array) -> Array:
    """Multiple of threshold of the glow's pattern, for each viewer distance [m], of any shape."""
    if not scene.surface.lobes:
        return np.zeros(viewer_m.shape)
    glow, room = _luminances(scene, distance_m)
    seen = max(glow + room, LEAST_LUMINANCE_CD_M2)
    return pattern_multiple(
        _glow_waves(scene, distance_m) * (glow / seen),
        1.0 / angle_deg(scene.pitch_m, viewer_m),
        np.full(viewer_m.shape, seen),
        angle_deg(scene.row_length_m, viewer_m),
    )


def _image_luminance(scene: DotScene) -> float:
    """Luminance [cd/m2] of one LED seen through the sheet, straight on."""
    intensity = axial_intensity_cd(scene.lumens_per_emitter, scene.beam_exponent)
    return scene.surface.straight * intensity / scene.emitter_side_m**2


def straight_multiple(scene: DotScene, distance_m: float, viewer_m: Array) -> Array:
    """Multiple of threshold of the LEDs' images, for each viewer distance [m], of any shape."""
    if scene.surface.straight == 0.0:
        return np.zeros(viewer_m.shape)
    behind = np.asarray(max(sum(_luminances(scene, distance_m)), LEAST_LUMINANCE_CD_M2))
    pitch, lumens = np.asarray(scene.pitch_m), np.asarray(scene.lumens_per_emitter)
    return image_multiple(scene, pitch, lumens, viewer_m + distance_m, behind)


def image_multiple(
    scene: DotScene, pitch_m: Array, lumens: Array, eye_m: Array, behind_cd_m2: Array
) -> Array:
    """Multiple of threshold of the images of LEDs `eye_m` from the eye, all of one shape.

    The images form a bar pattern along a line as tall as an LED, or as the eye's own blur
    where that is more, on top of the glow behind them.
    """
    side = np.minimum(scene.emitter_side_m, pitch_m)
    tall_m = np.maximum(side, math.radians(_ACUITY_DEG) * eye_m)
    intensity = scene.surface.straight * lumens * axial_intensity_cd(1.0, scene.beam_exponent)
    line = intensity / (pitch_m * tall_m)
    bars = 2.0 * np.abs(np.sinc(np.arange(1, MOST_WAVES + 1) * (side / pitch_m)[..., None]))
    return pattern_multiple(
        bars * (line / (line + behind_cd_m2))[..., None],
        1.0 / angle_deg(pitch_m, eye_m),
        line + behind_cd_m2,
        angle_deg(scene.row_length_m, eye_m),
        angle_deg(tall_m, eye_m),
    )
