"""The conductors of a lead, and which colour of wire each is made with.

A lead has one + and as many returns as its strips have channels; pixels share one return.
"""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.parts.kinds import Strip, Wire

# Common practice on battery voltage: red to +, black to the return.
POSITIVE_COLOUR, RETURN_COLOUR = "red", "black"
PLUS, MINUS = "+", "\u2212"


@dataclass(frozen=True)
class Conductor:
    """One wire of a lead. `channel` is "" for + and for the only return of a strip."""

    sign: str
    channel: str
    colour: str

    @property
    def words(self) -> str:
        """Its mark on a drawing.

        >>> Conductor(MINUS, "warm", "blue").words == MINUS + " warm, blue"
        True
        """
        named = ", ".join(part for part in (self.channel, self.colour) if part)
        return f"{self.sign} {named}".rstrip()


def returns_of(strip: Strip) -> tuple[str, ...]:
    """Return the channel of each return of a strip; one without a name for a single one."""
    if strip.kind == "pixel" or len(strip.channels) == 1:
        return ("",)
    return strip.channels


def conductors(wire: Wire | None, returns: tuple[str, ...]) -> tuple[Conductor, ...]:
    """Choose a colour for + and for each return among those a wire is sold in.

    A return takes black, or the colour that its channel is called by, else one not in use; where
    there are too few colours, one is used again and the channel's name has to mark it.
    """
    offered = list(wire.colours) if wire and wire.colours else [POSITIVE_COLOUR, RETURN_COLOUR]
    plus = POSITIVE_COLOUR if POSITIVE_COLOUR in offered else offered[0]
    found = [Conductor(PLUS, "", plus)]
    # Without one of its own for +, a lead of one colour is all the same: marks must tell.
    left = [colour for colour in offered if colour != plus]
    again = left[0] if left else plus
    if RETURN_COLOUR in left:
        left.remove(RETURN_COLOUR)
        left.insert(0, RETURN_COLOUR)
        again = RETURN_COLOUR
    namesakes = [channel for channel in returns if channel in left]
    for channel in returns:
        if channel in left:
            colour = channel
        else:
            free = [one for one in left if one not in namesakes]
            colour = free[0] if free else again
        if colour in left:
            left.remove(colour)
        found.append(Conductor(MINUS, channel, colour))
    return tuple(found)
