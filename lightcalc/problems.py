"""Mistakes in what the maker wrote, collected so that they are reported in one go."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NoReturn


@dataclass(frozen=True)
class Problem:
    """One mistake: where it is, and a sentence that says what was found and what is allowed.

    >>> print(Problem("table.toml", "runs.1.length", 'found "-2 m"; a length is more than 0 m.'))
    table.toml: runs.1.length: found "-2 m"; a length is more than 0 m.
    """

    file: str
    where: str
    sentence: str

    def __str__(self) -> str:
        return ": ".join(part for part in (self.file, self.where, self.sentence) if part)


class BadInput(Exception):  # noqa: N818 - read as a sentence where it is raised
    """Everything wrong with one input; nothing of that input was used."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = tuple(problems)


MOST_LISTED = 500
# Two letters begin too many words.
SHORTEST_START = 3


class Problems:
    """A list of mistakes that grows while a file is read; beyond 500 it only says that there are.

    >>> problems = Problems("strips.csv")
    >>> problems.add("row 3, rated (V)", 'found "twelve"; write a number of volts, such as 12.')
    >>> len(problems.found)
    1
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.found: list[Problem] = []

    def add(self, where: str, sentence: str) -> None:
        """Note one mistake and go on reading."""
        if len(self.found) < MOST_LISTED:
            self.found.append(Problem(self.file, where, sentence))
        elif len(self.found) == MOST_LISTED:
            self.found.append(Problem(self.file, "", "has more mistakes; they are not listed."))

    def raise_if_any(self) -> None:
        """Raise BadInput with every mistake found so far, if there is one."""
        if self.found:
            raise BadInput(self.found)

    def fail(self, where: str, sentence: str) -> NoReturn:
        """Note a mistake after which reading on makes no sense, and raise."""
        self.add(where, sentence)
        raise BadInput(self.found)


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """Return the allowed word that begins so, or is most like the one found; None when none is.

    >>> nearest("resistr", ["resistor", "pixel"])
    'resistor'
    >>> nearest("hours", ["light_fall", "hours_a_charge"])
    'hours_a_charge'
    >>> nearest("white oak", ["white", "oak"])
    'oak'
    >>> nearest("banana", ["resistor", "pixel"]) is None
    True
    """
    # Imported here because only a mistake needs it and start-up must stay light.
    import difflib  # noqa: PLC0415

    by_fold = {choice.casefold(): choice for choice in allowed}
    # "white oak" is an oak: in English the last word names the thing.
    _, *named = word.casefold().split() or [""]
    if len(named) == 1 and len(named[0]) >= SHORTEST_START and named[0] in by_fold:
        return by_fold[named[0]]
    begun = [choice for choice in by_fold if choice.startswith(word.casefold())]
    if begun and len(word) >= SHORTEST_START:
        return by_fold[begun[0]]
    close = difflib.get_close_matches(word.casefold(), list(by_fold), n=1, cutoff=0.6)
    return by_fold[close[0]] if close else None
