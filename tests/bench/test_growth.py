"""How time and memory grow with cut units, with runs, and with the size of a batch.

Each point is a process of its own, so that its peak of memory is its own; it warms up on the
smallest size of its row and then times the asked size once. The points of all rows are gone through
several times. Printed are the time over that of the smallest, and that ratio over the growth in
size: 1 is linear growth, less is better. The same from the size before is the last step's.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import fields

import numpy as np
import pytest

from lightcalc.physics.charge.discharge import endurance
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import Pack, describe_pack
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.strip import describe_cut_unit

REPEATS = 3
# On a busy machine the threads of a linear solver wait for each other, which is not growth.
ONE_THREAD = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
MOST_MIB = 1024
MOST_OVER_LINEAR = 3.0
UNIT = describe_cut_unit(
    "resistor",
    rated_v=24.0,
    power_w_per_m=9.6,
    cut_unit_length_m=0.05,
    forward_v=(18.0,),
    leds_in_series=6,
)


def cut_units(count: int) -> Callable[[], object]:
    """One run of so many units, its copper such that a long one is no darker than a short one."""
    ohm_per_m = 0.05 * (100.0 / count) ** 2
    run = Run(UNIT, count, 0.05, ohm_per_m, (ohm_per_m,))
    lead_ohm = 2.0 / count
    network = Network((run,), (Lead(SUPPLY, lead_ohm, (lead_ohm,), 0, 0),))
    return lambda: solve(network, 24.0)


def runs_of_a_batch(count: int) -> Callable[[], object]:
    """So many cases of one run of 100 units."""
    dice = np.random.default_rng(3)
    copper, lead = dice.uniform(0.01, 0.1, (2, count))
    run = Run(UNIT, 100, 0.05, copper, (copper,))
    network = Network((run,), (Lead(SUPPLY, lead, (lead,), 0, 0),))
    volts = dice.uniform(20.0, 25.0, count)
    return lambda: solve(network, volts)


def runs_of_a_network(count: int) -> Callable[[], object]:
    """So many runs of 20 units on one supply, each on a lead of its own from a common trunk."""
    runs = (Run(UNIT, 20, 0.05, 0.05, (0.05,)),) * count
    trunk = Lead(SUPPLY, 0.1 / count, (0.1 / count,))
    leads = (trunk, *(Lead(0, 0.1, (0.1,), number, 0) for number in range(count)))
    network = Network(runs, leads)
    return lambda: solve(network, 24.0)


def packs_of_a_batch(count: int) -> Callable[[], object]:
    """So many packs and loads; a thousand different packs, and as many powers as pairs."""
    dice = np.random.default_rng(5)
    some = describe_pack("lithium-ion", 3600 * dice.uniform(1, 20, 1000), 3.65)
    pick = np.arange(count) % 1000
    pack = Pack(*(getattr(some, field.name)[pick] for field in fields(Pack)))
    load = constant_power(pack.capacity_coulomb / 3600 * 3.65 * dice.uniform(0.05, 0.5, count))
    return lambda: endurance(pack, load)


ROWS = {
    cut_units: (10, 100, 1_000, 10_000, 100_000),
    runs_of_a_batch: (10, 100, 1_000, 10_000, 100_000),
    runs_of_a_network: (1, 4, 16, 64, 256),
    packs_of_a_batch: (10, 100, 1_000, 10_000, 100_000, 1_000_000),
}


def _time_here(name: str, count: int) -> None:
    make = next(row for row in ROWS if row.__name__ == name)
    make(ROWS[make][0])()
    task = make(count)
    start = time.perf_counter()
    task()
    seconds = time.perf_counter() - start
    print(seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def _timed(name: str, count: int) -> tuple[float, float]:
    task = [sys.executable, __file__, name, str(count)]
    words = subprocess.run(
        task, capture_output=True, text=True, check=True, env=ONE_THREAD
    ).stdout.split()
    return float(words[0]), float(words[1])


@pytest.mark.bench
def test_time_grows_no_faster_than_the_task_and_memory_stays_below_a_gibibyte() -> None:
    points = [(make.__name__, count) for make, counts in ROWS.items() for count in counts]
    found: dict[tuple[str, int], list[tuple[float, float]]] = {point: [] for point in points}
    for _ in range(REPEATS):
        for point in points:
            found[point].append(_timed(*point))
    peak_mib = 0.0
    for make, counts in ROWS.items():
        name = make.__name__
        first_s = statistics.median(s for s, _ in found[name, counts[0]])
        print(f"\n{name.replace('_', ' ')}: {counts[0]} take {first_s * 1e3:.2f} ms")
        print("      size   time over the smallest (low - high)    over linear   last step   peak")
        before = 1.0, counts[0]
        for count in counts:
            times = sorted(s / first_s for s, _ in found[name, count])
            mib = max(m for _, m in found[name, count])
            peak_mib = max(peak_mib, mib)
            middle = statistics.median(times)
            linear = middle / (count / counts[0])
            print(
                f"{count:10d} {middle:12.4g} ({times[0]:.3g} - {times[-1]:.3g}) {linear:18.3g} "
                f"{middle / before[0] / (count / before[1]):11.2f} {mib:6.0f} MiB"
            )
            before = middle, count
            assert linear <= MOST_OVER_LINEAR, f"{name} grows faster than the task at {count}"
    assert peak_mib < MOST_MIB


if __name__ == "__main__":
    _time_here(sys.argv[1], int(sys.argv[2]))
