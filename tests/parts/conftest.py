"""A catalogue that a test may spoil in one place."""

import csv
import shutil
from pathlib import Path

import pytest

from lightcalc.parts.catalogue import read_catalogue
from lightcalc.problems import BadInput

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"


class Spoiled:
    """A copy of the example catalogue, and ways to change it."""

    def __init__(self, folder):
        self.folder = folder

    def table(self, file):
        """Return headings and rows of one file."""
        lines = (self.folder / f"{file}.csv").read_text(encoding="utf-8").splitlines()
        headings, *rows = csv.reader(line for line in lines if not line.startswith("#"))
        return headings, rows

    def write(self, file, headings, rows):
        with (self.folder / f"{file}.csv").open("w", encoding="utf-8", newline="") as out:
            csv.writer(out).writerows([headings, *rows])

    def change(self, file, name, cells):
        """Put other texts in the named part's cells, by heading with no unit."""
        headings, rows = self.table(file)
        plain = [heading.partition(" (")[0] for heading in headings]
        row = next(row for row in rows if row[0] == name)
        for heading, text in cells.items():
            row[plain.index(heading)] = text
        self.write(file, headings, rows)

    def reheaded(self, file, old, new, factor=1.0):
        """Put another heading on a column, its numbers multiplied by a factor."""
        headings, rows = self.table(file)
        place = headings.index(old)
        headings[place] = new
        for row in rows:
            if row[place] and factor != 1.0:
                row[place] = repr(float(row[place]) * factor)
        self.write(file, headings, rows)

    def read(self):
        return read_catalogue(self.folder)

    def told(self):
        """Return the mistakes that reading reports, one text for each."""
        with pytest.raises(BadInput) as caught:
            read_catalogue(self.folder)
        return [str(problem) for problem in caught.value.problems]


@pytest.fixture
def spoiled(tmp_path):
    shutil.copytree(EXAMPLES, tmp_path / "parts", ignore=shutil.ignore_patterns("*designs*"))
    return Spoiled(tmp_path / "parts")


@pytest.fixture(scope="session")
def examples():
    return read_catalogue(EXAMPLES)
