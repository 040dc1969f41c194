"""The dots of each run's light on floor, wall and inserts, as each eye sees them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightcalc.answers.look.results import PatternAnswer, SightAnswer
from lightcalc.physics.dots.diffusion import Array
from lightcalc.physics.dots.dots import (
    DotScene,
    Surface,
    Visibility,
    reflecting_surface,
    see_dots,
    sheet_surface,
    visibility,
)
from lightcalc.physics.dots.hiding_distance import hiding_distance_m
from lightcalc.physics.dots.vision import angle_deg, pattern_multiple
from lightcalc.physics.room.direct import Lighting
from lightcalc.physics.room.glow import Glow, InsertGlow, line_evenness
from lightcalc.physics.room.lightmap import LightMap
from lightcalc.physics.room.rays import blocked, nearest
from lightcalc.physics.room.scene import Eye, Row, Scene

# A surface that gets less light than this of a run shows no pattern of it.
LEAST_LUX = 0.05
# So many places of a surface are looked for by an eye; no eye focuses nearer than the distance.
LOOKS = 13
NEAREST_M = 0.001


@dataclass(frozen=True, eq=False)
class Spot:
    """The brightest place of a row's light on a surface, and places of it that eyes look at."""

    name: str
    surface: Surface
    place: Array
    lux: float
    looked_at: Array
    room_m: float | None = None
    on_inlay: bool = False


def pattern_answers(
    scene: Scene, lit: Glow, prepared: Lighting, sights: Sequence[SightAnswer]
) -> tuple[PatternAnswer, ...]:
    """Judge every run on every surface that it lights, for every eye that sees it there.

    `sights` says which eyes see LEDs through an inlay; to others it only glows.
    """
    found: list[PatternAnswer] = []
    for number, row in enumerate(scene.rows):
        found += _on_floor(scene, lit, prepared, number, row)
        found += _on_wall(scene, lit, prepared, number, row)
        for insert, glow in zip(scene.inserts, lit.inserts, strict=True):
            surface = sheet_surface(insert.sheet, _thickness_m(glow))
            through = {s.eye for s in sights if s.run == row.name and insert.name in s.inserts}
            for spot, sees in _insert_spots(scene, glow, surface, number):
                spot = replace(spot, room_m=_room_m(prepared, row, glow), on_inlay=True)  # noqa: PLW2901
                found += _judged(scene, prepared, row, spot, sees & through)
                found += _judged(scene, prepared, row, spot, sees - through, glows=True)
    return tuple(found)


def _peak(light: LightMap, number: int) -> tuple[float, Array]:
    """Most light of one row on a map, and the place where it is."""
    lux = light.lux_by_row[number]
    place = light.grid.middles_m().reshape(-1, 3)[int(lux.argmax())]
    return float(lux.max()), place


def _along(row: Row) -> int:
    """Return the axis that a run follows most: 0, 1 or 2."""
    return int(np.ptp(np.array(row.places), axis=0).argmax())


def _beside(row: Row, place: Array) -> Array:
    """Places in a line beside the run through a place, from end to end of the run."""
    places = np.array(row.places)
    along = _along(row)
    line = np.tile(place, (LOOKS, 1))
    line[:, along] = np.linspace(places[:, along].min(), places[:, along].max(), LOOKS)
    return line


def _seeing(scene: Scene, prepared: Lighting, line: Array) -> Iterator[tuple[Eye, float]]:
    """Eyes that see one place or more along a line, and how far the nearest of these is."""
    for eye in scene.eyes:
        away_m = np.linalg.norm(line - np.array(eye.place), axis=1)
        seen = ~blocked(prepared.everything, line, np.array(eye.place)) & (away_m > NEAREST_M)
        if seen.any():
            yield eye, float(away_m[seen].min())


def _on_floor(
    scene: Scene, lit: Glow, prepared: Lighting, number: int, row: Row
) -> Iterator[PatternAnswer]:
    """Dots on the floor: the light of all runs there, worked out place by place.

    Under a row that stands up, slants or is a few LEDs long no pattern repeats with the pitch.
    """
    lux, place = _peak(lit.floor, number)
    spread = np.ptp(np.array(row.places), axis=0)
    along = _along(row)
    if lux < LEAST_LUX or np.delete(spread, along).max() > row.pitch_m or along == 2:
        return
    line = _beside(row, place)
    start, end = line[0], line[-1]
    length_m = float(end[along] - start[along])
    if length_m < 2.0 * row.pitch_m:
        return
    evenness = line_evenness(prepared, start, end, row.pitch_m)
    mean_lux = float(evenness.lux.mean())
    if mean_lux < LEAST_LUX:
        return
    reflectance = float(np.mean(scene.floor.colour))
    whole = (mean_lux + scene.room_lux) * reflectance / math.pi
    contrast = evenness.dot_contrast * mean_lux / max(mean_lux + scene.room_lux, LEAST_LUX)
    for eye, away_m in _seeing(scene, prepared, line):
        cycles = 1.0 / float(angle_deg(row.pitch_m, away_m))
        multiple = float(
            pattern_multiple(
                np.array([contrast]),
                np.array(cycles),
                np.array(whole),
                np.array(float(angle_deg(length_m, away_m))),
            )
        )
        yield PatternAnswer(
            run=row.name,
            surface="floor",
            eye=eye.name,
            viewer_distance_m=away_m,
            mean_lux=mean_lux,
            luminance_cd_m2=whole,
            contrast_ratio=contrast,
            frequency_cycles_per_deg=cycles,
            threshold_ratio=min(contrast / multiple, 1.0) if multiple > 0.0 else 1.0,
            multiple_ratio=multiple,
            straight_multiple_ratio=None,
            verdict=str(visibility(multiple)),
            remedy="none needed" if multiple < 1.0 else "more distance",
            hiding_distance_m=None,
            room_m=None,
            on_inlay=False,
        )


def _on_wall(
    scene: Scene, lit: Glow, prepared: Lighting, number: int, row: Row
) -> Iterator[PatternAnswer]:
    if scene.wall is None or lit.wall is None:
        return
    lux, place = _peak(lit.wall, number)
    if lux >= LEAST_LUX:
        surface = reflecting_surface(float(np.mean(scene.wall.colour)))
        spot = Spot("wall", surface, place, lux, _beside(row, place))
        front_m = min((box.low[1] for box in scene.boxes), default=-math.inf)
        spot = replace(spot, room_m=scene.wall.y_m - front_m)
        yield from _judged(scene, prepared, row, spot, [eye.name for eye in scene.eyes])


def _thickness_m(glow: InsertGlow) -> float:
    return abs(glow.high.grid.at_m - glow.low.grid.at_m)


def _insert_spots(
    scene: Scene, glow: InsertGlow, surface: Surface, number: int
) -> Iterator[tuple[Spot, set[str]]]:
    """Spots on an inlay, and the eyes that look at the face that the LEDs do not light."""
    for lit, other in ((glow.low, glow.high), (glow.high, glow.low)):
        by_cell = np.where(glow.inside, lit.lux_by_row[number], 0.0)
        lux, place = _peak(LightMap(lit.grid, by_cell[None]), 0)
        if lux < LEAST_LUX:
            continue
        inside = lit.grid.middles_m()[glow.inside]
        looked_at = inside[:: max(1, len(inside) // LOOKS)].copy()
        axis, at_m = lit.grid.axis, other.grid.at_m
        looked_at[:, axis] = at_m
        beyond = math.copysign(1.0, at_m - lit.grid.at_m)
        sees = {eye.name for eye in scene.eyes if (eye.place[axis] - at_m) * beyond > 0.0}
        yield Spot(glow.name, surface, place, lux, looked_at), sees


def _room_m(prepared: Lighting, row: Row, glow: InsertGlow) -> float:
    """Return how far from an inlay a row's LEDs could be moved until something is in the way."""
    axis, place = glow.low.grid.axis, np.array(row.places[len(row.places) // 2])
    low_m, high_m = glow.low.grid.at_m, glow.high.grid.at_m
    below = place[axis] < (low_m + high_m) / 2.0
    away = np.eye(3)[axis] * (-1.0 if below else 1.0)
    free_m = float(nearest(prepared.everything, place, away[None]).distance_m[0])
    return abs(float(place[axis]) - (low_m if below else high_m)) + free_m


def _distance_m(row: Row, place: Array) -> float:
    """Distance from the line of a row to a place beside it, across the row.

    The pattern is that of this distance, slanted or not: aside, light comes from farther.
    """
    places = np.array(row.places)
    return max(float(np.linalg.norm(places - place, axis=1).min()), NEAREST_M)


def _judged(
    scene: Scene,
    prepared: Lighting,
    row: Row,
    spot: Spot,
    eyes: Collection[str],
    *,
    glows: bool = False,
) -> Iterator[PatternAnswer]:
    """Judge a row's dots on a surface as a long row's, for those of the eyes that see it there.

    These see no LED straight through it when it only `glows` to them; what would hide its dots is
    the same for all eyes.
    """
    for eye, away_m in _seeing(scene, prepared, spot.looked_at):
        if eye.name not in eyes:
            continue
        dots = DotScene(
            pitch_m=row.pitch_m,
            lumens_per_emitter=row.lumens,
            beam_exponent=row.exponent,
            distance_m=_distance_m(row, spot.place),
            surface=spot.surface,
            viewer_distance_m=away_m,
            row_length_m=row.pitch_m * len(row.places),
            room_illuminance_lux=scene.room_lux,
            emitter_side_m=row.side_m,
        )
        whole = verdict = see_dots(dots)
        if glows:
            verdict = see_dots(replace(dots, surface=replace(spot.surface, straight=0.0)))
        hidden = verdict.verdict is Visibility.HIDDEN
        through = spot.surface.straight > 0.0 and not glows
        yield PatternAnswer(
            run=row.name,
            surface=spot.name,
            eye=eye.name,
            viewer_distance_m=away_m,
            mean_lux=spot.lux,
            luminance_cd_m2=verdict.surface_luminance_cd_m2 + verdict.room_luminance_cd_m2,
            contrast_ratio=verdict.contrast_ratio,
            frequency_cycles_per_deg=1.0 / float(angle_deg(row.pitch_m, away_m)),
            threshold_ratio=min(verdict.threshold_ratio, 1.0),
            multiple_ratio=verdict.multiple,
            straight_multiple_ratio=verdict.straight_multiple if through else None,
            verdict=str(verdict.verdict),
            remedy=str(verdict.remedy if hidden else whole.remedy),
            hiding_distance_m=None if hidden else hiding_distance_m(dots),
            room_m=spot.room_m,
            on_inlay=spot.on_inlay,
        )
