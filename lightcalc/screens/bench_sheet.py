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
COULD_NOT_TELL = "What these readings could not tell"
SHORT = {"low beside others": "low *", "high beside others": "high *"}
STARRED = (
    " * It agrees by itself, but on a piece with no fault the other readings lead one to expect "
    "another."
)


def bench_sheet(found: BenchAnswer) -> str:
    """Return everything one bench says, 80 columns wide."""
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
        *_learned(found, show),
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
        for reading in found.readings:
            if reading.unit == "V" and reading.measured < 0.0 < reading.predicted:
                yield (
                    f"A minus in {reading.place} means that its two wires are swapped, or the "
                    "meter's leads are: mend that first, and measure again."
                )
        return
    if found.verdict == "no fault":
        yield f"No fault shows; {count}"
        for fault in found.faults:
            chance = show.ratio(fault.probability_ratio)
            yield f"Not excluded ({chance}): {_what(fault, found.units)}."
        return
    likeliest, *rivals = found.faults
    yield f"{_what(likeliest, found.units)}. {likeliest.remedy}"
    sure = likeliest.probability_ratio
    chance = show.ratio(sure) if sure < NEARLY_SURE else "over 99 %"
    none = show.ratio(max(found.no_fault_ratio, LEAST_CHANCE))
    yield f"How sure: {chance}; no fault at all: {none}. {count}"
    for rival in rivals:
        chance = show.ratio(rival.probability_ratio)
        yield f"Or ({chance}): {_what(rival, found.units)}. {rival.remedy}"
    if rivals:
        yield (
            f"These readings do not tell them apart. This one would: {found.tell_apart}."
            if found.tell_apart
            else "These readings do not tell them apart, and no single further reading would; look."
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
    return f"{text}, {low} to {high} times what is stated"


def _reading_row(reading: ReadingAnswer, system: str) -> list[str]:
    size, digits = SIZES[reading.unit], 4 if reading.kind == "voltage" else 3

    def show(value: float) -> str:
        return units.show(value * size, reading.kind, system, digits)

    wide = 2 if reading.kind == "time" else digits
    band = units.show_range(reading.low * size, reading.high * size, reading.kind, system, wide)
    verdict = SHORT.get(reading.verdict, reading.verdict)
    return [reading.place, show(reading.measured), show(reading.predicted), band, verdict]


def reading_rows(found: BenchAnswer) -> list[tuple[str, ...]]:
    """Return each reading beside its prediction."""
    return [tuple(_reading_row(reading, found.units)) for reading in found.readings]


def readings_read(found: BenchAnswer) -> str:
    """Say how the table of readings is read."""
    starred = any(reading.verdict in SHORT for reading in found.readings)
    return (
        "Predicted from the catalogue and the drawing; nearly all such pieces lie in the range. A "
        "reading agrees when it does, give or take what the meter may be off."
        f"{STARRED if starred else ''}"
    )


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


def lines_to_write(found: BenchAnswer) -> Iterator[str]:
    """Say which lines of the design to change, so that the next answer uses what was measured."""
    for line in found.lines:
        where = "trunk" if line.table == "trunks" else "supply" if line.table == "supplies" else ""
        name = f"{where} {line.name}".strip()
        yield f"In the design, for {name}, write {line.line}"


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


def _learned(found: BenchAnswer, show: Shower) -> Iterator[str]:
    learned = learned_rows(found, show)
    if learned:
        yield table(LEARNED, learned)
        yield paragraph(LEARNED_READ)
    else:
        yield paragraph(NOTHING_LEARNED)
    yield from (paragraph(line) for line in lines_to_write(found))
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
