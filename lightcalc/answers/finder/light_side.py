"""Light sides behind a source that limits its current: all of them that no pack changes.

Leads and fuse after a converter follow its limit and its volts alone, so light sides are worked
out for every limit on offer, many at once. They come out as `answer` finds them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import warm_c
from lightcalc.answers.draw import duties
from lightcalc.answers.finder.alike import Batch
from lightcalc.answers.finder.offers import NONE, FuseOffer, WireOffer
from lightcalc.answers.finder.thick import ThickWire
from lightcalc.answers.full_load import INSIDE_PIECE_K
from lightcalc.answers.results import HeatAnswer, RunAnswer
from lightcalc.answers.sizing import SHARING_ROUNDS
from lightcalc.answers.surroundings import brightest, heat_answer
from lightcalc.answers.wiring import CutRun, Wired
from lightcalc.design.piece import Design, Supply, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.pwm import time_slices

Array = NDArray[np.float64]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]
HIDDEN = "hidden"
# What is known of a light side whose wires or fuse rounding could tip: little (judgement).
UNSURE_SHARE = 0.8


@dataclass(frozen=True)
class Lit:
    """Cases of light sides behind limits, each of shape (cases,).

    `of` is the light side. `price` and `mass_kg` are of strips, leads and the fuse after the limit.
    `light_lm` is that of the brightest part of the evening. `lamps_w[on]` is drawn with those
    channels on, controller and all, and `standby_a` when it is dark. `lead_a` flows at full level
    through thick wires, for the pack's side.
    """

    of: Places
    price: Array
    mass_kg: Array
    fall: Array
    light_lm: Array
    full_a: Array
    lead_a: Array
    standby_a: Array
    possible: Flags
    lamps_w: dict[tuple[bool, ...], Array]

    def cases(self, some: slice | Places) -> Lit:
        """Take some of the cases."""
        columns = {name: getattr(self, name)[some] for name in _COLUMNS}
        lamps_w = {on: watts[some] for on, watts in self.lamps_w.items()}
        return Lit(**columns, lamps_w=lamps_w)


_COLUMNS = tuple(field.name for field in fields(Lit) if field.name != "lamps_w")


def joined(parts: Sequence[Lit]) -> Lit:
    """Put cases together that are lit alike."""
    columns = {name: np.concatenate([getattr(part, name) for part in parts]) for name in _COLUMNS}
    lamps_w = {on: np.concatenate([part.lamps_w[on] for part in parts]) for on in parts[0].lamps_w}
    return Lit(**columns, lamps_w=lamps_w)


class Warmth:
    """How warm strips get, each strip on each mounting once."""

    def __init__(self, use: Use) -> None:
        self.use = use
        self._known: dict[tuple[str, str, float], HeatAnswer] = {}

    def of(self, run: CutRun, volts: float) -> HeatAnswer:
        """Work out one run at full level and these volts."""
        key = (run.strip.name, run.run.mounting, volts)
        if key not in self._known:
            self._known[key] = heat_answer(run, volts, self.use)
        return self._known[key]


class LightSides:
    """Everything that light sides of one search share."""

    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.room_c, self.ask, self.catalogue = design.use.temperature_c, design.ask, catalogue
        ambient_c = max(design.use.temperature_c, 20.0) + INSIDE_PIECE_K
        self.wires, self.fuses = WireOffer(catalogue, ambient_c), FuseOffer(catalogue, ambient_c)
        self.warmth = Warmth(design.use)

    def states(self, use: Use, channels: Sequence[str]) -> dict[tuple[bool, ...], None]:
        """Return the sets of channels that are on at some time of an evening, all on first."""
        periods = [time_slices(duties(channels, stretch)) for stretch in use.stretches]
        return dict.fromkeys(
            [(True,) * len(channels), *(part.on for period in periods for part in period)]
        )

    def behind(
        self, batch: Batch, of: Places, limit_a: Array, volts: Array, thick: ThickWire
    ) -> Lit:
        """Light up cases of a batch behind limits [A] at volts (cases,)."""
        supply = batch.wireds[0].supply
        rating_a = self.after_limit(supply, limit_a)
        thick_a = thick.lead_a(of, volts)
        wires, unsure = self._sized(batch, of, rating_a, volts, thick_a)
        possible = np.all(wires != NONE, axis=1) & self.wires.stands(batch.named[of], rating_a)
        pairs = zip(of.tolist(), volts.tolist(), strict=True)
        heat = [[self.warmth.of(run, v) for run in batch.wireds[k].runs] for k, v in pairs]
        possible &= [all(one.strip_c <= one.limit_c for one in row) for row in heat]
        strip_c = np.array([warm_c(row) for row in heat])
        # Wires stand the limit, so no fuse is needed: one is fitted only where it is named.
        fuse = self.fuses.names.index(supply.fuse) if supply.fuse else None
        series_ohm = 0.0 if fuse is None else float(self.fuses.ohm[fuse])
        ohm = self.wires.ohm(wires, batch.leads_m[of], self.room_c)
        jumpers = batch.jumpers(of, ohm, converter=True)
        wiring = batch.network(of, ohm, strip_c, series_ohm, jumpers)
        lamps_w, light_lm, fall, full_a = {}, np.zeros(len(of)), np.zeros(len(of)), volts
        for on in self.states(batch.use, batch.wireds[0].runs[0].strip.channels):
            if not any(on) and batch.wireds[0].runs[0].strip.kind != "pixel":
                lamps_w[on] = batch.idle_a * volts
                continue
            found = solve(wiring, volts, on)
            lamps_w[on] = np.asarray(found.power.source_w) + batch.idle_a * volts
            if all(on):
                full_a = np.asarray(found.supply_a) + batch.idle_a
                light_lm, fall = batch.light(of, found)
        price, mass_kg = self._copper(batch, of, wires, fuse)
        least = np.where(unsure, UNSURE_SHARE, 1.0)
        return Lit(
            of=of,
            price=np.where(unsure, 0.0, price) + self._strips(batch, of, "price"),
            mass_kg=np.where(unsure, 0.0, mass_kg) + self._strips(batch, of, "mass_kg_per_m"),
            fall=np.where(unsure, 0.0, np.maximum(fall - 3e-9, 0.0)),
            light_lm=light_lm / least * (1.0 + 1e-9) * batch.light_ratio[of],
            full_a=full_a * least,
            lead_a=thick_a[:, batch.first_leads].sum(axis=1) + batch.idle_a,
            standby_a=batch.standby_a[of],
            possible=possible,
            lamps_w={on: watts * least for on, watts in lamps_w.items()},
        )

    def after_limit(self, supply: Supply, limit_a: Array) -> Array:
        """Find what leads after a limit must stand (...): it, or the fuse that is named for it."""
        if not supply.fuse:
            return limit_a
        named = self.fuses.names.index(supply.fuse)
        opens = self.fuses.opens_a[named] <= limit_a
        return np.where(opens, np.minimum(limit_a, self.fuses.rating_a[named]), limit_a)

    def _sized(
        self, batch: Batch, of: Places, rating_a: Array, volts: Array, thick_a: Array
    ) -> tuple[Places, Flags]:
        """Choose the wire of each lead (cases, leads); whether rounding could tip it (cases,)."""
        length_m, named = batch.leads_m[of], batch.named[of]
        loop_m = (1.0 + 1.0 / batch.returns) * length_m
        allowed_v = self.ask.lead_drop_ratio * batch.shares[of] * volts[:, None]
        wires, tips = self.wires.choose(thick_a, loop_m, allowed_v, rating_a, named)
        unsure: Flags = np.asarray(tips.any(axis=1))
        most_a = thick_a
        alone = batch.apart and self.wires.thin(wires).all()
        for _ in range(0 if alone else SHARING_ROUNDS):
            lead_a = batch.amps(of, wires, volts)
            ratio = lead_a / np.maximum(most_a, 1e-12)
            unsure = np.asarray(unsure | np.any(np.abs(ratio / 1.01 - 1.0) < 1e-8, axis=1))
            more = np.any(ratio > 1.01, axis=1)
            if not more.any():
                break
            most_a = np.where(more[:, None], np.maximum(most_a, lead_a), most_a)
            again, tipped = self.wires.choose(most_a, loop_m, allowed_v, rating_a, named)
            wires, unsure = np.where(more[:, None], again, wires), unsure | (more & tipped.any(1))
        return wires, unsure

    def _copper(
        self, batch: Batch, of: Places, wires: Places, fuse: int | None
    ) -> tuple[Array, Array]:
        """Price and mass of leads and their connectors; of a fuse only if it is named (cases,)."""
        conductors_m = (1 + batch.returns) * batch.leads_m[of]
        price, mass_kg = (
            np.sum(getattr(self.wires, name)[wires] * conductors_m, axis=1)
            + batch.plugs(name)[of]
            + (0.0 if fuse is None else getattr(self.fuses, name)[fuse])
            for name in ("price", "mass_kg")
        )
        return price, mass_kg

    def _strips(self, batch: Batch, of: Places, name: str) -> Array:
        length_m = batch.of_runs("length_m")
        if name == "price":
            length_m = length_m / batch.of_strips("reel_m")
        return np.asarray(np.sum(batch.of_strips(name) * length_m, axis=1)[of])


def light_lm(wired: Wired, runs: Sequence[RunAnswer], use: Use) -> float:
    """Light of the runs of a supply in the brightest part of the evening."""
    return math.fsum(
        run.light_lm * brightest(cut_run.strip, use).level_ratio
        for cut_run, run in zip(wired.runs, runs, strict=True)
    )
