"""Which LEDs each eye sees, bare, through an inlay or in the floor, and what to say of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from lightcalc.answers.findings.finding import Finding, Grade
from lightcalc.answers.look.results import HideAnswer, SightAnswer
from lightcalc.physics.dots.diffusion import Array, axial_intensity_cd
from lightcalc.physics.dots.dots import PLAIN_FROM_MULTIPLE
from lightcalc.physics.dots.vision import angle_deg
from lightcalc.physics.room.line_of_light import line_multiple
from lightcalc.physics.room.scene import Eye, Row, Scene
from lightcalc.physics.room.sightline import Sighting, Way, sightlines
from lightcalc.units import show, show_at_least

if TYPE_CHECKING:
    # The answer of a design looks along lines only, and its start-up must stay light.
    from lightcalc.physics.room.glow import Glow, InsertGlow

WAYS = {
    "direct": "bare",
    "through": "through the inlay {inserts}, at {kept} of their brightness",
    "mirrored": "in the floor, at {kept} of their brightness",
}
LAYERS = {
    "through": "a sheet that scatters more (opal, milky) hides what shows through",
    "mirrored": "a floor or rug without gloss mirrors none",
}
ASK_LOOK = "`lightcalc look` says what hides them."
# What lies behind a bare LED is as light as a mid grey wall in the room's light.
GREY = 0.5
EYE_BLUR_DEG = 1.0 / 60.0


def sight_answers(scene: Scene, light: Glow | None = None) -> tuple[SightAnswer, ...]:
    """List which LEDs each eye sees and how, less those too dim to stand out.

    Against the glow around them when `light` is known, else against the room's light alone, so
    that a few more may be listed.
    """
    rows = {row.name: row for row in scene.rows}
    eyes = {eye.name: eye for eye in scene.eyes}
    found = [
        _answer(scene, light, rows[sighting.row], eyes[sighting.eye], sighting)
        for sighting in sightlines(scene)
        if sighting.count and sighting.kept > 0.0
    ]
    return tuple(sight for sight in found if sight.multiple_ratio >= 1.0)


def _answer(
    scene: Scene, light: Glow | None, row: Row, eye: Eye, sighting: Sighting
) -> SightAnswer:
    """Hold the line that the LEDs make, blurred by the eye, against what is around it."""
    led = np.array(sighting.nearest_led)
    goal = np.array(eye.place) * (1.0, 1.0, -1.0 if sighting.way is Way.MIRRORED else 1.0)
    step, away_m = goal - led, max(sighting.nearest_m, 1e-3)
    cosine = max(float(step @ np.array(row.facing)) / away_m, 1e-6)
    shines_cd = axial_intensity_cd(row.lumens, row.exponent) * cosine**row.exponent * sighting.kept
    blur_m = math.radians(EYE_BLUR_DEG) * away_m
    tall_m = max(row.side_m, blur_m)
    length_m = row.pitch_m * sighting.count
    around = _around_cd_m2(scene, light, led, goal, sighting)
    multiple = line_multiple(
        shines_cd / (tall_m * max(row.pitch_m, row.side_m)),
        around,
        float(angle_deg(tall_m, away_m)),
        float(angle_deg(length_m, away_m)),
    )
    return SightAnswer(
        eye=eye.name,
        run=row.name,
        way=str(sighting.way),
        inserts=sighting.inserts,
        leds_count=sighting.count,
        of_count=sighting.total,
        share_ratio=sighting.share,
        kept_ratio=sighting.kept,
        nearest_m=sighting.nearest_m,
        multiple_ratio=multiple,
    )


def _around_cd_m2(
    scene: Scene, light: Glow | None, led: Array, goal: Array, sighting: Sighting
) -> float:
    """Luminance around the image of an LED: of the wall, of the floor, or of the inlay."""
    if sighting.way is Way.MIRRORED:
        spot = led - led[2] / (goal[2] - led[2]) * (goal - led)
        spot[2] = 0.0
        lux = scene.room_lux + (float(light.floor.at(spot[None]).sum()) if light else 0.0)
        return lux * float(np.mean(scene.floor.colour)) / math.pi
    if sighting.way is Way.THROUGH and light:
        crossed = [insert for insert in light.inserts if insert.name in sighting.inserts]
        return max(_insert_cd_m2(insert, scene.room_lux, led, goal) for insert in crossed)
    return scene.room_lux * GREY / math.pi


def _insert_cd_m2(insert: InsertGlow, room_lux: float, led: Array, goal: Array) -> float:
    """Luminance of an inlay where the line from an LED to an eye leaves it."""
    axis = insert.high.grid.axis
    from_high = bool(goal[axis] > led[axis])
    side = insert.luminance(from_high=from_high)
    spot = led + (side.grid.at_m - led[axis]) / (goal[axis] - led[axis]) * (goal - led)
    return float(side.at(spot[None]).sum()) + insert.room_luminance(room_lux)


@dataclass(frozen=True)
class SeenAlike:
    """Eyes that see one run in the same ways, and that the same change is for."""

    run: str
    eyes: tuple[str, ...]
    sights: tuple[SightAnswer, ...]


def seen_alike(
    sights: Sequence[SightAnswer], edges: Mapping[tuple[str, str], str] | None = None
) -> tuple[SeenAlike, ...]:
    """Put together the eyes that see a run in the same ways, over the same edge.

    `edges` names, for run and eye, the edge over which the eye looks in, where that is known.
    """
    pairs: dict[tuple[str, str], list[SightAnswer]] = {}
    for sight in sights:
        pairs.setdefault((sight.run, sight.eye), []).append(sight)
    groups: dict[tuple[object, ...], list[SightAnswer]] = {}
    for pair, seen in pairs.items():
        ways = tuple((sight.way, sight.inserts) for sight in seen)
        groups.setdefault((pair[0], ways, (edges or {}).get(pair)), []).extend(seen)
    return tuple(
        SeenAlike(seen[0].run, tuple(dict.fromkeys(sight.eye for sight in seen)), tuple(seen))
        for seen in groups.values()
    )


def sight_findings(
    groups: Sequence[SeenAlike], hides: Sequence[HideAnswer] | None, system: str
) -> Iterator[Finding]:
    """Say what is seen of each run, and by whom, and what would hide it.

    `hides` goes along with the groups; without it the finding says where to find out.
    """
    for number, group in enumerate(groups):
        ways = _by_way(group)
        bare = any(way == "direct" for way, _ in ways)
        plain = max(sight.multiple_ratio for sight in group.sights) >= PLAIN_FROM_MULTIPLE
        grade: Grade = "caution" if bare or plain else "note"
        noun = "eye" if len(group.eyes) == 1 else "eyes"
        yield Finding(
            "leds-seen",
            grade,
            f"run {group.run}, {noun} {joined(group.eyes)}",
            f"Its LEDs show {joined([_how(*item) for item in ways.items()])}.",
            remedy(hides[number], group, system) if hides else ASK_LOOK,
            {f"{way}_ratio": max(s.share_ratio for s in seen) for (way, _), seen in ways.items()},
        )


def _by_way(group: SeenAlike) -> dict[tuple[str, tuple[str, ...]], list[SightAnswer]]:
    found: dict[tuple[str, tuple[str, ...]], list[SightAnswer]] = {}
    for sight in group.sights:
        found.setdefault((sight.way, sight.inserts), []).append(sight)
    return found


def _how(way: tuple[str, tuple[str, ...]], seen: Sequence[SightAnswer]) -> str:
    """Say how many LEDs show in one way, and how bright at most: `89 to 100 % of them bare`."""
    least, most = (pick(sight.share_ratio for sight in seen) for pick in (min, max))
    share = show(most, "ratio", digits=2)
    if show(least, "ratio", digits=2) != share:
        share = f"{show(least, 'ratio', digits=2).removesuffix(' %')} to {share}"
    share = "all of them" if least >= 1.0 else f"{share} of them"
    kept = show(max(sight.kept_ratio for sight in seen), "ratio", digits=2)
    return f"{WAYS[way[0]].format(inserts=joined(way[1]), kept=kept)} ({share})"


def joined(parts: Sequence[str]) -> str:
    """Join words as in a sentence.

    >>> joined(["sofa", "door", "stairs"])
    'sofa, door and stairs'
    """
    return " and ".join([", ".join(parts[:-1]), *parts[-1:]] if len(parts) > 1 else parts)


def remedy(hide: HideAnswer, group: SeenAlike, system: str) -> str:
    """Say which changes hide a run from these eyes, the smallest of each kind."""
    ways = []
    if hide.set_back_m:
        ways.append(f"set it back by {show_at_least(hide.set_back_m, system)}")
    if hide.lip_m:
        ways.append(f"add a lip {show_at_least(hide.lip_m, system)} deep at the {hide.edge} edge")
    if hide.turning_hides:
        ways.append("turn its LEDs to face inward")
    ways += [f'take the mount "{name}"' for name in hide.mounts_that_hide]
    seen = {sight.way for sight in group.sights}
    layers = [layer for way, layer in LAYERS.items() if way in seen]
    if not ways:
        none = "No set-back, lip, turn or other mount hides it"
        return f"{none}; {' and '.join(layers)}." if layers else f"{none}; mount it elsewhere."
    text = f"{', or '.join(ways)}."
    more = "".join(f" {layer[0].upper()}{layer[1:]}." for layer in layers)
    return f"{text[0].upper()}{text[1:]}{more}"
