"""What a search found, in plain text."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.answers.finder.results import Asked, Demand, Found, Merits, Relaxed, Search
from lightcalc.answers.words import PRICE_COUNTS, Shower
from lightcalc.screens.layout import heading, paragraph, table

HEADINGS = ("design", "price", "hours a charge", "fall in light", "mass", "light")
DEMANDS = {
    "hours": "hours a charge of at least",
    "evenness": "a fall in light of at most",
    "price": "a price of at most",
    "mass": "a mass of at most",
    "light": "light at its brightest of at least",
    "dots": "dots hidden on every surface",
}
# What a search refuses most, by the code of a finding, in the maker's words.
REFUSED = {
    "hours-short": "the charge is too short",
    "hours": "the charge is too short",
    "no-light": "there is no light at all",
    "no-fuse": "no fuse in the catalogue protects the wires",
    "no-wire": "no wire in the catalogue will do",
    "light": "there is too little light",
    "evenness": "the light falls too much along a run",
    "light-fall": "the light falls too much along a run",
    "price": "it costs too much",
    "price-unknown": "what it costs is not known, as a part of it has no price in the catalogue",
    "mass": "it is too heavy",
    "mass-unknown": "what it weighs is not known, as a part of it has no mass in the catalogue",
    "dots": "dots show in the light",
    "pack-current": "the pack may not give so much current",
    "pack-hold": "the pack is too heavy for what holds it",
    "bank-limit": "the bank's socket gives too little",
    "converter-limit": "the converter gives too little current",
    "controller-current": "the controller may not carry so much current",
    "controller-volts": "the controller is not for those volts",
    "heat": "a strip gets too warm",
    "overvolt": "the pack gives the strip too many volts",
    "pack-temperature": "the pack is not for this temperature",
    "pack-sealed": "nobody can reach the pack",
    "boost-passes": "the pack's volts pass through the converter to the strip",
    "no-dimmer": "nothing dims the strip",
    "wire-thin": "a wire that you named is too thin",
    "fuse-unfit": "a fuse that you named does not do",
    "lead-short": "a lead is too short",
    "connector-current": "a connector may not carry so much current",
    "connector-volts": "a connector is not for those volts",
    "connector-poles": "a connector has too few contacts",
    "joint-no-connector": "a lead has no connector where the piece comes apart",
    "joint-wrong-side": "a connector is on the side that no hand reaches",
    "infrared-blind": "the infrared receiver sees nobody",
    "radio-in-metal": "the radio receiver is in a metal box",
    "remote-ways-differ": "one remote cannot work receivers of different kinds",
    "remote-codes-differ": "one remote cannot work receivers of different codes",
    "contradiction": "the parts do not fit together",
}
MOST_REFUSALS = 5
HOUR_S = 3600.0


def find_sheet(search: Search, most: int) -> str:
    """Return a search as the command line prints it, the designs it found first."""
    show = Shower(search.units)
    lines = [
        paragraph(f"What to build: {search.piece}", "", ""),
        paragraph(answer_line(search)),
        "",
    ]
    if search.found:
        rows = [
            (str(found.rank), *merit_cells(found.merits, search.currency, show))
            for found in search.found[:most]
        ]
        rows.append(("as drawn", *merit_cells(search.drawn.merits, search.currency, show)))
        lines += [
            table(HEADINGS, rows),
            "",
            paragraph(drawn_words(search)),
            "",
        ]
        for found in search.found[:most]:
            lines.append(paragraph(differs_line(found), f"  {found.rank:>2}  ", "      "))
            if found.why:
                lines.append(paragraph(why_line(found, search), "      ", "      "))
        if len(search.found) > most:
            lines.append(paragraph(f"{len(search.found) - most} more: --most {len(search.found)}"))
    elif search.drawn.stops or search.drawn.missed:
        lines += [paragraph(drawn_words(search)), ""]
    lines += [paragraph(line) for line in leds_lines(search)]
    lines += [paragraph(line) for line in relaxed_lines(search, show)]
    lines += [heading("How it was searched"), paragraph(searched_line(search, show))]
    lines += [heading("What the prices count"), paragraph(PRICE_COUNTS)]
    return "\n".join(lines) + "\n"


def answer_line(search: Search) -> str:
    """Say in a sentence what came of a search."""
    count = len(search.found)
    if not count:
        return (
            "Nothing that can be built from the catalogue meets all that is asked."
            if search.whole
            else "Stopped before anything was found that meets all that is asked."
        )
    designs = "One design meets" if count == 1 else f"{count} designs meet"
    so_far = "" if search.whole else " Stopped early: this is the best so far."
    none = "it" if count == 1 else "any of them"
    return f"{designs} all that is asked, and no other beats {none} in every respect.{so_far}"


def leds_lines(search: Search) -> Iterator[str]:
    """Say of a search that hides dots that it does not look at the LEDs themselves."""
    if any(asked.demand == "dots" for asked in search.asked):
        yield (
            "Dots hidden says nothing of LEDs seen bare or mirrored: that is up to where the runs "
            "lie, which no search changes. The answer to a design says it under LEDs."
        )


def differs_line(found: Found) -> str:
    """Say what would have to change in the design as drawn."""
    text = "; ".join(found.differs) or "as drawn"
    return f"{text[0].upper()}{text[1:]}."


def why_line(found: Found, search: Search) -> str:
    """Say what speaks for a design, against the one that follows."""
    last = found.rank == len(search.found)
    return f"Against {'the one before' if last else 'the next'}: {found.why}."


def relaxed_lines(search: Search, show: Shower) -> Iterator[str]:
    """Say which single demand would have to give way, and what stands in the way."""
    for relaxed in search.relaxed:
        yield _relaxed_line(relaxed, search, show)
    if not search.found and search.whole:
        if not search.relaxed_whole:
            yield "Stopped before it was known what would have to give way."
        elif not search.relaxed:
            yield (
                "Letting any single demand go would not help: more than one thing stands in the "
                "way. See what `lightcalc answer` says of the design, or open more of it."
            )
    if not search.found and search.refused:
        reasons = [
            f"{REFUSED.get(code, code)} ({_times(count)})"
            for code, count in search.refused[:MOST_REFUSALS]
        ]
        yield f"What stood in the way of those that were answered: {'; '.join(reasons)}."


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _relaxed_line(relaxed: Relaxed, search: Search, show: Shower) -> str:
    asked = demand_words(Asked(relaxed.demand, relaxed.asked), search, show)
    if relaxed.nearest is None:
        return f"It can be done if {asked} is not asked."
    nearest = _can_be_had(relaxed.demand, relaxed.nearest, search, show)
    return f"It can be done if one thing gives way: you asked for {asked}; {nearest} can be had."


def demand_words(asked: Asked, search: Search, show: Shower) -> str:
    """Say one demand with its number."""
    words = DEMANDS[asked.demand]
    if asked.demand == "dots":
        return words
    return f"{words} {_amount(asked.demand, asked.value, search, show)}"


def _amount(demand: str, value: float, search: Search, show: Shower) -> str:
    if demand == "hours":
        return show.hours(value)
    if demand == "evenness":
        return show.ratio(value)
    if demand == "mass":
        return show.mass(value)
    if demand == "light":
        return show.light(value)
    return f"{value:.{0 if value == round(value) else 2}f} {search.currency}"


def _can_be_had(demand: Demand, nearest: float, search: Search, show: Shower) -> str:
    """Say the best there is so that a search that asks for just that finds it."""
    if demand == "hours":
        return show.no_more_than(nearest * HOUR_S, "time")
    if demand == "light":
        return show.no_more_than(nearest, "luminous_flux")
    if demand == "evenness":
        return show.no_less_than(nearest, "ratio")
    if demand == "mass":
        return show.no_less_than(nearest, "mass")
    return f"{math.ceil(nearest * 100.0 - 1e-6) / 100.0:.2f} {search.currency}"


def searched_line(search: Search, show: Shower) -> str:
    """Say what was open and asked, and how many designs that makes."""
    asked = "; ".join(demand_words(one, search, show) for one in search.asked)
    shown = (
        "the others could at best be worse, or cannot meet what is asked"
        if search.whole
        else "the others were not looked at yet"
    )
    return (
        f"Open: {', '.join(search.open)}. Asked: {asked}. That makes "
        f"{_designs(search.designs_count)}; {search.answered_count:,} "
        f"{'was' if search.answered_count == 1 else 'were'} answered in full, and {shown}. "
        f"What matters, first things first: {', '.join(search.matters)}."
    )


def _designs(count: int) -> str:
    return "1 design" if count == 1 else f"{count:,} designs"


def merit_cells(merits: Merits, currency: str, show: Shower) -> tuple[str, ...]:
    """Return price, hours, fall in light, mass and light as the table shows them."""
    return (
        "unknown" if merits.price is None else f"{merits.price:.0f} {currency}",
        show.hours(merits.hours_h),
        show.ratio(merits.light_fall_ratio),
        "unknown" if merits.mass_kg is None else show.mass(merits.mass_kg),
        show.light(merits.light_lm),
    )


def drawn_words(search: Search) -> str:
    """Say how the design does as it is drawn."""
    drawn = search.drawn
    if drawn.stops or drawn.missed:
        reasons = dict.fromkeys(REFUSED.get(code, code) for code in (*drawn.stops, *drawn.missed))
        return f"As drawn it does not do: {'; '.join(reasons)}."
    if any(not found.differs for found in search.found):
        return "As drawn it is one of these."
    better = "this" if len(search.found) == 1 else "one of these"
    return f"As drawn it meets all that is asked, but {better} is as good or better throughout."
