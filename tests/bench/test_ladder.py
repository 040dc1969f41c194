"""A hundred thousand runs as one batch, against ngspice solving such runs one after another.

Every run has 100 cut units of a resistor, constant-current or pixel strip, with copper, leads and
volts drawn at random, fed at one end, at both or in the middle. ngspice gets the same circuit and
is asked in one process for operating points in a loop, each after an `alter` of the supply's volts
and of a lead. It keeps its own tolerances (but for `epsmin`, without which it changes the LEDs),
and its start-up (the least of several with one point) is taken off. Both sides take turns.
"""

from __future__ import annotations

import importlib.util
import re
import shutil
import statistics
import subprocess
import time
from pathlib import Path

import numpy as np
import pytest

from lightcalc.physics.circuit.ladder import Solution, solve
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.strip import CutUnit, describe_cut_unit

UNITS = 100
RUNS = 100_000
KINDS = ("resistor", "constant-current", "pixel")
FEEDS = {"one end": (0,), "both ends": (0, UNITS), "middle": (UNITS // 2,)}
POINTS = 240
ROUNDS = 7
LEAST_RATIO = 100.0
MOST_APART = 1e-3

_SPICE_PATH = Path(__file__).parents[1] / "physics" / "circuit" / "test_ladder_against_ngspice.py"
_SPEC = importlib.util.spec_from_file_location("ladder_netlists", _SPICE_PATH)
assert _SPEC is not None
assert _SPEC.loader is not None
netlists = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(netlists)


def _spread(dice: np.random.Generator, least: float, most: float, count: int) -> np.ndarray:
    return np.exp(dice.uniform(np.log(least), np.log(most), count))


def _unit(dice: np.random.Generator, kind: str, count: int) -> tuple[CutUnit, np.ndarray]:
    pixel = kind == "pixel"
    rated_v = np.full(count, 5.0) if pixel else dice.choice([12.0, 24.0], count)
    leds = [2.0, 3.1, 3.0] if pixel else [2.9]
    series = rated_v / 4.0 if not pixel else 1.0
    forward_v = [series * (volts + dice.uniform(-0.1, 0.1, count)) for volts in leds]
    least_left_v = rated_v - np.max(forward_v, axis=0)
    return describe_cut_unit(
        kind,  # type: ignore[arg-type]
        rated_v=rated_v,
        power_w_per_m=dice.uniform(4.0, 20.0, count),
        cut_unit_length_m=1 / 60 if pixel else 0.05,
        forward_v=forward_v,
        leds_in_series=1 if pixel else 3,
        dropout_v=None if kind == "resistor" else dice.uniform(0.05, 0.3, count) * least_left_v,
        idle_a=0.0005 if pixel else 0.0,
        idle_min_v=0.7 * rated_v if pixel else None,
    ), rated_v


def _batch(kind: str, pads: tuple[int, ...], count: int, seed: int) -> tuple[Network, np.ndarray]:
    dice = np.random.default_rng(seed)
    unit, rated_v = _unit(dice, kind, count)
    rails = [_spread(dice, 0.01, 0.1, count) for _ in range(2)]
    run = Run(unit, UNITS, 1 / 60 if kind == "pixel" else 0.05, rails[0], (rails[1],))
    leads = tuple(
        Lead(SUPPLY, _spread(dice, 0.01, 0.2, count), (_spread(dice, 0.01, 0.2, count),), 0, pad)
        for pad in pads
    )
    return Network((run,), leads, 0.01, (0.01,)), rated_v * dice.uniform(0.85, 1.1, count)


def _one(network: Network, case: int) -> Network:
    return network.with_numbers(lambda x: float(x[case]) if np.ndim(x) else x)


def _alterations(supply_v: float, lead_ohm: float, points: int) -> list[tuple[float, float]]:
    dice = np.random.default_rng(points)
    factors = dice.uniform([0.9, 0.5], [1.1, 2.0], (points, 2))
    return [(supply_v * a, lead_ohm * b) for a, b in factors.tolist()]


def _spice(
    network: Network, supply_v: float, points: int, folder: Path, keep: bool = False
) -> tuple[float, list[dict[str, float]]]:
    """Seconds of one ngspice process that solves so many points, and the volts if kept."""
    text = netlists.netlist(network, supply_v, (True,) * len(network.runs[0].unit.channels))
    text = re.sub(r"(\.options temp=27 tnom=27) .*", r"\1", text).replace(".op\n", "")
    control = [".control", "set noaskquit", "set filetype=binary"]
    lead_ohm = float(network.leads[0].positive_ohm)
    for k, (volts, ohm) in enumerate(_alterations(supply_v, lead_ohm, points)):
        control += [f"alter V1 dc = {volts:.17g}", f"alter RL0p = {ohm:.17g}", "op"]
        control += [f"write {folder}/{k}.raw"] if keep else []
        control += ["destroy all"]
    source = folder / "loop.cir"
    source.write_text(text.replace(".end\n", "\n".join([*control, "quit", ".endc", ".end", ""])))
    start = time.perf_counter()
    done = subprocess.run(
        ["ngspice", "-b", str(source)], capture_output=True, text=True, check=False
    )
    seconds = time.perf_counter() - start
    assert "rror" not in done.stdout + done.stderr
    return seconds, [_raw(folder / f"{k}.raw") for k in range(points if keep else 0)]


def _raw(path: Path) -> dict[str, float]:
    head, _, body = path.read_bytes().partition(b"Binary:\n")
    table = head.decode().partition("Variables:\n")[2]
    names = [line.split()[1] for line in table.splitlines() if line.strip()]
    volts = np.frombuffer(body, dtype="<f8", count=len(names)).tolist()
    strip = (re.sub(r"^v\((.*)\)$", r"\1", name) for name in names)
    return dict(zip(strip, volts, strict=True))


def _apart(network: Network, found: Solution, case: int, spice: dict[str, float]) -> float:
    """Largest disagreement about the current of a unit's channel, in parts of its rated current."""
    worst = 0.0
    for c, channel in enumerate(network.runs[0].unit.channels):
        for k in range(UNITS):
            left_v = spice[f"u0_{k}m{c}"] - spice[f"u0_{k}r0"]
            light = left_v / channel.resistance_ohm / channel.rated_a
            light = min(light, 1.0) if network.runs[0].unit.holds_current else light
            worst = max(worst, abs(float(found.runs[0].light[case, k, c]) - light))
    return worst


def _compared(network: Network, supply_v: float, folder: Path) -> float:
    """Largest disagreement over a few altered points of one circuit, solved here as one batch."""
    points = 12
    lead = network.leads[0]
    asked = _alterations(supply_v, float(lead.positive_ohm), points)
    volts, ohms = (np.array(column) for column in zip(*asked, strict=True))
    # Enough copies that the batch is solved the way a large one is.
    many = np.tile(volts, 100), np.tile(ohms, 100)
    leads = (Lead(lead.parent, many[1], lead.return_ohm, lead.run, lead.pad), *network.leads[1:])
    batch = Network(network.runs, leads, network.series_positive_ohm, network.series_return_ohm)
    found = solve(batch, many[0])
    spice = _spice(network, supply_v, points, folder, keep=True)[1]
    return max(_apart(network, found, case, volts) for case, volts in enumerate(spice))


@pytest.mark.bench
@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_a_batch_of_runs_is_a_hundred_times_as_fast_as_ngspice(tmp_path: Path) -> None:
    groups = [(kind, name) for kind in KINDS for name in FEEDS]
    each = RUNS // len(groups)
    batches = {
        (kind, name): _batch(kind, FEEDS[name], each, seed)
        for seed, (kind, name) in enumerate(groups)
    }
    ours: dict[tuple[str, str], list[float]] = {group: [] for group in groups}
    theirs: dict[tuple[str, str], list[float]] = {group: [] for group in groups}
    start_s: dict[tuple[str, str], float] = dict.fromkeys(groups, np.inf)
    apart, lights = 0.0, []
    for network, supply_v in batches.values():
        solve(network, supply_v)  # once without a clock, as ngspice's start-up is not counted
    for turn in range(ROUNDS):
        for group, (network, supply_v) in batches.items():
            start = time.perf_counter()
            found = solve(network, supply_v)
            ours[group].append((time.perf_counter() - start) / each)
            if turn == 0:
                lights.append(found.runs[0].light.ravel()[::7])
            del found
            one, volts = _one(network, turn), float(supply_v[turn])
            start_s[group] = min(start_s[group], _spice(one, volts, 1, tmp_path)[0])
            theirs[group].append(
                (_spice(one, volts, POINTS, tmp_path)[0] - start_s[group]) / POINTS
            )
            if turn < 2:
                apart = max(apart, _compared(one, volts, tmp_path))
    light = np.concatenate(lights)
    print(
        f"\n{RUNS} runs of {UNITS} units; light of units: {np.mean(light < 0.5):.0%} below 50 %, "
    )
    print(f"{np.mean((light > 0.02) & (light < 0.98)):.0%} between 2 and 98 %")
    print(
        "kind, feed                     here          ngspice       times as fast, round by round"
    )
    for group in groups:
        ratios = sorted(b / a for a, b in zip(ours[group], theirs[group], strict=True))
        here, there = (statistics.median(side[group]) for side in (ours, theirs))
        print(
            f"{', '.join(group):28s} {here * 1e6:7.1f} us {there * 1e6:12.0f} us   "
            f"{ratios[0]:5.0f} {statistics.median(ratios):5.0f} {ratios[-1]:5.0f}"
        )
    rounds = [
        sum(theirs[g][turn] for g in groups) / sum(ours[g][turn] for g in groups)
        for turn in range(ROUNDS)
    ]
    ratio = statistics.median(rounds)
    print(
        f"all: {ratio:.0f} times as many a second (rounds {min(rounds):.0f} to {max(rounds):.0f})"
    )
    print(f"largest disagreement {apart:.1e} of rated current")
    assert apart <= MOST_APART
    assert ratio >= LEAST_RATIO
