"""The answer sheet in plain text: the short answer, findings, then each part of the detail."""

from __future__ import annotations

from collections.abc import Iterator

from lightcalc.answers.findings.finding import Finding
from lightcalc.answers.results import Answer, DotsAnswer, SupplyAnswer
from lightcalc.answers.seen_words import dots_words, leds_words
from lightcalc.answers.words import ENDED_BY, PRICE_COUNTS, REMEDIES, VERDICTS, Shower, told_apart
from lightcalc.screens import rows
from lightcalc.screens.layout import heading, paragraph, printable, table

# A smaller share of a charge is not worth a sentence.
LEAST_SHARE = 0.05
GRADE_WORDS = {"stop": "STOP", "caution": "CAUTION", "note": "NOTE"}


def answer_sheet(answer: Answer) -> str:
    """Return the whole answer sheet, 80 columns wide."""
    show = Shower(answer.units)
    parts = [
        printable(answer.piece),
        _verdict(answer),
        *_short(answer, show),
        heading("Findings"),
        *(finding_line(finding) for finding in answer.findings),
        *_hours(answer, show),
        *_runs(answer, show),
        *_wires(answer, show),
        *_fuses(answer, show),
        *_dots(answer, show),
        *_sights(answer, show),
        *_heat(answer, show),
        *_power(answer, show),
        *_costs(answer, show),
        heading("Cautions"),
        *(paragraph(caution.text, "  - ", "    ") for caution in answer.cautions),
    ]
    return "\n".join(parts) + "\n"


def _verdict(answer: Answer) -> str:
    stops = sum(finding.grade == "stop" for finding in answer.findings)
    if stops == 0:
        return "Nothing found that stops this design."
    things = "thing" if stops == 1 else "things"
    return f"{stops} {things} must change before this is built; see STOP below."


def _short(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("In short")
    for label, text in short_answers(answer, show):
        yield paragraph(f"{label:<10}{text}", "  ", " " * 12)


def short_answers(answer: Answer, show: Shower) -> Iterator[tuple[str, str]]:
    """Yield each of the short answers: a word and a sentence."""
    first = min(answer.supplies, key=lambda supply: supply.hours_h)
    lasts = f"{show.hours(first.hours_h)} a charge, likely {_likely(first, show)}"
    if len(answer.supplies) > 1:
        lasts += f" ({first.supply} empties first)"
    if answer.asked_h is not None:
        lasts += f"; asked for {show.hours(answer.asked_h)}"
    yield "Lasts", f"{lasts}."
    dimmest = min(answer.runs, key=lambda run: run.dimmest_light_ratio)
    yield (
        "Far end",
        f"the dimmest LEDs ({dimmest.run}) give {show.ratio(dimmest.dimmest_light_ratio)}"
        f" of their rated light, {show.ratio(dimmest.light_fall_ratio)} less than the brightest "
        "of the same run.",
    )
    fuses = fuses_to_buy(answer)
    fuse_text = f"fuse {fuses}" if fuses else "no fuse is needed"
    yield "Buy", f"wire {', '.join(wire_sizes(answer))}; {fuse_text}."
    yield "Dots", f"{dots_words(answer) or 'no surface was given to judge'}."
    if answer.eyes:
        yield "LEDs", f"{leds_words(answer)}."


def wire_sizes(answer: Answer) -> list[str]:
    """Return every size of wire to buy, once."""
    return sorted({wire.size for wire in answer.wires})


def fuses_to_buy(answer: Answer) -> str:
    """Return the fuses that are needed, each with its place."""
    return ", ".join(
        f"{fuse.fuse} ({fuse.place})" if fuse.fuse else f"none fits ({fuse.place})"
        for fuse in answer.fuses
        if fuse.protected_by != "converter limit"
    )


def _likely(supply: SupplyAnswer, show: Shower) -> str:
    return f"{show.hours(supply.hours_low_h)} to {show.hours(supply.hours_high_h)}"


def finding_line(finding: Finding) -> str:
    """Return one finding: its grade, where it is, why, and what to do."""
    word = GRADE_WORDS[finding.grade]
    return paragraph(f"{word}  {finding.where}: {finding.why} {finding.remedy}", "  ", "    ")


def _hours(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Hours")
    for supply in answer.supplies:
        cells = f"{supply.packs_count} x {supply.pack}" if supply.packs_count > 1 else supply.pack
        yield paragraph(
            f"{supply.supply} ({cells}): {show.hours(supply.hours_h)} of light a charge the way "
            f"you use it, likely {_likely(supply, show)}; that is "
            f"{_evenings(supply.evenings_per_charge_count, show)}. "
            f"{ENDED_BY[supply.ended_by]}"
        )
        yield paragraph(
            f"At full level without a break: {show.hours(supply.full_level_h)}."
            + (
                f" Light is down to half after {show.hours(supply.half_light_h)}."
                if supply.half_light_h is not None
                else ""
            )
        )
        yield paragraph(_upkeep(supply, show))
        yield table(
            ["level", "hours alone", "strip", "from pack, full", "pack amps, full to flat"],
            [
                [
                    show.ratio(level.level_ratio),
                    show.hours(level.hours_h),
                    show.power(level.strip_w),
                    show.power(level.pack_start_w),
                    f"{show.amps(level.pack_start_a)} to {show.amps(level.pack_end_a)}",
                ]
                for level in supply.levels
            ],
        )


def _evenings(count: float, show: Shower) -> str:
    return "1 evening" if round(count, 1) == 1.0 else f"{show.number(count)} evenings"


def _upkeep(supply: SupplyAnswer, show: Shower) -> str:
    what = "charges" if supply.years_until_worn_years is not None else "sets of fresh cells"
    text = f"About {show.number(supply.charges_per_year_count)} {what} a year"
    if supply.years_until_worn_years is not None:
        text += f"; the cells are worn after about {show.years(supply.years_until_worn_years)}"
    standby = "nothing drawn in standby"
    if supply.standby_a > 0.0:
        standby = f"standby draws {show.amps(supply.standby_a)}"
    if supply.standby_share_ratio > LEAST_SHARE:
        share = show.ratio(supply.standby_share_ratio)
        text += f". Of each, {share} goes between evenings and makes no light"
        if supply.standby_a > 0.0:
            text += f"; a hard switch at the pack would give {show.hours(supply.switched_off_h)}"
    flat = show.days(supply.days_until_flat_unlit_d)
    return f"{text}. Never lit, the pack is flat after {flat}; {standby}."


def _runs(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Runs at full level")
    yield table(rows.RUNS, rows.run_rows(answer, show))
    yield paragraph(rows.RUNS_READ)


def _wires(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Wires")
    yield table(rows.WIRES, rows.wire_rows(answer, show))
    yield paragraph(rows.WIRES_READ)
    if connectors := rows.connectors_read(answer, show):
        yield paragraph(connectors)


def _fuses(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Fuses")
    yield table(
        ["place", "fuse", "load", "wire", "most", "far end"],
        [
            [
                f"{fuse.supply}, {fuse.place}",
                "not needed" if fuse.protected_by == "converter limit" else fuse.fuse or "none",
                show.amps(fuse.continuous_a),
                show.amps(fuse.wire_ampacity_a),
                show.amps(fuse.prospective_a),
                show.amps(fuse.far_end_short_a),
            ]
            for fuse in answer.fuses
        ],
    )
    yield paragraph(
        "Wire: what the thinnest wire behind it may carry. Most: what a short right behind the "
        "fuse draws, which it must break. Far end: what a short at the far end of a run draws with "
        "a weak pack, on which it must still open."
    )


def _dots(answer: Answer, show: Shower) -> Iterator[str]:
    if not answer.dots:
        return
    yield heading("Dots")
    for dots in answer.dots:
        yield paragraph(_dots_sentence(dots, show))


def _dots_sentence(dots: DotsAnswer, show: Shower) -> str:
    text = (
        f"{dots.run} on {dots.surface}, {show.length(dots.distance_m)} away, seen from "
        f"{show.length(dots.viewer_distance_m)}: {VERDICTS[dots.verdict]} "
        f"The glow has a contrast of {show.ratio(dots.contrast_ratio)}, "
        f"{show.multiple(dots.multiple_ratio)}."
    )
    if dots.straight_multiple_ratio is not None and dots.straight_multiple_ratio >= 0.1:
        text += (
            " The LEDs themselves are seen through the sheet, "
            f"{show.multiple(dots.straight_multiple_ratio)}."
        )
    if dots.hiding_distance_m:
        text += f" Hidden from {show.length_at_least(dots.hiding_distance_m)} to the surface."
    return f"{text} {REMEDIES[dots.remedy]}".rstrip()


def _sights(answer: Answer, show: Shower) -> Iterator[str]:
    if answer.sights:
        yield heading("LEDs seen")
        yield table(rows.SIGHTS, rows.sight_rows(answer.sights, show))
        yield paragraph("`lightcalc look` shows it, and what hides them.")


def _heat(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Heat at full level")
    yield table(
        ["run", "heat", "may shed", "strip at", "limit", "set by"],
        [
            [
                f"{heat.run}, {heat.mounting}",
                *told_apart(heat.heat_w_per_m, heat.shed_w_per_m, "power_per_length", show.system),
                *told_apart(heat.strip_c, heat.limit_c, "temperature", show.system),
                heat.limited_by,
            ]
            for heat in answer.heat
        ],
    )


def _power(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Where the power goes at full level, half way through a charge")
    yield table(
        ["supply", "cells", "light", "strip heat", "copper", "electronics", "pack heat"],
        [
            [
                supply.supply,
                show.power(balance.cells_w),
                show.power(balance.strip_light_w),
                show.power(balance.strip_heat_w),
                show.power(balance.rail_heat_w + balance.lead_heat_w + balance.pack_lead_heat_w),
                show.power(
                    balance.converter_heat_w + balance.controller_heat_w + balance.standby_w
                ),
                show.power(balance.pack_heat_w),
            ]
            for supply in answer.supplies
            for balance in (supply.balance,)
        ],
    )


def _costs(answer: Answer, show: Shower) -> Iterator[str]:
    yield heading("Parts")
    yield paragraph(parts_words(answer, show))
    yield paragraph(PRICE_COUNTS)


def parts_words(answer: Answer, show: Shower) -> str:
    """Say what the parts cost and weigh, or which of them has no price."""
    mass = "" if answer.mass_kg is None else show.mass(answer.mass_kg)
    if answer.price is None:
        heavy = f" They weigh {mass}." if mass else ""
        return (
            "What the parts cost is not known, for the catalogue has no price of "
            f"{', '.join(answer.unpriced)}.{heavy}"
        )
    heavy = f", {mass}" if mass else ""
    return f"About {answer.price:.0f} {answer.currency}{heavy} for the light and its power."
