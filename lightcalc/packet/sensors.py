"""What works the controllers of a piece: eyes, aerials and knobs whose place is known."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.design.piece import Design, Supply
from lightcalc.design.space import edge_way_m
from lightcalc.packet.dimensions import measure
from lightcalc.packet.jumpers import JUMPER_M
from lightcalc.packet.laid import extent
from lightcalc.packet.piece_views import SensorAt
from lightcalc.parts.kinds import Catalogue

# Within about a thumb's width of an edge, a place is at it to whoever looks for it.
AT_EDGE_M = 0.025
# Where a place is along each way, as one says it: at both edges, and in the thirds between.
PLAIN_PLACES = (
    ("at the left end", ("on the left", "in the middle", "on the right"), "at the right end"),
    ("at the front edge", ("near the front", "halfway back", "near the back"), "at the back edge"),
    ("at the floor", ("low down", "halfway up", "high up"), "at the very top"),
)


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
    return edge_way_m(supply.at_m, supply.sensor_at_m) > JUMPER_M[system]


def about(length_m: float, system: str) -> str:
    """Show a length by geometry, up to the next centimetre or half an inch.

    >>> about(0.5038, "metric"), about(0.5038, "inch")
    ('510 mm', '20 in')
    """
    step_m = 0.01 if system == "metric" else 0.0127
    return measure(math.ceil(length_m / step_m - 1e-6) * step_m, system)


def sensor_wire_notes(design: Design, catalogue: Catalogue) -> Iterator[str]:
    """Say of what works a controller that no wire to it is cut, and how far it is from its pack.

    No catalogue tells the length of a controller's own wire, so none is worked out. Nothing is said
    of an eye within a jumper of the pack, nor of an aerial or a knob where the controller itself
    can be on the wires that are cut for it.
    """
    for supply in design.supplies:
        if supply.controller is None or supply.sensor_at_m is None:
            continue
        noun = catalogue.controllers[supply.controller].sensor
        if noun == "eye" and (supply.at_m is None or _is_away(supply, design.system)):
            yield (
                f"{supply.name}: the wire from {supply.controller} to its eye comes with the "
                f"controller and is not in this list. {_far_words(supply, noun, design.system)} "
                "Check that it is long enough before anything is fixed."
            )
        elif noun != "eye" and _is_beyond_wires(supply, design.system):
            cut = measure(_to_controller_m(supply, design.system), design.system)
            yield (
                f"{supply.name}: {_far_words(supply, noun, design.system)} The wires of this list "
                f"from pack to {supply.controller} have {cut}. If the controller goes there, draw "
                f"a longer pack lead; if only its {noun} does, that wire comes with it and is not "
                "in this list: check that it is long enough."
            )


def _to_controller_m(supply: Supply, system: str) -> float:
    """Return how long the wires from a pack to its controller are, as drawn and assumed."""
    return supply.pack_lead_m + (JUMPER_M[system] if supply.converter else 0.0)


def _is_beyond_wires(supply: Supply, system: str) -> bool:
    """Whether a controller cannot be, or may not be, where it is worked."""
    if supply.at_m is None or supply.sensor_at_m is None:
        return True
    return math.dist(supply.at_m, supply.sensor_at_m) > _to_controller_m(supply, system)


def _far_words(supply: Supply, noun: str, system: str) -> str:
    if supply.at_m is None or supply.sensor_at_m is None:
        return f"The design does not say how far the {noun} is from the pack."
    far = about(math.dist(supply.at_m, supply.sensor_at_m), system)
    return (
        f"In a straight line the {noun} is about {far} from the pack, and any other way is longer."
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


def plain_place_words(supply: Supply, design: Design) -> str:
    """Say where the eye, aerial or knob of a supply is, to one who looks for it with no rule.

    Where the design has no blocks, how wide and deep the piece is is not known, and only what is
    at its left end, front edge or floor is told, with its height where that is known; "" when
    nothing can be.
    """
    if supply.sensor_at_m is None:
        return ""
    blocks = design.space.blocks
    corners = [corner for block in blocks for corner in (block.at_m, block.far_m)]
    low, high = extent(corners) if corners else ((0.0, 0.0, 0.0), (None, None, None))
    ends: tuple[float | None, ...] = (*high[:2], high[2] or design.piece.height_m)
    places = zip(supply.sensor_at_m, low, ends, PLAIN_PLACES, strict=True)
    return ", ".join(filter(None, (_along(*one) for one in places)))


def _along(
    at_m: float, low_m: float, high_m: float | None, words: tuple[str, tuple[str, str, str], str]
) -> str:
    """Say where a place is between two edges; "" where the far one would have to be known.

    >>> _along(0.0, 0.0, None, PLAIN_PLACES[1]), _along(0.3, 0.0, 0.4, PLAIN_PLACES[1])
    ('at the front edge', 'near the back')
    """
    first, between, last = words
    if at_m <= low_m + AT_EDGE_M:
        return first
    if high_m is None:
        return ""
    if at_m >= high_m - AT_EDGE_M:
        return last
    return between[int(3.0 * (at_m - low_m) / (high_m - low_m))]
