"""The verb `find`: what to build, when parts of a design are left open."""

from __future__ import annotations

import signal
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import FrameType

import click

from lightcalc.answers.finder.find import find as find_designs
from lightcalc.answers.finder.results import Hit
from lightcalc.answers.finder.search import Progress
from lightcalc.design.find import MERITS, OPEN
from lightcalc.design.piece import Design
from lightcalc.design.read import read_design
from lightcalc.parts.kinds import Catalogue
from lightcalc.screens.design_commands import STOP_STATUS, design_argument
from lightcalc.screens.find_sheet import find_sheet
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import printable
from lightcalc.screens.options import as_json, catalogue_folder, example
from lightcalc.screens.waiting import Waiting

MOST_SHOWN = 12


class Watch:
    """Shows how far a search is on a terminal, and stops it when the maker asks (Ctrl-C)."""

    def __init__(self) -> None:
        self.stopped = False
        self._waiting = Waiting("Searching", "Ctrl-C stops and keeps these.")

    def __call__(self, progress: Progress) -> bool:
        """Show one step; return whether to stop."""
        self._waiting.says(f"{progress.left_count:,} designs left, {len(progress.standing)} stand")
        return self.stopped

    @contextmanager
    def listening(self) -> Iterator[None]:
        """Take Ctrl-C for a wish to stop while this lasts; a second one does not wait."""

        def stop(_number: int, _frame: FrameType | None) -> None:
            if self.stopped:
                raise KeyboardInterrupt
            self.stopped = True

        before = signal.signal(signal.SIGINT, stop)
        try:
            with self._waiting:
                yield
        finally:
            signal.signal(signal.SIGINT, before)


@click.command(
    epilog=example(
        "lightcalc find hall-bench.toml",
        "lightcalc find hall-bench.toml --open pack --open converter",
        "lightcalc find hall-bench.toml --matters hours --most 3",
    )
)
@design_argument
@catalogue_folder
@click.option(
    "--open",
    "opened",
    type=click.Choice(OPEN),
    multiple=True,
    help="What may change; say it once for each. Else what the design's [find] says.",
)
@click.option(
    "--matters",
    type=click.Choice(MERITS),
    multiple=True,
    help="What matters; the first counts most.",
)
@click.option(
    "--most",
    type=click.IntRange(1, 1000),
    default=MOST_SHOWN,
    show_default=True,
    help="How many designs to print.",
)
@click.option(
    "--save",
    "folder",
    type=click.Path(path_type=Path),
    help="Folder to write each printed design to, as a file of its own.",
)
@as_json
def find(  # noqa: PLR0917 - one parameter an option
    design: Path,
    catalogue_folder: Path | None,
    opened: tuple[str, ...],
    matters: tuple[str, ...],
    most: int,
    folder: Path | None,
    as_json: bool,
) -> None:
    """Find what to build where a DESIGN is left open.

    Keeps what you fixed and tries every strip, pack, converter and way to feed the runs that the
    catalogue allows. Prints the designs that meet all that is asked and that no other beats in
    price, hours, evenness and mass at once. Ctrl-C stops it with the best so far. Exit status 1
    when nothing does, 2 when the design cannot be used.
    """
    drawn, catalogue = read_design(design, catalogue_folder)
    wanted = drawn.find
    wanted = replace(
        wanted,
        open=tuple(word for word in OPEN if word in opened) or wanted.open,
        matters=tuple(word for name in matters for word in MERITS if word == name)
        or wanted.matters,
    )
    drawn = replace(drawn, find=wanted)
    watch = Watch()
    with watch.listening():
        result = find_designs(drawn, catalogue, watch)
    click.echo(to_json(result.search) if as_json else find_sheet(result.search, most))
    if folder is not None:
        _save(result.hits[:most], drawn, catalogue, folder)
    if not result.hits:
        click.get_current_context().exit(STOP_STATUS)


def _save(hits: Sequence[Hit], drawn: Design, catalogue: Catalogue, folder: Path) -> None:
    # What edits a text of TOML is slow to import, and only this needs it.
    from lightcalc.screens.find_files import save_found  # noqa: PLC0415

    for rank, path in save_found(hits, drawn, catalogue, folder):
        click.echo(printable(f"{rank}: {path}"), err=True)
