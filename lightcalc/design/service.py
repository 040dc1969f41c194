"""What lets a piece be serviced: joints that come apart, how a pack is reached and held, remotes.

All of it may be left out; None means not said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Side = Literal["pack side", "strip side"]
SIDES: tuple[str, ...] = get_args(Side)
BOTH_SIDES = "both sides"
# What a supply may be boxed in. Radio goes through all but metal.
BOXES = ("wood", "plastic", "metal")


@dataclass(frozen=True)
class Joint:
    """A place where two parts of the piece meet, such as a seat that lifts off its rails.

    `reached_from` is where a hand gets to the leads when it comes apart: one of `SIDES`, or both.
    """

    name: str
    removable: bool = True
    reached_from: str = BOTH_SIDES


@dataclass(frozen=True)
class Crossing:
    """The joints that a lead goes across, the connector in it, and on which side that hangs.

    A pack lead has its connectors with its supply, and `connector` is None.
    """

    joints: tuple[str, ...] = ()
    connector: str | None = None
    side: str | None = None

    @property
    def connectors(self) -> tuple[str, ...]:
        """The connectors in the lead: one at each joint; one named with no joint is there too.

        >>> Crossing(("seat", "back"), "plug").connectors, Crossing(("seat",)).connectors
        (('plug', 'plug'), ())
        """
        return (self.connector,) * max(len(self.joints), 1) if self.connector else ()


@dataclass(frozen=True)
class Service:
    """How the parts of a supply are reached, held and worked.

    `reach` is what the maker says of the way to the pack. `held_by` is a row of the table of
    fasteners, `held_area_m2` the area of hook and loop, `held_count` the number of clips or screws.
    `overhead` means that the pack hangs. `remote` names the remote that works the receiver, ""
    being the one remote of the piece.
    """

    reach: str | None = None
    sealed: bool = False
    held_by: str | None = None
    held_area_m2: float | None = None
    held_count: int | None = None
    overhead: bool = False
    box: str | None = None
    sees_user: bool | None = None
    remote: str = ""
    remote_code: str | None = None
