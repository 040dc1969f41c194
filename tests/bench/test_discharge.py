"""A hundred thousand packs and loads as one batch, against PyBaMM's DFN solved again and again.

PyBaMM's simulation is built once, with its own solver at its own tolerances, and solved with
another power each time; only the solving is timed. The batch has packs of every chemistry, age and
size drawn at random. For the hours, the pack is described by figures measured on PyBaMM's cell, as
in `tests/physics/charge/test_pack_against_pybamm.py`. Both sides take turns.
"""

from __future__ import annotations

import importlib.util
import statistics
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from lightcalc.physics.charge.discharge import endurance
from lightcalc.physics.charge.load import Load, constant_power
from lightcalc.physics.charge.pack import Pack, describe_pack, stack_packs
from lightcalc.tables.chemistries import chemistry, chemistry_keys

PAIRS = 100_000
ROUNDS = 5
SOLVED_A_ROUND = 8
CELLS = ("Chen2020", "Marquis2019", "Prada2013")
LEAST_RATIO = 1000.0
MOST_APART = 0.03
SLOWEST, FASTEST = 0.05, 0.5
"""Power in parts of what empties the cell in an hour; a furniture light takes hours."""


def _matched():
    path = Path(__file__).parents[1] / "physics" / "charge" / "test_pack_against_pybamm.py"
    spec = importlib.util.spec_from_file_location("matched_cells", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclasses look themselves up
    spec.loader.exec_module(module)
    return module


def _simulation(pybamm, name: str):
    values = pybamm.ParameterValues(name)
    values.update({"Power function [W]": "[input]"}, check_already_exists=False)
    model = pybamm.lithium_ion.DFN({"operating mode": "power"})
    return pybamm.Simulation(model, parameter_values=values, solver=pybamm.IDAKLUSolver())


def _packs(dice: np.random.Generator) -> Pack:
    keys = chemistry_keys()
    packs = []
    for number, key in enumerate(keys):
        count = (PAIRS * (number + 1)) // len(keys) - (PAIRS * number) // len(keys)
        cells = dice.integers(1, 8, count)
        packs.append(
            describe_pack(
                key,
                3600 * np.exp(dice.uniform(0, 3, count)),
                cells * chemistry(key).volts_label,
                cells_in_series=cells,
                health=dice.uniform(0.6, 1.0, count),
                temperature_c=dice.uniform(-10, 40, count),
            )
        )
    return stack_packs(packs)


def _powers(dice: np.random.Generator, pack: Pack) -> np.ndarray:
    hour_w = pack.capacity_coulomb / 3600 * pack.open_circuit_volts(0.5)
    return hour_w * np.exp(dice.uniform(np.log(SLOWEST), np.log(FASTEST), pack.shape))


def _table(power_w: np.ndarray, pack: Pack) -> Load:
    """Rows of volts, as the draw of a supply with a converter is a table."""
    volts = np.linspace(0.5, 40.0, 24)
    rise = 1.0 + 0.1 * volts / pack.full_volts[:, None]
    return Load(volts, power_w[:, None] * rise, power_w[:, None] * rise)


@pytest.mark.bench
def test_a_batch_of_discharges_is_a_thousand_times_as_fast_as_an_electrochemical_model() -> None:
    pybamm = pytest.importorskip("pybamm")
    matched = _matched()
    dice = np.random.default_rng(11)
    pack = _packs(dice)
    power_w = _powers(dice, pack)
    loads = {"constant power": constant_power(power_w), "table of 24 rows": _table(power_w, pack)}
    simulations = {name: _simulation(pybamm, name) for name in CELLS}
    here: dict[str, list[float]] = {what: [] for what in loads}
    there, apart = [], []
    for _ in range(ROUNDS):
        for what, load in loads.items():
            start = time.perf_counter()
            found = endurance(pack, load)
            here[what].append((time.perf_counter() - start) / PAIRS)
            assert np.all(found.duration_s >= 0)
        for name, simulation in simulations.items():
            took = []
            for number in range(SOLVED_A_ROUND + 1):
                rate = float(np.exp(dice.uniform(np.log(SLOWEST), np.log(FASTEST))))
                watts = matched.watts_at(name, rate)
                start = time.perf_counter()
                solved = simulation.solve(
                    [0, 1.3 * 3600 / rate], initial_soc=1.0, inputs={"Power function [W]": watts}
                )
                if number:  # the first of all compiles
                    took.append(time.perf_counter() - start)
                assert "Minimum voltage" in solved.termination
                ours_s = float(endurance(matched.pack_of(name), constant_power(watts)).duration_s)
                apart.append((abs(ours_s / float(solved.t[-1]) - 1), name, rate))
            there.append((name, statistics.median(took)))
    print(f"\n{PAIRS} packs of {len(chemistry_keys())} chemistries, {ROUNDS} rounds")
    model_s = [
        statistics.mean(s for _, s in there[k : k + len(CELLS)])
        for k in range(0, len(there), len(CELLS))
    ]
    ratios = {}
    for what, took_s in here.items():
        ratios[what] = sorted(b / a for a, b in zip(took_s, model_s, strict=True))
        print(
            f"{what:17s} {statistics.median(took_s) * 1e6:6.1f} us a pair; DFN "
            f"{statistics.median(model_s) * 1e3:5.1f} ms: times as many a second "
            f"{ratios[what][0]:.0f} {statistics.median(ratios[what]):.0f} {ratios[what][-1]:.0f}"
        )
    worst = max(apart)
    print(f"hours of {len(apart)} compared cases apart by at most {worst[0]:.2%} {worst[1:]}")
    assert worst[0] <= MOST_APART
    assert statistics.median(ratios["constant power"]) >= LEAST_RATIO
