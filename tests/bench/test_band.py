"""How long ten thousand builds take, against as many answers one by one, and how that grows.

One core: the threads of numpy's linear algebra are held to one. Seconds are processor time.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "catalog_examples" / "hall-bench.toml"
MOST_S, MOST_MB = 1.0, 1024.0
TASK = """
import json, resource, subprocess, sys, time
from pathlib import Path
from lightcalc.answers.answer import answer
from lightcalc.answers.band.spread import Case, spread
from lightcalc.design.read import read_design
design, catalogue = read_design(Path(sys.argv[1]))
case = Case(design, catalogue, answer(design, catalogue))
spread(case, samples=100)
def best(task, times):
    seconds = []
    for _ in range(times):
        start = time.process_time()
        task()
        seconds.append(time.process_time() - start)
    return min(seconds)
one_s = best(lambda: answer(design, catalogue), 5)
found = {n: best(lambda: spread(case, samples=n), 5 if n <= 10_000 else 1)
         for n in (10, 100, 1000, 10_000, 100_000)}
mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
start = time.process_time()
import subprocess
def numpy_alone_s():
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import numpy"], check=True)
    return time.perf_counter() - start
numpy_s = min(numpy_alone_s() for _ in range(8))
print(json.dumps({"one_s": one_s, "seconds": found, "mb": mb, "numpy_s": numpy_s}))
"""
ONE_CORE = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


@pytest.mark.bench
def test_ten_thousand_builds_of_the_demo() -> None:
    done = subprocess.run(
        [sys.executable, "-c", TASK, str(DEMO)],
        check=True,
        capture_output=True,
        text=True,
        env=os.environ | ONE_CORE,
    )
    found = json.loads(done.stdout)
    seconds = {int(count): s for count, s in found["seconds"].items()}
    whole_s = seconds[10_000]
    print(
        f"\n10,000 builds: {whole_s:.2f} s, {whole_s / found['numpy_s']:.1f} numpy imports, "
        f"{10_000 * found['one_s'] / whole_s:.0f} times faster than answers one by one"
    )
    growth = ", ".join(f"{count:,}: {s:.3f} s" for count, s in seconds.items())
    print(f"growth: {growth}; most memory {found['mb']:.0f} MB")
    assert whole_s <= MOST_S
    assert found["mb"] < MOST_MB
    # No more than in proportion, give or take the machine.
    assert seconds[100_000] <= 13.0 * whole_s
