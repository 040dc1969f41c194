"""The verbs that take a design file: `answer`, `compare`, `demo`."""

from __future__ import annotations

from pathlib import Path

import click

from lightcalc.answers.answer import answer as answer_design
from lightcalc.answers.compare import compare as compare_design
from lightcalc.answers.results import Answer, Comparison
from lightcalc.design.piece import Design
from lightcalc.design.read import load_toml, read_design_table
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.parts.kinds import Catalogue
from lightcalc.screens.compare_table import compare_table
from lightcalc.screens.json_door import to_json
from lightcalc.screens.options import as_json, catalogue_folder, examples_folder
from lightcalc.screens.sheet import answer_sheet

STOP_STATUS = 1
DEMO = "hall-bench.toml"

design_argument = click.argument("design", type=click.Path(path_type=Path))


def load(design: Path, folder: Path | None) -> tuple[Design, Catalogue]:
    """Read a design and its catalogue: the folder given, else the one it names, else its own."""
    table = load_toml(design)
    named = table.get("catalogue")
    if folder is None:
        folder = design.parent / named if isinstance(named, str) else design.parent
    catalogue = read_catalogue(folder)
    return read_design_table(table, catalogue, design), catalogue


def _print_answer(result: Answer, as_json: bool) -> None:
    click.echo(to_json(result) if as_json else answer_sheet(result))


def _leave(stops: bool) -> None:
    if stops:
        click.get_current_context().exit(STOP_STATUS)


@click.command(epilog="Example: lightcalc answer hall-bench.toml")
@design_argument
@catalogue_folder
@as_json
def answer(design: Path, catalogue_folder: Path | None, as_json: bool) -> None:
    """Print the answer sheet of a DESIGN file.

    Findings first, then hours a charge, runs, wires and fuses, dots, heat. Exit status 1 when
    something must change before it is built.
    """
    result = answer_design(*load(design, catalogue_folder))
    _print_answer(result, as_json)
    _leave(result.stops)


@click.command(epilog="Example: lightcalc compare hall-bench.toml")
@design_argument
@catalogue_folder
@as_json
def compare(design: Path, catalogue_folder: Path | None, as_json: bool) -> None:
    """Compare one shared pack, two packs, and one pack of twice the cells.

    The same runs and the same evenings each time.
    """
    result = compare_design(*load(design, catalogue_folder))
    _print_comparison(result, as_json)


def _print_comparison(result: Comparison, as_json: bool) -> None:
    click.echo(to_json(result) if as_json else compare_table(result))


@click.command(epilog="Example: lightcalc demo --json")
@as_json
def demo(as_json: bool) -> None:
    """Answer the demo design, with one pack and with two."""
    design, catalogue = load(examples_folder() / DEMO, None)
    result, comparison = answer_design(design, catalogue), compare_design(design, catalogue)
    if as_json:
        click.echo(to_json({"answer": result, "compare": comparison}))
    else:
        click.echo(answer_sheet(result))
        click.echo(compare_table(comparison))
    _leave(result.stops)
