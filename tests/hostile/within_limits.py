"""Throw every text of `sizes` at its door in a process that may use 512 MiB and no more.

    python tests/hostile/within_limits.py

Prints the outcome of each; anything that is no outcome ends it with a traceback.
"""

import os
import resource
import sys
import tempfile
from pathlib import Path

# Each thread of a numerical library reserves room of its own.
os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.path.insert(0, str(Path(__file__).parent))

import doors
import sizes

from lightcalc.answers.answer import answer


def hold(most_bytes=doors.MOST_MEMORY):
    """Let this process have so much memory, and no file larger than 20 MB or core dump."""
    resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000_000, 20_000_000))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def outcomes(shop):
    """Yield each door with what was thrown at it and its outcome."""
    for name, text in sizes.TOML.items():
        yield "design", name, doors.design(shop, text, answered=False)
        yield "readings", name, doors.readings(shop, text)
        yield "catalogue.toml", name, doors.catalogue(shop, "catalogue.toml", text)
        data = text.encode()
        yield "design from elsewhere", name, doors.upload_design(shop, "bench.toml", data)
    for name, text in sizes.TABLES.items():
        for file in ("packs.csv", "wires.csv"):
            yield file, name, doors.catalogue(shop, file, text)
    for name, data in sizes.ZIPS.items():
        yield "zip from elsewhere", name, doors.upload_zip(shop, "parts.zip", data)
    for name, (size, cut_unit_m) in sizes.LARGEST.items():
        fine = sizes.cut_every(shop.catalogue, cut_unit_m)
        drawn = sizes.a_design(fine, **size)
        with doors.watched(), doors.numbers_alone():
            doors.sound(answer(drawn, fine))
        yield "largest design", name, "answer"


def main():
    hold()
    with tempfile.TemporaryDirectory() as place, doors.opened(Path(place)) as shop:
        for door, name, outcome in outcomes(shop):
            print(f"{door}: {name}: {outcome}", flush=True)


if __name__ == "__main__":
    main()
