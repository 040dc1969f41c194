"""Newton on a piece of a batch: every cut unit of a ladder draws what it asks at its own volts.

The currents minimise a convex potential [2]_, because every unit draws more at more volts, so
Newton's method with a line search along the slope of that potential converges from any start
[1]_. The state is a pair: unit currents `i`, and the volts that the copper leaves when they flow.
The slope along a step is then a sum over units only, `sum dv (I(v) - i)`, without the copper.

References
----------
.. [1] S. Boyd, L. Vandenberghe, "Convex Optimization", Cambridge 2004, sections 9.5 and 10.2.
.. [2] W. Millar, "Some general theorems for non-linear systems possessing resistance", Phil. Mag.
   42 (1951) 1150-1160: the potential ("content") of a nonlinear network.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.circuit.copper import Copper, Flow
from lightcalc.physics.circuit.draw import Draw, Drawing
from lightcalc.physics.circuit.elimination import Indices
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.sketch import Sketch
from lightcalc.physics.circuit.strip import Array

MOST_STEPS = 200
MOST_TRIALS = 60
STEP_SLOPE = 0.3
"""Share of the potential's slope that may be left at the end of a step."""

CURRENT_TOLERANCE = 1e-12
"""Mismatch of unit current that counts as settled, in parts of the rated current."""

SKETCH_TOLERANCE = 1e-9
"""The same for a sketch that needs no step."""

WORTH_A_SKETCH, MOST_SKETCHED_SECTIONS = 1_500, 4
"""Cases times units from which, and sections up to which, a sketch saves more than it costs."""

WORTH_A_PIECE, WORTH_A_CUT = 3, 20_000
"""Where only one in so many cases is not settled yet, they go on alone, if there are as many cases
times units; the bookkeeping of fewer would take longer than they do."""

TINY = np.finfo(float).tiny


def cases_of(network: Network, part: slice | Indices) -> Network:
    """Cut every array over the flattened batch to `part`."""
    return network.with_numbers(lambda number: number[part] if np.ndim(number) else number)  # type: ignore[index]


@dataclass(frozen=True)
class _Step:
    """A Newton step from one state: volts and unit currents, and the change of each.

    gap: what the units draw at these volts, less the unit currents.
    """

    volts: Array
    unit_a: Array
    change_v: Array
    change_a: Array
    gap: Array

    def of(self, cases: Indices) -> _Step:
        """Take the same step for some of the cases."""
        parts = (self.volts, self.unit_a, self.change_v, self.change_a, self.gap)
        return _Step(*(part[:, :, cases] for part in parts))

    def after(self, share: Array) -> tuple[Array, Array]:
        return self.volts + share * self.change_v, self.unit_a + share * self.change_a

    def slope(self, gap: Array) -> Array:
        """Slope of the potential along the step, where the mismatch is `gap`, for each case."""
        return np.asarray(np.einsum("ckb,ckb->b", self.change_v, gap))


class Piece:
    """A batch small enough to be solved in one go. Arrays end with the cases.

    unit_a (returns, units, cases): through every cut unit [A], units by `stretches`. flow, draw: of
    the state last looked at. steps: Newton steps taken. tolerance_a: mismatch that is settled [A].
    """

    flow: Flow
    draw: Draw

    def __init__(self, network: Network, supply_v: Array, on: tuple[bool, ...]) -> None:
        self.network, self.supply_v, self.on = network, supply_v, on
        self.copper = Copper(network, len(supply_v))
        self.steps = 0
        self.stretches = self.copper.layout.runs
        self.drawing = Drawing(network.runs, on, self.stretches)
        self.unit_a = np.zeros((network.returns, self.stretches[-1].stop, len(supply_v)))
        self.tolerance_a = CURRENT_TOLERANCE * max(
            float(np.max(channel.rated_a)) for run in network.runs for channel in run.unit.channels
        )

    def solve(self) -> None:
        """Newton from `unit_a`, then once more from the exact flow it ends in."""
        if not self.unit_a.any():
            # Where no current flows, all units see what the supply has.
            volts = np.broadcast_to(self.supply_v, self.unit_a.shape)
            self._settle(volts, self.drawing.at(volts))
        for slack in (1.0, 10.0, 10.0, 100.0, 1e3, 1e4):
            if self._look().max(initial=0.0) <= self.tolerance_a * slack:
                return
            self._settle(self.flow.unit_volts, self.draw)
        raise ArithmeticError("The ladder is too badly conditioned to settle.")

    @property
    def worth_a_sketch(self) -> bool:
        """Whether to begin with a sketch, whose matrix grows by the square of the sections."""
        large, sections = self.unit_a.size >= WORTH_A_SKETCH, len(self.copper.sections)
        return large and self.network.returns == 1 and sections <= MOST_SKETCHED_SECTIONS

    def sketch(self) -> Indices:
        """Set `unit_a` to smooth curves and return the cases for which that is too rough."""
        sketch = Sketch(self.copper, any(run.unit.holds_current for run in self.network.runs))
        nodes = sketch.nodes_of_runs(self.copper.sections, len(self.network.runs))
        drawing = Drawing(self.network.runs, self.on, nodes)

        def draw(volts: Array) -> tuple[Array, Array]:
            found = drawing.at(volts[None])
            return found.unit_a[0], drawing.slopes(found, volts[None])[0]

        self.unit_a = sketch.unit_currents(draw, self.supply_v)[None]
        worst = np.abs(self._look()).max(axis=(0, 1))
        return np.flatnonzero(worst > SKETCH_TOLERANCE / CURRENT_TOLERANCE * self.tolerance_a)

    def _look(self) -> Array:
        """Find the flow, what the units draw in it, and how far that is from `unit_a`."""
        self.flow = self.copper.flow(self.unit_a, self.supply_v)
        self.draw = self.drawing.at(self.flow.unit_volts)
        return np.abs(self.draw.unit_a - self.unit_a)

    def _settle(self, volts: Array, draw: Draw) -> None:
        """Step on from some volts and what is drawn at them, until each unit draws what it asks."""
        for _ in range(MOST_STEPS):
            gap = draw.unit_a - self.unit_a
            unsettled = np.asarray((np.abs(gap) > self.tolerance_a).any(axis=(0, 1)))
            if not unsettled.any():
                return
            few = np.count_nonzero(unsettled) * WORTH_A_PIECE <= unsettled.size
            if few and gap.size >= WORTH_A_CUT:
                self._settle_only(np.flatnonzero(unsettled))
                return
            self.steps += 1
            siemens = self.drawing.slopes(draw, volts)
            step_v = self.copper.step(siemens, -gap)
            step = _Step(volts, self.unit_a, step_v, gap + siemens * step_v, gap)
            share, draw = self._search(step, unsettled)
            volts, self.unit_a = step.after(share)
        raise ArithmeticError(f"The ladder did not settle in {MOST_STEPS} steps.")

    def _settle_only(self, cases: Indices) -> None:
        """Go on with some of the cases alone."""
        rest = Piece(cases_of(self.network, cases), self.supply_v[cases], self.on)
        rest.unit_a, rest.tolerance_a = self.unit_a[:, :, cases], self.tolerance_a
        rest._look()
        rest._settle(rest.flow.unit_volts, rest.draw)
        self.unit_a[:, :, cases] = rest.unit_a
        self.steps += rest.steps

    def _search(self, step: _Step, unsettled: NDArray[np.bool_]) -> tuple[Array, Draw]:
        """Find the share of the step to take: all of it, or to where the potential is least.

        Returns it with what is drawn there.
        """
        slope = step.slope(step.gap)
        share = np.ones_like(slope)
        volts, unit_a = step.after(share)
        draw = self.drawing.at(volts)
        found = step.slope(draw.unit_a - unit_a)
        beyond = np.flatnonzero((found > STEP_SLOPE * np.abs(slope)) & unsettled)
        if beyond.size:
            some = Piece(cases_of(self.network, beyond), self.supply_v[beyond], self.on)
            share[beyond], part = some._search_back(step.of(beyond), slope[beyond], found[beyond])
            draw.put(beyond, part)
        return share, draw

    def _search_back(self, step: _Step, low_slope: Array, high_slope: Array) -> tuple[Array, Draw]:
        """Search between the start, where the potential falls, and the full step, where it rises.

        Secants and halvings take turns.
        """
        slope = low_slope
        low, high = np.zeros_like(slope), np.ones_like(slope)
        share, good = high, np.zeros(slope.shape, dtype=bool)
        for trial in range(MOST_TRIALS):
            part = 0.5 if trial % 2 else low_slope / np.minimum(low_slope - high_slope, -TINY)
            share = np.where(good, share, low + (high - low) * part)
            volts, unit_a = step.after(share)
            draw = self.drawing.at(volts)
            found = step.slope(draw.unit_a - unit_a)
            good |= np.abs(found) <= STEP_SLOPE * np.abs(slope)
            if good.all():
                break
            rises = found > 0
            low, low_slope = np.where(rises, low, share), np.where(rises, low_slope, found)
            high, high_slope = np.where(rises, share, high), np.where(rises, found, high_slope)
        return share, draw
