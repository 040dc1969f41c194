"""Jumpers: the short wires between the parts of a supply, which no design draws.

    converter ==jumper== controller ==jumper==+== lead
                                              +== lead

One goes from converter to controller. Where several leads leave the supply, one more brings its
output to where they join; a single lead goes on the terminals itself. Their length is assumed, for
parts side by side with room to lift one out, and their wire is the thickest that leaves the supply,
which stands all that the supply gives (common practice, from memory).

All of a supply's current goes through them, so they cost as much light as a plug in every lead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.answers.wiring import Wired
from lightcalc.physics.circuit.strip import Values
from lightcalc.physics.circuit.wire import Wire, loop_ohm

JUMPER_M = 0.15


@dataclass(frozen=True)
class JumperOhms:
    """What jumpers put in the way: of all current, and of what comes back in each return [ohm].

    From converter to controller both conductors carry all of it.
    """

    positive_ohm: Values
    return_ohm: Values


NO_JUMPERS = JumperOhms(0.0, 0.0)


def joined_leads_count(wired: Wired) -> int:
    """Return how many leads join at the output of a supply."""
    return sum(lead.parent < 0 for lead in wired.leads)


def to_controller(*, converter: bool, controller: bool) -> bool:
    """Say whether a jumper goes from converter to controller."""
    return converter and controller


def to_leads(joined: int, *, converter: bool, controller: bool) -> bool:
    """Say whether a jumper goes to where so many leads join; straight on a pack its lead does."""
    return joined > 1 and (converter or controller)


def in_series(one_way_ohm: Values, joined: int, *, converter: bool, controller: bool) -> JumperOhms:
    """Put the jumpers of a supply together, each conductor of so many ohms."""
    fore = 2.0 * to_controller(converter=converter, controller=controller)
    aft = 1.0 * to_leads(joined, converter=converter, controller=controller)
    return JumperOhms((fore + aft) * one_way_ohm, aft * one_way_ohm)


def jumper_ohms(wired: Wired, wires: Sequence[Wire], ambient_c: float) -> JumperOhms:
    """Return the ohms of a supply's jumpers, of the wires that its leads have."""
    leaving = [wire for wire, lead in zip(wires, wired.leads, strict=True) if lead.parent < 0]
    return in_series(
        min(float(loop_ohm(wire.size, JUMPER_M, ambient_c)) for wire in leaving),
        joined_leads_count(wired),
        converter=wired.converter is not None,
        controller=wired.controller is not None,
    )
