"""The colour of a strip's light, by its channels and how far each is up."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lightcalc.parts.kinds import Strip
from lightcalc.tables.colours import Colour, at_luminance_one, white_light

PRIMARIES: dict[str, Colour] = {
    "red": (1.0, 0.0, 0.0),
    "green": (0.0, 1.0, 0.0),
    "blue": (0.0, 0.0, 1.0),
    "amber": (1.0, 0.35, 0.0),
}
"""Channels that are a colour of their own, linear sRGB; the first three make white together."""

NEUTRAL: Colour = (1.0, 1.0, 1.0)
USUAL_K = {"warm": 2700.0, "cool": 6500.0, "white": 4000.0}
_KELVIN = re.compile(r"(\d{4,5})\s*K\b")


def light_colour(strip: Strip, duties: Sequence[float]) -> Colour:
    """Return the colour of a strip's light, scaled to a luminance of 1.

    Several colour temperatures on a label go to the strip's white channels in order, one goes to
    all of them. `duties` are the shares of the time the channels are on; all nil gives white.
    """
    whites = [channel for channel in strip.channels if channel not in PRIMARIES]
    kelvin = [float(found) for found in _KELVIN.findall(strip.colour)]
    if len(kelvin) != len(whites):
        kelvin = kelvin[:1] * len(whites) or [USUAL_K.get(name, 4000.0) for name in whites]
    by_channel = {name: white_light(k) for name, k in zip(whites, kelvin, strict=True)}
    parts = [by_channel.get(name) or PRIMARIES[name] for name in strip.channels]
    red, green, blue = (
        sum(duty * part[number] for duty, part in zip(duties, parts, strict=True))
        for number in range(3)
    )
    return at_luminance_one((red, green, blue)) if red + green + blue > 0.0 else NEUTRAL
