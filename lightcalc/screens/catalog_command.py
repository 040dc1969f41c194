"""The verb `catalog check`: whether a folder of parts is fit to be used."""

from __future__ import annotations

from pathlib import Path

import click

from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import paragraph
from lightcalc.screens.options import as_json, example

EXAMPLE = example("lightcalc catalog check catalog_examples")


@click.group(epilog=EXAMPLE)
def catalog() -> None:
    """Check a catalogue of parts."""


@catalog.command(epilog=EXAMPLE)
@click.argument("folder", type=click.Path(path_type=Path))
@as_json
def check(folder: Path, as_json: bool) -> None:
    """Check every CSV file in FOLDER and count its parts."""
    catalogue = read_catalogue(folder)
    counts = {kind: len(getattr(catalogue, kind)) for kind in KINDS}
    if as_json:
        named = {f"{kind}_count": count for kind, count in counts.items()}
        click.echo(to_json({"catalogue": catalogue.name, **named}))
        return
    parts = ", ".join(f"{count} {kind}" for kind, count in counts.items())
    click.echo(paragraph(f"{catalogue.name}: {parts}. Nothing wrong was found.", "", ""))
