"""Designs answered in full, many at once: what `answer` would say of them, as far as it matters."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lightcalc.answers.answer import Built, Part, answer_built, build_supply
from lightcalc.answers.endurance import run_down_sizes
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import Problems

CONTRADICTION = "contradiction"


@dataclass(frozen=True)
class Judged:
    """The supplies of a group answered, or the codes of what stops them."""

    parts: tuple[Part, ...]
    stops: tuple[str, ...]


def judge(
    candidates: Sequence[tuple[Design, tuple[str, ...]]], catalogue: Catalogue
) -> list[Judged]:
    """Answer the supplies named of each design; all packs run down together."""
    found: dict[int, Judged] = {}
    built: dict[int, tuple[Built, ...]] = {}
    for number, (design, names) in enumerate(candidates):
        problems = Problems("")
        check_against_catalogue(design, catalogue, problems)
        if problems.found:
            found[number] = Judged((), (CONTRADICTION,))
        else:
            built[number] = tuple(
                build_supply(design.supply(name), design, catalogue) for name in names
            )
    for use in dict.fromkeys(candidates[number][0].use for number in built):
        alike = {n: group for n, group in built.items() if candidates[n][0].use == use}
        supplies = [(one.circuit, one.cells.used) for group in alike.values() for one in group]
        charges = iter([charge for (charge,) in run_down_sizes(supplies, use, (1.0,))])
        for number, group in alike.items():
            design = candidates[number][0]
            found[number] = _judged(
                [answer_built(one, next(charges), design, catalogue) for one in group]
            )
    return [found[number] for number in range(len(candidates))]


def _judged(parts: Iterable[Part]) -> Judged:
    whole = tuple(parts)
    codes = (f.code for part in whole for f in part.findings if f.grade == "stop")
    return Judged(whole, tuple(dict.fromkeys(codes)))
