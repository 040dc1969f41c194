"""The fields of the forms, read from `fields.csv`: words and kinds apart from code."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from lightcalc.tables.rows import rows_in

FieldKind = Literal["text", "quantity", "number", "list", "flag", "choice", "several"]


@dataclass(frozen=True)
class FormField:
    """One field. `table` is where it stands, without numbers, such as `runs.feeds`.

    Fields of `supplies/service` stand in `supplies` too; the form shows them apart.
    """

    table: str
    key: str
    kind: FieldKind
    choices: str
    label: str
    example: str
    inch: str
    help: str
    empty: str

    def example_in(self, system: object) -> str:
        """Return what to type, for example, in a design of that system of units."""
        return self.inch if system == "inch" and self.inch else self.example


@cache
def form_fields(table: str) -> tuple[FormField, ...]:
    """Return the fields of one table of a design, in the order of the form.

    >>> [field.key for field in form_fields("runs.feeds")]
    ['at', 'lead', 'wire', 'from']
    """
    return tuple(field for field in all_form_fields() if field.table == table)


@cache
def all_form_fields() -> tuple[FormField, ...]:
    """Return every field of every form."""
    rows = rows_in(Path(__file__).with_name("fields.csv"))
    return tuple(FormField(**row) for row in rows)  # type: ignore[arg-type]
