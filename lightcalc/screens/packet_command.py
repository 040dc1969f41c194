"""The verb `packet`: paper for the bench, the shop and the client, in one folder."""

from __future__ import annotations

from pathlib import Path

import click

from lightcalc.answers.answer import answer as answer_design
from lightcalc.answers.results import Answer
from lightcalc.design.read import read_design
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import paragraph, printable
from lightcalc.screens.options import as_json, catalogue_folder, example
from lightcalc.screens.waiting import Waiting

STOP_STATUS = 1


@click.command(epilog=example("lightcalc packet hall-bench.toml --out hall-bench-packet"))
@click.argument("design", type=click.Path(path_type=Path))
@click.option(
    "--out",
    required=True,
    type=click.Path(path_type=Path),
    help="Folder for the packet: new, empty, or that of an earlier packet.",
)
@catalogue_folder
@as_json
def packet(design: Path, out: Path, catalogue_folder: Path | None, as_json: bool) -> None:
    """Write the paper that a DESIGN is built by.

    A build sheet with drawings, wiring, steps and boxes for readings; the drawings one by one; a
    cut list; a shopping list; a care card for the client. Open the sheets in a browser and print
    them at 100 % of their size. Exit status 1 when something must change before it is built: then
    STOP stands on top of each sheet; 2 when the design cannot be used or the folder holds files
    that are not of an earlier packet.
    """
    # Only this verb draws, and start-up must stay light.
    from lightcalc.packet.folder import write_packet  # noqa: PLC0415
    from lightcalc.packet.packet import packet_files  # noqa: PLC0415

    drawn, catalogue = read_design(design, catalogue_folder)
    with Waiting("Working out the answer"):
        found = answer_design(drawn, catalogue)
    with Waiting("Drawing the paper"):
        paths = write_packet(packet_files(drawn, catalogue, found), out)
    if as_json:
        click.echo(to_json({"folder": str(out), "files": [path.name for path in paths],
                            "stops": found.stops}))  # fmt: skip
    else:
        click.echo(_told(found, out, paths))
    if found.stops:
        click.get_current_context().exit(STOP_STATUS)


def _told(found: Answer, out: Path, paths: tuple[Path, ...]) -> str:
    lines = [printable(found.piece)]
    if found.stops:
        lines.append("STOP: something must change before this is built; it stands on each sheet.")
    lines += [f"\nWritten to {printable(str(out))}:", *(f"  {path.name}" for path in paths)]
    lines.append(paragraph("Open the sheets in a browser and print at 100 %.", "\n", ""))
    return "\n".join(lines)
