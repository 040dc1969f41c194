"""Begin a catalogue: a folder whose files have their headings, ready for one's own parts."""

from __future__ import annotations

import json
from pathlib import Path

from lightcalc.files import put_folder
from lightcalc.parts.catalogue import KINDS, LONGEST_WORD
from lightcalc.parts.columns import columns
from lightcalc.problems import BadInput, Problem

# What every workshop buys in the same sizes; no lead can be chosen without them.
COPIED = ("wires", "fuses")


def begin_catalogue(folder: Path, currency: str, examples: Path) -> None:
    """Write a catalogue without strips and packs; its wires and fuses are those of `examples`.

    Raises BadInput when the folder holds anything, or cannot be made, and writes nothing then.
    """
    if not (0 < len(currency) <= LONGEST_WORD and currency.isprintable()):
        raise _refusal(folder, "the currency is a short word, such as EUR.")
    name = folder.name if 0 < len(folder.name) <= LONGEST_WORD else "My parts"
    try:
        if folder.exists() and any(folder.iterdir()):
            raise _refusal(folder, "holds files already; name a new folder.")
        files = {
            f"{kind}.csv": (examples / f"{kind}.csv").read_bytes()
            if kind in COPIED
            else _headings(kind).encode()
            for kind in KINDS
        }
        # Strings of JSON are strings of TOML too.
        about = f"name = {json.dumps(name)}\ncurrency = {json.dumps(currency)}\n"
        put_folder(folder, {**files, "catalogue.toml": about.encode()})
    except OSError as error:
        raise _refusal(folder, f"cannot be written: {error.strerror}.") from None


def _headings(kind: str) -> str:
    return ",".join(column.example_heading for column in columns()[kind]) + "\n"


def _refusal(folder: Path, sentence: str) -> BadInput:
    return BadInput([Problem(str(folder), "", sentence)])
