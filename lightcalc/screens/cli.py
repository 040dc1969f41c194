"""The command line: `lightcalc answer`, `compare`, `wire`, `hours`, `dots`, `catalog`, `demo`.

Exit status: 0 fine, 1 when there is a finding of grade stop, 2 for input that cannot be used.
"""

from __future__ import annotations

import sys

import click

from lightcalc.problems import BadInput
from lightcalc.screens.catalog_command import catalog
from lightcalc.screens.design_commands import answer, compare, demo
from lightcalc.screens.quick_commands import dots, hours, wire

BAD_INPUT_STATUS = 2


class MakerGroup(click.Group):
    """A group whose verbs report bad input as a list of sentences, never as a traceback."""

    def invoke(self, ctx: click.Context) -> object:
        """Run the verb; print every problem of BadInput and leave with status 2."""
        try:
            return super().invoke(ctx)
        except BadInput as bad:
            count = len(bad.problems)
            click.echo(f"{count} {'problem' if count == 1 else 'problems'}:", err=True)
            for problem in bad.problems:
                click.echo(f"  {problem}", err=True)
            ctx.exit(BAD_INPUT_STATUS)


@click.group(cls=MakerGroup, context_settings={"max_content_width": 80})
@click.version_option(package_name="lightcalc", message="%(prog)s %(version)s")
def cli() -> None:
    """Work out battery-powered light in furniture before anything is glued.

    Extra-low voltage DC only. Quantities carry their units: "1.6 m", "5 ft 3 in".
    """


for command in (answer, compare, wire, hours, dots, catalog, demo):
    cli.add_command(command)


def main() -> None:
    """Run the command line; what a terminal cannot show is replaced, never an error."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    cli(prog_name="lightcalc")
