"""The one-or-two-packs table in plain text."""

from __future__ import annotations

from lightcalc.answers.results import BuildAnswer, Comparison
from lightcalc.answers.words import PRICE_COUNTS, Shower
from lightcalc.screens.layout import heading, paragraph, table


def compare_table(comparison: Comparison) -> str:
    """Return the builds side by side, what they mean, and why a build cannot work."""
    show = Shower(comparison.units)
    possible = [build for build in comparison.builds if build.possible]
    rows = compare_rows(comparison, show)
    lines = [
        heading(f"One pack or two: {comparison.piece}"),
        paragraph(comparison.advice),
        "",
        table(["", *(build.build for build in possible)], rows),
        *(paragraph(f"{'; '.join(build.feeds)}.") for build in possible if len(build.feeds) > 1),
        *(
            paragraph(f"{build.build} cannot work: {build.reason}")
            for build in comparison.builds
            if not build.possible
        ),
        "",
        paragraph(f"Parts: {PRICE_COUNTS}"),
        paragraph(
            "Two packs each feed runs of their own. Never join packs, or the outputs of two "
            "converters."
        ),
    ]
    return "\n".join(lines) + "\n"


def compare_rows(comparison: Comparison, show: Shower) -> list[list[str]]:
    """Return what differs between the builds that are possible, a row a thing."""
    possible = [build for build in comparison.builds if build.possible]
    return [
        ["hours a charge", *(show.hours(build.hours_h) for build in possible)],
        *_asked(comparison, possible, show),
        ["likely from", *(show.hours(build.hours_low_h) for build in possible)],
        ["likely to", *(show.hours(build.hours_high_h) for build in possible)],
        ["at full level", *(show.hours(build.full_level_h) for build in possible)],
        ["empty first", *(_first_empty(build) for build in possible)],
        ["dimmest LEDs", *(show.ratio(build.dimmest_light_ratio) for build in possible)],
        ["fall along a run", *(show.ratio(build.light_fall_ratio) for build in possible)],
        ["parts", *(_price(build, comparison.currency) for build in possible)],
        ["mass", *(show.mass(b.mass_kg) if b.mass_kg else "unknown" for b in possible)],
        ["findings that stop", *(str(build.stops_count) for build in possible)],
    ]


def _asked(comparison: Comparison, builds: list[BuildAnswer], show: Shower) -> list[list[str]]:
    asked_h = comparison.asked_h
    if asked_h is None:
        return []
    met = ["yes" if build.hours_h >= asked_h else "no" for build in builds]
    return [[f"{show.hours(asked_h)} asked", *met]]


def _first_empty(build: BuildAnswer) -> str:
    """Return which pack, without the name of the supply that both were made from."""
    return build.first_empty.rpartition(", ")[2] or "-"


def _price(build: BuildAnswer, currency: str) -> str:
    return "unknown" if build.price is None else f"{build.price:.0f} {currency}"
