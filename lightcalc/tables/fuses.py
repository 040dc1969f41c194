"""How each kind of fuse behaves beside its rating."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from lightcalc.tables.rows import read_rows


@dataclass(frozen=True)
class FuseBehaviour:
    """Figures typical of one kind of fuse, from memory; the maker's sheet comes first.

    `derating_per_k` is the share of the rating lost for each kelvin of ambient above 25 degC.
    `holds_a2s` and `passes_a2s` are for a rating of 1 A and grow with its square: what the fuse
    rides through, and the most it lets through before it has cleared a hard short.
    """

    kind: str
    opens_at_ratio: float
    opens_within_s: float
    derating_per_k: float
    holds_a2s: float
    passes_a2s: float


@cache
def fuse_behaviours() -> dict[str, FuseBehaviour]:
    """Return every kind of fuse by name.

    >>> fuse_behaviours()["blade"].opens_at_ratio
    2.0
    """
    return {
        row["kind"]: FuseBehaviour(
            row["kind"],
            *(float(value) for column, value in row.items() if column != "kind"),
        )
        for row in read_rows("fuse_kinds.csv")
    }
