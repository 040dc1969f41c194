"""The light side of a choice behind one converter: all of it that no pack changes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from lightcalc.answers.answer import circuit_of, warm_c
from lightcalc.answers.bought import converter_of
from lightcalc.answers.cost import mass_of, price_of
from lightcalc.answers.draw import (
    Circuit,
    controller_idle_a,
    duties,
    held,
    runs_limit_a,
)
from lightcalc.answers.finder.energy import Stage
from lightcalc.answers.findings_wiring import heat_findings, run_findings
from lightcalc.answers.results import HeatAnswer, RunAnswer
from lightcalc.answers.runs import run_answers
from lightcalc.answers.sizing import Sized, size_after_limit
from lightcalc.answers.surroundings import brightest, dots_answers, heat_answer
from lightcalc.answers.wiring import Wired, wire_up
from lightcalc.design.piece import Design, Stretch, Supply, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.converter import Converter, loss_w, lowest_input_v
from lightcalc.physics.ladder import Solution, solve
from lightcalc.physics.pwm import time_slices

HIDDEN = "hidden"


@dataclass(frozen=True)
class LightAnswer:
    """What one supply gives behind one converter, whatever pack feeds it.

    `price` and `mass_kg` leave out the pack, its lead and its fuse. at `lets_go_v` at its input the
    converter lets go. `stops` says whether a finding of grade stop stands already.
    """

    price: float | None
    mass_kg: float | None
    light_fall_ratio: float
    light_lm: float
    hidden: bool
    stages: tuple[Stage, ...]
    circuit: Circuit
    lets_go_v: float
    stops: bool


def light_answer(supply: Supply, design: Design, catalogue: Catalogue) -> LightAnswer:
    """Answer what does not depend on the pack of a supply that has a converter."""
    wired = wire_up(supply, design, catalogue)
    assert wired.converter is not None
    converter = converter_of(wired.converter, wired.output_v)
    leads, fuse = size_after_limit(wired, converter, design.use, design.ask, catalogue=catalogue)
    heat = tuple(heat_answer(run, wired.highest_v, design.use) for run in wired.runs)
    # The pack, its lead and its fuse are priced apart.
    sized = Sized(leads, replace(leads[0], length_m=0.0), (fuse,), 0.0)
    wired = replace(wired, pack=replace(wired.pack, price=0.0, mass_kg=0.0))
    circuit = circuit_of(wired, sized, warm_c(heat), design.use.temperature_c, catalogue)
    held_v, full = _held(circuit, converter, (True,) * len(wired.runs[0].strip.channels))
    runs = run_answers(circuit, full)
    return LightAnswer(
        price=price_of([wired], [sized], catalogue),
        mass_kg=mass_of([wired], [sized], catalogue),
        light_fall_ratio=max(run.light_fall_ratio for run in runs),
        light_lm=light_lm(wired, runs, design.use),
        hidden=_hidden(wired, runs, design, catalogue),
        stages=tuple(_stage(circuit, converter, stretch) for stretch in design.use.stretches),
        circuit=circuit,
        lets_go_v=lowest_input_v(converter),
        stops=held_v < converter.output_v * (1.0 - 1e-6) or _stops(supply, runs, heat, design),
    )


def light_lm(wired: Wired, runs: Sequence[RunAnswer], use: Use) -> float:
    """Light of the runs of a supply in the brightest part of the evening."""
    return math.fsum(
        run.light_lm * brightest(cut_run.strip, use).level_ratio
        for cut_run, run in zip(wired.runs, runs, strict=True)
    )


_solve = lru_cache(maxsize=2048)(solve)


def _held(circuit: Circuit, converter: Converter, on: tuple[bool, ...]) -> tuple[float, Solution]:
    """As `draw.held`; the same leads behind several converters are solved once."""
    solution = _solve(circuit.network, converter.output_v, on)
    if float(solution.supply_a) <= runs_limit_a(circuit.wired, converter):
        return converter.output_v, solution
    return held(circuit, converter, on)


def _hidden(wired: Wired, runs: Sequence[RunAnswer], design: Design, catalogue: Catalogue) -> bool:
    return all(
        dots.verdict == HIDDEN
        for cut_run, run in zip(wired.runs, runs, strict=True)
        for dots in dots_answers(cut_run, run, design.use, catalogue)
    )


def _stage(circuit: Circuit, converter: Converter, stretch: Stretch) -> Stage:
    """Least power at the pack: that of the converter at its lowest input, and no lead before it."""
    channels = circuit.wired.runs[0].strip.channels
    least_w = 0.0
    for part in time_slices(duties(channels, stretch)):
        held_v, solution = _held(circuit, converter, part.on)
        output_w = float(solution.power.source_w) + controller_idle_a(circuit.wired) * held_v
        lost_w = float(loss_w(converter, output_w, converter.input_min_v))
        least_w += part.share * (output_w + lost_w)
    return Stage(least_w, stretch.duration_s)


def _stops(
    supply: Supply, runs: Sequence[RunAnswer], heat: Sequence[HeatAnswer], design: Design
) -> bool:
    findings = itertools.chain(
        *(run_findings(run, design) for run in runs),
        *(heat_findings(found, supply.near, design.system) for found in heat),
    )
    return any(finding.grade == "stop" for finding in findings)
