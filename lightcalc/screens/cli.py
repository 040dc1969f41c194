"""The command line. Each verb's module is imported when it is asked for: start-up stays light.

Exit status: 0 fine, 1 when there is a finding of grade stop, 2 for input that cannot be used, 130
when Ctrl-C stopped it.
"""

from __future__ import annotations

import contextlib
import errno
import importlib
import os
import sys

import click

from lightcalc.problems import BadInput, nearest
from lightcalc.screens.layout import paragraph, printable
from lightcalc.screens.options import example

BAD_INPUT_STATUS = 2
# What shells take for stopped by Ctrl-C.
STOPPED_STATUS = 130
STOPPED = "Stopped before it was done. Files that were already written are whole."
# The module of each verb, in the order in which help lists them.
VERBS = {
    "answer": "design_commands",
    "compare": "design_commands",
    "find": "find_command",
    "look": "look_command",
    "bench": "bench_command",
    "packet": "packet_command",
    "wire": "quick_commands",
    "hours": "quick_commands",
    "dots": "quick_commands",
    "sheet": "sheet_command",
    "catalog": "catalog_command",
    "demo": "design_commands",
    "page": "page_command",
}
# Verbs that write into the folder of --out, and why that may be refused.
_WITH_OUT = ("look", "packet")
_NOT_ALLOWED = (errno.EACCES, errno.EPERM, errno.EROFS)


class MakerGroup(click.Group):
    """A group whose verbs report bad input as a list of sentences, never as a traceback."""

    def list_commands(self, _context: click.Context) -> list[str]:
        """Return the verbs in the order of use."""
        return list(VERBS)

    def get_command(self, _context: click.Context, verb: str) -> click.Command | None:
        """Import the module of a verb and return its command; None for a word that is none."""
        if verb not in VERBS:
            return None
        module = importlib.import_module(f"lightcalc.screens.{VERBS[verb]}")
        command: click.Command = getattr(module, verb)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the verb; one that is misspelt is told with the one that is meant."""
        near = None if args[0] in VERBS else nearest(args[0], VERBS)
        if near:
            raise click.UsageError(f"No such command '{args[0]}'; did you mean '{near}'?", ctx)
        return super().resolve_command(ctx, args)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the flags; words that no shell hands on, as a program may, are refused."""
        if not all(_may_be_a_name(word) for word in args):
            raise click.UsageError("A word holds a sign that cannot be shown; write it again.")
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> object:
        """Run the verb; print every problem of BadInput and leave with status 2."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            click.echo(STOPPED, err=True)
            ctx.exit(STOPPED_STATUS)
        except BadInput as bad:
            count = len(bad.problems)
            click.echo(f"{count} {'problem' if count == 1 else 'problems'}:", err=True)
            for problem in bad.problems:
                click.echo(_told(str(problem)), err=True)
            ctx.exit(BAD_INPUT_STATUS)
        except click.UsageError as error:
            text = error.format_message()
            if text.startswith("Got unexpected extra argument"):
                # Nearly always "my designs/bench.toml" with no quotes.
                text = f"{text.rstrip('.')}. A name with a space in it stands in quotes."
                error = click.UsageError(text, error.ctx)
            clean = "\n".join(printable(line) for line in text.expandtabs().split("\n"))
            if clean == text:
                raise error from None
            raise click.UsageError(clean, error.ctx) from None
        except OSError as error:
            if error.filename is None:  # the output, not a file that was named
                raise
            fix = "."
            if error.errno in _NOT_ALLOWED and ctx.invoked_subcommand in _WITH_OUT:
                fix = "; name a folder that you may write to with --out."
            text = f"{error.filename}: cannot be read or written: {error.strerror}{fix}"
            click.echo(_told(text, ""), err=True)
            ctx.exit(BAD_INPUT_STATUS)


def _told(problem: str, indent: str = "  ") -> str:
    """Return a mistake for its reader: wrapped on a terminal, on one line for a program."""
    if sys.stderr.isatty():
        return paragraph(problem, indent, indent + "  ")
    return f"{indent}{printable(problem)}"


def _may_be_a_name(word: str) -> bool:
    try:
        return b"\0" not in os.fsencode(word)
    except UnicodeEncodeError:
        return False


@click.group(
    cls=MakerGroup,
    context_settings={"max_content_width": 80},
    epilog=example(
        "lightcalc demo",
        "lightcalc answer hall-bench.toml",
        'lightcalc wire --amps "3 A" --length "2 m" --volts "12 V"',
    ),
)
@click.version_option(package_name="lightcalc", message="%(prog)s %(version)s")
def cli() -> None:
    """Work out battery-powered light in furniture before anything is glued.

    Extra-low voltage DC only. Quantities carry their units: "1.6 m", "5 ft 3 in".
    """


def main() -> None:
    """Run the command line; output that cannot be written or shown is never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        cli(prog_name="lightcalc")
    except OSError as error:
        # Python would try once more to write what is left when it ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        with contextlib.suppress(OSError):
            click.echo(f"The output cannot be written: {error.strerror}.", err=True)
        sys.exit(BAD_INPUT_STATUS)


if __name__ == "__main__":
    main()
