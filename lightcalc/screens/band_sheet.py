"""The band of an answer as plain text, and as JSON."""

from __future__ import annotations

from typing import Any

from lightcalc.answers.band.results import Band, Chance, Spread
from lightcalc.answers.results import Answer
from lightcalc.answers.words import Shower
from lightcalc.screens import band_words as words
from lightcalc.screens.layout import heading, paragraph, table


def band_sheet(answer: Answer, spread: Spread, asked: int | None = None) -> str:
    """Return how sure an answer is, 80 columns wide; `asked` is how many builds were asked for."""
    show = Shower(answer.units)
    parts = [heading("How sure")]
    parts += [paragraph(text, "  ", "    ") for text in words.hours_sentences(spread, show)]
    parts += ["", table(words.BANDS, words.band_rows(spread, show)), paragraph(words.BANDS_READ)]
    parts += [paragraph(text, "  ", "    ") for text in words.hangs_on_sentences(spread, show)]
    parts.append(paragraph(words.sampling_sentence(spread, show)))
    if asked is None and words.fewer_sentence(spread):
        parts.append(paragraph(words.fewer_sentence(spread)))
    return "\n".join(parts) + "\n"


def band_json(spread: Spread) -> dict[str, Any]:
    """Return a spread for JSON, where the name of every number ends in its unit."""
    return {
        "samples_count": spread.samples_count,
        "common_share_ratio": spread.common_share_ratio,
        "bands": [_band(band) for band in spread.bands],
        "chances": [_chance(chance) for chance in spread.chances],
        "endings": spread.endings,
        "measure_first": spread.measure_first,
    }


def _band(band: Band) -> dict[str, Any]:
    numbers = {
        "nominal": band.nominal,
        "low": band.low,
        "middle": band.middle,
        "high": band.high,
        "low_error": band.low_error,
        "middle_error": band.middle_error,
        "high_error": band.high_error,
    }
    return {
        "code": band.code,
        "of": band.of,
        **{f"{name}_{band.unit}": value for name, value in numbers.items()},
        "shares": band.shares,
        "unexplained_ratio": band.unexplained_ratio,
    }


def _chance(chance: Chance) -> dict[str, Any]:
    return {
        "code": chance.code,
        "of": chance.of,
        f"asked_{chance.unit}": chance.asked,
        "chance_ratio": chance.chance_ratio,
        "error_ratio": chance.error_ratio,
    }
