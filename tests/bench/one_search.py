"""Search once in a process of its own, as the command line does, and print what that took.

python tests/bench/one_search.py STRIPS PACKS MOST_PACKS SEED
"""

import json
import resource
import sys
import time

from finding import demo_with

from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.search import search


def searched(strips: int, packs: int, most_packs: int, seed: int) -> dict[str, float]:
    """Search the demo among so many parts: processor time of the search alone [s]."""
    design, catalogue, demands = demo_with(strips, packs, most_packs, seed)
    start = time.process_time()
    *_, last = search(design, catalogue, demands)
    spent_s = time.process_time() - start
    return {
        "designs": Choices(design, catalogue).count(),
        "answered": last.answered_count,
        "stand": len(last.standing),
        "spent_s": spent_s,
        "most_bytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024,
    }


if __name__ == "__main__":
    # What is read and imported on the way is no part of a search.
    searched(2, 2, 1, 1)
    print(json.dumps(searched(*map(int, sys.argv[1:]))))
