"""What works the controllers of a piece: eyes, aerials and knobs whose place is known."""

from __future__ import annotations

import math
from collections.abc import Iterator

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


def about(length_m: float, system: str) -> str:
    """Show a length by geometry, up to the next centimetre or half an inch.

    >>> about(0.5038, "metric"), about(0.5038, "inch")
    ('510 mm', '20 in')
    """
    step_m = 0.01 if system == "metric" else 0.0127
    return measure(math.ceil(length_m / step_m - 1e-6) * step_m, system)


def sensor_wire_notes(design: Design, catalogue: Catalogue) -> Iterator[str]:
    """Say of each eye, aerial or knob that no wire to it is cut, and how far it is from its pack.

    No part list tells the length of a controller's own wire, and no design where a controller lies,
    so its length is not worked out. Beside the pack, within a jumper of it, nothing is said.
    """
    for supply in design.supplies:
        if supply.controller is None or supply.sensor_at_m is None:
            continue
        if supply.at_m is None or _is_away(supply, design.system):
            noun = catalogue.controllers[supply.controller].sensor
            yield _wire_note(supply, noun, _far_words(supply, noun, design.system))


def _wire_note(supply: Supply, noun: str, far: str) -> str:
    if noun == "eye":
        return (
            f"{supply.name}: the wire from {supply.controller} to its eye comes with the controller "
            f"and is not in this list. {far} Check that it is long enough before anything is fixed."
        )
    return (
        f"{supply.name}: the {noun} of {supply.controller} is on the controller, or on a wire that "
        f"comes with it, which is not in this list. {far} Check that this wire is long enough or, "
        "where the controller itself goes there, that the wires which lead to it are."
    )


def _far_words(supply: Supply, noun: str, system: str) -> str:
    if supply.at_m is None or supply.sensor_at_m is None:
        return f"The design does not say how far the {noun} is from the pack."
    far = about(math.dist(supply.at_m, supply.sensor_at_m), system)
    return (
        f"In a straight line the {noun} is about {far} from the pack, and any way that a wire can "
        "go is longer; the design gives no place for the controller."
    )


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
