"""The linear part of a ladder: rails cut into sections at the feeds, and the tree of leads.

Within a section only the volts *between* the rails matter to the LEDs. With `r_p` the positive
and `r_c` the return rail's resistance per unit, the volts lost along one segment carrying `j_c`
in each return are `M j` with `M = diag(r_c) + r_p 1 1'`, so positive and returns fold into one
ladder with a block (a single number for one channel) per unit. Folding is exact: what it leaves
out is one current that goes round between two feeds through all rails in parallel, which depends
on the volts of the two feeds alone and is added there. Hence no assumption that positive and
return copper are equal.

The tree of leads enters by its resistance matrix: the volts lost at feed `f` by current at feed
`g` are the resistance of the path that both share. So a lead of 0 ohm is allowed. Rail segments
are taken as at least 1e-9 ohm.

Indices below: `x` conductor (0 positive, then the returns), `f` feed, `s` section, `b` case.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lightcalc.physics.circuit.elimination import (
    Reduced,
    inner_nodes,
    reduce_to_ports,
)
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.sections import Section, layout_of
from lightcalc.physics.circuit.strip import Array, Values

LEAST_SEGMENT_OHM = 1e-9

_FEW_CASES = 100
"""Below so many cases a running sum goes along the units, else over all cases at once."""


@dataclass(frozen=True)
class Flow:
    """Currents that satisfy Kirchhoff's law everywhere, and the volts they leave.

    unit_volts (returns, units, cases) between the rails; feed_volts (conductors, feeds, cases);
    lead_a (conductors, leads, cases), positive towards the strip, so negative in the returns;
    supply_a (conductors, cases); along: the current in each section, and its heat.
    """

    unit_volts: Array
    feed_volts: Array
    lead_a: Array
    supply_a: Array
    along: tuple[_Along, ...]

    @property
    def rail_w(self) -> Array:
        """Heat in the copper of each section (sections, cases)."""
        return np.stack([section.heat_w() for section in self.along])


class Copper:
    """Rails and leads of a network whose numbers are single or arrays of `cases`."""

    def __init__(self, network: Network, cases: int) -> None:
        self.layout = layout = layout_of(network)
        self.sections, self.order = layout.sections, layout.order
        self.near, self.far, self.two_ended = layout.near, layout.far, layout.two_ended
        self.carries, self.loops = layout.carries, layout.loops
        self.segment_ohm = np.maximum(_rails(network, self.sections, cases), LEAST_SEGMENT_OHM)
        self.lead_ohm = _stack(
            [(lead.positive_ohm, *lead.return_ohm) for lead in network.leads], cases
        )
        returns = network.series_return_ohm or (0.0,) * network.returns
        self.series_ohm = _stack([(network.series_positive_ohm, *returns)], cases)[:, 0]

    @cached_property
    def _ladder(self) -> Array:
        """Conductance from each node of the folded ladder to the next."""
        siemens = 1.0 / self.segment_ohm
        share = siemens[1:] / siemens.sum(axis=0)
        segment = -siemens[1:, None] * share[None]
        for c in range(len(share)):
            segment[c, c] += siemens[1 + c]
        rows, cases = len(share), segment.shape[-1]
        nodes = sum(len(section.units) + 2 for section in self.sections)
        coupling = np.zeros((rows, rows, nodes, cases))
        for s, (first, last) in enumerate(zip(self.order.first, self.order.last, strict=True)):
            block = segment[:, :, s, None]
            coupling[:, :, first:last] = block
            coupling[:, :, first] *= 2.0
            coupling[:, :, last - 1] *= 0.0 if self.sections[s].far is None else 2.0
        return coupling

    @cached_property
    def _round_trip(self) -> Array:
        """Admittance of the current that goes round between two feeds (x, x, s, b)."""
        trips = np.zeros((len(self.segment_ohm), *self.segment_ohm.shape))
        for s in self.two_ended:
            siemens = 1.0 / (len(self.sections[s].units) * self.segment_ohm[:, s])
            trips[:, :, s] = siemens[:, None] * (siemens / siemens.sum(axis=0))[None]
        return trips

    @cached_property
    def _shared_ohm(self) -> Array:
        """Resistance of the path from the supply that two feeds share (b, x, f, f)."""
        ohm = self.lead_ohm.transpose(2, 0, 1)[:, :, None]
        shared = self.carries.T * ohm @ self.carries
        return np.asarray(shared + self.series_ohm.T[:, :, None, None])

    @cached_property
    def _tree(self) -> Array:
        """Resistance matrix of the leads over (feed, conductor) pairs (b, f x, f x)."""
        cases, conductors, feeds, _ = self._shared_ohm.shape
        matrix = np.zeros((cases, feeds, conductors, feeds, conductors))
        for x in range(conductors):
            matrix[:, :, x, :, x] = self._shared_ohm[:, x]
        return matrix.reshape(cases, feeds * conductors, feeds * conductors)

    def step(self, siemens: Array, push_a: Array) -> Array:
        """Solve the ladder with each unit replaced by a conductance and a current source.

        Parameters: both (returns, units, cases); `push_a` raises the volts of its unit.
        Returns the change of the volts, same shape.
        """
        shunt = np.zeros_like(self._ladder)
        for c, row in enumerate(siemens):
            shunt[c, c, self.order.units] = row
        rhs = np.zeros((len(siemens), *shunt.shape[2:]))
        rhs[:, self.order.units] = push_a
        reduced = reduce_to_ports(self.order, shunt, self._ladder.copy(), rhs)
        ports = self._port_volts(reduced)
        near, far = ports[:, self.near], ports[:, self.far]
        return inner_nodes(self.order, reduced, near[0] - near[1:], far[0] - far[1:])

    def _port_volts(self, reduced: Reduced) -> Array:
        """Change of volts at the feeds (x, f, b), from the sections and the tree of leads."""
        feeds = self.carries.shape[1]
        conductors, _, cases = self.segment_ohm.shape
        near, across, far = (_unfold(y) for y in (reduced.near, reduced.across, reduced.far))
        across += self._round_trip
        admittance = np.zeros((feeds, feeds, conductors, conductors, cases))
        source = np.zeros((feeds, conductors, cases))
        for s, section in enumerate(self.sections):
            a, z = section.near, section.far
            admittance[a, a] += near[:, :, s] + across[:, :, s]
            source[a] += _outward(reduced.near_rhs[:, s])
            if z is not None:
                back = across[:, :, s].swapaxes(0, 1)
                admittance[a, z] -= across[:, :, s]
                admittance[z, a] -= back
                admittance[z, z] += far[:, :, s] + back
                source[z] += _outward(reduced.far_rhs[:, s])
        size = feeds * conductors
        matrix = self._tree @ admittance.transpose(4, 0, 2, 1, 3).reshape(cases, size, size)
        matrix += np.eye(size)
        driven = self._tree @ source.transpose(2, 0, 1).reshape(cases, size, 1)
        volts = np.linalg.solve(matrix, driven)[:, :, 0]
        return np.asarray(volts.reshape(cases, feeds, conductors).transpose(2, 1, 0), dtype=float)

    def flow(self, unit_a: Array, supply_v: Array) -> Flow:
        """Find the currents and volts everywhere, given the currents of the units.

        Parameters: `unit_a` (returns, units, cases); `supply_v` (cases).
        """
        entering, feed_a = self._feed_currents(unit_a)
        lead_a = self.carries @ feed_a
        supply_a = feed_a.sum(axis=1)
        feed_volts = -self._feed_losses(lead_a, supply_a)
        feed_volts[0] += supply_v
        unit_volts, sections = np.empty_like(unit_a), []
        for s, (section, stretch) in enumerate(
            zip(self.sections, self.layout.stretches, strict=True)
        ):
            along = _Along(self.segment_ohm[:, s], entering[:, s], unit_a[:, stretch])
            near = feed_volts[:, section.near]
            along.write_volts(near[0] - near[1:], unit_volts[:, stretch])
            sections.append(along)
        return Flow(unit_volts, feed_volts, lead_a, supply_a, tuple(sections))

    def _feed_losses(self, lead_a: Array, supply_a: Array) -> Array:
        """Volts lost from the supply to each feed (x, f, b)."""
        lost = self.carries.T @ (self.lead_ohm * lead_a)
        return np.asarray(lost + (self.series_ohm * supply_a)[:, None])

    def feed_response(self) -> Array:
        """Volts lost between the rails at a feed per amp that units take from another (f, f, b).

        For strips with one return rail. What then goes round between the feeds is included.
        """
        feeds, cases = self.carries.shape[1], self.segment_ohm.shape[-1]
        response = np.empty((feeds, feeds, cases))
        for g in range(feeds):
            feed_a = np.zeros((2, feeds, cases))
            feed_a[0, g], feed_a[1, g] = 1.0, -1.0
            if len(self.two_ended):
                feed_a += self.loops.T @ self._through(feed_a)
            lead_a = self.carries @ feed_a
            lost = self._feed_losses(lead_a, feed_a.sum(axis=1))
            response[:, g] = lost[0] - lost[1]
        return response

    def _feed_currents(self, unit_a: Array) -> tuple[Array, Array]:
        """Find the current into each section from its near feed (x, s, b) and from each feed.

        A unit between two feeds at equal volts takes from each by the law of the lever. What the
        feeds' volts differ by drives a further current from feed to feed. It follows from the
        volts around each loop, so that rails without resistance do no harm.
        """
        entering = np.zeros_like(self.segment_ohm)
        feed_a = np.zeros((len(entering), self.carries.shape[1], entering.shape[-1]))
        for s, (section, stretch) in enumerate(
            zip(self.sections, self.layout.stretches, strict=True)
        ):
            drawn = unit_a[:, stretch]
            whole = part = drawn.sum(axis=1)
            if section.far is not None:
                share = 1.0 - (np.arange(drawn.shape[1]) + 0.5) / drawn.shape[1]
                part = share @ drawn
                feed_a[:, section.far] += _outward(whole - part)
            entering[:, s] = _outward(part)
            feed_a[:, section.near] += entering[:, s]
        if len(self.two_ended):
            through = self._through(feed_a)
            entering[:, self.two_ended] += through
            feed_a += self.loops.T @ through
        return entering, feed_a

    def _through(self, feed_a: Array) -> Array:
        """Find what goes round from near to far feed, with `feed_a` by the lever (x, s, b)."""
        lengths = np.array([len(self.sections[s].units) for s in self.two_ended])
        ohm = self.segment_ohm[:, self.two_ended] * lengths[:, None]
        drop = self.loops @ self._shared_ohm
        matrix = drop @ self.loops.T + np.eye(len(lengths)) * ohm.transpose(2, 0, 1)[..., None]
        driven = -drop @ feed_a.transpose(2, 0, 1)[..., None]
        through = driven / matrix if len(lengths) == 1 else np.linalg.solve(matrix, driven)
        return np.asarray(through[..., 0].transpose(1, 2, 0))


class _Along:
    """One section with known currents: `ohm` and `entering` (x, b), `drawn` (returns, units, b).

    Segment `k` of a return carries what enters it less the sum over the units before, so the volts
    lost up to unit `k` are those of the entering current over `k + 1/2` segments, less those of the
    running sum of these sums. The first segment is half as long, and so is one at a far feed.
    """

    def __init__(self, ohm: Array, entering: Array, drawn: Array) -> None:
        self.ohm, self.entering = ohm, entering
        self.sums = np.empty((drawn.shape[0], drawn.shape[1] + 1, drawn.shape[2]))
        self.sums[:, 0] = 0.0
        _running_sum(drawn, self.sums[:, 1:])

    def write_volts(self, near_v: Array, volts: Array) -> None:
        """Write the volts between the rails at each unit, from those at the near feed."""
        own, common = self.ohm[1:], self.ohm[0]
        _running_sum(self.sums[:, :-1], volts)
        total = volts.sum(axis=0) if len(own) > 1 else None
        place = (np.arange(volts.shape[1]) + 0.5)[:, None]
        for c in range(len(volts)):
            loss_v = common * self.entering[0] - own[c] * self.entering[1 + c]
            volts[c] *= own[c] + common if total is None else own[c]
            if total is not None:
                volts[c] += common * total
            volts[c] += near_v[c]
            volts[c] -= place * loss_v

    def heat_w(self) -> Array:
        """Heat in all conductors."""
        total = self.sums[0] if len(self.sums) == 1 else self.sums.sum(axis=0)
        heat = self.ohm[0] * self._squares(total, self.entering[0])
        for c, sums in enumerate(self.sums):
            heat += self.ohm[1 + c] * self._squares(sums, -self.entering[1 + c])
        return np.asarray(heat)

    @staticmethod
    def _squares(sums: Array, entering: Array) -> Array:
        """Sum of the squared currents of a conductor over its segments, the ends counted half."""
        amps = entering - sums
        ends = 0.5 * (amps[0] ** 2 + amps[-1] ** 2)
        return np.asarray(np.einsum("kb,kb->b", amps, amps) - ends)


def _running_sum(rows: Array, out: Array) -> None:
    """Write running sums over the middle axis (returns, units, cases) into `out`."""
    if rows.shape[-1] < _FEW_CASES:
        np.cumsum(rows, axis=1, out=out)
        return
    out[:, 0] = rows[:, 0]
    for k in range(1, rows.shape[1]):
        np.add(out[:, k - 1], rows[:, k], out=out[:, k])


def _stack(rows: list[tuple[Values, ...]], cases: int) -> Array:
    """Numbers (x, rows, cases) from rows of one number, or array of cases, per conductor."""
    stacked = np.empty((len(rows[0]), len(rows), cases))
    for r, row in enumerate(rows):
        for x, value in enumerate(row):
            stacked[x, r] = value
    return stacked


def _rails(network: Network, sections: tuple[Section, ...], cases: int) -> Array:
    """Resistance of each rail from one unit to the next (x, s, b)."""
    rows: list[tuple[Values, ...]] = []
    for section in sections:
        run = network.runs[section.run]
        rails = (run.positive_ohm_per_m, *run.return_ohm_per_m)
        rows.append(tuple(ohm * run.unit_length_m for ohm in rails))
    return _stack(rows, cases)


def _outward(returned: Array) -> Array:
    """Currents of all conductors towards the strip, from those that come back in each return."""
    return np.concatenate([returned.sum(axis=0, keepdims=True), -returned])


def _unfold(block: Array) -> Array:
    """Admittance between conductors, from that between positive and each return."""
    half = np.concatenate([block.sum(axis=0, keepdims=True), -block])
    return np.concatenate([half.sum(axis=1, keepdims=True), -half], axis=1)
