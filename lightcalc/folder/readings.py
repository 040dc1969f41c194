"""The readings taken on a built piece, in a file beside its design: `hall-bench-readings.toml`."""

from __future__ import annotations

import os
from pathlib import Path

from lightcalc.folder.names import DESIGN_ENDING, READINGS_ENDING, check_design_name, refusal
from lightcalc.folder.place import LARGEST_DESIGN_BYTES, decoded, place_of, read_bytes, root
from lightcalc.folder.saving import design_bytes, replace_design, saving


def readings_name(design: str) -> str:
    """Return the name of the file of readings that belongs to a design.

    >>> readings_name("hall-bench.toml")
    'hall-bench-readings.toml'
    """
    return check_design_name(design)[: -len(DESIGN_ENDING)] + READINGS_ENDING


def readings_text(folder: Path, design: str) -> str:
    """Return the saved readings of a design, "" where there are none.

    Raises BadInput when the file is a link, too large, or no text in UTF-8.
    """
    base, name = root(folder), readings_name(design)
    path = place_of(base, name)
    if not os.path.lexists(path):
        return ""
    return decoded(read_bytes(base, path, LARGEST_DESIGN_BYTES), name)


def save_readings(folder: Path, design: str, text: str, saved: str) -> None:
    """Write the readings of a design to their file, whole or not at all; the file before is kept.

    `saved` is what the file held when these were begun. Raises BadInput, and writes nothing, when
    it holds something else by now, or when the disk does not take it.
    """
    name = readings_name(design)
    data = design_bytes(name, text)
    with saving(folder, name) as base:
        if readings_text(base, design) not in ("", saved, text):
            raise refusal(
                name,
                "was changed by another program since you opened it, so it was left alone; "
                "download your readings, then move one of the two away.",
            )
        replace_design(base, name, data)
