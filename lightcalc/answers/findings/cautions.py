"""The usual cautions for the cells and the work in a design, from `cautions.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from pathlib import Path


@dataclass(frozen=True)
class Caution:
    """One caution: a stable code, the words it applies to, and the text."""

    code: str
    applies: tuple[str, ...]
    text: str


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Return every caution in the order of the file."""
    path = Path(__file__).with_name("cautions.toml")
    entries = tomllib.loads(path.read_text(encoding="utf-8"))["caution"]
    return tuple(Caution(e["code"], tuple(e["applies"]), e["text"]) for e in entries)


def cautions_for(subjects: Collection[str]) -> tuple[Caution, ...]:
    """Return the cautions for these subjects: chemistries, "fuse", "usb bank", "parallel", "resin".

    >>> "lead-acid" in [caution.code for caution in cautions_for({"lead-acid"})]
    True
    >>> "lead-acid" in [caution.code for caution in cautions_for({"alkaline"})]
    False
    """
    wanted = {"all", *subjects}
    return tuple(caution for caution in all_cautions() if wanted & set(caution.applies))
