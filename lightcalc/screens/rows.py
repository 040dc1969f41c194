"""Tables that the answer sheet and the page both show: headings and rows, in words."""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.look.results import SightAnswer
from lightcalc.answers.results import Answer
from lightcalc.answers.words import DECIDED_BY, Shower

Row = tuple[str, ...]

RUNS = ("run", "cut to", "amps", "light", "fed", "far end", "dimmest", "fall")
RUNS_READ = (
    "Fed and far end: volts at the feed and at the dimmest LEDs. Dimmest: their light against "
    "their rating. Fall: from the brightest to the dimmest of the same run."
)
WIRES = ("lead", "length", "amps", "use", "or AWG", "or mm2", "drop", "set by")
WIRES_READ = (
    "Two conductors each. AWG and mm2 are the thinnest that will do; the drop is a share of "
    "the volts, there and back, in copper and connectors."
)
# A smaller share of a drop is not worth a word.
LEAST_CONTACT_SHARE = 0.05
SIGHTS = ("run", "eye", "how", "LEDs", "brightness")
SIGHTS_READ = "Brightness: at most, of an LED looked at bare."
HOW = {"direct": "bare", "through": "through", "mirrored": "in the floor"}


def run_rows(answer: Answer, show: Shower) -> list[Row]:
    """Return each run at full level."""
    return [
        (
            run.run,
            show.length(run.cut_length_m),
            show.amps(run.amps_a),
            show.light(run.light_lm),
            show.volts(run.fed_v),
            show.volts(run.dimmest_v),
            show.ratio(run.dimmest_light_ratio),
            show.ratio(run.light_fall_ratio),
        )
        for run in answer.runs
    ]


def wire_rows(answer: Answer, show: Shower) -> list[Row]:
    """Return the wire of each lead, and what decided it."""
    return [
        (
            wire.lead,
            show.length(wire.length_m),
            show.amps(wire.peak_a),
            wire.size,
            (wire.smallest_awg or "none").removesuffix(" AWG"),
            (wire.smallest_mm2 or "none").removesuffix(" mm2"),
            show.ratio(wire.drop_ratio),
            DECIDED_BY[wire.decided_by],
        )
        for wire in answer.wires
    ]


def connectors_read(answer: Answer, show: Shower) -> str:
    """Say of which drops connectors make a good part; empty when of none."""
    shares = [
        f"{show.ratio(wire.contact_share_ratio)} of that of {wire.lead}"
        for wire in answer.wires
        if wire.contact_share_ratio >= LEAST_CONTACT_SHARE
    ]
    if not shares:
        return ""
    return f"Of these drops connectors make {', '.join(shares)}."


def sight_rows(sights: Sequence[SightAnswer], show: Shower) -> list[Row]:
    """Return which LEDs each eye sees, and how bright."""
    return [
        (
            sight.run,
            sight.eye,
            " ".join([HOW[sight.way], " and ".join(sight.inserts)]).strip(),
            f"{sight.leds_count} of {sight.of_count}",
            show.ratio(sight.kept_ratio),
        )
        for sight in sights
    ]
