"""Jumpers to cut: the short wires between the parts of a supply (`answers.jumpers` says which).

The answer counts their ohms, but not their price.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lightcalc.answers import jumpers as between
from lightcalc.answers.jumpers import joined_leads_count, to_controller, to_leads
from lightcalc.answers.results import WireAnswer
from lightcalc.answers.wiring import Wired

# By the maker's rule; the answer counts ohms for the metric one.
JUMPER_M = {"metric": between.JUMPER_M, "inch": 6 * 0.0254}


@dataclass(frozen=True)
class Jumper:
    """One jumper: its wire is that of a lead, and `returns` are the channels it brings back."""

    name: str
    like: WireAnswer
    returns: tuple[str, ...]


def jumpers(
    wired: Wired, wires: Sequence[WireAnswer], returns: tuple[str, ...]
) -> Iterator[Jumper]:
    """Yield the jumpers of a supply; `wires` are the answers of its leads, without the pack's."""
    leaving = [wire for wire, lead in zip(wires, wired.leads, strict=True) if lead.parent < 0]
    like = max(leaving, key=lambda wire: wire.area_mm2)
    named = f"{wired.supply.name} jumper"
    has = {"converter": wired.converter is not None, "controller": wired.controller is not None}
    if to_controller(**has):
        yield Jumper(f"{named}, converter to controller", like, ("",))
    if to_leads(joined_leads_count(wired), **has):
        last = "controller" if wired.controller else "converter"
        yield Jumper(f"{named}, {last} to leads", like, returns)
