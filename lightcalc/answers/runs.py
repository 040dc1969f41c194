"""Every run at full level: volts, current and light of each cut unit, and the fall along it."""

from __future__ import annotations

import numpy as np

from lightcalc.answers.draw import Circuit
from lightcalc.answers.results import (
    ChannelAnswer,
    FeedAnswer,
    FeedChannelAnswer,
    Profile,
    RunAnswer,
)
from lightcalc.answers.wiring import CutRun
from lightcalc.physics.circuit.ladder import RunSolution, Solution

ALL_COLOURS = "all"


def run_answers(circuit: Circuit, solution: Solution) -> tuple[RunAnswer, ...]:
    """Say of every run of a supply what a solution at full level holds."""
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
    feeds = _feeds(circuit, number, cut_run, solution)
    fed_v = max(channel.volts_v for feed in feeds for channel in feed.channels)
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
        feeds=feeds,
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


def _feeds(
    circuit: Circuit, number: int, cut_run: CutRun, solution: Solution
) -> tuple[FeedAnswer, ...]:
    channels = (ALL_COLOURS,) if cut_run.strip.kind == "pixel" else cut_run.strip.channels
    feeds = []
    for place, lead in enumerate(circuit.network.feeds):
        wired = circuit.wired.leads[lead]
        if wired.run != number or wired.pad is None:
            continue
        volts, returned = solution.feed_v[place], solution.lead_return_a[lead]
        feeds.append(
            FeedAnswer(
                lead=wired.lead.name,
                at_m=wired.pad * cut_run.strip.cut_unit_m,
                volts_v=float(volts.min()),
                amps_a=float(solution.lead_a[lead]),
                channels=tuple(
                    FeedChannelAnswer(name, float(volts[k]), float(returned[k]))
                    for k, name in enumerate(channels)
                ),
            )
        )
    return tuple(feeds)
