"""How long a search takes among a million designs, and how that grows with their number.

Processor time of one core, beside that of a bare import of numpy in the same run.
"""

import resource
import statistics
import subprocess
import sys
import time

import pytest
from finding import demo_with

from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.search import search

MOST_S, MOST_BYTES = 3.0, 2**30
# A bare import of numpy on two cores of 2026 with nothing else running.
QUIET_NUMPY_S = 0.08
SIZES = ((2, 2, 1), (4, 6, 1), (10, 12, 2), (24, 32, 2), (60, 80, 2), (60, 80, 5))
# Catalogues made up apart, for the largest size.
SEEDS = (1, 2, 3, 4, 5)


def _numpy_s():
    timed = "import time; t = time.process_time(); import numpy; print(time.process_time() - t)"
    found = [
        float(subprocess.run([sys.executable, "-c", timed], check=True, capture_output=True).stdout)
        for _ in range(9)
    ]
    return min(found)


def _searched(strips, packs, most_packs, seed=1):
    """Search, and return the designs there are, those answered, those that stand, and seconds."""
    design, catalogue, demands = demo_with(strips, packs, most_packs, seed)
    start = time.process_time()
    *_, last = search(design, catalogue, demands)
    spent_s = time.process_time() - start
    count = Choices(design, catalogue).count()
    return count, last.answered_count, len(last.standing), spent_s


@pytest.mark.bench
def test_a_million_designs_are_searched_in_three_seconds_of_a_quiet_machine() -> None:
    _searched(2, 2, 1)
    numpy_s = _numpy_s()
    print()
    spent = []
    for *size, seed in [*((*size, 1) for size in SIZES[:-1]), *((*SIZES[-1], s) for s in SEEDS)]:
        count, answered, standing, spent_s = _searched(*size, seed)
        spent.append(spent_s)
        print(
            f"{count:>9,} designs: {spent_s:.2f} s, {spent_s / numpy_s:.0f} numpy imports of "
            f"{numpy_s:.3f} s; {answered} answered, {standing} stand"
        )
    largest = spent[-len(SEEDS) :]
    most_s, median_s = max(largest), statistics.median(largest)
    print(f"the largest: {min(largest):.2f} to {most_s:.2f} s, median {median_s:.2f} s")
    most_bytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(f"at most {most_bytes / 2**20:.0f} MiB")
    assert count >= 1_000_000
    assert most_bytes < MOST_BYTES
    assert most_s / numpy_s < MOST_S / QUIET_NUMPY_S
