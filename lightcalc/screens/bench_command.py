"""The verb `bench`: readings from the built piece, what is wrong, and the parts refitted."""

from __future__ import annotations

from pathlib import Path

import click

from lightcalc.design.read import read_design
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import printable
from lightcalc.screens.options import as_json, catalogue_folder, example
from lightcalc.screens.waiting import Waiting

FAULT_STATUS = 1


@click.command(
    epilog=example(
        "lightcalc bench hall-bench.toml hall-bench-mended-readings.toml",
        "lightcalc bench hall-bench.toml hall-bench-mended-readings.toml --out parts",
        "lightcalc answer hall-bench.toml --catalog parts",
    )
)
@click.argument("design", type=click.Path(path_type=Path))
@click.argument("readings", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="New folder for a copy of the catalogue with the parts as measured.",
)
@catalogue_folder
@as_json
def bench(
    design: Path,
    readings: Path,
    out: Path | None,
    catalogue_folder: Path | None,
    as_json: bool,
) -> None:
    """Compare READINGS from the built piece with its DESIGN, and learn from them.

    Says which readings agree with the prediction, what is likely wrong where they do not, and what
    the parts really are. READINGS is a text file in TOML; see the README. Exit status 1 when a
    fault is named or nothing explains the readings, 2 when a file cannot be used.
    """
    # Only this verb needs the refit, and start-up must stay light.
    from lightcalc.answers.bench.bench import bench as refit  # noqa: PLC0415
    from lightcalc.design.read_readings import read_readings  # noqa: PLC0415
    from lightcalc.parts.rewrite import write_catalogue  # noqa: PLC0415
    from lightcalc.screens.bench_sheet import bench_sheet, not_sure  # noqa: PLC0415

    drawn, catalogue = read_design(design, catalogue_folder)
    measured = read_readings(readings, drawn, catalogue)
    with Waiting(f"Trying which parts and faults explain {len(measured.readings)} readings"):
        found = refit(drawn, catalogue, measured)
    if out is not None and found.verdict == "unexplained":
        raise click.UsageError("Nothing explains these readings, so no catalogue is written.")
    if out is not None:
        write_catalogue(catalogue.folder, out, found.rows)
    click.echo(to_json(found) if as_json else bench_sheet(found, written=out is not None))
    if out is not None:
        click.echo(printable(f"The catalogue with the parts as measured is in {out}."), err=True)
        if not_sure(found):
            click.echo(not_sure(found), err=True)
    if found.verdict != "no fault":
        click.get_current_context().exit(FAULT_STATUS)
