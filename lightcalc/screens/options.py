"""Options that several verbs share, and values with units on the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from lightcalc import units
from lightcalc.design.fields import Limits, shown


class Quantity(click.ParamType):  # type: ignore[type-arg]  # not generic before click 8.3
    """A value with its unit, handed on in SI.

    Parameters: `kind` of quantity; `low` and `high`, its limits as a maker would write them.
    """

    def __init__(self, kind: str, low: str, high: str) -> None:
        self.kind = kind
        self.name = kind.replace("_", " ")
        self.low, self.high = low, high

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the text; a value that cannot be read is bad input, with the fix in the message."""
        if isinstance(value, float):
            return value
        limits = Limits(units.read(self.low, self.kind), units.read(self.high, self.kind))
        try:
            si = units.read(value, self.kind)
        except units.UnitProblem as problem:
            self.fail(str(problem), param, ctx)
        if not limits.allow(si):
            self.fail(f"found {shown(value)}; {limits.sentence(self.kind)}.", param, ctx)
        return si


def example(*commands: str) -> str:
    r"""Return the end of a verb's help, its lines kept whole for copying.

    >>> example("lightcalc demo")
    '\x08\nExample:\n  lightcalc demo'
    """
    heading = "Example:" if len(commands) == 1 else "Examples:"
    return "\n".join(["\b", heading, *(f"  {command}" for command in commands)])


Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

as_json: Decorator = click.option("--json", "as_json", is_flag=True, help="Print JSON instead.")
catalogue_folder: Decorator = click.option(
    "--catalog",
    "catalogue_folder",
    type=click.Path(path_type=Path),
    help="Folder of the catalogue's CSV files, instead of the one the design names.",
)
system_option: Decorator = click.option(
    "--units",
    "system",
    type=click.Choice(["metric", "inch"]),
    default="metric",
    show_default=True,
    help="Units to show.",
)


def examples_folder() -> Path:
    """Return the folder of example parts and designs, installed or in a checkout."""
    package = Path(__file__).resolve().parents[1]
    installed = package / "catalog_examples"
    folder = installed if installed.is_dir() else package.parent / "catalog_examples"
    # Some installers make each file a link to where all of them really are.
    return (folder / "catalogue.toml").resolve().parent


SHEET_OPTIONS = (
    ("--full", "full_volts", Quantity("voltage", "0.5 V", "60 V"), "Volts at rest when full."),
    ("--cutoff", "cutoff_volts", Quantity("voltage", "0.5 V", "60 V"), "Volts at the end."),
    (
        "--resistance",
        "resistance_ohm",
        Quantity("resistance", "0.1 mohm", "50 ohm"),
        "At half charge: volts at rest less volts at 1 C, over the amps.",
    ),
    (
        "--slow-current",
        "slow_current_a",
        Quantity("current", "0.1 mA", "1000 A"),
        "Current that the capacity was measured at.",
    ),
    (
        "--fast-capacity",
        "fast_capacity_coulomb",
        Quantity("charge", "10 mAh", "1000 Ah"),
        "Capacity at a fast rate, from the maker's sheet.",
    ),
    (
        "--fast-current",
        "fast_current_a",
        Quantity("current", "0.1 mA", "1000 A"),
        "Current of that; 1 C when left out.",
    ),
)


def figures_of_a_sheet(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that take what else a pack's sheet says; each may be left out."""
    for flag, name, kind, text in reversed(SHEET_OPTIONS):
        command = click.option(flag, name, type=kind, help=text)(command)
    return command
