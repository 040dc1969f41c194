"""The verbs that take a design file: `answer`, `compare`, `demo`."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import click

from lightcalc.answers.answer import answer as answer_design
from lightcalc.answers.results import Answer, Comparison
from lightcalc.design.piece import Design
from lightcalc.design.read import read_design
from lightcalc.parts.kinds import Catalogue
from lightcalc.screens.json_door import to_json
from lightcalc.screens.options import as_json, catalogue_folder, example, examples_folder
from lightcalc.screens.sheet import answer_sheet
from lightcalc.screens.waiting import Waiting

STOP_STATUS = 1
DEMO = "hall-bench.toml"
# Fewer say nothing of one build in ten; more take hours.
LEAST_BUILDS, MOST_BUILDS = 20, 1_000_000

design_argument = click.argument("design", type=click.Path(path_type=Path))


def _print_answer(result: Answer, as_json: bool) -> None:
    click.echo(to_json(result) if as_json else answer_sheet(result))


def _answered(design: Design, catalogue: Catalogue) -> Answer:
    with Waiting("Working out the answer"):
        return answer_design(design, catalogue)


def _compared(design: Design, catalogue: Catalogue) -> tuple[Comparison, str]:
    """Compare the ways to power a design; return the result and its table."""
    # Imported where it is needed, since `answer` does not need it and should start at once.
    from lightcalc.answers.compare import compare as compare_design  # noqa: PLC0415
    from lightcalc.screens.compare_table import compare_table  # noqa: PLC0415

    with Waiting("Comparing ways to power it") as waiting:
        result = compare_design(design, catalogue, watch=waiting.at)
    return result, compare_table(result)


def _leave(stops: bool) -> None:
    if stops:
        click.get_current_context().exit(STOP_STATUS)


@click.command(
    epilog=example(
        "lightcalc answer hall-bench.toml",
        'lightcalc answer hall-bench.toml --catalog "../my parts" --json',
        "lightcalc answer hall-bench.toml --band",
    )
)
@design_argument
@catalogue_folder
@as_json
@click.option(
    "--band",
    is_flag=True,
    help="Say how sure it is, too: what 8 of 10 builds get, and what that hangs on.",
)
@click.option(
    "--builds",
    type=click.IntRange(LEAST_BUILDS, MOST_BUILDS),
    help="How many builds to try for that; else as many as take about a second.",
)
def answer(
    design: Path,
    catalogue_folder: Path | None,
    as_json: bool,
    band: bool,
    builds: int | None,
) -> None:
    """Print the answer sheet of a DESIGN file.

    Findings first, then hours a charge, runs, wires and fuses, dots, heat. Exit status 1 when
    something must change before it is built, 2 when the design cannot be used.
    """
    drawn, catalogue = read_design(design, catalogue_folder)
    result = _answered(drawn, catalogue)
    if band or builds is not None:
        _print_with_band(drawn, catalogue, result, as_json, builds)
    else:
        _print_answer(result, as_json)
    _leave(result.stops)


def _print_with_band(
    design: Design, catalogue: Catalogue, result: Answer, as_json: bool, builds: int | None
) -> None:
    # Imported where it is needed: `answer` alone should start at once.
    from lightcalc.answers.band.spread import Case, spread  # noqa: PLC0415
    from lightcalc.screens.band_sheet import band_json, band_sheet  # noqa: PLC0415

    with Waiting("Trying builds") as waiting:
        found = spread(Case(design, catalogue, result), samples=builds, watch=waiting.at)
    if as_json:
        fields = {field.name: getattr(result, field.name) for field in dataclasses.fields(result)}
        click.echo(to_json({**fields, "band": band_json(found)}))
    else:
        click.echo(answer_sheet(result) + band_sheet(result, found, asked=builds))


@click.command(epilog=example("lightcalc compare hall-bench.toml"))
@design_argument
@catalogue_folder
@as_json
def compare(design: Path, catalogue_folder: Path | None, as_json: bool) -> None:
    """Compare one pack with two, and with one twice as big.

    The same runs and the same evenings each time. Exit status 1 when there is no way among them
    that could be built as it stands, 2 when the design cannot be used.
    """
    result, text = _compared(*read_design(design, catalogue_folder))
    click.echo(to_json(result) if as_json else text)
    _leave(not any(build.possible and build.stops_count == 0 for build in result.builds))


@click.command(epilog=example("lightcalc demo --json"))
@as_json
def demo(as_json: bool) -> None:
    """Answer the demo design, with one pack and with two."""
    design, catalogue = read_design(examples_folder() / DEMO)
    result = _answered(design, catalogue)
    comparison, text = _compared(design, catalogue)
    if as_json:
        click.echo(to_json({"answer": result, "compare": comparison}))
    else:
        click.echo(answer_sheet(result))
        click.echo(text)
    _leave(result.stops)
