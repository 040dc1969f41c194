"""Put the example designs and their parts into a folder that holds no design yet."""

from __future__ import annotations

from pathlib import Path

from lightcalc.design.edit import with_value
from lightcalc.files import put_file
from lightcalc.folder.names import READINGS_ENDING
from lightcalc.folder.place import design_names
from lightcalc.folder.readings import save_readings
from lightcalc.folder.saving import save_text
from lightcalc.problems import BadInput, Problem
from lightcalc.screens.options import examples_folder
from lightcalc.screens.page.desk import FIRST

PARTS = "example parts"


def seed(folder: Path) -> bool:
    """Copy the examples into a folder without designs; return whether that was done.

    Nothing that is there is changed. BadInput when the folder cannot be made or written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if design_names(folder):
            return False
        (folder / PARTS).mkdir(exist_ok=True)
    except OSError as error:
        reason = f"cannot be used as the folder of designs: {error.strerror}."
        raise BadInput([Problem(str(folder), "", reason)]) from None
    for source in sorted(examples_folder().iterdir()):
        if source.suffix == ".csv" or source.name == "catalogue.toml":
            target = folder / PARTS / source.name
            if not target.exists():
                put_file(target, source.read_bytes())
    for source in sorted(examples_folder().glob("*.toml")):
        if source.name != "catalogue.toml" and "readings" not in source.stem:
            text = source.read_text(encoding="utf-8")
            save_text(folder, source.name, in_folder_of_parts(text, PARTS))
    readings = (examples_folder() / f"{Path(FIRST).stem}{READINGS_ENDING}").read_text("utf-8")
    save_readings(folder, FIRST, readings, "")
    return True


def in_folder_of_parts(text: str, parts: str) -> str:
    """Return an example's text with its parts taken from that folder; "." is its own."""
    return text if parts == "." else with_value(text, ("catalogue",), parts)
