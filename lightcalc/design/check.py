"""Check a design against the catalogue: names that exist, and parts that can work together.

These are mistakes that make an answer meaningless. What can be answered but should be changed
is a finding of the answer instead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from lightcalc import units
from lightcalc.design.check_service import check_service
from lightcalc.design.check_space import check_space, check_supply_places
from lightcalc.design.check_supply import check_supply
from lightcalc.design.cutting import cut_units, nearest_pad
from lightcalc.design.fields import label, suggest
from lightcalc.design.known import check_wire, comes_in, find_wire_name, known
from lightcalc.design.piece import Design, Run, Seen
from lightcalc.parts.kinds import Catalogue, Sheet, Strip
from lightcalc.problems import Problems

__all__ = ["check_against_catalogue", "find_wire_name"]

# Far more than any piece has; work at an answer rises with the square of the feeds of one supply.
MOST_SUPPLIES = 32
MOST_FEEDS_OF_A_SUPPLY = 48
MOST_CUT_UNITS = 20_000


def check_against_catalogue(design: Design, catalogue: Catalogue, problems: Problems) -> None:
    """Add every contradiction between the design and the catalogue."""
    if not catalogue.wires:
        problems.add(
            "catalogue",
            "its wires.csv lists no wire, and every lead needs one; write a row for each wire you "
            "can buy.",
        )
    for number, run in enumerate(design.runs, start=1):
        _check_run(run, f"runs.{label(run.name, number)}", catalogue, problems, design.system)
    for number, trunk in enumerate(design.trunks, start=1):
        check_wire(trunk.wire, catalogue, f"trunks.{label(trunk.name, number)}.wire", problems)
    for number, supply in enumerate(design.supplies, start=1):
        place = f"supplies.{label(supply.name, number)}"
        check_supply(supply, place, design, catalogue, problems)
    _check_mix(design, catalogue, problems)
    _check_size(design, catalogue, problems)
    check_space(design.space, design.runs, catalogue, problems, design.system)
    check_supply_places(design.space, design.supplies, problems)
    check_service(design, catalogue, problems)


def _check_size(design: Design, catalogue: Catalogue, problems: Problems) -> None:
    """More than is worked out within a moment is refused."""
    if len(design.supplies) > MOST_SUPPLIES:
        problems.add(
            "supplies",
            f"are {len(design.supplies)}; at most {MOST_SUPPLIES} are worked out. Draw a part of "
            "the piece.",
        )
    for number, supply in enumerate(design.supplies, start=1):
        feeds = sum(len(run.feeds) for run in design.runs if run.supply == supply.name)
        if feeds > MOST_FEEDS_OF_A_SUPPLY:
            problems.add(
                f"supplies.{label(supply.name, number)}",
                f"has {feeds} feeds; at most {MOST_FEEDS_OF_A_SUPPLY} are worked out for one "
                "supply. Take some out, or draw another supply.",
            )
    cut_units_count = sum(
        run.length_m / catalogue.strips[run.strip].cut_unit_m
        for run in design.runs
        if run.strip in catalogue.strips and not math.isnan(run.length_m)
    )
    if cut_units_count > MOST_CUT_UNITS:
        problems.add(
            "runs",
            f"have {cut_units_count:.0f} cut units in all; at most {MOST_CUT_UNITS} are worked "
            "out. Draw a part of the piece, or check the cut unit of its strip.",
        )


def _check_run(run: Run, place: str, catalogue: Catalogue, problems: Problems, system: str) -> None:
    for number, feed in enumerate(run.feeds, start=1):
        check_wire(feed.lead.wire, catalogue, f"{place}.feeds.{number}.wire", problems)
    for number, seen in enumerate(run.seen, start=1):
        _check_seen(seen, f"{place}.seen.{number}", catalogue.sheets, problems, system)
    if known(run.strip, catalogue.strips, "strip", f"{place}.strip", problems):
        strip = catalogue.strips[run.strip]
        if not math.isnan(run.length_m):
            _check_cut(run, strip, f"{place}.length", problems, system)
            _check_pads(run, strip, place, problems, system)


def _check_seen(
    seen: Seen, place: str, sheets: Mapping[str, Sheet], problems: Problems, system: str
) -> None:
    if seen.sheet is None and seen.thickness_m is not None:
        problems.add(
            f"{place}.thickness",
            "stands alone; name the sheet it is of, or take it out for a floor or wall.",
        )
    if not known(seen.sheet, sheets, "sheet", f"{place}.sheet", problems):
        return
    sheet = sheets[seen.sheet or ""]
    sold_m = sheet.thicknesses_m
    if seen.thickness_m is None:
        example = units.show(sold_m[0] if sold_m else sheet.reference_thickness_m, "length", system)
        problems.add(
            f"{place}.thickness", f'is missing; write it like this: thickness = "{example}"'
        )
    elif not comes_in(sheet, seen.thickness_m):
        listed = ", ".join(units.show(one_m, "length", system) for one_m in sold_m)
        problems.add(
            f"{place}.thickness",
            f"found {units.show(seen.thickness_m, 'length', system)}; {sheet.name} comes in "
            f"{listed}.",
        )


def _check_cut(run: Run, strip: Strip, place: str, problems: Problems, system: str) -> None:
    asked = units.show(run.length_m, "length", system)
    if run.length_m > strip.reel_m * (1 + 1e-9):
        problems.add(
            place,
            f"found {asked}; a reel of {strip.name} is "
            f"{units.show(strip.reel_m, 'length', system)}. Split it into shorter runs, each with "
            "its own feed.",
        )
    if cut_units(run.length_m, strip) * strip.cut_unit_m > run.length_m * (1 + 1e-5):
        problems.add(
            place,
            f"found {asked}; the shortest piece of {strip.name} is one cut unit of "
            f"{units.show(strip.cut_unit_m, 'length', system)}.",
        )


def _check_pads(run: Run, strip: Strip, place: str, problems: Problems, system: str) -> None:
    """Two leads soldered to one pad are one feed drawn twice."""
    taken: dict[int, int] = {}
    count = cut_units(run.length_m, strip)
    for number, feed in enumerate(run.feeds, start=1):
        if math.isnan(feed.at_m):
            continue
        pad = nearest_pad(feed.at_m, count, strip)
        if pad in taken:
            problems.add(
                f"{place}.feeds.{number}.at",
                f"found {units.show(feed.at_m, 'length', system)}; the nearest solder pad, "
                f"{units.show(pad * strip.cut_unit_m, 'length', system)} from the start, has feed "
                f"{taken[pad]} already. Pads are "
                f"{units.show(strip.cut_unit_m, 'length', system)} apart; move one feed, or take "
                "it out.",
            )
        taken.setdefault(pad, number)


def _check_mix(design: Design, catalogue: Catalogue, problems: Problems) -> None:
    """Check that each colour of an evening's mix is on a strip, and that some colour is lit."""
    strips = [catalogue.strips[run.strip] for run in design.runs if run.strip in catalogue.strips]
    channels = list(dict.fromkeys(channel for strip in strips for channel in strip.channels))
    if not channels or len(strips) < len(design.runs):
        return
    for number, stretch in enumerate(design.use.stretches, start=1):
        place = f"use.evening.{number}.mix"
        for channel, _ in stretch.mix:
            if channel not in channels:
                problems.add(
                    f"{place}.{label(channel, 1)}",
                    f"is a channel of no strip here; {suggest(channel, channels)}",
                )
        mix = dict(stretch.mix)
        if all(mix.get(channel) == 0.0 for channel in channels):
            problems.add(place, "leaves every LED dark; take this part of the evening out.")
