"""Write `worked_out.csv` anew: `python -m lightcalc.units`."""

from __future__ import annotations

import csv
from collections.abc import Iterator

from lightcalc.units.scales import UnitProblem, kinds, scale_by_pint, words
from lightcalc.units.worked_out import FILE

COLUMNS = ("unit", "kind", "factor", "offset")
# Units of more than one word that headings of catalogues and quantities of designs use.
COMPOUNDS = (
    *("W/m", "W/ft", "lm/m", "lm/ft", "ohm/m", "mohm/m", "ohm/ft", "mohm/ft", "cd/m2"),
    *("g/m", "kg/m", "oz/ft", "lb/ft", "kg/m2", "lb/ft2", "per m", "per ft", "per m2", "per ft2"),
)


def work_out() -> Iterator[tuple[str, str, float, float]]:
    """Let pint work every scale out: unit, kind, factor, offset."""
    for name, kind in kinds().items():
        for unit in sorted({*words(), *kind.words, *kind.metric, *kind.inch, *COMPOUNDS}):
            try:
                found = scale_by_pint(unit, name)
            except UnitProblem:
                continue
            yield unit, name, found.factor, found.offset


def main() -> None:
    """Write the file."""
    with FILE.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.writer(lines, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(work_out())


if __name__ == "__main__":
    main()
