"""The designs of a search as rows and columns, with the best that each could be.

A pool holds one group of supplies that change together: its rows are light sides, its columns
what the group may run from.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.finder.choices import LightSide, Power
from lightcalc.answers.finder.longest import Loads, joined, longest_h
from lightcalc.design.piece import Design, Use

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]


class Looked(Protocol):
    """A supply of a pool, which can look more closely at lights and powers (m,)."""

    def straight(self, power: Places) -> Flags:
        """Say which powers are packs with nothing between them and the strips."""

    def source(self, light: Places, power: Places) -> Places:
        """Return numbers, the same for what is looked at in one go, of paired lights and powers."""

    def looks(self, light: Places, power: Places) -> Iterator[Look]:
        """Look more closely at lights on powers, both paired."""


@dataclass
class Pool:
    """One group of supplies in every light side of a build: merits (lights, powers) at best.

    `designs` have the power drawn, which other strips may not run from; in `powered` every supply
    runs from something that fits.
    """

    lights: tuple[LightSide, ...]
    designs: tuple[Design, ...]
    powered: tuple[Design, ...]
    group: tuple[str, ...]
    powers: tuple[Power, ...]
    price: Array
    hours_h: Array
    fall: Array
    mass_kg: Array
    light_lm: Array
    possible: Flags
    supplies: list[Looked] = field(default_factory=list)

    def straight(self, power: Places) -> Flags:
        """Say which powers (m,) are packs with nothing between them and the strips."""
        return self.supplies[0].straight(power)

    def source(self, light: Places, power: Places) -> Places:
        """Return numbers, the same for what is looked at in one go, of paired lights and powers."""
        return self.supplies[0].source(light, power)

    def looks(self, light: Places, power: Places) -> Iterator[Look]:
        """Look more closely at some lights and powers (m,), both paired.

        Each straight on a pack is wired for it. What is still to be run down is returned.
        """
        for supply in self.supplies:
            yield from supply.looks(light, power)


class Look(NamedTuple):
    """Loads to be run down in evenings of one use, those of some lights and powers of a pool."""

    pool: Pool
    light: Places
    power: Places
    use: Use
    loads: Loads


def run_down(looks: Iterable[Look]) -> None:
    """Run loads down together, and tell the hours in their pools more closely."""
    marches: dict[tuple[Use, int], list[Look]] = {}
    for look in looks:
        marches.setdefault((look.use, look.loads.volts.shape[1]), []).append(look)
    for (use, _), together in marches.items():
        hours_h = longest_h(joined([look.loads for look in together]), use)
        starts = np.cumsum([len(look.light) for look in together])[:-1]
        for look, found in zip(together, np.split(hours_h, starts), strict=True):
            known = look.pool.hours_h
            known[look.light, look.power] = np.minimum(known[look.light, look.power], found)
