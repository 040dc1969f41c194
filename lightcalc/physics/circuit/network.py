"""The wiring between one supply and the runs of strip it feeds, and checks that it makes sense.

Leads form a tree that starts at the supply. A lead ends at a junction, from which others branch,
or at a pad of a run, or both. Pads lie between cut units: a run of `n` units has pads 0 to `n`::

    supply ==== lead 0 ====+==== lead 1 ==== pad 0 of run 0
                           |
                           +==== lead 2 ==== pad 3 of run 0

    pad     0       1       2       3       4
    run 0   |---o---|---o---|---o---|---o---|      o = the LEDs, at the middle of each unit

Every lead and every rail has one positive conductor and as many return conductors as the strip
has return rails. Numbers may be arrays; they broadcast together as one batch of cases.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from copy import copy
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from lightcalc.physics.circuit.strip import Channel, CutUnit, Values

Kept = TypeVar("Kept")

SUPPLY = -1
"""The parent of a lead that starts at the supply."""


@dataclass(frozen=True)
class Run:
    """One continuous length of strip.

    unit: what each cut unit draws. units: how many. unit_length_m: length of one [m].
    positive_ohm_per_m, return_ohm_per_m: copper of the positive rail and of each return rail
    [ohm/m]. Zero is allowed.
    """

    unit: CutUnit
    units: int
    unit_length_m: float
    positive_ohm_per_m: Values
    return_ohm_per_m: tuple[Values, ...]


@dataclass(frozen=True)
class Lead:
    """The conductors from the supply, or from the far end of another lead, to a junction or pad.

    parent: index of the lead it branches from, or SUPPLY; always below its own index.
    positive_ohm, return_ohm: resistance of the positive and of each return conductor [ohm].
    run, pad: where it is soldered; both None at a junction.
    """

    parent: int
    positive_ohm: Values
    return_ohm: tuple[Values, ...]
    run: int | None = None
    pad: int | None = None


@dataclass(frozen=True)
class Network:
    """Runs and leads on one supply.

    series_positive_ohm, series_return_ohm: resistance inside the supply or controller, in the
    positive and in each return (a dimmer's switching transistor) [ohm]; no returns given means 0.

    Raises ValueError, in a sentence, when the wiring contradicts itself.
    """

    runs: tuple[Run, ...]
    leads: tuple[Lead, ...]
    series_positive_ohm: Values = 0.0
    series_return_ohm: tuple[Values, ...] = ()

    def __post_init__(self) -> None:
        if not self.runs:
            raise ValueError("The network has no run; it needs at least one.")
        for number, run in enumerate(self.runs):
            self._check_run(number, run)
        for number, lead in enumerate(self.leads):
            self._check_lead(number, lead)
        if len(self.series_return_ohm) not in (0, self.returns):
            raise ValueError(
                f"The supply has {len(self.series_return_ohm)} series resistances in its "
                f"returns, but the strip has {self.returns} return rails; give one for each."
            )
        for ohm in (self.series_positive_ohm, *self.series_return_ohm):
            _require_resistance(ohm, "The series resistance of the supply")
        self._check_feeds()

    @property
    def returns(self) -> int:
        """How many return conductors every part of the network has."""
        return self.runs[0].unit.returns

    @property
    def feeds(self) -> tuple[int, ...]:
        """The leads that end at a pad, in the order of their numbers."""
        return tuple(k for k, lead in enumerate(self.leads) if lead.run is not None)

    def numbers(self) -> Iterator[Values]:
        """Every number that may be an array."""
        for run in self.runs:
            for channel in run.unit.channels:
                yield from (channel.rated_a, channel.forward_v)
                yield from (channel.slope_v, channel.resistance_ohm)
            yield from (run.unit.idle_a, run.unit.idle_min_v, run.positive_ohm_per_m)
            yield from run.return_ohm_per_m
        for lead in self.leads:
            yield lead.positive_ohm
            yield from lead.return_ohm
        yield self.series_positive_ohm
        yield from self.series_return_ohm

    def with_numbers(self, change: Callable[[Values], Values]) -> Network:
        """Return the same wiring with `change` applied to each number that may be an array.

        `change` may pick cases or shape them, no more: nothing is checked again.
        """

        def each(values: tuple[Values, ...]) -> tuple[Values, ...]:
            return tuple([change(value) for value in values])

        def run_with(run: Run) -> Run:
            unit = _with(
                run.unit,
                channels=tuple(
                    [
                        Channel(*each((c.rated_a, c.forward_v, c.slope_v, c.resistance_ohm)))
                        for c in run.unit.channels
                    ]
                ),
                idle_a=change(run.unit.idle_a),
                idle_min_v=change(run.unit.idle_min_v),
            )
            positive, returns = change(run.positive_ohm_per_m), each(run.return_ohm_per_m)
            return Run(unit, run.units, run.unit_length_m, positive, returns)

        def lead_with(lead: Lead) -> Lead:
            positive, returns = change(lead.positive_ohm), each(lead.return_ohm)
            return Lead(lead.parent, positive, returns, lead.run, lead.pad)

        return _with(
            self,
            runs=tuple([run_with(run) for run in self.runs]),
            leads=tuple([lead_with(lead) for lead in self.leads]),
            series_positive_ohm=change(self.series_positive_ohm),
            series_return_ohm=each(self.series_return_ohm),
        )

    def _check_run(self, number: int, run: Run) -> None:
        if run.units < 1 or not run.unit_length_m > 0:
            raise ValueError(
                f"Run {number} has {run.units} cut units of {run.unit_length_m} m; it needs at "
                "least one unit, longer than 0 m."
            )
        if run.unit.returns != self.returns or len(run.unit.channels) != len(
            self.runs[0].unit.channels
        ):
            raise ValueError(
                f"Run {number} has other channels than run 0; runs on one supply have the same "
                "number of channels and return rails."
            )
        if len(run.return_ohm_per_m) != self.returns:
            raise ValueError(
                f"Run {number} gives copper for {len(run.return_ohm_per_m)} return rails; its "
                f"strip has {self.returns}."
            )
        for ohm in (run.positive_ohm_per_m, *run.return_ohm_per_m):
            _require_resistance(ohm, f"The copper of run {number}")

    def _check_lead(self, number: int, lead: Lead) -> None:
        if not SUPPLY <= lead.parent < number:
            raise ValueError(
                f"Lead {number} branches from lead {lead.parent}; a lead starts at the supply "
                "(-1) or at a lead listed before it."
            )
        if len(lead.return_ohm) != self.returns:
            raise ValueError(
                f"Lead {number} has {len(lead.return_ohm)} return conductors; the strip has "
                f"{self.returns} return rails."
            )
        for ohm in (lead.positive_ohm, *lead.return_ohm):
            _require_resistance(ohm, f"The resistance of lead {number}")
        if lead.run is None and lead.pad is None:
            return
        if lead.run is None or lead.pad is None or not 0 <= lead.run < len(self.runs):
            raise ValueError(
                f"Lead {number} ends at run {lead.run}, pad {lead.pad}; give a run from 0 to "
                f"{len(self.runs) - 1} and a pad of it, or neither for a junction."
            )
        if not 0 <= lead.pad <= self.runs[lead.run].units:
            raise ValueError(
                f"Lead {number} ends at pad {lead.pad} of run {lead.run}; its pads are 0 to "
                f"{self.runs[lead.run].units}."
            )

    def _check_feeds(self) -> None:
        places = [(self.leads[k].run, self.leads[k].pad) for k in self.feeds]
        for place in places:
            if places.count(place) > 1:
                raise ValueError(
                    f"Two leads end at pad {place[1]} of run {place[0]}; put one lead there, "
                    "with the resistance of both side by side."
                )
        for number in range(len(self.runs)):
            if number not in {run for run, _ in places}:
                raise ValueError(f"Run {number} has no feed; solder at least one lead to it.")


def _with(thing: Kept, **changed: object) -> Kept:
    """Return a frozen thing with other numbers, without the checks that it passed before."""
    found = copy(thing)
    vars(found).update(changed)
    return found


def _require_resistance(ohm: Values, name: str) -> None:
    if isinstance(ohm, float) and 0.0 <= ohm < math.inf:
        return  # A batch of one is checked often, and numpy takes its time over single numbers.
    if not (np.min(ohm, initial=0.0) >= 0.0 and np.max(ohm, initial=0.0) < math.inf):
        raise ValueError(f"{name} is {ohm}; resistance is 0 or more.")
