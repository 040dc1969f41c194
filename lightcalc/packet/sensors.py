"""What works the controllers of a piece: eyes, aerials and knobs whose place is known."""

from __future__ import annotations

import math

from lightcalc.design.piece import Design, Supply
from lightcalc.packet.dimensions import measure
from lightcalc.packet.jumpers import JUMPER_M
from lightcalc.packet.piece_views import SensorAt
from lightcalc.parts.kinds import Catalogue


def placed_sensors(design: Design, catalogue: Catalogue) -> tuple[SensorAt, ...]:
    """Return every eye, aerial or knob that has a place, in the order of the supplies."""
    found = []
    for number, supply in enumerate(design.supplies, start=1):
        if supply.sensor_at_m is not None and supply.controller is not None:
            noun = catalogue.controllers[supply.controller].sensor
            wired = supply.at_m if _is_away(supply, design.system) else None
            found.append(SensorAt(supply.name, noun, sensor_tag(number), supply.sensor_at_m, wired))
    return tuple(found)


def sensor_tag(number: int) -> str:
    """Return what marks the eye, aerial or knob of a supply, which counts from 1, on a plan."""
    return f"S{number}"


def _is_away(supply: Supply, system: str) -> bool:
    """Whether more than a jumper lies between a pack and what works its controller."""
    if supply.at_m is None or supply.sensor_at_m is None:
        return False
    pairs = zip(supply.at_m, supply.sensor_at_m, strict=True)
    return math.fsum(abs(a - b) for a, b in pairs) > JUMPER_M[system]


def sensor_words(supply: Supply, catalogue: Catalogue) -> str:
    """Name the eye, aerial or knob of a supply, as in "eye of the seat box"; "" without one."""
    if supply.controller is None:
        return ""
    return f"{catalogue.controllers[supply.controller].sensor} of {supply.name}"


def place_words(supply: Supply, system: str) -> str:
    """Say where the eye, aerial or knob of a supply is; "" when the design does not."""
    if supply.sensor_at_m is None:
        return ""
    x, y, z = (measure(one, system) for one in supply.sensor_at_m)
    return f"{x} from the left, {y} from the front, {z} above the floor"
