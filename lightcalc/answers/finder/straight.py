"""The longest that strips straight on a pack could shine, for every pack of a column at once.

The pack's terminals lie no lower than at rest less all that its resistance and lag can take at the
greatest current, and the strips draw no less there than through the thinnest wires on offer. So a
charge lasts no longer than one that goes at that current, until even strips with no wire at all
are down to half of the least light there could have been when it began.

    rest volts ──────────────.__            at most this light
    less the most sag ---------. .._        at least this current
                                    `.
               charge drawn  ─────────────▶
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bought import named_wire, offered_wires
from lightcalc.answers.draw import Circuit, duties
from lightcalc.answers.endurance import HALF
from lightcalc.answers.finder.energy import SLACK, Stage, longest_s
from lightcalc.answers.wiring import Wired, build_network, wire_up
from lightcalc.design.piece import Design, Supply, Use
from lightcalc.parts import kinds
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.ladder import Solution, solve
from lightcalc.physics.network import Network
from lightcalc.physics.pack import Pack, stack_packs
from lightcalc.physics.pack_fit import LAG_SHARES
from lightcalc.physics.strip import Values
from lightcalc.physics.wire import Wire, loop_ohm

Array = NDArray[np.float64]

VOLTS = 41
# Shares of the charge drawn, beyond what the label says too.
DRAWN = np.linspace(0.0, 1.3, 261)
# What a lead may do to the fall along a run, by far.
FALL_SHARE, FALL_MARGIN = 0.9, 0.002


@dataclass(frozen=True)
class StraightBounds:
    """What the strips of a supply do straight on its terminals, over the volts there (volts,).

    least_a, most_a    current at full level through the thinnest wires on offer and the thickest
    least_lm, most_lm  light likewise
    fall               fall in light through the thickest, less a margin
    shares             for each stage of the evening, the least share of that current
    """

    volts: Array
    least_a: Array
    most_a: Array
    least_lm: Array
    most_lm: Array
    fall: Array
    shares: tuple[Stage, ...]
    circuit: Circuit

    def hours_h(
        self, packs: Cells, rows: NDArray[np.intp], multiple: Array, dark_w: Array, use: Use
    ) -> Array:
        """Return hours that no pack of `rows`, `multiple` times as big, exceeds."""
        full_v = packs.rest_v[rows, 0]
        most_a = self._at(full_v, self.most_a)
        rest_v, sag_v = packs.volts(rows, multiple, most_a)
        least_a = np.maximum(self._at(sag_v, self.least_a), 1e-9)
        ohms = packs.column.ohms[rows] / multiple[:, None]
        # Nothing lags behind yet when a charge begins.
        began_lm = self._at(rest_v[:, :1] - ohms * most_a[:, None], self.least_lm)
        shines_lm = self._at(rest_v - ohms * least_a, self.most_lm)
        lit = (shines_lm >= HALF * began_lm) & packs.gives[rows]
        steps = DRAWN[1] * packs.capacity_coulomb[rows, None] * multiple[:, None] / least_a
        full_level_s = np.sum(np.where(lit, steps, 0.0), axis=1)
        dark = dark_w / full_v / most_a
        return SLACK * longest_s(full_level_s, self.shares, dark, use.evenings_a_week) / 3600.0

    def stages(self, volts: float) -> tuple[Stage, ...]:
        """Return the stages of an evening at fixed volts."""
        full_w = volts * float(self._at(np.array(volts), self.least_a))
        return tuple(Stage(one.least_w * full_w, one.duration_s) for one in self.shares)

    def light_lm(self, volts: Array) -> Array:
        """Return at least as much light as there is at full level at these volts."""
        return self._at(volts, self.most_lm)

    def fall_at(self, volts: Array) -> Array:
        """Return no more than the fall in light at these volts."""
        return self._at(volts, self.fall)

    def _at(self, volts: Array, values: Array) -> Array:
        return np.asarray(np.interp(volts, self.volts, values))


class Cells:
    """Every pack of a catalogue with its curve, (packs, drawn)."""

    def __init__(self, packs: Sequence[Pack]) -> None:
        batch = stack_packs(list(packs))
        column = Pack(*(getattr(batch, field.name)[:, None] for field in fields(Pack)))
        self.column = column
        self.capacity_coulomb = batch.capacity_coulomb
        self.rest_v = column.open_circuit_volts(DRAWN)
        self.gives = self.rest_v >= batch.cutoff_volts[:, None]

    def volts(self, rows: NDArray[np.intp], multiple: Array, most_a: Array) -> tuple[Array, Array]:
        """Return the rest volts of some packs, and those less all sag at a current (rows,)."""
        amps = (most_a / multiple)[:, None]
        capacity, ohms, lag_s, rise_s_per_a = (
            getattr(self.column, name)[rows]
            for name in ("capacity_coulomb", "ohms", "lag_s", "lag_rise_s_per_a")
        )
        behind = sum(LAG_SHARES) * amps * (lag_s + rise_s_per_a * amps) / capacity
        late = np.empty((len(rows), len(DRAWN)))
        for place, row in enumerate(rows):
            late[place] = np.interp(DRAWN + behind[place], DRAWN, self.rest_v[row])
        return self.rest_v[rows], np.maximum(late - ohms * amps, 0.0)


def straight_bounds(
    supply: Supply, design: Design, catalogue: Catalogue, packs: Sequence[kinds.Pack]
) -> StraightBounds:
    """Work out what the strips of a supply draw and give at least and at most on some packs."""
    wired, room_c = wire_up(supply, design, catalogue), design.use.temperature_c
    volts = np.linspace(0.0, 2.0 * wired.rated_v, VOLTS)
    cold = tuple(room_c for _ in wired.runs)
    best_case = build_network(wired, _extreme(min, wired, catalogue), cold, 0.0, room_c)
    best = solve(best_case, volts)
    # No lead may lose more than its share of the volts, or a finding stops the design.
    lowest_v = min(pack.output_v or pack.full_v for pack in packs)
    least = solve(best_case, lowest_v)
    loss_v = design.ask.lead_drop_ratio * max(pack.output_v or pack.nominal_v for pack in packs)
    worst_case = _worst(wired, np.abs(least.lead_a), loss_v, room_c, catalogue)
    drawn_a = float(least.supply_a)
    worst_case = replace(
        worst_case, series_positive_ohm=_series_ohm(supply, loss_v / drawn_a, room_c, catalogue)
    )
    worst = solve(worst_case, volts)
    return StraightBounds(
        volts,
        worst.supply_a,
        best.supply_a,
        _light_lm(wired, worst),
        _light_lm(wired, best),
        _fall(best),
        _shares(wired, design.use),
        Circuit(wired, worst_case, 0.0, None),
    )


def _worst(
    wired: Wired, lead_a: Array, loss_v: float, room_c: float, catalogue: Catalogue
) -> Network:
    """Wire a supply with the thinnest leads that lose no more than they may, and hot strips."""
    hot = tuple(cut_run.strip.max_c for cut_run in wired.runs)
    network = build_network(wired, _extreme(max, wired, catalogue), hot, 0.0, room_c)
    leads = []
    for lead, drawn, amps in zip(network.leads, wired.leads, lead_a, strict=True):
        if drawn.lead.wire is None:
            # The loss is that of the loop, with as much of it on the way back for one return.
            most_ohm = loss_v * drawn.share / max(float(amps), 1e-9)
            share = min(1.0, most_ohm / max(_ohms(lead.positive_ohm), 1e-12))
        else:
            share = 1.0
        returns = tuple(share * _ohms(ohm) for ohm in lead.return_ohm)
        leads.append(
            replace(lead, positive_ohm=share * _ohms(lead.positive_ohm), return_ohm=returns)
        )
    return replace(network, leads=tuple(leads))


def _ohms(ohm: Values) -> float:
    return float(np.asarray(ohm))


def _light_lm(wired: Wired, found: Solution) -> Array:
    light = [
        cut_run.strip.light_lm_per_m * cut_run.length_m * run.light.mean(axis=(-1, -2))
        for cut_run, run in zip(wired.runs, found.runs, strict=True)
    ]
    return np.asarray(sum(light))


def _fall(found: Solution) -> Array:
    """Fall in light of the worst run, less a margin.

    Along a run of resistors it hardly depends on the volts that reach the run, nor so on its lead:
    the currents of all units go by nearly the same share.
    """
    falls = []
    for run in found.runs:
        light = run.light.mean(axis=-1)
        falls.append(1.0 - light.min(axis=-1) / np.maximum(light.max(axis=-1), 1e-12))
    return np.asarray(np.maximum(FALL_SHARE * np.max(falls, axis=0) - FALL_MARGIN, 0.0))


def _extreme(most: Callable[..., Wire], wired: Wired, catalogue: Catalogue) -> tuple[Wire, ...]:
    """Return for each lead the wire it was given, or that of most or least ohms on offer."""
    extreme = most(offered_wires(catalogue), key=lambda wire: wire.size.resistance_20c_ohm_per_m)
    named = (lead.lead.wire for lead in wired.leads)
    return tuple(extreme if name is None else named_wire(name, catalogue) for name in named)


def _shares(wired: Wired, use: Use) -> tuple[Stage, ...]:
    """Return the share of full current of each stage: that of the channel that is least on."""
    channels = wired.runs[0].strip.channels
    return tuple(
        Stage(max(min(duties(channels, stretch)), 1e-6), stretch.duration_s)
        for stretch in use.stretches
    )


def _series_ohm(supply: Supply, most_ohm: float, room_c: float, catalogue: Catalogue) -> float:
    """Return the most ohms there can be from the terminals to the leads: lead, fuse and plugs."""
    plugs = sum(2.0 * catalogue.connectors[name].resistance_ohm for name in supply.connectors)
    fuses = [0.0, *(fuse.resistance_ohm for fuse in catalogue.fuses.values())]
    wires = offered_wires(catalogue)
    if supply.pack_wire is not None:
        wires, most_ohm = [named_wire(supply.pack_wire, catalogue)], math.inf
    ohm = max(float(loop_ohm(wire.size, 2.0 * supply.pack_lead_m, room_c)) for wire in wires)
    return min(ohm, most_ohm) + max(fuses) + plugs
