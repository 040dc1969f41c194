"""Count up in the work on a design, as one of two pages would: run as a program of its own."""

import sys
from dataclasses import replace
from pathlib import Path

from lightcalc.folder.work import ChangedElsewhere, keep_work, open_work


def count_up(folder, times):
    """Add 1 so many times; return how often another was faster."""
    conflicts = 0
    work = open_work(folder, "bench.toml")
    for _ in range(times):
        while True:
            count = int(work.state.get("count", "0")) + 1
            try:
                work = keep_work(folder, replace(work, state={"count": str(count)}))
                break
            except ChangedElsewhere as changed:
                conflicts += 1
                work = changed.theirs
    return conflicts


if __name__ == "__main__":
    where, how_often = sys.argv[1:]
    print("ready", flush=True)  # noqa: T201
    sys.stdin.readline()
    print(count_up(Path(where), int(how_often)))  # noqa: T201
