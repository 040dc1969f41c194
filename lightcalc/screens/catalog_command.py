"""The verbs of `catalog`: begin, check and list a folder of parts, explain their columns."""

from __future__ import annotations

from pathlib import Path

import click

from lightcalc.parts.begin import begin_catalogue
from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.parts.columns import columns as all_columns
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import heading, paragraph, printable
from lightcalc.screens.options import as_json, example, examples_folder

EXAMPLE = example("lightcalc catalog check catalog_examples")
OWN_UNITS = (
    "A bare number is in the unit of its heading; a cell may carry its own unit instead, such as "
    "5/16 in or 4.4 W/ft."
)


class KindOfPart(click.Choice[str]):
    """One of the kinds of part, in the plural or the singular."""

    def __init__(self) -> None:
        super().__init__(list(KINDS))

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the kind as its file is named."""
        one = value.casefold()
        return super().convert(f"{one}s" if f"{one}s" in KINDS else one, param, ctx)


@click.group(epilog=EXAMPLE)
def catalog() -> None:
    """Begin, check, list and explain a catalogue of parts."""


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
    words = {kind: kind.removesuffix("s") if counts[kind] == 1 else kind for kind in KINDS}
    parts = ", ".join(f"{counts[kind]} {word}" for kind, word in words.items())
    click.echo(paragraph(f"{catalogue.name}: {parts}. Nothing wrong was found.", "", ""))


@catalog.command("list", epilog=example("lightcalc catalog list catalog_examples packs"))
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("kind", type=KindOfPart(), required=False, metavar="[KIND]")
def list_parts(folder: Path, kind: str | None) -> None:
    """List the names of the parts in FOLDER, of one KIND or of all.

    KIND is strips, packs, converters, controllers, wires, fuses, connectors or sheets.
    """
    catalogue = read_catalogue(folder)
    for one in KINDS if kind is None else (kind,):
        click.echo(heading(one))
        click.echo(paragraph(", ".join(getattr(catalogue, one))))


@catalog.command(epilog=example("lightcalc catalog columns packs"))
@click.argument("kind", type=KindOfPart(), metavar="KIND")
def columns(kind: str) -> None:
    """Say what each column of one KIND of part holds, and which may be left empty.

    KIND is strips, packs, converters, controllers, wires, fuses, connectors or sheets.
    """
    for column in all_columns()[kind]:
        need = "needed" if column.needed else "may be empty"
        if column.condition is not None:
            need = f"for {' or '.join(column.condition.values)} only"
        one_of = ("yes", "no") if column.holds == "yes/no" else column.choices
        words = f"; one of: {', '.join(one_of)}" if one_of else ""
        text = f"{column.example_heading}: {column.meaning} ({need}{words})"
        click.echo(paragraph(text, "", "    "))
    click.echo(paragraph(OWN_UNITS, "", ""))


@catalog.command(epilog=example('lightcalc catalog new "my parts" --currency USD'))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--currency", default="EUR", show_default=True, help="What prices are in.")
def new(folder: Path, currency: str) -> None:
    """Begin a catalogue of your own in a new FOLDER.

    Every file has its headings. Wires and fuses are those of the examples, in usual sizes; put
    yours in their place. `catalog columns` says what to write under each heading.
    """
    begin_catalogue(folder, currency, examples_folder())
    quoted = f'"{folder}"' if " " in str(folder) else folder
    text = (
        f"{folder} is there: headings in every file, and the examples' wires and fuses. Add your "
        f"strips and packs, one to a row, then check it with: lightcalc catalog check {quoted}"
    )
    click.echo(paragraph(printable(text), "", ""))
