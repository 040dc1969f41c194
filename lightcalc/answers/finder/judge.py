"""Designs answered in full, many at once: what `answer` would say of them, as far as it matters."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from lightcalc.answers.answer import Built, Part, answer_built, build_supply
from lightcalc.answers.cost import mass_of, price_of
from lightcalc.answers.endurance import Charge, run_down_sizes
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import Problems

CONTRADICTION = "contradiction"
Candidate = tuple[Design, tuple[str, ...]]
"""A design, and the supplies of it that are to be answered."""


@dataclass(frozen=True)
class Judged:
    """The supplies of a group answered, or the codes of what stops them."""

    parts: tuple[Part, ...]
    stops: tuple[str, ...]


@dataclass(frozen=True)
class Known:
    """What is known of the supplies of a group before their findings: all but light and dots."""

    price: float | None
    hours_h: float
    mass_kg: float | None


Worth = Callable[[int, Known], bool]
"""Whether a candidate, by its number, is still worth all of an answer."""


def judge(
    candidates: Sequence[Candidate], catalogue: Catalogue, worth: Worth
) -> Iterator[tuple[int, Judged]]:
    """Answer candidates one after the other; all packs run down together.

    Those not worth it any more, when it is their turn, are left out.
    """
    built: dict[int, tuple[Built, ...]] = {}
    for number, (design, names) in enumerate(candidates):
        problems = Problems("")
        check_against_catalogue(design, catalogue, problems)
        if problems.found:
            yield number, Judged((), (CONTRADICTION,))
        else:
            built[number] = tuple(
                build_supply(design.supply(name), design, catalogue) for name in names
            )
    for number, charges in _charges(candidates, built):
        design, group = candidates[number][0], built[number]
        if worth(number, _known(group, charges, catalogue)):
            parts = tuple(
                answer_built(one, charge, design, catalogue)
                for one, charge in zip(group, charges, strict=True)
            )
            codes = (f.code for part in parts for f in part.findings if f.grade == "stop")
            yield number, Judged(parts, tuple(dict.fromkeys(codes)))


def _charges(
    candidates: Sequence[Candidate], built: dict[int, tuple[Built, ...]]
) -> Iterator[tuple[int, list[Charge]]]:
    """Run all packs down that are used alike."""
    for use in dict.fromkeys(candidates[number][0].use for number in built):
        alike = {n: group for n, group in built.items() if candidates[n][0].use == use}
        supplies = [(one.circuit, one.cells.used) for group in alike.values() for one in group]
        charges = iter([charge for (charge,) in run_down_sizes(supplies, use, (1.0,))])
        for number, group in alike.items():
            yield number, [next(charges) for _ in group]


def _known(group: Sequence[Built], charges: Sequence[Charge], catalogue: Catalogue) -> Known:
    wired, sized = [one.wired for one in group], [one.sized for one in group]
    hours_h = min(charge.lit_h for charge in charges)
    return Known(price_of(wired, sized, catalogue), hours_h, mass_of(wired, sized, catalogue))
