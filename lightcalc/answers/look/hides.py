"""The smallest change that hides a run from the eyes that see it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lightcalc.answers.look.results import HideAnswer, SightAnswer
from lightcalc.answers.look.sights import SeenAlike, seen_alike
from lightcalc.physics.room.hiding import (
    hidden,
    host_face,
    set_back,
    smallest_lip,
    smallest_set_back,
    turned,
    turning_hides,
)
from lightcalc.physics.room.rays import Kind, nearest, solids
from lightcalc.physics.room.scene import Row, Scene
from lightcalc.physics.room.sightline import Way, bright_points, shows

EDGES = {
    (0, 1): "left",
    (0, -1): "right",
    (1, 1): "front",
    (1, -1): "back",
    (2, 1): "lower",
    (2, -1): "upper",
}
# A change that takes more LEDs than that from under an inlay is no way to light it.
STILL_RATIO = 0.9
OtherMounts = Mapping[str, Mapping[str, tuple[Row, ...]]]


def seen_over_edges(scene: Scene, sights: Sequence[SightAnswer]) -> tuple[SeenAlike, ...]:
    """Put together the eyes that see a run in the same ways over the same edge."""
    edges = {}
    for run, eye in dict.fromkeys((sight.run, sight.eye) for sight in sights):
        edge = _edge(scene, run, eye)
        if edge is not None:
            edges[run, eye] = edge
    return seen_alike(sights, edges)


def hide_answers(
    scene: Scene, groups: Sequence[SeenAlike], run_of: Mapping[str, str], others: OtherMounts
) -> tuple[HideAnswer, ...]:
    """Find what hides each group's run from all of its eyes, in the order of the groups.

    `run_of` names the run of each row of the scene; `others` holds the rows of each run in the
    mounts that it is not in, by the names of these.
    """
    return tuple(_hide(scene, group, run_of, others) for group in groups)


def _edge(scene: Scene, row: str, eye: str) -> str | None:
    try:
        return EDGES[host_face(scene, row, eye).inward]
    except ValueError:
        # It lies on no face, so there is no edge to set it back from.
        return None


def _hide(
    scene: Scene, group: SeenAlike, run_of: Mapping[str, str], others: OtherMounts
) -> HideAnswer:
    run, eyes, ways = group.run, group.eyes, _ways(scene, group)
    edge = _edge(scene, run, eyes[0])
    return HideAnswer(
        run=run,
        eyes=eyes,
        edge=edge,
        set_back_m=_set_back_m(scene, run, eyes, ways) if edge else None,
        lip_m=_most([smallest_lip(scene, run, eye, ways) for eye in eyes]) if edge else None,
        turning_hides=bool(edge)
        and all(turning_hides(scene, run, e, ways) for e in eyes)
        and _lights_as_many(scene, turned(scene, run, eyes[0]), run),
        mounts_that_hide=tuple(
            name
            for name, rows in others.get(run_of[run], {}).items()
            if _mount_hides(scene, rows, eyes, ways)
        ),
    )


def _ways(scene: Scene, group: SeenAlike) -> frozenset[Way]:
    """Ways in which the run must not show after a change.

    Through an inlay only when it is seen so now, since most inlays keep next to no light straight.
    """
    ways = {Way.DIRECT} | {Way(sight.way) for sight in group.sights}
    return frozenset(ways | {Way.MIRRORED} if scene.floor.gloss > 0.0 else ways)


def _most(amounts_m: Sequence[float | None]) -> float | None:
    """Return the amount that is enough for all, when there is one for each."""
    enough = [amount_m for amount_m in amounts_m if amount_m is not None]
    return max(enough) if len(enough) == len(amounts_m) else None


def _set_back_m(scene: Scene, run: str, eyes: Sequence[str], ways: frozenset[Way]) -> float | None:
    """Return a set-back that hides the run from all eyes; farther back it may show again."""
    most_m = _most([smallest_set_back(scene, run, eye, ways) for eye in eyes])
    if most_m is None:
        return None
    after = set_back(scene, run, eyes[0], most_m)
    if not _lights_as_many(scene, after, run):
        return None
    return most_m if all(hidden(after, run, eye, ways) for eye in eyes) else None


def _lights_as_many(before: Scene, after: Scene, run: str) -> bool:
    """Whether nearly as many LEDs of a run look straight at an inlay as before a change."""
    return _on_inlays(after, run) >= STILL_RATIO * _on_inlays(before, run)


def _on_inlays(scene: Scene, run: str) -> int:
    (row,) = (row for row in scene.rows if row.name == run)
    hits = nearest(solids(scene), row.places, row.facing)
    return int((hits.kind == Kind.INSERT).sum())


def _mount_hides(
    scene: Scene, rows: Sequence[Row], eyes: Sequence[str], ways: frozenset[Way]
) -> bool:
    """Whether a run in another mount, with all of its sides, is hidden from all eyes."""
    shapes = solids(scene)
    places = [eye.place for eye in scene.eyes if eye.name in eyes]
    return not any(
        shows(shapes, bright_points(row), row.facing, place, ways).any()
        for row in rows
        for place in places
    )
