"""Jumpers: the short wires between the parts of a supply, which no design draws.

::

    converter ==jumper== controller ==jumper==+== lead
                                              +== lead

One goes from converter to controller. Where several leads leave the supply, one more brings its
output to where they join; a single lead goes on the terminals itself. Their length is assumed, for
parts side by side with room to lift one out, and their wire is the thickest that leaves the supply,
which stands all that the supply gives. (Common practice, from memory.) The answer counts neither
their ohms nor their price.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lightcalc.answers.results import WireAnswer
from lightcalc.answers.wiring import Wired

# By the maker's rule.
JUMPER_M = {"metric": 0.15, "inch": 6 * 0.0254}


@dataclass(frozen=True)
class Jumper:
    """One jumper: its wire is that of a lead, and `returns` are the channels it brings back."""

    name: str
    like: WireAnswer
    returns: tuple[str, ...]


def joined_leads_count(wired: Wired) -> int:
    """Return how many leads join at the output of a supply."""
    return sum(lead.parent < 0 for lead in wired.leads)


def jumpers(
    wired: Wired, wires: Sequence[WireAnswer], returns: tuple[str, ...]
) -> Iterator[Jumper]:
    """Yield the jumpers of a supply; `wires` are the answers of its leads, without the pack's."""
    leaving = [wire for wire, lead in zip(wires, wired.leads, strict=True) if lead.parent < 0]
    like = max(leaving, key=lambda wire: wire.area_mm2)
    named = f"{wired.supply.name} jumper"
    if wired.converter and wired.controller:
        yield Jumper(f"{named}, converter to controller", like, ("",))
    last = "controller" if wired.controller else "converter" if wired.converter else ""
    if last and len(leaving) > 1:
        yield Jumper(f"{named}, {last} to leads", like, returns)
