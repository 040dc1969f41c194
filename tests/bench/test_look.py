"""How long a maker waits for a look, pictures and all, and for the words alone.

Seconds on this machine, the best of a few, and how many bare imports of numpy that is.
"""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from lightcalc.answers.look.look import look
from lightcalc.design.read import read_design
from lightcalc.physics.room.picture import picture, stage

DEMO = Path(__file__).parents[2] / "catalog_examples" / "hall-bench.toml"
FULL_S, WORDS_S = 4.0, 0.2


def _best(task, times):
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        task()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def _numpy():
    subprocess.run([sys.executable, "-c", "import numpy"], check=True)


@pytest.mark.bench
def test_a_look_with_four_eyes_and_one_in_words() -> None:
    design, catalogue = read_design(DEMO)

    def full():
        found = look(design, catalogue)
        ready = stage(found.scene, found.light)
        assert len(found.scene.eyes) == 4
        for eye in found.scene.eyes:
            assert picture(ready, eye).shape == (480, 640, 3)

    full_s = _best(full, 3)
    words_s = _best(lambda: look(design, catalogue, faces=False), 8)
    numpy_s = _best(_numpy, 8)
    print(f"\na look with four pictures: {full_s:.2f} s, {full_s / numpy_s:.1f} numpy imports")
    print(f"a look in words: {words_s:.3f} s, {words_s / numpy_s:.2f} numpy imports")
    assert full_s < FULL_S
    assert words_s < WORDS_S
