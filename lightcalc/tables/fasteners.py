"""What holds a pack in its place, and how much of its weight."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from lightcalc.tables.rows import read_rows


@dataclass(frozen=True)
class Fastener:
    """One way to hold a pack; typical figures, `basis` says where from.

    `counted_by` is "area", "count", or "nothing" where the pack stands on it. `pull_pa` and
    `peel_n_per_m` are of hook and loop, `each_n` of one clip or screw; 0 where they do not apply.
    `times_asked` is how many times a pack's weight it should hold overhead.
    """

    name: str
    counted_by: str
    pull_pa: float
    peel_n_per_m: float
    each_n: float
    times_asked: float
    basis: str

    def holds_n(self, area_m2: float = 0.0, count: int = 0) -> float:
        """Return what it holds of a pack that hangs [N].

        Hook and loop: the lesser of all of it pulled off at once and one edge of a square patch
        peeled, which is the weaker for any patch of more than a few square millimetres.

        >>> fasteners()["hook and loop"].holds_n(area_m2=0.004)  # 63 mm square
        9.486832980505138
        >>> fasteners()["clips"].holds_n(count=2)
        20.0
        """
        if self.counted_by == "area":
            return min(self.pull_pa * area_m2, self.peel_n_per_m * math.sqrt(area_m2))
        return self.each_n * count if self.counted_by == "count" else math.inf

    def least_area_m2(self, force_n: float) -> float:
        """Return the area of hook and loop that holds a force; the inverse of `holds_n`."""
        return max(force_n / self.pull_pa, (force_n / self.peel_n_per_m) ** 2)


@cache
def fasteners() -> dict[str, Fastener]:
    """Return every fastener by name.

    >>> list(fasteners())
    ['hook and loop', 'clips', 'screws', 'shelf']
    """
    return {
        row["fastener"]: Fastener(
            name=row["fastener"],
            counted_by=row["counted_by"],
            pull_pa=float(row["pull_pa"] or 0.0),
            peel_n_per_m=float(row["peel_n_per_m"] or 0.0),
            each_n=float(row["each_n"] or 0.0),
            times_asked=float(row["times_asked"]),
            basis=row["basis"],
        )
        for row in read_rows("fasteners.csv")
    }
