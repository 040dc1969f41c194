"""Volts, current and light of every cut unit of runs on one supply: the nonlinear ladder.

Each unit draws a current that follows its own volts (`strip`), through copper that carries the
sum of everything beyond (`copper`). The currents minimise a convex potential, because every unit
draws more at more volts, so Newton's method with a line search along the slope of that potential
converges from any start [1]_. The state is a pair: unit currents `i`, and the volts that the
copper leaves when they flow. The slope along a step is then a sum over units only,
`sum dv (I(v) - i)`, without the copper.

Every number of the network and the supply's volts may be arrays; they broadcast to one batch.

Validity: direct current, a supply of fixed open-circuit volts, no return of one run joined to
that of another except through the leads.

References
----------
.. [1] S. Boyd, L. Vandenberghe, "Convex Optimization", Cambridge 2004, sections 9.5 and 10.2.
.. [2] W. Millar, "Some general theorems for non-linear systems possessing resistance", Phil. Mag.
   42 (1951) 1150-1160: the potential ("content") of a nonlinear network.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.circuit.batch import Gathered, Waiting
from lightcalc.physics.circuit.copper import Copper
from lightcalc.physics.circuit.draw import Draw, Drawing
from lightcalc.physics.circuit.elimination import Indices, Places
from lightcalc.physics.circuit.network import SUPPLY, Network
from lightcalc.physics.circuit.sketch import Sketch
from lightcalc.physics.circuit.strip import Array, Values

CASES_TIMES_UNITS = 100_000
"""Size of the pieces a batch is solved in, so that the work stays in the processor's cache."""

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


@dataclass(frozen=True)
class RunSolution:
    """One run. Arrays begin with the axes of the batch.

    volts (..., units, channels): between the positive and the channel's return rail [V].
    amps (..., units, channels): through the LEDs [A]. idle_a (..., units): besides the LEDs [A].
    light (..., units, channels): LED current over rated current. strip_w (...): taken by LEDs,
    resistors, regulators and idle drivers [W]. rail_w (...): heat in the run's copper [W].
    """

    volts: Array
    amps: Array
    idle_a: Array
    light: Array
    strip_w: Array
    rail_w: Array


@dataclass(frozen=True)
class PowerBalance:
    """Where the power goes [W], each (...): source = strip + rail + lead + series."""

    source_w: Array
    strip_w: Array
    rail_w: Array
    lead_w: Array
    series_w: Array

    @property
    def imbalance_w(self) -> Array:
        """Source less all the rest; rounding only."""
        return self.source_w - self.strip_w - self.rail_w - self.lead_w - self.series_w


@dataclass(frozen=True)
class Solution:
    """Everything about one network at one supply. Arrays begin with the axes of the batch.

    supply_v (...). supply_a (...): out of the supply's positive [A]; return_a (..., returns): back
    into it [A]. lead_a (..., leads) away from the supply and lead_return_a (..., leads, returns)
    back to it [A]; either can be negative where current goes round between two feeds.
    feed_v (..., feeds, returns): between positive and return at each feed pad, in the order of
    `network.feeds` [V]. steps: Newton steps taken by the slowest case.
    """

    supply_v: Array
    runs: tuple[RunSolution, ...]
    supply_a: Array
    return_a: Array
    lead_a: Array
    lead_return_a: Array
    feed_v: Array
    power: PowerBalance
    steps: int


def solve(network: Network, supply_v: Values, on: tuple[bool, ...] | None = None) -> Solution:
    """Solve a network.

    Parameters: `supply_v` open-circuit volts, 0 or more, any shape [V]; `on` which channels are
    switched on, all when not given. The return of a channel that is off carries no LED current.

    Raises ValueError for negative volts or a wrong count of channels, and ArithmeticError if the
    steps do not settle.

    >>> from lightcalc.physics.circuit.network import Lead, Run
    >>> from lightcalc.physics.circuit.strip import describe_cut_unit
    >>> unit = describe_cut_unit("resistor", rated_v=12.0, power_w_per_m=9.6,
    ...     cut_unit_length_m=0.05, forward_v=(9.0,), leds_in_series=3)
    >>> run = Run(unit, 20, 0.05, 0.05, (0.05,))
    >>> found = solve(Network((run,), (Lead(-1, 0.1, (0.1,), run=0, pad=0),)), 12.0)
    >>> round(float(found.supply_a), 4), round(float(found.runs[0].light[-1, 0]), 4)
    (0.7554, 0.9403)
    """
    channels = len(network.runs[0].unit.channels)
    lit = (True,) * channels if on is None else on
    if len(lit) != channels:
        raise ValueError(f"{len(lit)} switches for {channels} channels; give one for each.")
    volts = np.array(supply_v, dtype=float)  # what is returned is not the array that was given
    if not np.all(volts >= 0) or not np.all(np.isfinite(volts)):
        raise ValueError(f"The supply has {supply_v} V; give 0 or more.")
    shapes = {number.shape for number in network.numbers() if isinstance(number, np.ndarray)}
    batch = np.broadcast_shapes(volts.shape, *shapes)
    if len(batch) > 1 or shapes - {batch, ()}:
        network = network.with_numbers(lambda number: _flattened(number, batch))
    pieces = _Pieces(network, np.broadcast_to(volts, batch).ravel(), lit)
    pieces.solve()
    found = pieces.gathered.shaped(batch)
    return found if found.steps == pieces.steps else replace(found, steps=pieces.steps)


def lead_volts(network: Network, found: Solution) -> tuple[Array, Array]:
    """Volts between the positive and each return at the start and at the end of every lead [V].

    Both of shape (leads, ..., returns), with the axes of the batch that was solved. Ohm's law from
    the supply outward; where a lead ends at a pad it agrees with `feed_v`.
    """
    returns = network.series_return_ohm or (0.0,) * network.returns
    lost = np.asarray(found.supply_a * network.series_positive_ohm)[..., None]
    out = found.supply_v[..., None] - lost - _per_return(returns) * found.return_a
    starts: list[Array] = []
    ends: list[Array] = []
    for k, lead in enumerate(network.leads):
        start = out if lead.parent == SUPPLY else ends[lead.parent]
        lost = np.asarray(found.lead_a[..., k] * lead.positive_ohm)[..., None]
        starts.append(start)
        ends.append(start - lost - _per_return(lead.return_ohm) * found.lead_return_a[..., k, :])
    return np.array(starts), np.array(ends)


def _per_return(ohms: tuple[Values, ...]) -> Array:
    return np.stack(np.broadcast_arrays(*ohms), axis=-1)


class _Pieces:
    """A flat batch of any size, solved in pieces."""

    def __init__(self, network: Network, supply_v: Array, on: tuple[bool, ...]) -> None:
        self.network, self.supply_v, self.on = network, supply_v, on
        self.gathered: Gathered[Solution] = Gathered(supply_v.size)
        self.steps = 0

    def solve(self) -> None:
        """Solve all cases: sketched where that pays, and those too rough for it again."""
        units = sum(run.units for run in self.network.runs) * self.network.returns
        cases, size = self.supply_v.size, max(CASES_TIMES_UNITS // units, 1)
        if cases <= size and (cases * units < WORTH_A_SKETCH or self.network.returns > 1):
            piece = _Piece(self.network, self.supply_v, self.on)
            self.gathered.take(piece.solution())
            self.steps = piece.steps
            return
        waiting = Waiting()
        for start in range(0, cases, size):
            part = slice(start, start + size)
            piece = _Piece(_cases(self.network, part), self.supply_v[part], self.on)
            if not piece.worth_a_sketch:
                self._put(part, piece, piece.solution())
                continue
            rough = piece.sketch()
            self._put(part, piece, piece.report())
            waiting.add(start + rough, piece.unit_a[:, :, rough])
            while waiting.count >= (size if part.stop < self.supply_v.size else 1):
                self._again(*waiting.take(size))

    def _again(self, cases: Indices, unit_a: Array) -> None:
        """Solve cases from where their sketch left them."""
        piece = _Piece(_cases(self.network, cases), self.supply_v[cases], self.on)
        piece.unit_a = unit_a
        piece.tolerance_a *= SKETCH_TOLERANCE / CURRENT_TOLERANCE
        self._put(cases, piece, piece.solution())

    def _put(self, part: slice | Indices, piece: _Piece, found: Solution) -> None:
        self.gathered.put(part, found)
        self.steps = max(self.steps, piece.steps)


def _flattened(number: Values, batch: tuple[int, ...]) -> Values:
    return np.broadcast_to(number, batch).ravel() if np.ndim(number) else number


def _cases(network: Network, part: slice | Indices) -> Network:
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


class _Piece:
    """A batch small enough to be solved in one go. Internal arrays end with the cases."""

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

    def solution(self) -> Solution:
        """Newton from `unit_a`, then once more from the exact flow it ends in."""
        if not self.unit_a.any():
            # Where no current flows, all units see what the supply has.
            volts = np.broadcast_to(self.supply_v, self.unit_a.shape)
            self._settle(volts, self.drawing.at(volts))
        for slack in (1.0, 10.0, 10.0, 100.0, 1e3, 1e4):
            if self._look().max(initial=0.0) <= self.tolerance_a * slack:
                return self.report()
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
        rest = _Piece(_cases(self.network, cases), self.supply_v[cases], self.on)
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
            some = _Piece(_cases(self.network, beyond), self.supply_v[beyond], self.on)
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

    def report(self) -> Solution:
        """Everything about the state last looked at."""
        flow, layout = self.flow, self.copper.layout
        rail_w = flow.rail_w
        strip_w = np.einsum("cub,cub->ub", self.unit_a, flow.unit_volts)
        runs = []
        for number in range(len(self.network.runs)):
            taken_w = strip_w[self.stretches[number]].sum(axis=0)
            own_w = rail_w[layout.own[number]].sum(axis=0)
            runs.append(self._report_run(number, layout.soldered[number], taken_w, own_w))
        lead_w = (self.copper.lead_ohm * flow.lead_a**2).sum(axis=(0, 1))
        power = PowerBalance(
            source_w=self.supply_v * flow.supply_a[0],
            strip_w=strip_w.sum(axis=0),
            rail_w=rail_w.sum(axis=0),
            lead_w=lead_w,
            series_w=(self.copper.series_ohm * flow.supply_a**2).sum(axis=0),
        )
        return Solution(
            supply_v=self.supply_v,
            runs=tuple(runs),
            supply_a=flow.supply_a[0],
            return_a=-flow.supply_a[1:].T,
            lead_a=flow.lead_a[0].T,
            lead_return_a=-flow.lead_a[1:].transpose(2, 1, 0),
            feed_v=(flow.feed_volts[0] - flow.feed_volts[1:]).transpose(2, 1, 0),
            power=power,
            steps=self.steps,
        )

    def _report_run(self, number: int, pick: Places, strip_w: Array, rail_w: Array) -> RunSolution:
        """One run, its units picked in the order they are soldered in."""
        unit = self.network.runs[number].unit
        rails = self.flow.unit_volts[:, self.stretches[number]]
        amps = np.stack(self.draw.led_a[number])[:, pick]
        volts = np.broadcast_to(rails[:, pick], amps.shape)
        light = np.empty_like(amps)
        for c, channel in enumerate(unit.channels):
            np.divide(amps[c], channel.rated_a, out=light[c])
        idle_a = self.draw.idle_a[number][pick]
        if np.ndim(unit.idle_a) == 0 and unit.idle_a == 0:
            idle_a = np.broadcast_to(0.0, idle_a.shape)
        return RunSolution(volts.T, amps.T, idle_a.T, light.T, strip_w, rail_w)
