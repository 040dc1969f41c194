"""Which LEDs each eye sees, the smallest change that hides them, and what to say of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightcalc.answers.finding import Finding
from lightcalc.answers.look_results import HideAnswer, SightAnswer
from lightcalc.design.piece import Design
from lightcalc.physics.hiding import (
    mounting_hides,
    smallest_lip,
    smallest_set_back,
    turning_hides,
)
from lightcalc.physics.scene import Row, Scene
from lightcalc.physics.sightline import sightlines
from lightcalc.units import show

WAYS = {
    "direct": "sees {share} of its LEDs bare",
    "through": "sees {share} of its LEDs through {inserts}, at {kept} of their brightness",
    "mirrored": "sees {share} of its LEDs mirrored in the floor, at {kept} of their brightness",
}
# Less than this of a bare LED is dimmer than a lit floor around it (judgement).
DIMMEST_SEEN = 1e-5


def sight_answers(scene: Scene) -> tuple[SightAnswer, ...]:
    """List which LEDs each eye sees and how, leaving out what is too dim to be seen."""
    return tuple(
        SightAnswer(
            eye=found.eye,
            run=found.row,
            way=str(found.way),
            inserts=found.inserts,
            leds_count=found.count,
            of_count=found.total,
            share_ratio=found.share,
            kept_ratio=found.kept,
            nearest_m=found.nearest_m,
        )
        for found in sightlines(scene)
        if found.count and found.kept >= DIMMEST_SEEN
    )


def hide_answers(
    scene: Scene, sights: Sequence[SightAnswer], others: dict[str, dict[str, Row]]
) -> tuple[HideAnswer, ...]:
    """Find what hides each run from each eye that sees it.

    `others` holds, for each run, its other mounts by name.
    """
    pairs = dict.fromkeys((sight.run, sight.eye) for sight in sights)
    return tuple(_hide(scene, run, eye, others.get(run, {})) for run, eye in pairs)


def _hide(scene: Scene, run: str, eye: str, others: dict[str, Row]) -> HideAnswer:
    mounts = tuple(name for name, row in others.items() if mounting_hides(scene, row, eye))
    try:
        return HideAnswer(
            run=run,
            eye=eye,
            set_back_m=smallest_set_back(scene, run, eye),
            lip_m=smallest_lip(scene, run, eye),
            turning_hides=turning_hides(scene, run, eye),
            mounts_that_hide=mounts,
        )
    except ValueError:
        # The run lies on no face, so there is no edge to set it back from.
        return HideAnswer(run, eye, None, None, False, mounts)


def sight_findings(
    sights: Sequence[SightAnswer], hides: Sequence[HideAnswer], design: Design
) -> Iterator[Finding]:
    """Say of each eye and run what is seen, and the smallest change that hides it."""
    by_pair = {(hide.run, hide.eye): hide for hide in hides}
    for run, eye in dict.fromkeys((sight.run, sight.eye) for sight in sights):
        seen = [sight for sight in sights if (sight.run, sight.eye) == (run, eye)]
        hide = by_pair.get((run, eye))
        yield Finding(
            "leds-seen",
            "caution",
            f"run {run}, seen {eye}",
            f"That eye {_joined([_seen(sight) for sight in seen])}.",
            _remedy(hide, design.system) if hide else "`lightcalc look` says what hides them.",
            {f"{sight.way}_ratio": sight.share_ratio for sight in seen},
        )


def _seen(sight: SightAnswer) -> str:
    return WAYS[sight.way].format(
        share=show(sight.share_ratio, "ratio", digits=2),
        kept=show(sight.kept_ratio, "ratio", digits=2),
        inserts=_joined(sight.inserts),
    )


def _joined(parts: Sequence[str]) -> str:
    return " and ".join(parts)


def _remedy(hide: HideAnswer, system: str) -> str:
    ways = []
    if hide.set_back_m:
        ways.append(f"set it back by {show(hide.set_back_m, 'length', system)}")
    if hide.lip_m:
        ways.append(f"add a lip {show(hide.lip_m, 'length', system)} deep at the edge")
    if hide.turning_hides:
        ways.append("turn its LEDs to face inward")
    ways += [f"mount it {name}" for name in hide.mounts_that_hide]
    if not ways:
        return "No set-back, lip or turn on that face hides it; mount it elsewhere."
    text = ", or ".join(ways)
    return f"{text[0].upper()}{text[1:]}."
