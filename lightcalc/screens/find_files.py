"""Designs that were found, as files beside each other; nothing is written over."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.results import Hit
from lightcalc.answers.finder.text import text_of_hit
from lightcalc.design.edit import with_value
from lightcalc.design.piece import Design
from lightcalc.folder.names import refusal
from lightcalc.folder.uploads import take_design
from lightcalc.parts.kinds import Catalogue

# Longer names are cut, and the number of a design must not be.
LONGEST_STEM = 50


def save_found(
    hits: Sequence[Hit], drawn: Design, catalogue: Catalogue, folder: Path
) -> Iterator[tuple[int, Path]]:
    """Write each design to a file of its own, and return its rank and where it is.

    The text is that of the file that `drawn` was read from, with what was found, and names the
    folder of its parts as seen from where it is now. Raises BadInput when the folder cannot be
    made or written; what was written before stays.
    """
    assert drawn.file is not None
    text = drawn.file.read_text(encoding="utf-8-sig")
    choices = Choices(drawn, catalogue)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        sentence = f"cannot be made: {problem.strerror}; name another folder to save to."
        raise refusal(str(folder), sentence) from None
    parts = parts_from(catalogue.folder, folder)
    for hit in hits:
        found = with_value(text_of_hit(text, choices, hit), ("catalogue",), parts)
        name = f"{drawn.file.stem[:LONGEST_STEM]}-{hit.found.rank}.toml"
        yield hit.found.rank, folder / take_design(folder, name, found.encode())


def parts_from(catalogue: Path, folder: Path) -> str | None:
    """Return the folder of the parts as a design in another folder names it; None for its own."""
    catalogue, folder = catalogue.resolve(), folder.resolve()
    if catalogue == folder:
        return None
    try:
        return Path(os.path.relpath(catalogue, folder)).as_posix()
    except ValueError:  # on another drive
        return catalogue.as_posix()
