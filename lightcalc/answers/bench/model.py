"""What a meter would show on a built piece, for a batch of cases that differ in their parts.

A case is a row of knobs. Most knobs are logarithms of a factor on what the catalogue and the design
say (0 leaves it as it is), for one run, one lead or one supply:

    pack: capacity, resistance, rest ── pack lead, pack joint ── converter: efficiency, output
      ── lead, joint ── run: power, rail, forward, rated, state

`rest` raises the pack's volts at rest by a share of its nominal volts, `rated` turns a strip into
one of the same power for other volts, `joint` and `pack joint` are ohms, and `state` is 0 for a run
that is wired as drawn, 1 for one no wire of which makes contact and 2 for one whose leads are
swapped. All cases of all readings are worked out at once, by the same physics as an answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench.built import BuiltSupply
from lightcalc.answers.bench.pack import Ends, PackSide
from lightcalc.answers.draw import controller_idle_a
from lightcalc.answers.wiring import CutRun, copper_times
from lightcalc.design.readings import Probe
from lightcalc.physics.circuit import network
from lightcalc.physics.circuit.ladder import Solution, lead_volts, solve
from lightcalc.physics.circuit.strip import describe_cut_unit

Array = NDArray[np.float64]
Knob = tuple[str, int, int]
"""Name of a knob, number of its supply, and number of its run or lead there (else 0)."""

OF_A_RUN = ("power", "rail", "forward", "rated", "state")
OF_A_LEAD = ("lead", "joint")
OF_A_SUPPLY = (
    "pack lead",
    "pack joint",
    "capacity",
    "resistance",
    "rest",
    "efficiency",
    "output",
)
AS_DRAWN, OPEN, REVERSED = 0.0, 1.0, 2.0
SHOWN_SIGN = np.array([1.0, 0.0, -1.0])
# A run that draws nothing is one of next to no power, so that every case has the same wiring.
DEAD_SHARE = 1e-9
# LEDs and regulator together stay this far below the volts of the strip.
MOST_FORWARD_SHARE = 0.995
MOST_ROUNDS, LIMIT_TOLERANCE, TINY_A = 12, 1e-4, 1e-9


class BenchModel:
    """Predicts what a meter shows at each probe.

    `knobs` names the columns of a batch of cases, and `as_drawn` is the row in which everything
    is as the catalogue and the design say.
    """

    def __init__(self, built: Sequence[BuiltSupply]) -> None:
        self.built = tuple(built)
        self.knobs: tuple[Knob, ...] = tuple(
            knob for supply in self.built for knob in _knobs_of(supply)
        )
        self.column = {knob: place for place, knob in enumerate(self.knobs)}

    @property
    def as_drawn(self) -> Array:
        """One case (1, knobs) in which nothing differs from the drawing."""
        return np.zeros((1, len(self.knobs)))

    def predict(self, cases: Array, probes: Sequence[Probe]) -> Array:
        """Return what a meter shows (cases, probes) in volts, amps and seconds.

        `cases` (cases, knobs) as described above.
        """
        shown = np.empty((len(cases), len(probes)))
        for supply in self.built:
            own = [n for n, probe in enumerate(probes) if probe.supply == supply.supply.name]
            if own:
                asked = [probes[n] for n in own]
                shown[:, own] = _SupplyCases(self, supply, cases).read(asked)
        return shown


def _knobs_of(supply: BuiltSupply) -> list[Knob]:
    wired, number = supply.circuit.wired, supply.number
    knobs = [(name, number, run) for name in OF_A_RUN for run in range(len(wired.runs))]
    knobs += [(name, number, lead) for name in OF_A_LEAD for lead in range(len(wired.leads))]
    return knobs + [(name, number, 0) for name in OF_A_SUPPLY]


class _SupplyCases:
    """One supply in every case of a batch."""

    def __init__(self, model: BenchModel, supply: BuiltSupply, cases: Array) -> None:
        self.supply, self.circuit, self.wired = supply, supply.circuit, supply.circuit.wired
        number = supply.number
        self.knob = {
            (name, place): cases[:, model.column[name, owner, place]]
            for name, owner, place in model.knobs
            if owner == number
        }
        self.network = self._network()
        self.idle_a = controller_idle_a(self.wired)
        self._lit: dict[float, Solution] = {}

    def read(self, probes: Sequence[Probe]) -> Array:
        """Return what is shown at each probe (cases, probes)."""
        levels = tuple(sorted({probe.level_ratio for probe in probes} | {1.0}))
        self.levels = levels
        return np.stack([self._read(probe) for probe in probes], axis=-1)

    # The strip side ------------------------------------------------------------------------

    def _network(self) -> network.Network:
        """Build the network of all cases at once, every number an array over them."""
        drawn, lead_factor = self.circuit.network, self._factor("pack lead")
        runs = tuple(
            self._run(number, *pair)
            for number, pair in enumerate(zip(drawn.runs, self.wired.runs, strict=True))
        )
        leads = []
        for number, lead in enumerate(drawn.leads):
            contact_ohm = self.wired.leads[number].contact_ohm
            found = copper_times(lead, self._factor("lead", number), contact_ohm)
            ohm = found.positive_ohm + self.knob["joint", number]
            leads.append(replace(found, positive_ohm=ohm))
        series_ohm: Array | float = drawn.series_positive_ohm
        self.pack_lead_ohm = self.circuit.pack_lead_ohm * lead_factor + self.knob["pack joint", 0]
        if self.straight:
            series_ohm = self.pack_lead_ohm + self.circuit.jumpers.positive_ohm
        return network.Network(runs, tuple(leads), series_ohm, drawn.series_return_ohm)

    def _factor(self, name: str, place: int = 0) -> Array:
        return np.asarray(np.exp(self.knob[name, place]))

    def _run(self, number: int, drawn: network.Run, cut_run: CutRun) -> network.Run:
        strip, rated = cut_run.strip, self._factor("rated", number)
        alive = np.where(self.knob["state", number] == AS_DRAWN, 1.0, DEAD_SHARE)
        rated_v = strip.rated_v * rated
        dropout_v = None if strip.dropout_v is None else strip.dropout_v * rated
        room_v = rated_v * MOST_FORWARD_SHARE - (0.0 if dropout_v is None else dropout_v)
        forward = rated * self._factor("forward", number)
        unit = describe_cut_unit(
            strip.kind,
            rated_v=rated_v,
            power_w_per_m=strip.power_w_per_m * self._factor("power", number) * alive,
            cut_unit_length_m=strip.cut_unit_m,
            forward_v=[np.minimum(volts * forward, room_v) for volts in strip.forward_v],
            leds_in_series=strip.leds_in_series,
            dropout_v=dropout_v,
            idle_a=strip.idle_a * alive if strip.idle_a else 0.0,
        )
        rail = self._factor("rail", number)
        return network.Run(
            unit,
            drawn.units,
            drawn.unit_length_m,
            drawn.positive_ohm_per_m * rail,
            tuple(ohm * rail for ohm in drawn.return_ohm_per_m),
        )

    @property
    def straight(self) -> bool:
        """Whether the runs hang straight on a bare pack, and follow its volts."""
        return self.circuit.converter is None and self.wired.pack.output_v is None

    @cached_property
    def held_v(self) -> Array:
        """Volts that a converter or a bank holds for the runs: as set, or less at its limit."""
        return self._held[0]

    @cached_property
    def _held(self) -> tuple[Array, Solution]:
        set_v = self.wired.output_v * self._factor("output")
        found, converter = solve(self.network, set_v), self.circuit.converter
        limit_a = np.inf if converter is None else converter.limit_a - self.idle_a
        over = found.supply_a > limit_a
        if over.any():
            set_v[over] = sagged_v(some_cases(self.network, over), set_v[over], limit_a)
            found = solve(self.network, set_v)
        return set_v, found

    def lit(self, lit_s: float) -> Solution:
        """Solve the runs at full level; straight on a pack after `lit_s` from full."""
        if not self.straight:
            return self._held[1]
        if lit_s not in self._lit:
            if lit_s == 0.0:
                return self._at_once[1]
            self._lit[lit_s] = solve(self.network, self.pack.lit_v(1.0, lit_s))
        return self._lit[lit_s]

    @cached_property
    def _at_once(self) -> tuple[Array, Solution]:
        """Solve the runs straight on the full pack, its resistance taken into the network.

        Returns the volts at the terminals, behind which the controller draws its own current, too.
        """
        source_v, cell_ohm = self.pack.full_v, self.pack.cell_ohm
        series_ohm = self.network.series_positive_ohm + cell_ohm
        behind = replace(self.network, series_positive_ohm=series_ohm)
        found = solve(behind, source_v - cell_ohm * self.idle_a)
        return source_v - cell_ohm * (found.supply_a + self.idle_a), found

    def full_lit_v(self) -> Array:
        """Volts at the terminals of a full pack straight on its runs, at full level [V]."""
        return self._at_once[0]

    @cached_property
    def dark(self) -> Solution | None:
        """The runs with every channel off; None for strips that then draw nothing."""
        if not any(run.strip.idle_a > 0.0 for run in self.wired.runs):
            return None
        volts = self.pack.lit_v(1.0, 0.0) if self.straight else self.held_v
        return solve(self.network, volts, self._off)

    # The pack side -------------------------------------------------------------------------

    @cached_property
    def pack(self) -> PackSide:
        """The pack under each level, in every case."""
        return PackSide(self.supply, self, self.levels)

    def draws(self, volts: Array) -> Ends:
        """Return what lit and dark runs take from the controller's input.

        `volts` at the pack's terminals (rows,). Lit power and light are (cases, rows) straight on
        a pack and (cases, 1) behind a converter or a bank.
        """
        if not self.straight:
            at, on = self.held_v, self.lit(0.0)
            dark_w = self.dark.power.source_w if self.dark is not None else 0.0 * at
            idle_w = self.idle_a * at
            held = (on.power.source_w + idle_w, dark_w + idle_w, self._light_w(on))
            return Ends(*(watts[:, None] for watts in held))
        # Cases that differ only in their packs draw alike.
        which, places = self._wirings
        wiring = spread_cases(some_cases(self.network, which))
        on = solve(wiring, np.broadcast_to(volts, (len(which), len(volts))))
        idle_w = self.idle_a * volts
        dark_w = np.zeros(on.power.source_w.shape)
        if self.dark is not None:
            dark_w = solve(wiring, on.supply_v, self._off).power.source_w
        found = (on.power.source_w + idle_w, dark_w + idle_w, self._light_w(on))
        return Ends(*(watts[places] for watts in found))

    @cached_property
    def _wirings(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Cases of different wiring, and which of them each case is like."""
        pack = ("capacity", "resistance", "rest", "efficiency", "output")
        columns = [values for (name, _), values in self.knob.items() if name not in pack]
        _, which, places = np.unique(
            np.stack(columns, axis=-1), axis=0, return_index=True, return_inverse=True
        )
        return which, places.reshape(-1)

    @property
    def _off(self) -> tuple[bool, ...]:
        return (False,) * len(self.wired.runs[0].strip.channels)

    def _light_w(self, found: Solution) -> Array:
        pairs = zip(self.wired.runs, found.runs, strict=True)
        light = [run.rated_light_w * one.light.mean(axis=(-1, -2)) for run, one in pairs]
        return np.asarray(sum(light))

    # Reading -------------------------------------------------------------------------------

    def _read(self, probe: Probe) -> Array:
        if probe.place == "light":
            return self.pack.until_s(probe.level_ratio, probe.until)
        if probe.place == "pack":
            return self._at_pack(probe)
        if probe.place == "output":
            return self._output(probe)
        if probe.quantity == "current":
            return self._run_amps(probe)
        return self._run_volts(probe)

    def _at_pack(self, probe: Probe) -> Array:
        if probe.quantity == "current":
            return self.pack.lit_a(probe.level_ratio, probe.lit_s)
        shown = self.pack.rest_v if probe.rested else self.pack.lit_v
        return shown(probe.level_ratio, probe.lit_s)

    def _output(self, probe: Probe) -> Array:
        if probe.quantity == "voltage":
            return self.held_v
        lit_a = self.lit(probe.lit_s).supply_a
        dark_a = 0.0 if self.dark is None else self.dark.supply_a
        level = probe.level_ratio
        return np.asarray(level * lit_a + (1.0 - level) * dark_a + self.idle_a)

    def _run_number(self, probe: Probe) -> int:
        return [run.run.name for run in self.wired.runs].index(probe.run)

    def _lead_numbers(self, run: int) -> list[int]:
        return [k for k in self.network.feeds if self.network.leads[k].run == run]

    def _run_amps(self, probe: Probe) -> Array:
        leads = self._lead_numbers(self._run_number(probe))
        if probe.place == "lead":
            leads = [leads[probe.feed]]
        lit_a = self.lit(probe.lit_s).lead_a[:, leads].sum(axis=-1)
        if self.dark is None:
            return np.asarray(probe.level_ratio * lit_a)
        dark_a = self.dark.lead_a[:, leads].sum(axis=-1)
        return np.asarray(probe.level_ratio * lit_a + (1.0 - probe.level_ratio) * dark_a)

    def _run_volts(self, probe: Probe) -> Array:
        number, found = self._run_number(probe), self.lit(probe.lit_s)
        state = self.knob["state", number].astype(np.intp)
        column = 0 if self.network.runs[number].unit.shared_return else probe.channel
        if probe.place == "lead":
            lead = self._lead_numbers(number)[probe.feed]
            volts = lead_volts(self.network, found)[1][lead][:, column]
            # Before a joint that makes no contact the volts are all there.
            sign = np.where(state == 1, 1.0, SHOWN_SIGN[state])
            return np.asarray(sign * (volts + self.knob["joint", lead] * found.lead_a[:, lead]))
        pad = self.wired.runs[number].pad(probe.at_m)
        feeds = [(k, self.network.leads[k]) for k in self.network.feeds]
        at_feed = [
            place for place, (_, lead) in enumerate(feeds) if (lead.run, lead.pad) == (number, pad)
        ]
        if at_feed:
            volts = found.feed_v[:, at_feed[0], column]
        else:
            volts = _between_units(found.runs[number].volts[:, :, probe.channel], pad)
        return np.asarray(SHOWN_SIGN[state] * volts)


def _between_units(unit_v: Array, pad: int) -> Array:
    """Volts at a pad with no feed: half way between its neighbours; at an end those of the last.

    ```
    pad 0       1       2       3
        |---o---|---o---|---o---|     beyond the last LEDs no current flows
    ```
    """
    before, after = max(pad - 1, 0), min(pad, unit_v.shape[1] - 1)
    return np.asarray(0.5 * (unit_v[:, before] + unit_v[:, after]))


def some_cases(
    wiring: network.Network, chosen: NDArray[np.bool_] | NDArray[np.intp]
) -> network.Network:
    """Return the network of some of the cases."""
    return wiring.with_numbers(
        lambda number: np.asarray(number)[chosen] if np.ndim(number) else number
    )


def spread_cases(wiring: network.Network) -> network.Network:
    """Return the network of the same cases, each for a whole row of volts."""
    return wiring.with_numbers(
        lambda number: np.asarray(number)[:, None] if np.ndim(number) else number
    )


def sagged_v(
    wiring: network.Network,
    set_v: Array,
    limit_a: Array | float,
    on: tuple[bool, ...] | None = None,
) -> Array:
    r"""Find the volts at which the runs draw just the limit, between none and those set [V].

    A resistor in front of the runs turns limit and volts into a load line, which a solved network
    meets in one go; each round moves the line to where the last one met, from below, where the
    current still rises.

    ```
    A |          limit ----*------- what is looked for
      |  \              /
      |     \  line    /  runs
      |        \     _/
      |___________\_/____________ V
    ```
    """
    ohm = set_v / limit_a
    behind = replace(wiring, series_positive_ohm=wiring.series_positive_ohm + ohm)
    volts = met_v = met_a = np.zeros_like(set_v)
    for number in range(MOST_ROUNDS):
        before_v, before_a = met_v, met_a
        met_a = solve(behind, limit_a * ohm + volts, on).supply_a
        met_v = volts + (limit_a - met_a) * ohm
        missing_a = limit_a - met_a
        if np.all(np.abs(missing_a) <= LIMIT_TOLERANCE * limit_a):
            break
        # Beyond what LEDs need before they draw at all, volts and amps go on as from last to this.
        change_a = met_a - before_a
        rise = (met_v - before_v) / np.where(np.abs(change_a) > TINY_A, change_a, np.inf)
        volts = np.clip(met_v + (missing_a * rise if number else 0.0), 0.0, set_v)
    return np.asarray(met_v)
