"""Dimming by pulse width: full current for part of each period, so drops and peaks stay.

All channels switch on together at the start of a period and off at the end of their own duty
(edge-aligned, as a controller with one timer does)::

    red    |##########################..............|   duty 0.65
    green  |##########..............................|   duty 0.25
    blue   |################........................|   duty 0.40
    slice  |    r+g+b  | r+b |    r     |  all off   |

Each slice is a steady state of its own, solved as a ladder; light, current and power follow the
mean over the slices, heat in the wires the root mean square.

Validity: switching much slower than the strip and its leads settle (true for some kHz and a few
metres), and a supply whose volts stay the same through the period. In a pixel strip each pixel
dims itself with a clock of its own; all pixels on at once, as here, is the case with the highest
peak and the lowest volts at the far end. Its idle current flows through every slice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import fields as dataclass_fields
from itertools import pairwise
from typing import Any

import numpy as np

from lightcalc.physics.circuit.ladder import PowerBalance, Solution, solve
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.strip import Array, Values


@dataclass(frozen=True)
class Slice:
    """A part of the period: its share of it, and which channels are on."""

    share: float
    on: tuple[bool, ...]


@dataclass(frozen=True)
class Flows:
    """Mean, greatest and root-mean-square current of one set of conductors [A].

    The greatest is the largest without regard to direction.
    """

    mean_a: Array
    peak_a: Array
    rms_a: Array


@dataclass(frozen=True)
class DimmedSolution:
    """A dimmed network. Arrays begin with the axes of the batch.

    slices, solutions: the parts of the period and the steady state in each. light: for each run
    (..., units, channels), the mean over the period in parts of undimmed rated light.
    supply (...), returns (..., returns), leads (..., leads), lead_returns (..., leads, returns):
    currents. power: means over the period.
    """

    slices: tuple[Slice, ...]
    solutions: tuple[Solution, ...]
    light: tuple[Array, ...]
    supply: Flows
    returns: Flows
    leads: Flows
    lead_returns: Flows
    power: PowerBalance


def time_slices(duties: Sequence[float]) -> tuple[Slice, ...]:
    """Cut a period wherever a channel switches off.

    Parameters: `duties` share of the period each channel is on, from 0 to 1. Raises ValueError
    outside that.

    >>> for part in time_slices((0.75, 0.25)):
    ...     print(part.share, part.on)
    0.25 (True, True)
    0.5 (True, False)
    0.25 (False, False)
    """
    for duty in duties:
        if not 0.0 <= duty <= 1.0:
            raise ValueError(f"A channel has the duty {duty}; a duty lies between 0 and 1.")
    edges = sorted({0.0, 1.0, *duties})
    return tuple(
        Slice(stop - start, tuple(duty > start for duty in duties))
        for start, stop in pairwise(edges)
    )


def solve_dimmed(network: Network, supply_v: Values, duties: Sequence[float]) -> DimmedSolution:
    """Solve a network dimmed by pulse width, one duty for each channel.

    Raises as `ladder.solve` and `time_slices` do.

    >>> from lightcalc.physics.circuit.network import Lead, Run
    >>> from lightcalc.physics.circuit.strip import describe_cut_unit
    >>> unit = describe_cut_unit("resistor", rated_v=12.0, power_w_per_m=9.6,
    ...     cut_unit_length_m=0.05, forward_v=(9.0,), leds_in_series=3)
    >>> run = Run(unit, 20, 0.05, 0.05, (0.05,))
    >>> network = Network((run,), (Lead(-1, 0.1, (0.1,), run=0, pad=0),))
    >>> flows = solve_dimmed(network, 12.0, (0.25,)).supply
    >>> [round(float(a), 4) for a in (flows.mean_a, flows.peak_a, flows.rms_a)]
    [0.1888, 0.7554, 0.3777]
    """
    slices = time_slices(duties)
    solutions = tuple(solve(network, supply_v, part.on) for part in slices)
    shares = [part.share for part in slices]

    def mean(parts: Sequence[Array]) -> Array:
        return np.asarray(sum(share * part for share, part in zip(shares, parts, strict=True)))

    def flows(name: str) -> Flows:
        parts = [getattr(solution, name) for solution in solutions]
        peak = np.max(np.abs(parts), axis=0)
        return Flows(mean(parts), peak, np.sqrt(mean([part**2 for part in parts])))

    watts: dict[str, Any] = {
        field.name: mean([getattr(solution.power, field.name) for solution in solutions])
        for field in dataclass_fields(PowerBalance)
    }
    return DimmedSolution(
        slices=slices,
        solutions=solutions,
        light=tuple(
            mean([solution.runs[number].light for solution in solutions])
            for number in range(len(network.runs))
        ),
        supply=flows("supply_a"),
        returns=flows("return_a"),
        leads=flows("lead_a"),
        lead_returns=flows("lead_return_a"),
        power=PowerBalance(**watts),
    )
