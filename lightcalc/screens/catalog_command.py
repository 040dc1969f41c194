"""The verb `catalog check`: is a folder of parts fit to be used?"""

from __future__ import annotations

from pathlib import Path

import click

from lightcalc.parts.catalogue import read_catalogue
from lightcalc.screens.json_door import to_json
from lightcalc.screens.options import as_json

KINDS = (
    "strips", "packs", "converters", "controllers", "wires", "fuses", "connectors", "sheets",
)


@click.group()
def catalog() -> None:
    """Check a catalogue of parts."""


@catalog.command(epilog="Example: lightcalc catalog check catalog_examples")
@click.argument("folder", type=click.Path(path_type=Path))
@as_json
def check(folder: Path, as_json: bool) -> None:
    """Check every CSV file in FOLDER and count its parts."""
    catalogue = read_catalogue(folder)
    counts = {f"{kind}_count": len(getattr(catalogue, kind)) for kind in KINDS}
    if as_json:
        click.echo(to_json({"catalogue": catalogue.name, **counts}))
        return
    parts = ", ".join(f"{len(getattr(catalogue, kind))} {kind}" for kind in KINDS)
    click.echo(f"{catalogue.name}: {parts}. Nothing wrong was found.")
