"""The four answers that come first: hours, one pack or two, wire and fuse, whether LEDs show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lightcalc.answers.findings.finding import GRADES, Finding
from lightcalc.answers.results import Answer, BuildAnswer, Comparison
from lightcalc.answers.seen_words import dots_words, in_two_words, leds_words
from lightcalc.answers.words import Shower
from lightcalc.screens.sheet import fuses_to_buy, wire_sizes

Grade = Literal["stop", "caution", "fine"]

HOURS = frozenset(
    {
        "hours-short",
        "hours-close",
        "no-light",
        "bank-sleeps",
        "bank-limit",
        "boost-passes",
        "controller-volts",
        "converter-limit",
        "dims-with-pack",
        "flat-unlit",
        "no-dimmer",
        "overvolt",
        "stranded",
        "pack-current",
        "pack-temperature",
    }
)
WIRING = frozenset(
    {
        "connector-current",
        "connector-drop",
        "connector-volts",
        "controller-current",
        "converter-warm",
        "dim",
        "fuse-unfit",
        "light-fall",
        "no-fuse",
        "no-wire",
        "pack-current",
        "wire-drop",
        "wire-thin",
    }
)
SHOWS = frozenset({"dots", "dots-seen", "leds-seen"})


@dataclass(frozen=True)
class Headline:
    """One answer: a large number, a sentence that ends it, its grade, and what stands behind it.

    `label` is the question. `behind` is a sentence with a number and a remedy; empty when there is
    nothing to say. All are plain text with names from files as they stand.
    """

    label: str
    number: str
    sentence: str
    grade: Grade
    behind: str


def verdict(answer: Answer) -> tuple[Grade, str]:
    """Say in one sentence whether the design works, with the worst grade of all findings."""
    stops = sum(finding.grade == "stop" for finding in answer.findings)
    cautions = sum(finding.grade == "caution" for finding in answer.findings)
    if stops:
        things = "1 thing" if stops == 1 else f"{stops} things"
        return "stop", f"{things} must change before this is built."
    if cautions:
        things = "1 thing" if cautions == 1 else f"{cautions} things"
        return "caution", f"Nothing stops this design; {things} to think about."
    return "fine", "Nothing found that stops this design."


def hours_headline(answer: Answer) -> Headline:
    """How long a charge lasts: the supply that empties first decides."""
    show = Shower(answer.units)
    first = min(answer.supplies, key=lambda supply: supply.hours_h)
    likely = f"{show.hours(first.hours_low_h)} to {show.hours(first.hours_high_h)}"
    sentence = f"of light a charge, likely {likely}"
    if len(answer.supplies) > 1:
        sentence += f" ({first.supply} empties first)"
    if answer.asked_h is not None:
        sentence += f"; asked for {show.hours(answer.asked_h)}"
    grade, behind = _behind(answer.findings, HOURS)
    return Headline("Hours a charge", show.hours(first.hours_h), f"{sentence}.", grade, behind)


def wiring_headline(answer: Answer) -> Headline:
    """Which wire and fuse to buy: the thickest wire in large, all of it in the sentence."""
    thickest = max(answer.wires, key=lambda wire: wire.area_mm2)
    grade, behind = _behind(answer.findings, WIRING)
    needed = [fuse for fuse in answer.fuses if fuse.protected_by != "converter limit"]
    ratings = {fuse.rating_a for fuse in needed if fuse.rating_a is not None}
    number = " + ".join([thickest.size, *(f"{rating:g} A fuse" for rating in sorted(ratings))])
    fuses = fuses_to_buy(answer)
    fuse_text = f"; fuse {fuses}" if fuses else ""
    sentence = f"Buy wire {', '.join(wire_sizes(answer))}{fuse_text}."
    return Headline("Wire and fuse", number, sentence, grade, behind)


def shows_headline(answer: Answer) -> Headline:
    """Whether dots show in the light, and apart from that, whether eyes see the LEDs themselves."""
    label = "Dots and LEDs"
    grade, behind = _behind(answer.findings, SHOWS)
    number = in_two_words(answer)
    if not number:
        return Headline(label, "Not asked", "No surface or eye was given to judge.", grade, behind)
    parts = [
        f"{what}: {words}."
        for what, words in (("Dots", dots_words(answer)), ("LEDs", leds_words(answer)))
        if words
    ]
    return Headline(label, number, " ".join(parts), grade, behind)


def packs_headline(comparison: Comparison) -> Headline:
    """One pack or two: what the second buys, and whether the first is enough."""
    show = Shower(comparison.units)
    label = "One pack or two?"
    one, two, _ = comparison.builds
    grade, behind = _enough(comparison, show)
    if not two.possible:
        return Headline(label, "One", two.reason, grade, behind)
    return Headline(
        label,
        f"{show.hours(one.hours_h)} or {show.hours(two.hours_h)}",
        comparison.advice,
        grade,
        behind,
    )


def _enough(comparison: Comparison, show: Shower) -> tuple[Grade, str]:
    """Say which of the builds can be built and last as long as was asked."""
    able = [build for build in comparison.builds if build.possible and build.stops_count == 0]
    if not able:
        return "stop", "None of these can be built as it stands; see the findings."
    asked_h = comparison.asked_h
    if asked_h is None:
        return "fine", ""
    asked = show.hours(asked_h)
    enough = [build for build in able if build.hours_h >= asked_h]
    if not enough:
        best = max(able, key=lambda build: build.hours_h)
        return "stop", f"None lasts the {asked} asked; {best.build} comes nearest."
    if enough[0] is comparison.builds[0]:
        return "fine", f"One pack is enough for the {asked} asked."
    return "caution", f"For the {asked} asked it takes {_first(enough).build}."


def _first(builds: Sequence[BuildAnswer]) -> BuildAnswer:
    return builds[0]


def _behind(findings: Sequence[Finding], codes: frozenset[str]) -> tuple[Grade, str]:
    """Return the worst grade among findings of these codes, and the first finding that has it."""
    for grade in GRADES:
        for finding in findings:
            if finding.code in codes and finding.grade == grade:
                text = f"{finding.where}: {finding.why} {finding.remedy}".strip()
                return ("fine" if grade == "note" else grade), text
    return "fine", ""
