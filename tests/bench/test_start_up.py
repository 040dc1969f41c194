"""How long a maker waits for a cold answer, against a bare import of numpy in the same run.

Whole processes, taken in turn so that both see the same machine; the ratio of medians is printed.
Python keeps compiled modules as it does wherever a package is installed.
"""

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "catalog_examples" / "hall-bench.toml"
MOST_TIMES_NUMPY = 5.0
PAIRS = 15
_KEPT = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def _seconds(*arguments: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=False, stdout=subprocess.DEVNULL, env=_KEPT)
    return time.perf_counter() - start


@pytest.mark.bench
def test_a_cold_answer_takes_at_most_five_times_a_bare_numpy_import() -> None:
    answer = ("-c", "from lightcalc.screens.cli import main; main()", "answer", str(DEMO))
    numpy = ("-c", "import numpy")
    pairs = [(_seconds(*answer), _seconds(*numpy)) for _ in range(PAIRS + 2)][2:]
    ratios = sorted(a / n for a, n in pairs)
    ratio = statistics.median(a for a, _ in pairs) / statistics.median(n for _, n in pairs)
    print(
        f"\ncold answer over bare numpy import: {ratio:.2f} (pairs {ratios[0]:.2f} to "
        f"{ratios[-1]:.2f}, {PAIRS} pairs)"
    )
    assert ratio <= MOST_TIMES_NUMPY
