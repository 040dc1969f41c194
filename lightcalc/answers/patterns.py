"""The dots of each run's light on floor, wall and inserts, as each eye sees them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from lightcalc.answers.look_results import PatternAnswer
from lightcalc.physics.direct import Lighting
from lightcalc.physics.dots import (
    DotScene,
    DotVerdict,
    Surface,
    judge_dots,
    reflecting_surface,
    sheet_surface,
    visibility,
)
from lightcalc.physics.glow import Glow, InsertGlow, line_evenness
from lightcalc.physics.lightmap import LightMap
from lightcalc.physics.scene import Eye, Row, Scene
from lightcalc.physics.vision import angle_deg, pattern_multiple

# A surface that gets less light than this of a run shows no pattern of it.
LEAST_LUX = 0.05
FACES_IT = 0.5


def pattern_answers(scene: Scene, lit: Glow, prepared: Lighting) -> tuple[PatternAnswer, ...]:
    """Judge every run on every surface that it lights, for every eye."""
    found: list[PatternAnswer] = []
    for number, row in enumerate(scene.rows):
        found += _on_floor(scene, lit, prepared, number, row)
        found += _on_wall(scene, lit, number, row)
        for insert, glow in zip(scene.inserts, lit.inserts, strict=True):
            surface = sheet_surface(insert.sheet, _thickness_m(glow))
            found += _on_insert(scene, glow, surface, number, row)
    return tuple(found)


def _peak(light: LightMap, number: int) -> tuple[float, np.ndarray]:
    """Most light of one row on a map, and the place where it is."""
    lux = light.lux_by_row[number]
    place = light.grid.middles_m().reshape(-1, 3)[int(lux.argmax())]
    return float(lux.max()), place


def _along(row: Row) -> int:
    """Return the axis that a run follows: 0, 1 or 2."""
    return int(np.ptp(np.array(row.places), axis=0).argmax())


def _on_floor(
    scene: Scene, lit: Glow, prepared: Lighting, number: int, row: Row
) -> Iterator[PatternAnswer]:
    lux, place = _peak(lit.floor, number)
    along = _along(row)
    if lux < LEAST_LUX or along == 2 or len(row.places) < 3:
        return
    places = np.array(row.places)
    start, end = place.copy(), place.copy()
    start[along], end[along] = places[:, along].min(), places[:, along].max()
    start[2] = end[2] = 0.0
    line = line_evenness(prepared, start, end, row.pitch_m)
    reflectance = float(np.mean(scene.floor.colour))
    glow = float(line.lux.mean()) * reflectance / math.pi
    whole = glow + scene.room_lux * reflectance / math.pi
    contrast = line.dot_contrast * glow / max(whole, 1e-9)
    for eye in scene.eyes:
        away_m = float(np.linalg.norm(np.array(eye.place) - place))
        cycles = 1.0 / float(angle_deg(row.pitch_m, away_m))
        field = float(angle_deg(end[along] - start[along], away_m))
        multiple = float(
            pattern_multiple(
                np.array([contrast]), np.array(cycles), np.array(whole), np.array(field)
            )
        )
        yield PatternAnswer(
            run=row.name,
            surface="floor",
            eye=eye.name,
            viewer_distance_m=away_m,
            mean_lux=float(line.lux.mean()),
            luminance_cd_m2=whole,
            contrast_ratio=contrast,
            frequency_cycles_per_deg=cycles,
            threshold_ratio=min(contrast / multiple, 1.0) if multiple > 0.0 else 1.0,
            multiple_ratio=multiple,
            straight_multiple_ratio=None,
            verdict=str(visibility(multiple)),
            remedy="none needed" if multiple < 1.0 else "more distance",
        )


def _on_wall(scene: Scene, lit: Glow, number: int, row: Row) -> Iterator[PatternAnswer]:
    if scene.wall is None or lit.wall is None or row.facing[1] < FACES_IT:
        return
    lux, place = _peak(lit.wall, number)
    distance_m = scene.wall.y_m - max(led[1] for led in row.places)
    if lux >= LEAST_LUX and distance_m > 0.0:
        surface = reflecting_surface(float(np.mean(scene.wall.colour)))
        yield from _judged(scene, row, "wall", surface, distance_m, place, lux)


def _thickness_m(glow: InsertGlow) -> float:
    return abs(glow.high.grid.at_m - glow.low.grid.at_m)


def _on_insert(
    scene: Scene, glow: InsertGlow, surface: Surface, number: int, row: Row
) -> Iterator[PatternAnswer]:
    for lit, other in ((glow.low, glow.high), (glow.high, glow.low)):
        lux, place = _peak(lit, number)
        axis = lit.grid.axis
        if lux < LEAST_LUX or abs(row.facing[axis]) < FACES_IT:
            continue
        # The pattern is that of the row's distance; aside, light comes from farther.
        places = np.array(row.places)
        across = [a for a in range(3) if a not in (_along(row),)]
        gaps = np.abs(places[:, across] - place[across]).min(axis=0)
        distance_m = float(np.linalg.norm(gaps))
        for found in _judged(scene, row, glow.name, surface, distance_m, place, lux):
            eye = next(eye for eye in scene.eyes if eye.name == found.eye)
            if _on_far_side(eye, lit, other):
                yield found


def _on_far_side(eye: Eye, lit: LightMap, other: LightMap) -> bool:
    """Whether an eye looks at the face that the LEDs do not light."""
    axis = lit.grid.axis
    return (eye.place[axis] - other.grid.at_m) * (other.grid.at_m - lit.grid.at_m) > 0.0


def _judged(
    scene: Scene,
    row: Row,
    name: str,
    surface: Surface,
    distance_m: float,
    place: np.ndarray,
    lux: float,
) -> Iterator[PatternAnswer]:
    for eye in scene.eyes:
        away_m = float(np.linalg.norm(np.array(eye.place) - place))
        verdict = judge_dots(
            DotScene(
                pitch_m=row.pitch_m,
                lumens_per_emitter=row.lumens,
                beam_exponent=row.exponent,
                distance_m=distance_m,
                surface=surface,
                viewer_distance_m=away_m,
                row_length_m=max(row.pitch_m * len(row.places), row.pitch_m),
                room_illuminance_lux=scene.room_lux,
                emitter_side_m=row.side_m,
            )
        )
        yield _answer(row, name, eye, away_m, lux, verdict, surface.straight > 0.0)


def _answer(
    row: Row,
    surface: str,
    eye: Eye,
    away_m: float,
    lux: float,
    verdict: DotVerdict,
    through: bool,
) -> PatternAnswer:
    return PatternAnswer(
        run=row.name,
        surface=surface,
        eye=eye.name,
        viewer_distance_m=away_m,
        mean_lux=lux,
        luminance_cd_m2=verdict.surface_luminance_cd_m2 + verdict.room_luminance_cd_m2,
        contrast_ratio=verdict.contrast_ratio,
        frequency_cycles_per_deg=1.0 / float(angle_deg(row.pitch_m, away_m)),
        threshold_ratio=min(verdict.threshold_ratio, 1.0),
        multiple_ratio=verdict.multiple,
        straight_multiple_ratio=verdict.straight_multiple if through else None,
        verdict=str(verdict.verdict),
        remedy=str(verdict.remedy),
    )
