"""Begin a catalogue: a folder whose files have their headings, ready for one's own parts."""

from __future__ import annotations

import json
from pathlib import Path

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
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise _refusal(folder, "holds files already; name a new folder.")
        for kind in KINDS:
            text = _headings(kind)
            if kind in COPIED:
                text = (examples / f"{kind}.csv").read_text(encoding="utf-8")
            (folder / f"{kind}.csv").write_text(text, encoding="utf-8")
        # Strings of JSON are strings of TOML too.
        about = f"name = {json.dumps(name)}\ncurrency = {json.dumps(currency)}\n"
        (folder / "catalogue.toml").write_text(about, encoding="utf-8")
    except OSError as error:
        raise _refusal(folder, f"cannot be written: {error.strerror}.") from None


def _headings(kind: str) -> str:
    return ",".join(column.example_heading for column in columns()[kind]) + "\n"


def _refusal(folder: Path, sentence: str) -> BadInput:
    return BadInput([Problem(str(folder), "", sentence)])
