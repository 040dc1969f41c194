"""A finding: one thing to know, graded, with its number and what to do about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Grade = Literal["stop", "caution", "note"]
GRADES: tuple[Grade, ...] = ("stop", "caution", "note")


@dataclass(frozen=True)
class Finding:
    """One thing to know.

    `code` is stable across releases. `why` is a sentence with the number in it, `remedy` says
    what to change, and `figures` holds the numbers under keys that end in their unit.
    """

    code: str
    grade: Grade
    where: str
    why: str
    remedy: str
    figures: Mapping[str, float] = field(default_factory=dict)


def worst_first(findings: list[Finding]) -> tuple[Finding, ...]:
    """Sort by grade, keeping the order within a grade.

    >>> note, stop = Finding("a", "note", "", "", ""), Finding("b", "stop", "", "", "")
    >>> [finding.code for finding in worst_first([note, stop])]
    ['b', 'a']
    """
    return tuple(sorted(findings, key=lambda finding: GRADES.index(finding.grade)))
