"""Look at the piece in space: a design goes in; sights, dots, glow and findings come out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lightcalc.answers.answer import answer_supply
from lightcalc.answers.finding import Finding, worst_first
from lightcalc.answers.look_results import EvennessAnswer, GlowAnswer, Look, PatternAnswer
from lightcalc.answers.patterns import pattern_answers
from lightcalc.answers.results import RunAnswer
from lightcalc.answers.sights import hide_answers, sight_answers, sight_findings
from lightcalc.answers.space import placed, row_of, scene_of
from lightcalc.answers.wiring import CutRun
from lightcalc.design.piece import Design, Run
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.direct import lighting
from lightcalc.physics.glow import Glow, glow
from lightcalc.physics.scene import Row, Scene
from lightcalc.problems import BadInput, Problem

Lit = Sequence[tuple[CutRun, RunAnswer]]


@dataclass(frozen=True)
class Looked:
    """A look with the scene and the light behind it, from which pictures and maps are made."""

    look: Look
    scene: Scene
    light: Glow


def lit_runs(design: Design, catalogue: Catalogue) -> Lit:
    """Return every run of a design, cut, with the light it gives at full level."""
    parts = [answer_supply(supply, design, catalogue) for supply in design.supplies]
    return [pair for part in parts for pair in zip(part.wired.runs, part.runs, strict=True)]


def look(
    design: Design,
    catalogue: Catalogue,
    *,
    mounts: Mapping[str, int] | None = None,
    faces: bool = True,
) -> Looked:
    """Look at a design with each run in its first mount, or in the one numbered in `mounts`.

    Without `faces` the light on the piece's own faces, which only pictures need, is left out.
    Raises BadInput when the design does not say where its blocks and runs are.
    """
    if not placed(design):
        file = design.file.name if design.file else ""
        sentence = "there are no [[blocks]], or no run has [[runs.mounts]]; a look needs both."
        raise BadInput([Problem(file, "", sentence)])
    runs = lit_runs(design, catalogue)
    level = max(stretch.level_ratio for stretch in design.use.stretches)
    chosen = mounts or {}
    scene = scene_of(design, runs, catalogue, level, chosen)
    light = glow(scene, faces=faces, bounced=faces)
    sights = sight_answers(scene)
    hides = hide_answers(scene, sights, _other_mounts(runs, level, chosen))
    patterns = pattern_answers(scene, light, lighting(scene))
    findings = [*sight_findings(sights, hides, design), *_pattern_findings(patterns)]
    result = Look(
        piece=design.piece.name,
        units=design.system,
        mounts=tuple(f"{r.name}: {r.mounts[chosen.get(r.name, 0)].name}" for r in _placed(runs)),
        level_ratio=level,
        room_lux=scene.room_lux,
        findings=worst_first(findings),
        sights=sights,
        hides=hides,
        patterns=patterns,
        glow=_glow_answer(scene, light),
    )
    return Looked(result, scene, light)


def _placed(runs: Lit) -> list[Run]:
    return [cut_run.run for cut_run, _ in runs if cut_run.run.mounts]


def _other_mounts(runs: Lit, level: float, chosen: Mapping[str, int]) -> dict[str, dict[str, Row]]:
    """Each run in the mounts it is not in, by name."""
    return {
        cut_run.run.name: {
            mount.name: row_of(cut_run, answer, mount, level)
            for number, mount in enumerate(cut_run.run.mounts)
            if number != chosen.get(cut_run.run.name, 0)
        }
        for cut_run, answer in runs
        if cut_run.run.mounts
    }


def _pattern_findings(patterns: Sequence[PatternAnswer]) -> list[Finding]:
    """One finding for each run and surface, for the eye that sees the dots most plainly."""
    worst: dict[tuple[str, str], PatternAnswer] = {}
    for found in patterns:
        key = (found.run, found.surface)
        if key not in worst or _multiple(found) > _multiple(worst[key]):
            worst[key] = found
    return [_pattern_finding(found) for found in worst.values() if found.verdict != "hidden"]


def _multiple(found: PatternAnswer) -> float:
    return max(found.multiple_ratio, found.straight_multiple_ratio or 0.0)


def _pattern_finding(found: PatternAnswer) -> Finding:
    times = _multiple(found)
    amount = "more than 100 times" if times > 100.0 else f"{times:.2g} times"
    remedies = {
        "scattering layer": "Distance does not help; a layer that scatters does.",
        "more distance": "Mount it farther from that surface, or take a denser strip.",
    }
    return Finding(
        "dots-seen",
        "caution" if found.verdict == "plain" else "note",
        f"run {found.run} on {found.surface}",
        f"Its LEDs show as dots to the eye {found.eye}, {amount} what it can just see.",
        remedies.get(found.remedy, ""),
        {"multiple_ratio": times, "contrast_ratio": found.contrast_ratio},
    )


def _glow_answer(scene: Scene, light: Glow) -> GlowAnswer:
    lumens = light.lumens
    inserts = sum(i.scattered + i.reflected + i.absorbed for i in lumens.inserts)
    peaks = [
        (
            insert.name,
            max(
                float(insert.luminance(from_high=high).lux[insert.inside].max(initial=0.0))
                for high in (False, True)
            ),
        )
        for insert in light.inserts
    ]
    return GlowAnswer(
        emitted_lm=lumens.emitted,
        floor_lm=lumens.floor,
        wall_lm=lumens.wall,
        piece_lm=sum(lumens.boxes.values()),
        inserts_lm=inserts,
        left_lm=lumens.left,
        floor_peak_lux=float(light.floor.lux.max()),
        wall_peak_lux=float(light.wall.lux.max()) if light.wall else None,
        insert_peaks_cd_m2=tuple(peaks),
        edges=tuple(
            EvennessAnswer(row.name, float(edge.lux.mean()), edge.least_over_mean)
            for row, edge in zip(scene.rows, light.edges, strict=True)
        ),
    )
