"""Builds one by one: what differs is written into the parts and the design, and `answer` is asked.

Nothing of the batched path is used; the rules of the spread are written out here once more.
"""

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np

import lightcalc.answers.band.spread
from lightcalc.answers import surroundings
from lightcalc.answers.answer import answer
from lightcalc.tables.mountings import mountings

FOLDER = Path(lightcalc.answers.band.spread.__file__).parent
USUAL = tomllib.loads((FOLDER / "tolerances.toml").read_text())
BENCH = USUAL["tolerances"]


def named(made, catalogue):
    """The design with the wires and fuses of its answer, so that no build chooses others."""
    found = answer(made, catalogue)
    wires = {(wire.supply, wire.lead): wire.wire for wire in found.wires}
    fuses = {(fuse.supply, fuse.place): fuse.fuse for fuse in found.fuses}
    of = {run.name: run.supply for run in made.runs}

    def feeds(run):
        supply = of[run.name]
        return tuple(
            replace(feed, lead=replace(feed.lead, wire=wires[supply, feed.lead.name]))
            for feed in run.feeds
        )

    trunks = {lead: wire for (_, lead), wire in wires.items()}
    return replace(
        made,
        runs=tuple(replace(run, feeds=feeds(run)) for run in made.runs),
        trunks=tuple(replace(trunk, wire=trunks[trunk.name]) for trunk in made.trunks),
        supplies=tuple(
            replace(
                supply,
                pack_wire=wires[supply.name, f"{supply.name} pack lead"],
                pack_fuse=fuses.get((supply.name, "at the pack")),
                fuse=fuses.get((supply.name, "after the converter")),
            )
            for supply in made.supplies
        ),
    )


class Draws:
    """Factors by code, part and place, each from its own normal number."""

    def __init__(self, normal):
        self.normal = normal

    def __call__(self, code, of, place, tolerance, alone=True):
        """Factor of one place; `alone` when its part counts nowhere else."""
        if alone:
            return float(np.exp(tolerance / 2 * self.normal(code, of, None)))
        common = USUAL["batch"]["common_share"]
        z = common**0.5 * self.normal(code, of, None)
        z += (1 - common) ** 0.5 * self.normal(code, of, place)
        return float(np.exp(tolerance / 2 * z))


def build(made, catalogue, draw, monkeypatch):
    """Return design and catalogue of one build; `draw` as `Draws`."""
    usual = USUAL["tolerances"]
    tables = {
        kind: dict(getattr(catalogue, kind))
        for kind in ("strips", "packs", "converters", "controllers")
    }
    room_k = usual["temperature_k"] / 2 * draw.normal("temperature", "", None)
    copies, warmth = dict(mountings()), {}
    runs, supplies, wire_of = [], [], {}
    counts = _counts(made)
    for number, supply in enumerate(made.supplies):
        for k, run in enumerate(made.runs_of(supply.name)):
            strip, place = catalogue.strips[run.strip], (number, k)
            one = counts["strip", strip.name] == 1
            power = draw("power", strip.name, place, strip.power_tolerance, one)
            light = draw("light", strip.name, place, usual["light"], one)
            forward = draw("forward", strip.name, place, strip.forward_v_tolerance, one)
            pitch = 1.0
            if run.seen:
                seen_once = counts["seen strip", strip.name] == 1
                pitch = draw("pitch", strip.name, place, usual["pitch"], seen_once)
            tables["strips"][f"{strip.name} {place}"] = replace(
                strip,
                name=f"{strip.name} {place}",
                power_w_per_m=strip.power_w_per_m * power,
                light_lm_per_m=strip.light_lm_per_m * power * light,
                forward_v=tuple(volts * forward for volts in strip.forward_v),
                rail_ohm_per_m=strip.rail_ohm_per_m
                * draw("rail", strip.name, place, strip.rail_tolerance, one),
                pitch_m=strip.pitch_m * pitch,
                channel_pitch_m=strip.channel_pitch_m * pitch,
            )
            mounting = f"{run.mounting} {place}"
            copies[mounting] = replace(mountings()[run.mounting], name=mounting)
            alone = counts["mounting", run.mounting] == 1
            warmth[mounting] = draw("mounting", run.mounting, place, usual["mounting"], alone)
            seen = tuple(
                replace(
                    one_seen,
                    distance_m=one_seen.distance_m
                    * draw(
                        "distance", f"{run.name} to {one_seen.surface}", None, usual["distance"]
                    ),
                )
                for one_seen in run.seen
            )
            feeds = []
            for feed in run.feeds:
                wire_of[feed.lead.name] = number
                feeds.append(replace(feed, lead=_lead(feed.lead, catalogue, draw, number, counts)))
            runs.append(
                replace(
                    run,
                    strip=f"{strip.name} {place}",
                    mounting=mounting,
                    seen=seen,
                    feeds=tuple(feeds),
                )
            )
        supplies.append(
            _supply(supply, number, catalogue=catalogue, tables=tables, draw=draw, counts=counts)
        )
    order = [run.name for run in made.runs]
    runs.sort(key=lambda run: order.index(run.name))
    trunks = tuple(_lead(trunk, catalogue, draw, 0, counts) for trunk in made.trunks)
    plain_rise = (
        surroundings.strip_rise_k.__wrapped__
        if hasattr(surroundings.strip_rise_k, "__wrapped__")
        else surroundings.strip_rise_k
    )

    def rise_k(heat, mounting, *rest):
        return plain_rise(heat, mounting, *rest) * warmth[mounting.name]

    rise_k.__wrapped__ = plain_rise
    monkeypatch.setattr(surroundings, "mountings", lambda: copies)
    monkeypatch.setattr(surroundings, "strip_rise_k", rise_k)
    use = replace(made.use, temperature_c=made.use.temperature_c + room_k)
    changed = replace(made, runs=tuple(runs), supplies=tuple(supplies), trunks=trunks, use=use)
    return changed, replace(catalogue, **tables)


def _lead(lead, catalogue, draw, number, counts):
    wire = catalogue.wires[lead.wire]
    factor = draw(
        "wire", wire.name, (number, lead.name), wire.tolerance, counts["wire", wire.name] == 1
    )
    factor *= draw("lead length", lead.name, None, BENCH["lead_length"])
    return replace(lead, length_m=lead.length_m * factor)


def _supply(supply, number, *, catalogue, tables, draw, counts):
    usual = USUAL["tolerances"]
    pack = catalogue.packs[supply.pack]
    one = counts["pack", pack.name] == 1
    capacity = draw("capacity", pack.name, (number,), pack.capacity_tolerance, one)
    fast = pack.fast_capacity_coulomb
    changes = {
        "capacity_coulomb": pack.capacity_coulomb * capacity,
        "fast_capacity_coulomb": None if fast is None else fast * capacity,
        "resistance_ohm": pack.resistance_ohm
        * draw("resistance", pack.name, (number,), pack.resistance_tolerance, one),
        "self_discharge_per_month": pack.self_discharge_per_month
        * draw("self-discharge", pack.name, (number,), usual["self_discharge"], one),
    }
    if pack.output_v is not None:
        wide = BENCH["bank_efficiency"]
        share = pack.output_efficiency * draw("bank efficiency", pack.name, (number,), wide, one)
        changes["output_efficiency"] = min(share, 1.0)
        wide = BENCH["bank_output"]
        changes["output_v"] = pack.output_v * draw("bank output", pack.name, (number,), wide, one)
    tables["packs"][f"{pack.name} {number}"] = replace(
        pack, name=f"{pack.name} {number}", **changes
    )
    health = supply.health_ratio
    if health < 1.0:
        health = 1.0 - (1.0 - health) * draw(
            "age", pack.name, (number,), usual["age"], counts["aged", pack.name] == 1
        )
    changed = replace(
        supply,
        pack=f"{pack.name} {number}",
        health_ratio=health,
        pack_lead_m=_pack_lead_m(supply, catalogue, draw, number, counts),
    )
    if supply.controller:
        part = catalogue.controllers[supply.controller]
        name = f"{part.name} {number}"
        alone = counts["controller", part.name] == 1
        idle_a = part.idle_a * draw("idle", part.name, (number,), usual["idle"], alone)
        tables["controllers"][name] = replace(part, name=name, idle_a=idle_a)
        changed = replace(changed, controller=name)
    if supply.converter:
        changed = _with_converter(
            changed, supply, number, catalogue=catalogue, tables=tables, draw=draw, counts=counts
        )
    return changed


def _pack_lead_m(supply, catalogue, draw, number, counts):
    wire = catalogue.wires[supply.pack_wire]
    factor = draw("wire", wire.name, (number,), wire.tolerance, counts["wire", wire.name] == 1)
    name = f"{supply.name} pack lead"
    return supply.pack_lead_m * factor * draw("lead length", name, None, BENCH["lead_length"])


def _with_converter(changed, supply, number, *, catalogue, tables, draw, counts):
    part, place = catalogue.converters[supply.converter], (number,)
    alone = counts["converter", part.name] == 1
    volts = supply.output_v
    if volts is None:
        (rated_v,) = {catalogue.strips[name].rated_v for name in counts["strips of", supply.name]}
        volts = rated_v
    volts *= draw("output", part.name, place, BENCH["output"], alone)
    better = draw("efficiency", part.name, place, part.efficiency_tolerance, alone)
    changes = {}
    if part.efficiency is not None:
        changes["efficiency"] = min(part.efficiency * better, 1.0)
    else:
        # All that goes in, what comes out and the loss, is more or less by the factor.
        changes["loss_points"] = tuple(
            (amps, (amps * volts + watts) / better - amps * volts)
            for amps, watts in part.loss_points
        )
    idle = draw("converter idle", part.name, place, USUAL["tolerances"]["idle"], alone)
    name = f"{part.name} {number}"
    tables["converters"][name] = replace(part, name=name, idle_a=part.idle_a * idle, **changes)
    return replace(changed, converter=name, output_v=volts)


def _counts(made):
    """In how many places each part counts."""
    counts = {}

    def add(*key):
        counts[key] = counts.get(key, 0) + 1

    for run in made.runs:
        add("strip", run.strip)
        add("mounting", run.mounting)
        if run.seen:
            add("seen strip", run.strip)
        for feed in run.feeds:
            add("wire", feed.lead.wire)
    for trunk in made.trunks:
        add("wire", trunk.wire)
    for supply in made.supplies:
        add("wire", supply.pack_wire)
        add("pack", supply.pack)
        if supply.health_ratio < 1.0:
            add("aged", supply.pack)
        add("converter", supply.converter)
        add("controller", supply.controller)
        counts["strips of", supply.name] = {run.strip for run in made.runs_of(supply.name)}
    return counts


def headlines(found):
    """Every headline of an answer, by code and what it is of."""
    said = {("hours of the piece", found.piece): min(s.hours_h for s in found.supplies)}
    for supply in found.supplies:
        said["hours", supply.supply] = supply.hours_h
        said["pack peak", supply.supply] = supply.pack_peak_a
        said["days until flat", supply.supply] = supply.days_until_flat_unlit_d
    for run in found.runs:
        said["light", run.run] = run.light_lm
        said["dimmest light", run.run] = run.dimmest_light_ratio
        said["fall in light", run.run] = run.light_fall_ratio
    for heat in found.heat:
        said["strip temperature", heat.run] = heat.strip_c
    for dots in found.dots:
        multiple = max(dots.multiple_ratio, dots.straight_multiple_ratio or 0.0)
        said["dots", f"{dots.run} on {dots.surface}"] = multiple
    return said
