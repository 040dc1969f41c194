"""Bench readings in plain text: what agrees, what is wrong, and what was learned."""

from __future__ import annotations

from collections.abc import Iterator

from lightcalc import units
from lightcalc.answers.bench.results import BenchAnswer, FaultAnswer, FigureAnswer, ReadingAnswer
from lightcalc.answers.words import Shower
from lightcalc.screens.layout import heading, paragraph, printable, table

SIZES = {"V": 1.0, "A": 1.0, "h": 3600.0, "ohm": 1.0, "Ah": 3600.0, "W/m": 1.0, "ohm/m": 1.0}
NAMES = {
    "power": "power",
    "rail": "copper",
    "forward": "forward volts",
    "lead": "lead",
    "pack lead": "lead",
    "capacity": "capacity",
    "resistance": "resistance",
    "rest": "rested volts, full",
    "efficiency": "efficiency",
    "output": "output volts",
}
READINGS = ("reading", "measured", "predicted", "nearly all", "verdict")
LEARNED = ("", "stated, range", "measured, range")
LEARNED_READ = (
    "Each range holds 95 of 100; a catalogue's tolerance is taken for the range in which nearly "
    "every part falls."
)
# No readings make anything certain, however the shares are rounded.
NEARLY_SURE, LEAST_CHANCE = 0.995, 1e-9
NOTHING_LEARNED = "No figure is known much better than from its label."
OFF_LABEL = "Parts that differ from their labels may explain the rest."
MENDED_FIRST = "Mend the fault and measure again before you use the parts as measured."
COULD_NOT_TELL = "What these readings could not tell"
ODD = ("low beside others", "high beside others")
STARRED = (
    " * It lies in its own range, but from the other readings one expects on a piece with no "
    "fault: "
)
NEW_PARTS = (
    "To answer with what was measured, add --out and the name of a new folder: that writes a copy "
    "of the catalogue with these figures"
)
NEW_LINES = ", and says what to write in the design"


def bench_sheet(found: BenchAnswer, written: bool = False) -> str:
    """Return everything one bench says, 80 columns wide.

    `written` says whether the parts as measured were written to a catalogue: without it some lines
    for the design are none that can be used, and how to get it is told instead.
    """
    show = Shower(found.units)
    fault = found.verdict == "fault"
    first, *more = verdict_sentences(found, show)
    lines = [printable(found.piece)]
    lines += [paragraph(first, "FAULT  " if fault else "", "  " if fault else "")]
    lines += [paragraph(sentence) for sentence in more]
    lines += [
        heading("Readings"),
        table(READINGS, reading_rows(found)),
        paragraph(readings_read(found)),
        heading("What was learned"),
        *_learned(found, show, written=written),
    ]
    return "\n".join(lines) + "\n"


def verdict_sentences(found: BenchAnswer, show: Shower) -> Iterator[str]:
    """Yield what the readings say of the piece: the first is the verdict itself."""
    agree = sum(reading.verdict == "agrees" for reading in found.readings)
    count = f"{agree} of {len(found.readings)} readings agree with the prediction."
    if found.verdict == "unexplained":
        yield (
            f"Nothing considered here explains these readings; {count} The one that goes least "
            f"with the others: {found.odd_one}. Read it again, and look for something else: a "
            "wrong place, a flat meter battery, two faults at once, another design. Nothing was "
            "learned from them."
        )
        if found.next_reading:
            yield (
                f"Measure next: {found.next_reading}. Of all that is left to read it says most; "
                "what agrees there clears the parts before it."
            )
        for reading in found.readings:
            if reading.unit == "V" and reading.measured < 0.0 < reading.predicted:
                yield (
                    f"A minus in {reading.place} means that its two wires are swapped, or the "
                    "meter's leads are: mend that first, and measure again."
                )
        return
    if found.verdict == "no fault":
        shows = "No fault is sure, but one is not excluded" if found.faults else "No fault shows"
        off = "" if agree == len(found.readings) else f" {OFF_LABEL}"
        yield f"{shows}; {count}{off}"
        for fault in found.faults:
            chance = show.ratio(fault.probability_ratio)
            yield f"Not excluded ({chance}): {_what(fault, found.units)}."
        yield from _next(found)
        return
    likeliest, *rivals = found.faults
    yield f"{_what(likeliest, found.units)}. {likeliest.remedy}"
    sure = likeliest.probability_ratio
    chance = show.ratio(sure) if sure < NEARLY_SURE else "over 99 %"
    none = show.ratio(max(found.no_fault_ratio, LEAST_CHANCE))
    yield " ".join([f"How sure: {chance}; no fault at all: {none}. {count}", *_next(found)])
    for rival in rivals:
        chance = show.ratio(rival.probability_ratio)
        yield f"Or ({chance}): {_what(rival, found.units)}. {rival.remedy}"


def _next(found: BenchAnswer) -> Iterator[str]:
    """Say what to measure next, where these readings leave several open."""
    if found.tell_apart:
        only_one = len(found.faults) == 1
        does = "tells this fault from none" if only_one else "tells the likeliest two apart"
        yield f"Measure next: {found.tell_apart}. It {does}."
    elif found.next_reading:
        yield (
            f"Measure next: {found.next_reading}. It says most, though no single reading settles "
            "it; look as well."
        )


def _what(fault: FaultAnswer, system: str) -> str:
    detail = f" {fault.detail}" if fault.detail else ""
    text = f"{fault.place}: {fault.says}{detail}"
    if fault.magnitude is None or fault.magnitude_low is None or fault.magnitude_high is None:
        return text
    if fault.unit == "ohm":
        between = units.show_range(
            fault.magnitude_low, fault.magnitude_high, "resistance", system, 2
        )
        return f"{text}, {between}"
    low, high = (f"{value:.2g}" for value in (fault.magnitude_low, fault.magnitude_high))
    return f"{text}, {low} to {high} times {fault.magnitude_of}"


def _reading_row(reading: ReadingAnswer, system: str) -> list[str]:
    size, digits = SIZES[reading.unit], 4 if reading.kind == "voltage" else 3

    def show(value: float) -> str:
        return units.show(value * size, reading.kind, system, digits)

    wide = 2 if reading.kind == "time" else digits
    band = units.show_range(reading.low * size, reading.high * size, reading.kind, system, wide)
    verdict = "odd *" if reading.verdict in ODD else reading.verdict
    return [reading.place, show(reading.measured), show(reading.predicted), band, verdict]


def reading_rows(found: BenchAnswer) -> list[tuple[str, ...]]:
    """Return each reading beside its prediction."""
    return [tuple(_reading_row(reading, found.units)) for reading in found.readings]


def readings_read(found: BenchAnswer) -> str:
    """Say how the table of readings is read."""
    odd = [reading for reading in found.readings if reading.verdict in ODD]
    expected = "; ".join(f"{_expected(one, found.units)} ({one.place})" for one in odd)
    return (
        "Predicted from the catalogue and the drawing; nearly all such pieces lie in the range. A "
        "reading agrees when it does, give or take what the meter may be off."
        f"{f'{STARRED}{expected}.' if odd else ''}"
    )


def _expected(reading: ReadingAnswer, system: str) -> str:
    digits = 4 if reading.kind == "voltage" else 3
    return units.show(reading.beside * SIZES[reading.unit], reading.kind, system, digits)


def learned_rows(found: BenchAnswer, show: Shower) -> list[tuple[str, ...]]:
    """Return each figure that is known better than from its label."""
    return [
        (
            _name(figure),
            _range(figure.stated_low, figure.stated_high, figure, show),
            _range(figure.found_low, figure.found_high, figure, show),
        )
        for figure in found.figures
        if figure.learned
    ]


def lines_to_write(found: BenchAnswer, written: bool) -> Iterator[str]:
    """Say which lines of the design to change, so that the next answer uses what was measured.

    A line that only the catalogue as measured allows is told when there is one (`written`).
    """
    for line in found.lines:
        if line.with_rows and not written:
            continue
        where = "trunk" if line.table == "trunks" else "supply" if line.table == "supplies" else ""
        name = f"{where} {line.name}".strip()
        beside = ", beside the catalogue as measured" if line.with_rows else ""
        yield f"In the design, for {name}{beside}, write {line.line}"


def not_learned(found: BenchAnswer) -> Iterator[str]:
    """Say what stays as the label has it, gathered by the reading that would teach it."""
    by_reading: dict[str, list[str]] = {}
    for figure in found.figures:
        if not figure.learned:
            by_reading.setdefault(figure.taught_by, []).append(_name(figure))
    if found.verdict == "unexplained":
        return
    for reading, names in by_reading.items():
        closer = (
            f"Most would come from: {reading}." if reading else "No single further reading would."
        )
        yield f"{'; '.join(names)}. {closer}"


def how_to_write(found: BenchAnswer) -> str:
    """Say how the parts as measured are written, "" where there are none.

    With a fault they are those of a piece that is yet to be mended.
    """
    if not found.rows or found.verdict == "unexplained":
        return ""
    after = f"{MENDED_FIRST} " if found.verdict == "fault" else ""
    lines = NEW_LINES if any(line.with_rows for line in found.lines) else ""
    return f"{after}{NEW_PARTS}{lines}."


def not_sure(found: BenchAnswer) -> str:
    """Say why the parts as measured are not yet to be relied on, "" where nothing speaks for it."""
    if found.verdict == "fault":
        return MENDED_FIRST
    if found.verdict == "no fault" and found.faults:
        return (
            "A fault is not excluded: measure what is named before you use the parts as measured."
        )
    return ""


def _learned(found: BenchAnswer, show: Shower, *, written: bool) -> Iterator[str]:
    learned = learned_rows(found, show)
    if learned:
        yield table(LEARNED, learned)
        yield paragraph(LEARNED_READ)
    else:
        yield paragraph(NOTHING_LEARNED)
    yield from (paragraph(line) for line in lines_to_write(found, written))
    if not written and how_to_write(found):
        yield paragraph(how_to_write(found))
    closer = [paragraph(sentence) for sentence in not_learned(found)]
    if closer:
        yield heading(COULD_NOT_TELL)
    yield from closer


def _name(figure: FigureAnswer) -> str:
    return f"{NAMES[figure.code]}, {figure.owner}"


def _range(low: float, high: float, figure: FigureAnswer, show: Shower) -> str:
    if figure.unit == "ratio":
        return units.show_range(low, high, "ratio", show.system)
    size = SIZES[figure.unit]
    return units.show_range(low * size, high * size, figure.kind, show.system)
