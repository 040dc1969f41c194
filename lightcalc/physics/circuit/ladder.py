"""Volts, current and light of every cut unit of runs on one supply: the nonlinear ladder.

Each unit draws a current that follows its own volts (`strip`), through copper that carries the
sum of everything beyond (`copper`). `newton` finds the currents of a piece of a batch; here a batch
is cut into pieces, and what is found is reported.

Every number of the network and the supply's volts may be arrays; they broadcast to one batch.

Validity: direct current, a supply of fixed open-circuit volts, no return of one run joined to
that of another except through the leads.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from lightcalc.physics.circuit.batch import Gathered, Waiting
from lightcalc.physics.circuit.elimination import Indices, Places
from lightcalc.physics.circuit.network import SUPPLY, Network
from lightcalc.physics.circuit.newton import (
    CURRENT_TOLERANCE,
    SKETCH_TOLERANCE,
    WORTH_A_SKETCH,
    Piece,
    cases_of,
)
from lightcalc.physics.circuit.strip import Array, Values

CASES_TIMES_UNITS = 100_000
"""Size of the pieces a batch is solved in, so that the work stays in the processor's cache."""


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
            piece = Piece(self.network, self.supply_v, self.on)
            self.gathered.take(_solution(piece))
            self.steps = piece.steps
            return
        waiting = Waiting()
        for start in range(0, cases, size):
            part = slice(start, start + size)
            piece = Piece(cases_of(self.network, part), self.supply_v[part], self.on)
            if not piece.worth_a_sketch:
                self._put(part, piece, _solution(piece))
                continue
            rough = piece.sketch()
            self._put(part, piece, _report(piece))
            waiting.add(start + rough, piece.unit_a[:, :, rough])
            while waiting.count >= (size if part.stop < self.supply_v.size else 1):
                self._again(*waiting.take(size))

    def _again(self, cases: Indices, unit_a: Array) -> None:
        """Solve cases from where their sketch left them."""
        piece = Piece(cases_of(self.network, cases), self.supply_v[cases], self.on)
        piece.unit_a = unit_a
        piece.tolerance_a *= SKETCH_TOLERANCE / CURRENT_TOLERANCE
        self._put(cases, piece, _solution(piece))

    def _put(self, part: slice | Indices, piece: Piece, found: Solution) -> None:
        self.gathered.put(part, found)
        self.steps = max(self.steps, piece.steps)


def _flattened(number: Values, batch: tuple[int, ...]) -> Values:
    return np.broadcast_to(number, batch).ravel() if np.ndim(number) else number


def _solution(piece: Piece) -> Solution:
    piece.solve()
    return _report(piece)


def _report(piece: Piece) -> Solution:
    """Everything about the state that a piece last looked at."""
    flow, layout = piece.flow, piece.copper.layout
    rail_w = flow.rail_w
    strip_w = np.einsum("cub,cub->ub", piece.unit_a, flow.unit_volts)
    runs = []
    for number in range(len(piece.network.runs)):
        taken_w = strip_w[piece.stretches[number]].sum(axis=0)
        own_w = rail_w[layout.own[number]].sum(axis=0)
        runs.append(_report_run(piece, number, layout.soldered[number], taken_w, own_w))
    lead_w = (piece.copper.lead_ohm * flow.lead_a**2).sum(axis=(0, 1))
    power = PowerBalance(
        source_w=piece.supply_v * flow.supply_a[0],
        strip_w=strip_w.sum(axis=0),
        rail_w=rail_w.sum(axis=0),
        lead_w=lead_w,
        series_w=(piece.copper.series_ohm * flow.supply_a**2).sum(axis=0),
    )
    return Solution(
        supply_v=piece.supply_v,
        runs=tuple(runs),
        supply_a=flow.supply_a[0],
        return_a=-flow.supply_a[1:].T,
        lead_a=flow.lead_a[0].T,
        lead_return_a=-flow.lead_a[1:].transpose(2, 1, 0),
        feed_v=(flow.feed_volts[0] - flow.feed_volts[1:]).transpose(2, 1, 0),
        power=power,
        steps=piece.steps,
    )


def _report_run(
    piece: Piece, number: int, pick: Places, strip_w: Array, rail_w: Array
) -> RunSolution:
    """One run, its units picked in the order they are soldered in."""
    unit = piece.network.runs[number].unit
    rails = piece.flow.unit_volts[:, piece.stretches[number]]
    amps = np.stack(piece.draw.led_a[number])[:, pick]
    volts = np.broadcast_to(rails[:, pick], amps.shape)
    light = np.empty_like(amps)
    for c, channel in enumerate(unit.channels):
        np.divide(amps[c], channel.rated_a, out=light[c])
    idle_a = piece.draw.idle_a[number][pick]
    if np.ndim(unit.idle_a) == 0 and unit.idle_a == 0:
        idle_a = np.broadcast_to(0.0, idle_a.shape)
    return RunSolution(volts.T, amps.T, idle_a.T, light.T, strip_w, rail_w)
