"""Findings about runs, wires, fuses, heat and dots."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.answers.findings.dots_remedy import dots_remedy
from lightcalc.answers.findings.finding import Finding, Grade
from lightcalc.answers.fuses import SizedFuse
from lightcalc.answers.results import DotsAnswer, HeatAnswer, RunAnswer
from lightcalc.answers.sizing import Sized, SizedWire
from lightcalc.answers.wiring import Wired
from lightcalc.answers.words import told_apart
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue
from lightcalc.units import show

# A fall this many times what was asked is refused, not only pointed out.
STOP_AT_TIMES_ASKED = 2.0
# Below this share of its rated light a run looks weak to anyone who knows the strip (judgement).
DIM_RATIO = 0.7
# Mountings are known to about a third, so a strip this close to its limit may pass it.
CLOSE_K = 8.0
CHANGES = {
    "smaller fuse per branch": "fit a smaller fuse at the start of each branch",
    "fuse of another rating": "get a fuse of a rating between those listed",
    "thicker wire": "use thicker wire",
    "fuse of higher breaking capacity": "get a fuse of higher breaking capacity",
    "fuse of higher voltage": "get a fuse for higher volts",
    "shorter run or one more feed": "shorten the run or give it one more feed",
    "lower resistance pack": "take a pack of lower resistance",
    "converter with a lower current limit": "take a converter with a lower current limit",
    "slower fuse": "take a slower fuse",
}
# Lengths that differ by less are the same: sums of inches come out a little off.
ROUNDING_M = 1e-6


def run_findings(run: RunAnswer, design: Design) -> Iterator[Finding]:
    """Cutting, light below rated, and the fall in light along a run."""
    where = f"run {run.run}"
    asked, cut = (
        show(length, "length", design.system) for length in (run.asked_length_m, run.cut_length_m)
    )
    if asked != cut:
        yield Finding(
            "cut-rounded",
            "note",
            where,
            f"{asked} is not a whole number of cut units; it is cut to {cut}, "
            f"{run.cut_units_count} units.",
            "Plan the run to that length.",
            {"asked_length_m": run.asked_length_m, "cut_length_m": run.cut_length_m},
        )
    if run.brightest_light_ratio < DIM_RATIO:
        yield Finding(
            "dim",
            "caution",
            where,
            f"Even where it is brightest it gives only "
            f"{show(run.brightest_light_ratio, 'ratio', digits=2)} of its rated light, for "
            f"only {show(run.fed_v, 'voltage')} reach it.",
            "Give it its rated volts: a converter, a pack with more cells in series, or thicker "
            "leads.",
            {"light_ratio": run.brightest_light_ratio, "fed_v": run.fed_v},
        )
    yield from _light_fall(run, design, where)


def _light_fall(run: RunAnswer, design: Design, where: str) -> Iterator[Finding]:
    allowed = design.ask.light_fall_ratio
    if run.light_fall_ratio > allowed:
        stops = run.light_fall_ratio > STOP_AT_TIMES_ASKED * allowed
        place = show(run.dimmest_at_m, "length", design.system)
        fed = next((len(one.feeds) for one in design.runs if one.name == run.run), 1)
        feeds = "Feed it at both ends or in the middle" if fed == 1 else "Give it one more feed"
        yield Finding(
            "light-fall",
            "stop" if stops else "caution",
            where,
            f"At {place} from its start it gives {show(run.light_fall_ratio, 'ratio', digits=2)} "
            f"less light than where it is brightest, for a fall of only "
            f"{show(run.volts_fall_ratio, 'ratio', digits=2)} in volts; "
            f"{show(allowed, 'ratio')} was asked.",
            f"{feeds}, or take a strip of higher volts or thicker copper.",
            {"light_fall_ratio": run.light_fall_ratio, "asked_ratio": allowed},
        )


def wire_findings(wired: Wired, sized: Sized, catalogue: Catalogue) -> Iterator[Finding]:
    """Wires that do not meet a demand, and connectors that carry too much."""
    for wire in (*sized.leads, sized.pack_lead):
        yield from _wire(wire)
    for name in wired.supply.connectors:
        connector = catalogue.connectors[name]
        source_v = wired.pack.output_v or wired.pack.full_v
        if source_v > connector.max_v:
            yield Finding(
                "connector-volts",
                "stop",
                f"connector {name}",
                f"The full pack gives {show(source_v, 'voltage')}; it is for "
                f"{show(connector.max_v, 'voltage')} at most.",
                "Take a connector for that voltage.",
                {"source_v": source_v, "allowed_v": connector.max_v},
            )
        if sized.pack_peak_a > connector.max_amps:
            yield Finding(
                "connector-current",
                "stop",
                f"connector {name}",
                f"It carries up to {show(sized.pack_peak_a, 'current', digits=2)} and may carry "
                f"{show(connector.max_amps, 'current', digits=2)}.",
                "Take a stronger connector.",
                {"amps_a": sized.pack_peak_a, "allowed_a": connector.max_amps},
            )


def reach_findings(wired: Wired, design: Design) -> Iterator[Finding]:
    """Leads that cannot reach from where the pack lies to their feed, even in a straight line."""
    supply = wired.supply
    if supply.at_m is None:
        return
    for lead in wired.leads:
        if lead.run is None or lead.pad is None or not wired.runs[lead.run].run.mounts:
            continue
        cut_run = wired.runs[lead.run]
        place = cut_run.run.mounts[0].at(lead.pad * cut_run.strip.cut_unit_m)
        away_m, reach_m = math.dist(supply.at_m, place), supply.pack_lead_m + lead.path_m
        if reach_m < away_m - ROUNDING_M:
            step_m = 0.0254 if design.system == "inch" else 0.01
            missing_m = math.ceil((away_m - reach_m) / step_m - 1e-9) * step_m
            away, reach, missing = (
                show(length, "length", design.system) for length in (away_m, reach_m, missing_m)
            )
            yield Finding(
                "lead-short",
                "stop",
                f"lead {lead.lead.name}",
                f"Its feed is {away} from the pack in a straight line, and all wire from the pack "
                f"to it is {reach}.",
                f"Make it longer by {missing} or more, for wires go round corners, or move the "
                "pack.",
                {"away_m": away_m, "reach_m": reach_m},
            )


def _wire(wire: SizedWire) -> Iterator[Finding]:
    check, where = wire.check, f"lead {wire.lead}"
    unsafe = [demand for demand in check.unmet if demand != "voltage drop"]
    figures = {"drop_ratio": check.drop_ratio, "ampacity_a": check.ampacity_a}
    if not wire.named and wire.choice.chosen is None:
        yield Finding(
            "no-wire",
            "stop",
            where,
            f"No wire in the catalogue will do: {' and '.join(wire.choice.unmet)} cannot be met.",
            "Shorten the lead, split the load over two leads, or add thicker wire to the "
            "catalogue.",
            figures,
        )
    elif unsafe:
        better = wire.choice.chosen.size.name if wire.choice.chosen else "thicker wire"
        fuse = f" with a fuse of {wire.duty.fuse_a:g} A" if wire.duty.fuse_a else ""
        yield Finding(
            "wire-thin",
            "stop",
            where,
            f"{check.wire.size.name} carries {show(check.ampacity_a, 'current', digits=2)} there; "
            f"{show(wire.duty.peak_a, 'current', digits=2)} flows{fuse} "
            f"({', '.join(unsafe)} not met).",
            f"Use {better}.",
            figures,
        )
    elif check.unmet:
        better = wire.choice.chosen.size.name if wire.choice.chosen else "thicker wire"
        yield Finding(
            "wire-drop",
            "caution",
            where,
            f"{check.wire.size.name} loses {show(check.drop_ratio, 'ratio', digits=2)} of the "
            f"volts; {show(wire.duty.allowed_drop_ratio, 'ratio', digits=2)} is its share.",
            f"Use {better}.",
            figures,
        )
    elif check.drop_ratio + wire.contact_drop_ratio > wire.duty.allowed_drop_ratio * (1 + 1e-9):
        yield Finding(
            "connector-drop",
            "caution",
            where,
            f"Its connectors lose {show(wire.contact_drop_ratio, 'ratio', digits=2)} of the volts "
            f"and its copper {show(check.drop_ratio, 'ratio', digits=2)}; together "
            f"{show(wire.duty.allowed_drop_ratio, 'ratio', digits=2)} is their share.",
            "Use connectors of less resistance or fewer of them, or thicker wire.",
            {"contact_drop_ratio": wire.contact_drop_ratio, "drop_ratio": check.drop_ratio},
        )


def fuse_findings(wired: Wired, sized: Sized) -> Iterator[Finding]:
    """Fuses that do not do everything asked of them, and what must change."""
    for fuse in sized.fuses:
        where = f"fuse {fuse.place}, supply {wired.supply.name}"
        yield from _fuse(fuse, where)


def _fuse(sized: SizedFuse, where: str) -> Iterator[Finding]:
    choice = sized.choice
    figures = {
        "least_rating_a": choice.least_rating_a,
        "wire_ampacity_a": choice.least_ampacity_a,
        "prospective_a": choice.prospective_a,
        "far_end_short_a": choice.far_short_a,
    }
    if sized.named is not None and sized.named_fails:
        better = f"Use {choice.chosen.name}." if choice.chosen else "See the wires of this supply."
        yield Finding(
            "fuse-unfit",
            "stop",
            where,
            f"{sized.named.name} fails: {'; '.join(sized.named_fails)}.",
            better,
            figures,
        )
    elif sized.fuse is None and choice.protected_by == "nothing":
        changes = [CHANGES[change] for change in choice.changes] or ["change the wire or the load"]
        yield Finding(
            "no-fuse",
            "stop",
            where,
            f"No fuse in the catalogue does all it must ({'; '.join(choice.failed)}): the load "
            f"wants {_amps(choice.least_rating_a)} or more, the wire allows "
            f"{_amps(choice.least_ampacity_a)}, and a short at the far end draws only "
            f"{_amps(choice.far_short_a)}.",
            _sentence(changes),
            figures,
        )
    elif choice.protected_by == "converter limit":
        yield Finding(
            "limit-protects",
            "note",
            where,
            f"The source limits itself to {_amps(choice.prospective_a)}, which every wire after it "
            "may carry, so no fuse is needed for the wires there.",
            "A fuse there does no harm; do not rely on it to open.",
            figures,
        )


def _amps(amps_a: float) -> str:
    return show(amps_a, "current", digits=2)


def _sentence(changes: list[str]) -> str:
    """Make one sentence of things of which one must be done."""
    text = ", or ".join(changes)
    return f"Either {text}." if len(changes) > 1 else f"{text[0].upper()}{text[1:]}."


def _cooler(heat: HeatAnswer, system: str) -> str:
    if heat.shed_w_per_m <= 0.0:
        return "The room alone is as warm as that; no strip suits this place."
    channel = "" if "aluminium" in heat.mounting else "an aluminium channel or "
    allowed, _ = told_apart(heat.shed_w_per_m, heat.heat_w_per_m, "power_per_length", system)
    return f"Use {channel}a strip of at most {allowed} of heat, or keep it dimmed."


def heat_findings(heat: HeatAnswer, near: tuple[str, ...], system: str) -> Iterator[Finding]:
    """Warn of a strip that gets too warm for what it touches."""
    room_k = heat.limit_c - heat.strip_c
    if room_k > CLOSE_K:
        return
    grade: Grade = "stop" if room_k < 0 else "caution"
    beside = f" Near it: {', '.join(near)}." if near else ""
    strip, limit = told_apart(heat.strip_c, heat.limit_c, "temperature", system)
    about = "just over" if grade == "stop" and strip == limit else "about"
    yield Finding(
        "heat",
        grade,
        f"run {heat.run}",
        f"At full level the strip reaches {about} {strip} ({heat.mounting}); the limit of the "
        f"{heat.limited_by} is {limit}.{beside}",
        _cooler(heat, system),
        {"strip_c": heat.strip_c, "limit_c": heat.limit_c, "shed_w_per_m": heat.shed_w_per_m},
    )


def dots_findings(dots: DotsAnswer, design: Design) -> Iterator[Finding]:
    """LEDs that show as dots."""
    if dots.verdict == "hidden":
        return
    straight = dots.straight_multiple_ratio or 0.0
    multiple = max(dots.multiple_ratio, straight)
    grade: Grade = "caution" if dots.verdict == "plain" else "note"
    if straight >= 1.0:
        why = (
            f"The LEDs are seen straight through the sheet, {_times(multiple)} what an eye can "
            "just see."
        )
    else:
        why = (
            f"The LEDs show as dots, {_times(multiple)} what an eye "
            f"{show(dots.viewer_distance_m, 'length', design.system)} away can just see."
        )
    yield Finding(
        "dots",
        grade,
        f"run {dots.run} on {dots.surface}",
        why,
        dots_remedy(dots.remedy, dots.hiding_distance_m, design.system),
        {"multiple_ratio": multiple, "contrast_ratio": dots.contrast_ratio},
    )


def _times(multiple: float) -> str:
    return "more than 100 times" if multiple > 100.0 else f"{multiple:.2g} times"
