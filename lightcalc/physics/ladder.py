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

from dataclasses import dataclass
from dataclasses import fields as dataclass_fields
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.copper import Copper, Flow
from lightcalc.physics.network import SUPPLY, Network, Run
from lightcalc.physics.strip import Array, Values, channel_current, idle_current

CASES_TIMES_UNITS = 100_000
"""Size of the pieces a batch is solved in, so that the work stays in the processor's cache."""

MOST_STEPS = 200
MOST_TRIALS = 60
STEP_SLOPE = 0.3
"""Share of the potential's slope that may be left at the end of a step."""

CURRENT_TOLERANCE = 1e-12
"""Mismatch of unit current that counts as settled, in parts of the rated current."""

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

    >>> from lightcalc.physics.network import Lead, Run
    >>> from lightcalc.physics.strip import describe_cut_unit
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
    volts = np.asarray(supply_v, dtype=float)
    if not np.all(volts >= 0) or not np.all(np.isfinite(volts)):
        raise ValueError(f"The supply has {supply_v} V; give 0 or more.")
    shapes: set[tuple[int, ...]] = set()
    network.with_numbers(lambda number: _note_shape(number, shapes))
    batch = np.broadcast_shapes(volts.shape, *shapes)
    units = sum(run.units for run in network.runs) * network.returns
    size = max(CASES_TIMES_UNITS // units, 1)
    flat = np.broadcast_to(volts, batch).ravel()
    pieces = []
    for start in range(0, max(flat.size, 1), size):
        part = slice(start, start + size)
        piece = _cases(network, batch, part) if shapes else network
        pieces.append(_Piece(piece, flat[part], lit).solution())
    return _joined(pieces, batch)


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


def _note_shape(number: Values, shapes: set[tuple[int, ...]]) -> Values:
    if np.ndim(number):
        shapes.add(np.shape(number))
    return number


def _cases(network: Network, batch: tuple[int, ...], part: slice) -> Network:
    """Spread every array over the flattened batch and cut it to `part`."""

    def cut(number: Values) -> Values:
        return np.broadcast_to(number, batch).ravel()[part] if np.ndim(number) else number

    return network.with_numbers(cut)


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
        stops = np.cumsum([0, *(run.units for run in network.runs)]).tolist()
        self.stretches = [slice(*pair) for pair in pairwise(stops)]
        self.tolerance_a = CURRENT_TOLERANCE * max(
            float(np.max(channel.rated_a)) for run in network.runs for channel in run.unit.channels
        )

    def solution(self) -> Solution:
        """Newton from no current at all, then once more from the exact flow it ends in."""
        shape = (self.network.returns, self.stretches[-1].stop, len(self.supply_v))
        unit_a = np.zeros(shape)
        flow = self.copper.flow(unit_a, self.supply_v)
        for slack in (10.0, 10.0, 100.0, 1e3, 1e4):
            unit_a = self._settle(flow.unit_volts, unit_a)
            flow = self.copper.flow(unit_a, self.supply_v)
            gap = np.abs(self._drawn(flow.unit_volts)[0] - unit_a)
            if np.all(gap <= self.tolerance_a * slack):
                return self._report(flow, unit_a)
        raise ArithmeticError("The ladder is too badly conditioned to settle.")

    def _settle(self, volts: Array, unit_a: Array) -> Array:
        """Step until every unit draws what its volts ask for."""
        drawn, siemens = self._drawn(volts)
        for _ in range(MOST_STEPS):
            gap = drawn - unit_a
            unsettled = np.any(np.abs(gap) > self.tolerance_a, axis=(0, 1))
            if not unsettled.any():
                return unit_a
            self.steps += 1
            step_v = self.copper.step(siemens, -gap)
            step = _Step(volts, unit_a, step_v, gap + siemens * step_v, gap)
            share, drawn, siemens = self._search(step, unsettled)
            volts, unit_a = step.after(share)
        raise ArithmeticError(f"The ladder did not settle in {MOST_STEPS} steps.")

    def _search(self, step: _Step, unsettled: NDArray[np.bool_]) -> tuple[Array, Array, Array]:
        """Find the share of the step to take: all of it, or to where the potential is least.

        Returns it with the current drawn there and its slope. Between the start, where the
        potential falls, and the full step, where it rises again, secants and halvings take turns.
        """
        slope = step.slope(step.gap)
        share = np.ones_like(slope)
        low, low_slope = np.zeros_like(slope), slope
        high, high_slope = np.ones_like(slope), np.ones_like(slope)
        for trial in range(MOST_TRIALS):
            volts, unit_a = step.after(share)
            drawn, siemens = self._drawn(volts)
            found = step.slope(drawn - unit_a)
            good = (np.abs(found) <= STEP_SLOPE * np.abs(slope)) | ~unsettled
            good |= (share == 1.0) & (found < 0)
            if good.all():
                break
            rises = found > 0
            low, low_slope = np.where(rises, low, share), np.where(rises, low_slope, found)
            high, high_slope = np.where(rises, share, high), np.where(rises, found, high_slope)
            part = 0.5 if trial % 2 else low_slope / np.minimum(low_slope - high_slope, -TINY)
            share = np.where(good, share, low + (high - low) * part)
        else:
            drawn, siemens = self._drawn(step.after(share)[0])
        return share, drawn, siemens

    def _drawn(self, volts: Array) -> tuple[Array, Array]:
        """Find the current into each return rail at every unit, and its slope [A], [S]."""
        amps, siemens = np.zeros_like(volts), np.zeros_like(volts)
        for run, stretch in zip(self.network.runs, self.stretches, strict=True):
            unit = run.unit
            for c, channel in enumerate(unit.channels):
                rail = 0 if unit.shared_return else c
                if self.on[c]:
                    led_a, led_s = channel_current(
                        channel, unit.holds_current, volts[rail, stretch]
                    )
                    amps[rail, stretch] += led_a
                    siemens[rail, stretch] += led_s
            if unit.returns == 1:
                idle_a, idle_s = idle_current(unit, volts[0, stretch])
                amps[0, stretch] += idle_a
                siemens[0, stretch] += idle_s
        return amps, siemens

    def _report(self, flow: Flow, unit_a: Array) -> Solution:
        strip_w = (unit_a * flow.unit_volts).sum(axis=0)
        runs = []
        for number, run in enumerate(self.network.runs):
            own = [s for s, part in enumerate(self.copper.sections) if part.run == number]
            order = np.argsort(np.concatenate([self.copper.sections[s].units for s in own]))
            stretch = self.stretches[number]
            volts = flow.unit_volts[:, stretch][:, order]
            taken_w, rail_w = strip_w[stretch].sum(axis=0), flow.rail_w[own].sum(axis=0)
            runs.append(self._report_run(run, volts, taken_w, rail_w))
        lead_w = (self.copper.lead_ohm * flow.lead_a**2).sum(axis=(0, 1))
        power = PowerBalance(
            source_w=self.supply_v * flow.supply_a[0],
            strip_w=strip_w.sum(axis=0),
            rail_w=flow.rail_w.sum(axis=0),
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

    def _report_run(self, run: Run, rails: Array, strip_w: Array, rail_w: Array) -> RunSolution:
        """One run from the volts of its return rails (returns, units, cases)."""
        unit = run.unit
        volts = np.broadcast_to(rails, (len(unit.channels), *rails.shape[1:]))
        amps = np.zeros(volts.shape)
        light = np.zeros(volts.shape)
        for c, channel in enumerate(unit.channels):
            if self.on[c]:
                amps[c] = channel_current(channel, unit.holds_current, volts[c])[0]
                light[c] = amps[c] / channel.rated_a
        idle = idle_current(unit, rails[0])[0]
        return RunSolution(volts.T, amps.T, idle.T, light.T, strip_w, rail_w)


def _joined(pieces: list[Solution], batch: tuple[int, ...]) -> Solution:
    """Pieces of a flattened batch as one solution with the axes of the batch."""

    def join(*parts: Array) -> Array:
        whole = parts[0] if len(parts) == 1 else np.concatenate(parts)
        return whole.reshape(batch + whole.shape[1:])

    def fields(kind: type[Any], *parts: Any) -> Any:
        names = [field.name for field in dataclass_fields(kind)]
        return kind(*(join(*(getattr(part, name) for part in parts)) for name in names))

    runs = zip(*(piece.runs for piece in pieces), strict=True)
    return Solution(
        supply_v=join(*(p.supply_v for p in pieces)),
        runs=tuple(fields(RunSolution, *parts) for parts in runs),
        supply_a=join(*(p.supply_a for p in pieces)),
        return_a=join(*(p.return_a for p in pieces)),
        lead_a=join(*(p.lead_a for p in pieces)),
        lead_return_a=join(*(p.lead_return_a for p in pieces)),
        feed_v=join(*(p.feed_v for p in pieces)),
        power=fields(PowerBalance, *(p.power for p in pieces)),
        steps=max(p.steps for p in pieces),
    )
