"""Look at the piece in space: a design goes in; sights, dots, glow and findings come out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from lightcalc.answers.answer import answer_supply
from lightcalc.answers.findings.dots_remedy import dots_remedy
from lightcalc.answers.findings.finding import Finding, worst_first
from lightcalc.answers.look.hides import hide_answers, seen_over_edges
from lightcalc.answers.look.patterns import pattern_answers
from lightcalc.answers.look.results import EvennessAnswer, GlowAnswer, Look, PatternAnswer
from lightcalc.answers.look.sights import sight_answers, sight_findings
from lightcalc.answers.look.space import placed, rows_of, scene_of
from lightcalc.answers.results import RunAnswer
from lightcalc.answers.surroundings import brightest
from lightcalc.answers.wiring import CutRun
from lightcalc.design.piece import Design, Run, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.room.direct import lighting
from lightcalc.physics.room.glow import Glow, glow
from lightcalc.physics.room.scene import Row, Scene
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

    With `faces` the light that goes with it holds the piece's own faces, and light by way of
    one matt surface, as pictures and maps need. Raises BadInput when the design does not say
    where its blocks and runs are, or a run has no mount of that number.
    """
    if not placed(design):
        raise _bad(
            design,
            "there are no [[blocks]], or no run has [[runs.mounts]]; add both, as the README does "
            'under "A look before it is glued".',
        )
    chosen = _chosen(design, mounts or {})
    runs = lit_runs(design, catalogue)
    laid = scene_of(design, runs, catalogue, chosen)
    scene, light = laid.scene, glow(laid.scene, faces=False)
    sights = sight_answers(scene, light)
    groups = seen_over_edges(scene, sights)
    hides = hide_answers(scene, groups, laid.run_of, _other_mounts(runs, design.use, chosen))
    patterns = pattern_answers(scene, light, lighting(scene), sights)
    findings = [
        *sight_findings(groups, hides, design.system),
        *_pattern_findings(patterns, design.system),
        *_left_out(design),
    ]
    result = Look(
        piece=design.piece.name,
        units=design.system,
        mounts=tuple(f"{r.name}: {r.mounts[chosen[r.name]].name}" for r in _placed(design)),
        level_ratio=max(brightest(c.strip, design.use).level_ratio for c, _ in runs),
        room_lux=scene.room_lux,
        findings=worst_first(findings),
        sights=sights,
        hides=hides,
        patterns=patterns,
        glow=_glow_answer(scene, light),
    )
    # What is said is the same with pictures and without: light straight from the LEDs.
    return Looked(result, scene, glow(scene, bounced=True) if faces else light)


def hiding_findings(design: Design, catalogue: Catalogue) -> tuple[Finding, ...]:
    """Find what eyes see of a placed design as an answer does, with what hides it beside it."""
    if not placed(design):
        return ()
    runs = lit_runs(design, catalogue)
    laid = scene_of(design, runs, catalogue)
    groups = seen_over_edges(laid.scene, sight_answers(laid.scene))
    others = _other_mounts(runs, design.use, _chosen(design, {}))
    hides = hide_answers(laid.scene, groups, laid.run_of, others)
    return tuple(sight_findings(groups, hides, design.system))


def _bad(design: Design, sentence: str) -> BadInput:
    return BadInput([Problem(design.file.name if design.file else "", "", sentence)])


def _placed(design: Design) -> list[Run]:
    return [run for run in design.runs if run.mounts]


def _chosen(design: Design, mounts: Mapping[str, int]) -> dict[str, int]:
    """Return the number of the mount that each placed run is in."""
    chosen = {run.name: mounts.get(run.name, 0) for run in _placed(design)}
    for run in _placed(design):
        if not 0 <= chosen[run.name] < len(run.mounts):
            raise _bad(
                design,
                f"{run.name} has no mount {chosen[run.name] + 1}; it has {len(run.mounts)}.",
            )
    return chosen


def _left_out(design: Design) -> Iterator[Finding]:
    """Say of runs without a mount, among others with one, that they are not looked at."""
    for run in design.runs:
        if not run.mounts:
            yield Finding(
                "not-placed",
                "note",
                f"run {run.name}",
                "It has no [[runs.mounts]], so its light is not looked at.",
                "Write where it lies.",
            )


def _other_mounts(
    runs: Lit, use: Use, chosen: Mapping[str, int]
) -> dict[str, dict[str, tuple[Row, ...]]]:
    """Each run in the mounts it is not in, by name."""
    return {
        cut_run.run.name: {
            mount.name: rows_of(cut_run, answer, mount, use)
            for number, mount in enumerate(cut_run.run.mounts)
            if number != chosen.get(cut_run.run.name, 0)
        }
        for cut_run, answer in runs
    }


def plainest(patterns: Sequence[PatternAnswer]) -> list[PatternAnswer]:
    """For each run and surface, the pattern for the eye that sees its dots most plainly."""
    worst: dict[tuple[str, str], PatternAnswer] = {}
    for found in patterns:
        key = (found.run, found.surface)
        if key not in worst or _multiple(found) > _multiple(worst[key]):
            worst[key] = found
    return list(worst.values())


def dots_cd_m2(look: Look, eye: str) -> float:
    """Luminance [cd/m2] of the brightest dots that an eye sees on a surface; nil when it sees none.

    An inlay is as bright as its glow in the piece, which is seen from aside as well.
    """
    peaks = dict(look.glow.insert_peaks_cd_m2)
    return max(
        (
            peaks[found.surface]
            if found.on_inlay
            else found.luminance_cd_m2 * (1.0 + found.contrast_ratio)
            for found in look.patterns
            if found.eye == eye and found.verdict != "hidden"
        ),
        default=0.0,
    )


def _multiple(found: PatternAnswer) -> float:
    return max(found.multiple_ratio, found.straight_multiple_ratio or 0.0)


def _pattern_findings(patterns: Sequence[PatternAnswer], system: str) -> list[Finding]:
    """One finding for each run and surface that shows dots to some eye."""
    return [
        _pattern_finding(found, system) for found in plainest(patterns) if found.verdict != "hidden"
    ]


def _pattern_finding(found: PatternAnswer, system: str) -> Finding:
    times = _multiple(found)
    amount = "more than 100 times" if times > 100.0 else f"{times:.2g} times"
    if found.hiding_distance_m or found.remedy != "more distance":
        remedy = dots_remedy(found.remedy, found.hiding_distance_m, system, found.room_m)
    else:
        remedy = "Mount it farther from that surface, or take a denser strip."
    return Finding(
        "dots-seen",
        "caution" if found.verdict == "plain" else "note",
        f"run {found.run} on {found.surface_words}",
        f"Its LEDs show as dots to the eye {found.eye}, {amount} what it can just see.",
        remedy,
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
