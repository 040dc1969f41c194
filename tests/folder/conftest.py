"""A folder of designs, and one outside of it that nothing may touch."""

import os
import sys
from pathlib import Path

import pytest

from lightcalc.folder.saving import save_text
from lightcalc.problems import BadInput

sys.path.insert(0, str(Path(__file__).parent))

from shop_folder import BENCH, SECRET


@pytest.fixture(autouse=True)
def no_waiting_for_the_disk(monkeypatch):
    """Leave what is written to the system; programs that are killed wait for the disk itself."""
    monkeypatch.setattr(os, "fsync", lambda _: None)


@pytest.fixture
def folder(tmp_path):
    """Return a folder with one design."""
    inside = tmp_path / "designs"
    inside.mkdir()
    save_text(inside, "bench.toml", BENCH)
    return inside


@pytest.fixture
def outside(tmp_path):
    """Return a folder beside it that holds what nobody may read or write."""
    place = tmp_path / "outside"
    place.mkdir()
    for name in ("secret.toml", "catalogue.toml", "strips.csv", "bench.toml.json", "lock"):
        (place / name).write_text(SECRET)
    return place


@pytest.fixture
def refused():
    """Return what gives the sentences of a call that is refused."""

    def call(function, *words, **more):
        with pytest.raises(BadInput) as caught:
            function(*words, **more)
        sentences = [str(problem) for problem in caught.value.problems]
        # A sentence has an end, and holds no sign that a terminal would obey.
        assert all(told.endswith((".", "?")) and told.isprintable() for told in sentences), (
            sentences
        )
        return " ".join(sentences)

    return call
