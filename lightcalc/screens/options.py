"""Options that several verbs share, and values with units on the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from lightcalc import units


class Quantity(click.ParamType):
    """A value with its unit, handed on in SI."""

    name = "quantity"

    def __init__(self, kind: str, name: str | None = None) -> None:
        self.kind = kind
        self.name = name or kind.replace("_", " ")

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the text; a value that cannot be read is bad input, with the fix in the message."""
        if isinstance(value, float):
            return value
        try:
            return units.read(value, self.kind)
        except units.UnitProblem as problem:
            self.fail(str(problem), param, ctx)


Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

as_json: Decorator = click.option("--json", "as_json", is_flag=True, help="Print JSON instead.")
catalogue_folder: Decorator = click.option(
    "--catalog",
    "catalogue_folder",
    type=click.Path(path_type=Path),
    help="Folder of the catalogue's CSV files, instead of the one the design names.",
)
system_option: Decorator = click.option(
    "--units", "system", type=click.Choice(["metric", "inch"]), default="metric",
    show_default=True, help="Units to show.",
)


def examples_folder() -> Path:
    """Return the folder of example parts and designs, installed or in a checkout."""
    package = Path(__file__).resolve().parents[1]
    installed = package / "catalog_examples"
    return installed if installed.is_dir() else package.parent / "catalog_examples"
