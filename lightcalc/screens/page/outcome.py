"""What the text of a design comes to: an answer, or every mistake in it; worked out once each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from lightcalc.answers.answer import answer
from lightcalc.answers.band.results import Spread
from lightcalc.answers.band.spread import Case, spread
from lightcalc.answers.compare import compare
from lightcalc.answers.results import Answer, Comparison
from lightcalc.design.load import parse_toml
from lightcalc.design.piece import Design
from lightcalc.design.read import read_design_table
from lightcalc.folder.place import catalogue_path
from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import BadInput, Problem, Problems
from lightcalc.toml_text import loads

# Enough that a few people may step back and forth between what they tried.
KEPT = 64
CATALOGUE_FILES = frozenset({"catalogue.toml", *(f"{kind}.csv" for kind in KINDS)})
Stamps = tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, eq=False)
class Outcome:
    """One text of a design, read: `design` and `catalogue`, or the problems in the way.

    The catalogue is there whenever it could be read, so that parts can be chosen from it.
    """

    design: Design | None
    catalogue: Catalogue | None
    problems: tuple[Problem, ...]

    @property
    def good(self) -> bool:
        """Whether there is an answer."""
        return self.design is not None and self.catalogue is not None

    @cached_property
    def answer(self) -> Answer:
        """The answer; TypeError when the text could not be read."""
        return answer(*self.drawn)

    @cached_property
    def comparison(self) -> Comparison:
        """One pack or two; TypeError when the text could not be read."""
        return compare(*self.drawn, self.answer)

    @cached_property
    def spread(self) -> Spread:
        """How sure the answer is; TypeError when the text could not be read."""
        return spread(Case(*self.drawn, self.answer))

    @property
    def drawn(self) -> tuple[Design, Catalogue]:
        """Design and catalogue; TypeError when the text could not be read."""
        if self.design is None or self.catalogue is None:
            raise TypeError("This text could not be read as a design.")
        return self.design, self.catalogue


def outcome_of(folder: Path, name: str, text: str) -> Outcome:
    """Read a design's text with the parts it names, again only when either has changed."""
    try:
        place = catalogue_path(folder, catalogue_name(text))
    except BadInput as bad:
        return Outcome(None, None, bad.problems)
    return _outcome(name, text, place, _stamps(place))


def catalogue_name(text: str) -> str:
    """Return the folder of parts that a design's text names; "." when it names none.

    >>> catalogue_name('catalogue = "my parts"'), catalogue_name("[piece]")
    ('my parts', '.')
    """
    try:
        named = loads(text).get("catalogue", ".")
    except ValueError:
        return "."
    return named if isinstance(named, str) else "."


def _stamps(folder: Path) -> Stamps:
    """Return name, time and size of each file of a catalogue, to see when one changed."""
    found = []
    for name in sorted(CATALOGUE_FILES):
        try:
            status = (folder / name).stat()
        except OSError:
            continue
        found.append((name, status.st_mtime_ns, status.st_size))
    return tuple(found)


@lru_cache(maxsize=KEPT)
def _outcome(name: str, text: str, place: Path, stamps: Stamps) -> Outcome:
    try:
        catalogue = catalogue_in(place, stamps)
    except BadInput as bad:
        return Outcome(None, None, bad.problems)
    try:
        table = parse_toml(text, problems := Problems(name))
        design = read_design_table(table, catalogue, Path(name))
        problems.raise_if_any()
    except BadInput as bad:
        noted = [problem for problem in problems.found if problem not in bad.problems]
        return Outcome(None, catalogue, (*noted, *bad.problems))
    return Outcome(design, catalogue, ())


@lru_cache(maxsize=KEPT)
def catalogue_in(place: Path, stamps: Stamps) -> Catalogue:
    """Read the catalogue in a folder; `stamps` tell its versions apart."""
    del stamps
    return read_catalogue(place)
