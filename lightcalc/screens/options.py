"""Options that several verbs share, and values with units on the command line."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from lightcalc import units
from lightcalc.design.fields import Limits, shown

# Whether a length was written in inches or feet, kept while one command line is read.
_IN_INCHES = "lightcalc.in_inches"
_INCH = re.compile(r"(?:in|inch|inches|ft|foot|feet|yd|[\"'″′”’])\.?(?![a-z])", re.IGNORECASE)


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
            si = self.read(value)
        except units.UnitProblem as problem:
            self.fail(str(problem), param, ctx)
        if not limits.allow(si):
            self.fail(f"found {shown(value)}; {limits.sentence(self.kind)}.", param, ctx)
        if ctx is not None and self.kind == "length" and _INCH.search(str(value)):
            ctx.meta[_IN_INCHES] = True
        return si

    def read(self, text: Any) -> float:
        """Return the quantity in SI."""
        return units.read(text, self.kind)


class Pitch(Quantity):
    """From one LED to the next, as a length or as LEDs on a length; handed on in metres."""

    def __init__(self) -> None:
        super().__init__("length", "0.5 mm", "1 m")

    def read(self, text: Any) -> float:
        """Return the pitch in metres."""
        return units.read_pitch(text)


class Capacity(Quantity):
    """What a label says a pack holds, in amp hours or watt hours; handed on with its kind."""

    def __init__(self) -> None:
        super().__init__("charge", "10 mAh", "1000 Ah")

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Hand on a text of watt hours as it is, for the volts to be known; else coulombs."""
        try:
            units.read(value, "energy")
        except units.UnitProblem:
            return super().convert(value, param, ctx)
        return value

    def at_volts(self, found: Any, nominal_v: float) -> float:
        """Return in coulombs what was handed on; click.BadParameter when it is out of range."""
        if isinstance(found, float):
            return found
        amp_hours = f"{units.read_capacity(found, nominal_v) / 3600.0:.12g} Ah"
        try:
            return super().convert(amp_hours, None, None)
        except click.BadParameter as problem:
            sentence = f"{problem.message.rstrip('.')}, and this is {shown(found)} over the volts."
            raise click.BadParameter(sentence, param_hint="'--capacity'") from None


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


def _system(context: click.Context, _parameter: click.Parameter, asked: str | None) -> str:
    """Return the units asked for, else those that a length was written in."""
    # An option that is not given is handled after all that are.
    return asked or ("inch" if context.meta.get(_IN_INCHES) else "metric")


system_option: Decorator = click.option(
    "--units",
    "system",
    type=click.Choice(["metric", "inch"]),
    callback=_system,
    help="Units to show; those of the lengths given when left out.",
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
