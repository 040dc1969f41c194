"""Every run at full level: volts, current and light of each cut unit, and the fall along it."""

from __future__ import annotations

import numpy as np

from lightcalc.answers.draw import Circuit
from lightcalc.answers.results import ChannelAnswer, Profile, RunAnswer
from lightcalc.answers.wiring import CutRun
from lightcalc.physics.ladder import RunSolution, Solution, solve


def run_answers(circuit: Circuit, volts: float) -> tuple[RunAnswer, ...]:
    """Solve a supply at full level with `volts` at converter or pack."""
    solution = solve(circuit.network, volts)
    return tuple(
        _run_answer(circuit, number, cut_run, solution)
        for number, cut_run in enumerate(circuit.wired.runs)
    )


def _run_answer(circuit: Circuit, number: int, cut_run: CutRun, solution: Solution) -> RunAnswer:
    found = solution.runs[number]
    light = found.light.mean(axis=-1)
    unit_v = found.volts.mean(axis=-1)
    unit_a = found.amps.sum(axis=-1) + found.idle_a
    # Of units that shine alike, as on a strip that holds its current, the one of least volts.
    dimmest = int(np.lexsort((unit_v, np.round(light, 9)))[0])
    brightest = max(float(light.max()), 1e-12)
    position_m = (np.arange(cut_run.units) + 0.5) * cut_run.strip.cut_unit_m
    fed_v = max(
        float(solution.feed_v[place].max())
        for place, lead in enumerate(circuit.network.feeds)
        if circuit.network.leads[lead].run == number
    )
    return RunAnswer(
        run=cut_run.run.name,
        supply=circuit.wired.supply.name,
        strip=cut_run.strip.name,
        where=cut_run.run.where,
        cut_units_count=cut_run.units,
        cut_length_m=cut_run.length_m,
        asked_length_m=cut_run.run.length_m,
        amps_a=float(unit_a.sum()),
        strip_w=float(found.strip_w),
        light_lm=float(light.mean()) * cut_run.strip.light_lm_per_m * cut_run.length_m,
        dimmest_light_ratio=float(light[dimmest]),
        brightest_light_ratio=float(light.max()),
        light_fall_ratio=1.0 - float(light[dimmest]) / brightest,
        volts_fall_ratio=1.0 - float(unit_v[dimmest]) / max(fed_v, 1e-12),
        fed_v=fed_v,
        dimmest_v=float(unit_v[dimmest]),
        dimmest_at_m=float(position_m[dimmest]),
        channels=_channels(cut_run, found),
        profile=Profile(
            position_m=tuple(position_m.tolist()),
            unit_v=tuple(unit_v.tolist()),
            unit_a=tuple(unit_a.tolist()),
            light_ratio=tuple(light.tolist()),
        ),
    )


def _channels(cut_run: CutRun, found: RunSolution) -> tuple[ChannelAnswer, ...]:
    return tuple(
        ChannelAnswer(
            channel=name,
            amps_a=float(found.amps[:, channel].sum()),
            dimmest_light_ratio=float(found.light[:, channel].min()),
        )
        for channel, name in enumerate(cut_run.strip.channels)
    )
