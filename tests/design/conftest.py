"""A small design that holds together, and a way to spoil it in one place."""

import copy
from pathlib import Path

import pytest

from lightcalc.design.read import read_design_table
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.problems import BadInput

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"

# Two runs on one pack behind a buck converter, one lead branching from a trunk.
BENCH = {
    "format": 1,
    "piece": {"name": "Bench", "height": "45 cm"},
    "trunks": [{"name": "trunk", "length": "80 cm", "wire": "18 AWG"}],
    "runs": [
        {
            "name": "front",
            "strip": "strip-12v-60-warm",
            "length": "1.5 m",
            "feeds": [{"at": "start", "lead": "45 cm", "from": "trunk"}],
            "seen": [{"surface": "floor", "distance": "40 cm"}],
        },
        {
            "name": "back",
            "strip": "strip-12v-60-warm",
            "length": "1 m",
            "feeds": [{"at": "end", "lead": "95 cm"}],
        },
    ],
    "supplies": [{"name": "main", "pack": "liion-4s-6800", "converter": "buck-12v-5a"}],
    "use": {"evening": [{"level": "60 %", "time": "3 h"}]},
    "ask": {"hours_a_charge": "6 h"},
}


class Sketch:
    """A copy of the bench that a test may change, and what reading it says."""

    def __init__(self, parts):
        self.table = copy.deepcopy(BENCH)
        self.parts = parts

    def put(self, place, value):
        """Set what stands at a place such as `runs.0.length`; `...` takes it out."""
        *way, last = (int(word) if word.isdigit() else word for word in place.split("."))
        inner = self.table
        for word in way:
            inner = inner[word] if isinstance(word, int) else inner.setdefault(word, {})
        if value is ...:
            del inner[last]
        elif isinstance(inner, list) and last == len(inner):
            inner.append(value)
        else:
            inner[last] = value
        return self

    def read(self):
        return read_design_table(self.table, self.parts, Path("bench.toml"))

    def told(self):
        """Return the mistakes that reading reports, one text for each."""
        with pytest.raises(BadInput) as caught:
            self.read()
        return [str(problem) for problem in caught.value.problems]


@pytest.fixture(scope="session")
def parts():
    return read_catalogue(EXAMPLES)


@pytest.fixture
def sketch(parts):
    return Sketch(parts)
