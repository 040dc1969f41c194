"""How sure an answer is, in the maker's words: sentences and rows for the sheet and the page."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.answers.band.results import Band, Chance, Share, Spread
from lightcalc.answers.band.spread import (
    DAYS,
    DIMMEST,
    DOTS,
    FALL,
    HOURS,
    LIGHT,
    PEAK,
    PIECE_HOURS,
    WARMTH,
)
from lightcalc.answers.band.work import MOST_SAMPLES
from lightcalc.answers.words import ENDED_BY, Shower

Row = tuple[str, ...]

BANDS = ("what", "from", "most likely", "to")
BANDS_READ = "8 of 10 builds fall between from and to; 1 lies below and 1 above."
WHAT = {
    PIECE_HOURS: "hours a charge",
    HOURS: "hours",
    PEAK: "most amps",
    DAYS: "flat if never lit",
    LIGHT: "light",
    DIMMEST: "dimmest LEDs",
    FALL: "fall in light",
    WARMTH: "strip warmth",
    DOTS: "dots",
}
CHANCES = {
    "lasts": "Chance that it lasts the {asked} asked",
    "even light": "Chance that the light of {of} falls no more than the {asked} asked",
    "no dots": "Chance that no dots are seen, {of}",
}
# Of shares smaller than this only the sum is told.
LEAST_TOLD = 0.05
MOST_TOLD = 5
# A chance is no surer than the builds can tell, and none is told more closely than this.
LEAST_CHANCE, MOST_IN_NONE = 0.001, 3.0
LEAST_DOTS = 0.1
# From here on a jump or the play of several inputs is worth a sentence.
MUCH_UNEXPLAINED = 0.15


def shown(band: Band, value: float, show: Shower) -> str:
    """Show a value of a band in its unit."""
    if band.code == DOTS:
        return show.multiple(value)
    by_unit = {
        "h": show.hours_closely,
        "a": show.amps,
        "d": show.days,
        "lm": show.light,
        "ratio": show.ratio,
        "c": show.temperature,
    }
    return by_unit[band.unit](value)


def band_sentence(band: Band, show: Shower, *, what: str = "Hours a charge") -> str:
    """Say between what a result lies, and where most likely."""
    low, middle, high = (shown(band, value, show) for value in (band.low, band.middle, band.high))
    if low == high:
        return f"{what}: {middle}, in 8 of 10 builds."
    return f"{what}: {low} to {high}, most likely {middle} (8 of 10 builds fall in between)."


def hangs_on(band: Band, show: Shower, most: int = MOST_TOLD) -> str:
    """List what a band hangs on, with shares; empty when it hangs on nothing."""
    told = [share for share in band.shares if share.with_others_ratio >= LEAST_TOLD][:most]
    return ", ".join(f"{share.name} {show.ratio(share.with_others_ratio)}" for share in told)


def chance_sentence(chance: Chance, show: Shower, samples_count: int) -> str:
    """Say how likely it is that the design meets one thing that was asked."""
    asked = show.hours(chance.asked) if chance.unit == "h" else show.ratio(chance.asked)
    text = CHANCES[chance.code].format(asked=asked, of=chance.of)
    return f"{text}: {chance_words(chance.chance_ratio, show, samples_count)}."


def chance_words(ratio: float, show: Shower, samples_count: int) -> str:
    """Show a chance, never surer than so many builds can tell.

    What 3 in n builds do is missing among n of them 5 times in 100: (1 - 3/n)^n is 0.05. What
    some of few builds do lies in Wilson's interval 95 times in 100.

    >>> show = Shower("metric")
    >>> chance_words(1.0, show, 10_000), chance_words(0.52, show, 10_000)
    ('above 99.9 %', '52 %')
    >>> chance_words(1.0, show, 25), chance_words(0.9, show, 20)
    ('above 88 %', '69 to 98 %')
    """
    least = max(LEAST_CHANCE, MOST_IN_NONE / samples_count)
    if least > LEAST_CHANCE and 0.0 < ratio < 1.0:
        low, high = _between(ratio, samples_count)
        return f"{math.floor(100.0 * low)} to {math.ceil(100.0 * high)} %"
    if ratio > 1.0 - least:
        return f"above {math.floor(1000.0 * (1.0 - least) + 1e-9) / 10.0:g} %"
    if ratio < least:
        return f"below {math.ceil(1000.0 * least - 1e-9) / 10.0:g} %"
    return f"{ratio * 100.0:.1f} %" if ratio > 0.99 else show.ratio(ratio)


def _between(share: float, count: int) -> tuple[float, float]:
    """Return the interval of E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212, at 95 %."""
    square = 1.96**2 / count
    middle = share + square / 2.0
    half = math.sqrt(square * (share * (1.0 - share) + square / 4.0))
    return (middle - half) / (1.0 + square), (middle + half) / (1.0 + square)


def measure_first(spread: Spread, show: Shower) -> str:
    """Say which figure to measure before all others; empty when nothing differs."""
    share = spread.measure_first
    if share is None:
        return ""
    of = f" ({share.of})" if share.of else ""
    return (
        f"Measure this first: {share.name}{of}. {_tolerance(share)}, and brings "
        f"{show.ratio(share.with_others_ratio)} of the difference in hours."
    )


def _tolerance(share: Share) -> str:
    said = "by the catalogue" if share.source == "catalogue" else "by common practice"
    if share.tolerance_k is not None:
        return f"It may be {share.tolerance_k:g} K off {said}"
    return f"It may be {(share.tolerance_ratio or 0.0) * 100.0:.2g} % off {said}"


def hours_sentences(spread: Spread, show: Shower) -> Iterator[str]:
    """Yield what matters most: hours, chances, what they hang on, what to measure first."""
    hours = next(band for band in spread.bands if band.code == PIECE_HOURS)
    yield band_sentence(hours, show)
    for chance in spread.chances:
        yield chance_sentence(chance, show, spread.samples_count)
    on = hangs_on(hours, show)
    if on:
        yield f"What the hours hang on: {on}."
    if hours.shares and hours.unexplained_ratio > MUCH_UNEXPLAINED:
        yield (
            f"{show.ratio(hours.unexplained_ratio)} of the difference comes in jumps, or from "
            "several of these together."
        )
    yield from filter(None, [measure_first(spread, show)])
    for ending in spread.endings:
        if LEAST_CHANCE <= ending.chance_ratio <= 1.0 - LEAST_CHANCE:
            share = show.ratio(ending.chance_ratio)
            yield f"{ending.supply}, {share} of builds: {ENDED_BY[ending.ended_by]}"


def band_rows(spread: Spread, show: Shower) -> list[Row]:
    """Return every band but that of the whole piece as a row of BANDS."""
    return [
        (
            f"{WHAT[band.code]}, {band.of}",
            *(_brief(band, value, show) for value in (band.low, band.middle, band.high)),
        )
        for band in _told(spread)
    ]


def hangs_on_sentences(spread: Spread, show: Shower) -> Iterator[str]:
    """Yield what each kind of result but the hours hangs on, once for all runs and supplies."""
    seen: set[str] = {HOURS}
    for band in _told(spread):
        on = hangs_on(band, show, 3)
        if on and band.code not in seen:
            seen.add(band.code)
            what = WHAT[band.code]
            yield f"{what[0].upper()}{what[1:]} hangs on: {on}."


def _told(spread: Spread) -> list[Band]:
    """Bands worth a row: dots that nobody could see are told by their chance alone."""
    return [
        band
        for band in spread.bands
        if band.code != PIECE_HOURS and not (band.code == DOTS and band.high < LEAST_DOTS)
    ]


def _brief(band: Band, value: float, show: Shower) -> str:
    """Show a value as it fits a table."""
    if band.code == DOTS:
        return f"{value:.3g} times"
    return shown(band, value, show).removeprefix("about ")


def sampling_sentence(spread: Spread, show: Shower) -> str:
    """Say what the builds were made of, and how far the band itself may be off."""
    hours = next(band for band in spread.bands if band.code == PIECE_HOURS)
    minutes = max(hours.low_error, hours.high_error) * 60.0
    return (
        f"From {spread.samples_count:,} builds with every part as far off as its tolerance lets "
        f"it be; of parts of one batch {show.ratio(spread.common_share_ratio)} of that is common "
        "to all (judgement). Each end of the band of hours is known within about "
        f"{max(minutes, 0.1):.1g} min."
    )


def fewer_sentence(spread: Spread) -> str:
    """Say that a piece is so large that few builds of it were tried; empty when it is not."""
    if spread.samples_count >= MOST_SAMPLES:
        return ""
    return (
        f"Of so large a piece {spread.samples_count:,} builds are tried, since each takes long. "
        f"More make the ends of the bands surer: --builds {MOST_SAMPLES}."
    )
