"""The currents of a run sketched as a smooth curve, so that a large batch starts near its solution.

Along one section the current of the units is a smooth curve as long as no regulator lets go in
the middle. So it is fixed by its values at a few units, crowded towards the ends as Chebyshev's
points are, and what the copper makes of such a curve is a small matrix that is the same for every
case but for its ohms. Newton on these few units is then nearly free beside one look at all::

    units    o o o o o o o o o o o o o o o o o o o o
    nodes    x x   x     x         x     x   x     x     polynomial through the nodes

Where the curve has a kink, the sketch is rough and only a start for `ladder`.

Source: collocation at Chebyshev's points, L. Trefethen, "Spectral Methods in MATLAB", SIAM 2000,
chapters 5 and 6; the barycentric formula, J.-P. Berrut, L. Trefethen, SIAM Review 46 (2004) 501.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.circuit.copper import Copper
from lightcalc.physics.circuit.elimination import Indices, solve_blocks
from lightcalc.physics.circuit.sections import Section
from lightcalc.physics.circuit.strip import Array

NODES, MOST_NODES = 9, 14
"""Of a single section, and of all together; sections beside others are shorter."""

ROUGH_NODES, MOST_ROUGH_NODES = 7, 10
"""The same where regulators hold most units, and no number of nodes would follow their kinks."""

LEAST_NODES = 4
MOST_STEPS = 5
LAST_STEP_V = 1e-5
"""Error of a node's volts from which the next step is the last, in parts of the supply's."""

STRAGGLERS = 0.05
"""Share of the cases that are not waited for."""

Draw = Callable[[Array], tuple[Array, Array]]
"""Current and slope of the nodes [A], [S] at their volts [V], all (nodes, cases)."""


class _Curve(NamedTuple):
    """A section of units without its ohms: which are nodes, and what their currents tell.

    spread (units, nodes): currents of all units. drop (nodes, nodes): volts lost per ohm of a
    segment, with both feeds at 0 V. level (feeds, nodes): volts at the nodes per volt at each feed,
    by the law of the lever. pull (feeds, nodes): current drawn from each feed.
    """

    places: Indices
    spread: Array
    drop: Array
    level: Array
    pull: Array


class Sketch:
    """A sketch of the sections of `copper`, one return rail only.

    rough: whether regulators put kinks into the curves.
    """

    def __init__(self, copper: Copper, rough: bool = False) -> None:
        sections = copper.sections
        one, every = (ROUGH_NODES, MOST_ROUGH_NODES) if rough else (NODES, MOST_NODES)
        most = max(min(one, every // len(sections)), LEAST_NODES)
        self.curves = [_curve(len(s.units), most, s.far is not None) for s in sections]
        stops = np.cumsum([0, *(len(curve.places) for curve in self.curves)]).tolist()
        self.stretches = [slice(*pair) for pair in pairwise(stops)]
        self.ohm = self._matrix(copper, stops[-1])

    def nodes_of_runs(self, sections: tuple[Section, ...], runs: int) -> list[slice]:
        """Where the nodes of each run lie among all nodes."""
        counts = [0] * runs
        for section, curve in zip(sections, self.curves, strict=True):
            counts[section.run] += len(curve.places)
        return [slice(*pair) for pair in pairwise(np.cumsum([0, *counts]).tolist())]

    def _matrix(self, copper: Copper, nodes: int) -> Array:
        """Volts lost at each node per amp of another (nodes, nodes, cases)."""
        feeds = copper.carries.shape[1]
        level, pull = np.zeros((feeds, nodes)), np.zeros((feeds, nodes))
        constant, ohms = [], []
        for s, (section, curve) in enumerate(zip(copper.sections, self.curves, strict=True)):
            here = self.stretches[s]
            for f, feed in enumerate((section.near, section.far)):
                if feed is not None:
                    level[feed, here] += curve.level[f]
                    pull[feed, here] += curve.pull[f]
            own = np.zeros((nodes, nodes))
            own[here, here] = curve.drop
            constant.append(own)
            ohms.append(copper.segment_ohm[:, s].sum(axis=0))
        response = copper.feed_response()
        for f in range(feeds):
            for g in range(feeds):
                constant.append(np.outer(level[f], pull[g]))
                ohms.append(response[f, g])
        flat = np.array(constant).reshape(len(ohms), -1)
        return np.asarray((flat.T @ np.array(ohms)).reshape(nodes, nodes, -1))

    def unit_currents(self, draw: Draw, supply_v: Array) -> Array:
        """Sketch the current of every unit (units, cases) at the supply's volts (cases)."""
        volts = np.repeat(supply_v[None], len(self.ohm), axis=0)
        # Half the digits do for the direction of a step, whose end is looked at with all of them.
        ohm = self.ohm.astype(np.float32)
        for _ in range(MOST_STEPS):
            amps, siemens = draw(volts)
            excess = volts - supply_v
            excess += np.einsum("mnb,nb->mb", self.ohm, amps)
            slope: NDArray[np.float32] = ohm * siemens.astype(np.float32)
            for m in range(len(slope)):
                slope[m, m] += 1.0
            far = np.abs(excess).max(axis=0) > LAST_STEP_V * supply_v
            driven: NDArray[np.float32] = excess.astype(np.float32)[:, None]
            volts -= solve_blocks(slope, driven)[:, 0]
            np.clip(volts, 0.0, supply_v, out=volts)
            if np.count_nonzero(far) <= STRAGGLERS * len(far):
                break
        amps = draw(volts)[0]
        return np.concatenate(
            [
                curve.spread @ amps[here]
                for curve, here in zip(self.curves, self.stretches, strict=True)
            ]
        )


@lru_cache(maxsize=64)
def _curve(units: int, most: int, two_ended: bool) -> _Curve:
    share = 0.5 - 0.5 * np.cos(np.pi * np.arange(most) / (most - 1))
    places = np.unique(np.rint(share * (units - 1)).astype(np.intp))
    spread = _polynomials(places, units)
    place = np.arange(units) + 0.5
    far = place / units if two_ended else np.zeros(units)
    level = np.stack([1.0 - far, far])
    pull = level @ spread
    before = np.cumsum(spread, axis=0) - spread
    lost = place[:, None] * pull[0] - np.cumsum(before, axis=0)
    return _Curve(places, spread, lost[places], level[:, places], pull)


def _polynomials(places: Indices, units: int) -> Array:
    """Polynomial that is 1 at one of the places and 0 at the others (units, places)."""
    scale = 4.0 / max(units, 4)
    apart = (places[:, None] - places) * scale
    np.fill_diagonal(apart, 1.0)
    weight = 1.0 / apart.prod(axis=1)
    away = (np.arange(units)[:, None] - places) * scale
    at_node = away == 0.0
    terms = weight / np.where(at_node, 1.0, away)
    terms[at_node.any(axis=1)] = 0.0
    terms[at_node] = 1.0
    return np.asarray(terms / terms.sum(axis=1, keepdims=True))
