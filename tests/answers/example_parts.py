"""The parts of the example catalogue."""

from functools import cache
from pathlib import Path

from lightcalc.parts.catalogue import read_catalogue

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"


@cache
def parts():
    """Return the example catalogue."""
    return read_catalogue(EXAMPLES)
