"""The ladder against ngspice, run live: a circuit simulator that shares nothing with this project.

Every case writes a netlist of diodes, resistors and behavioural sources, lets ngspice find the
operating point, and compares volts, light and currents everywhere. Cases are random with a fixed
seed: 1 to 300 cut units, one or two runs, one to four feeds each, shared leads.
"""

from __future__ import annotations

import math
import random
import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from lightcalc.physics.circuit.ladder import Solution, solve
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.strip import CutUnit, describe_cut_unit

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None,
    reason="ngspice is not installed, so the ladder is not checked against it here",
)

CASES_PER_KIND = 32
KINDS = [
    ("resistor", 1),
    ("resistor", 2),
    ("resistor", 3),
    ("resistor", 4),
    ("constant-current", 1),
    ("constant-current", 3),
    ("pixel", 3),
    ("pixel", 4),
]
NGSPICE_THERMAL_V = 1.38064852e-23 * 300.15 / 1.6021766208e-19
"""kT/q at ngspice's nominal 27 degC, with the constants of its source (const.h)."""

TOLERANCE = 1e-4
"""Largest disagreement allowed, in parts; ngspice is asked for 1e-7."""

FLOOR_LIGHT = 1e-6


def random_unit(dice: random.Random, kind: str, channels: int) -> tuple[CutUnit, float]:
    """A cut unit and a supply from well below where it lights up to above its rated volts."""
    rated_v = dice.choice([5.0, 12.0, 24.0])
    series = {5.0: 1, 12.0: 3, 24.0: 6}[rated_v]
    colours = [2.0, 3.1, 3.0, 2.9][:channels] if channels > 1 else [2.9]
    forward_v = [series * (volts + dice.uniform(-0.1, 0.1)) for volts in colours]
    regulated = kind != "resistor"
    supply_v = dice.uniform(0.85 * min(forward_v), 1.15 * rated_v)
    unit = describe_cut_unit(
        kind,
        rated_v=rated_v,
        power_w_per_m=dice.uniform(4.0, 20.0),
        cut_unit_length_m=dice.choice([1 / 60, 0.05, 0.1]),
        forward_v=forward_v,
        leds_in_series=series,
        dropout_v=dice.uniform(0.05, 0.3) * (rated_v - max(forward_v)) if regulated else None,
        idle_a=0.0005 if kind == "pixel" else 0.0,
        idle_min_v=0.7 * rated_v if kind == "pixel" else None,
    )
    return unit, supply_v


def random_network(dice: random.Random, unit: CutUnit, case: int) -> Network:
    def ohms(least: float, most: float) -> float:
        return math.exp(dice.uniform(math.log(least), math.log(most)))

    def returns(least: float, most: float) -> tuple[float, ...]:
        return tuple(ohms(least, most) for _ in range(unit.returns))

    runs, leads = [], [Lead(SUPPLY, ohms(0.005, 0.1), returns(0.005, 0.1))]
    for number in range(dice.choice([1, 1, 2])):
        units = {0: 1, 1: 300}.get(case, round(ohms(1, 300)))
        units = units if number == 0 else dice.randint(1, 40)
        runs.append(Run(unit, units, 0.05, ohms(0.003, 0.2), returns(0.003, 0.2)))
        pads = dice.sample(range(units + 1), min(dice.randint(1, 4), units + 1))
        for pad in pads:
            parent = dice.randrange(SUPPLY, len(leads))
            leads.append(Lead(parent, ohms(0.005, 0.2), returns(0.005, 0.2), number, pad))
    return Network(tuple(runs), tuple(leads), ohms(0.001, 0.05), returns(0.001, 0.05))


def netlist(network: Network, supply_v: float, on: tuple[bool, ...]) -> str:
    """The whole network for ngspice; node `l3p` is the positive far end of lead 3."""
    conductors = ["p", *(f"r{c}" for c in range(network.returns))]
    lines = ["ladder", f"V1 top 0 {supply_v:.17g}"]
    series = [network.series_positive_ohm, *network.series_return_ohm]
    for x, ohm in zip(conductors, series, strict=True):
        lines.append(f"RS{x} {'top' if x == 'p' else '0'} s{x} {ohm:.17g}")
    for k, lead in enumerate(network.leads):
        start = "s" if lead.parent == SUPPLY else f"l{lead.parent}"
        for x, ohm in zip(conductors, [lead.positive_ohm, *lead.return_ohm], strict=True):
            lines.append(f"RL{k}{x} {start}{x} l{k}{x} {ohm:.17g}")
    for number, run in enumerate(network.runs):
        lines += rails(network, number, run, conductors)
        for k in range(run.units):
            lines += cut_unit(run.unit, f"u{number}_{k}", on)
        for c, channel in enumerate(run.unit.channels):
            saturation_a = channel.rated_a * math.exp(-channel.forward_v / channel.slope_v)
            emission = channel.slope_v / NGSPICE_THERMAL_V
            lines.append(f".model led{number}_{c} D(IS={saturation_a:.17g} N={emission:.17g})")
    lines += [
        ".options temp=27 tnom=27 reltol=1e-7 abstol=1e-14 vntol=1e-10 gmin=1e-15",
        ".options epsmin=1e-90",  # else ngspice raises a saturation current below 1e-28 A to that
        ".options itl1=2000 itl2=2000",
    ]
    return "\n".join([*lines, ".op", ".end", ""])


def rails(network: Network, number: int, run: Run, conductors: list[str]) -> list[str]:
    places = [(k + 0.5, f"u{number}_{k}") for k in range(run.units)]
    for k, lead in enumerate(network.leads):
        if lead.run == number:
            places.append((float(lead.pad), f"l{k}"))
    places.sort()
    lines = []
    copper = [run.positive_ohm_per_m, *run.return_ohm_per_m]
    for (start, a), (stop, b) in pairwise(places):
        for x, ohm_per_m in zip(conductors, copper, strict=True):
            ohm = ohm_per_m * run.unit_length_m * (stop - start)
            lines.append(f"RR{a}{b}{x} {a}{x} {b}{x} {ohm:.17g}")
    return lines


def cut_unit(unit: CutUnit, name: str, on: tuple[bool, ...]) -> list[str]:
    """One unit for ngspice; a channel that is off is left out, as its return is open."""
    lines = []
    number = name[1:].partition("_")[0]
    for c, channel in enumerate(unit.channels):
        if not on[c]:
            continue
        rail = f"{name}r{0 if unit.shared_return else c}"
        lines.append(f"D{name}_{c} {name}p {name}m{c} led{number}_{c}")
        if unit.holds_current:
            dropout_v = channel.resistance_ohm * channel.rated_a
            law = f"{channel.rated_a:.17g}*min(1, V({name}m{c},{rail})/{dropout_v:.17g})"
            lines.append(f"B{name}_{c} {name}m{c} {rail} I={law}")
        else:
            lines.append(f"R{name}_{c} {name}m{c} {rail} {channel.resistance_ohm:.17g}")
    if unit.idle_a > 0:
        law = f"{unit.idle_a:.17g}*max(0, min(1, V({name}p,{name}r0)/{unit.idle_min_v:.17g}))"
        lines.append(f"B{name}_idle {name}p {name}r0 I={law}")
    return lines


def operating_point(text: str, folder: Path) -> dict[str, float]:
    """Node volts (and the current of V1) from ngspice in batch mode."""
    source, raw = folder / "ladder.cir", folder / "ladder.raw"
    raw.unlink(missing_ok=True)
    source.write_text(text)
    spice = ["ngspice", "-b", "-r", str(raw), str(source)]
    done = subprocess.run(
        spice, capture_output=True, text=True, cwd=folder, timeout=120, check=False
    )
    assert raw.exists(), f"ngspice gave no operating point: {done.stdout}{done.stderr}"
    head, _, body = raw.read_bytes().partition(b"Binary:\n")
    table = head.decode().partition("Variables:\n")[2]
    names = [line.split()[1] for line in table.splitlines() if line.strip()]
    volts = np.frombuffer(body, dtype="<f8", count=len(names))
    return {
        name[2:-1] if name.startswith("v(") else name: float(value)
        for name, value in zip(names, volts, strict=True)
    }


def compare(
    network: Network, found: Solution, spice: dict[str, float], on: tuple[bool, ...]
) -> float:
    """Largest disagreement, in parts; light below a millionth of rated counts as that."""
    worst = [abs(-spice["i(v1)"] - found.supply_a) / max(-spice["i(v1)"], 1e-9)]
    for number, run in enumerate(network.runs):
        for c, channel in enumerate(run.unit.channels):
            rail = 0 if run.unit.shared_return else c
            for k in range(run.units):
                name = f"u{number}_{k}"
                volts = spice[f"{name}p"] - spice[f"{name}r{rail}"]
                worst.append(abs(found.runs[number].volts[k, c] - volts) / volts)
                if not on[c]:
                    continue
                left_v = spice[f"{name}m{c}"] - spice[f"{name}r{rail}"]
                light = left_v / channel.resistance_ohm / channel.rated_a
                light = min(light, 1.0) if run.unit.holds_current else light
                mine = found.runs[number].light[k, c]
                worst.append(abs(mine - light) / max(light, FLOOR_LIGHT))
    for k, lead in enumerate(network.leads):
        start = "s" if lead.parent == SUPPLY else f"l{lead.parent}"
        amps = (spice[f"{start}p"] - spice[f"l{k}p"]) / lead.positive_ohm
        worst.append(abs(found.lead_a[k] - amps) / max(float(found.supply_a), 1e-9))
        for c, ohm in enumerate(lead.return_ohm):
            amps = (spice[f"l{k}r{c}"] - spice[f"{start}r{c}"]) / ohm
            mine = found.lead_return_a[k, c]
            worst.append(abs(mine - amps) / max(float(found.supply_a), 1e-9))
    return max(worst)


def disagreement(
    dice: random.Random, kind: str, channels: int, case: int, folder: Path
) -> tuple[float, Solution]:
    unit, supply_v = random_unit(dice, kind, channels)
    network = random_network(dice, unit, case)
    found = solve(network, supply_v)
    on = (True,) * channels
    spice = operating_point(netlist(network, supply_v, on), folder)
    return compare(network, found, spice, on), found


@pytest.mark.parametrize(("kind", "channels"), KINDS)
def test_ngspice_finds_the_same_volts_light_and_currents(
    kind: str, channels: int, tmp_path: Path
) -> None:
    dice = random.Random(f"{kind} {channels}")
    lights = []
    for case in range(CASES_PER_KIND):
        worst, found = disagreement(dice, kind, channels, case, tmp_path)
        assert worst <= TOLERANCE, f"case {case} disagrees by {worst:.1e}"
        lights.append(np.concatenate([run.light.ravel() for run in found.runs]))
    light = np.concatenate(lights)
    assert np.any(light < 0.01), "no case has a unit that is nearly dark"
    assert np.any((light > 0.2) & (light < 0.9)), "no case has a unit that is dimmed"
    assert np.any(light >= 1.0), "no case has a unit at full light"


@pytest.mark.parametrize("kind", ["resistor", "constant-current", "pixel"])
def test_ngspice_agrees_when_a_channel_is_off(kind: str, tmp_path: Path) -> None:
    dice = random.Random(f"off {kind}")
    for case, on in enumerate([(True, False, True), (False, False, True), (True, True, False)]):
        unit, _ = random_unit(dice, kind, 3)
        network = random_network(dice, unit, 10 + case)
        supply_v = 2.0 * float(unit.channels[0].forward_v)
        spice = operating_point(netlist(network, supply_v, on), tmp_path)
        assert compare(network, solve(network, supply_v, on), spice, on) <= TOLERANCE
