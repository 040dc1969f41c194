"""The dots of a run on a surface against its distance, and what an eye can see of them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.answers.curves.results import DistanceCurve
from lightcalc.answers.words import VERDICTS, Shower
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.lengths import Lengths
from lightcalc.screens.charts.style import (
    NEUTRAL,
    Spec,
    axis,
    begin,
    figure,
    file_name,
    limit_line,
    line,
    literal,
    marker,
    plain,
)

_THRESHOLD = {"color": NEUTRAL, "width": 3, "dash": "dash"}


def distance_chart(curve: DistanceCurve, show: Shower) -> Chart:
    """Draw contrast and threshold, with the distance drawn and the one that hides the dots."""
    lengths = Lengths("in" if show.system == "inch" else "mm", show)
    low, high = _contrast_range(curve)
    traces = [
        *_lines(curve, lengths),
        *_straight(curve, lengths),
        *_marked(curve, lengths, low, high),
    ]
    columns = (curve.distance_m, curve.contrast_ratio, curve.threshold_ratio, curve.verdicts)
    return Chart(
        title=f"Dots of {plain(curve.run)} on {plain(curve.surface)}",
        says=_says(curve, lengths),
        figure=figure(
            traces,
            height=380,
            xaxis=lengths.log_axis(
                "Distance between LEDs and surface", min(curve.distance_m), max(curve.distance_m)
            ),
            yaxis=_contrast_axis(low, high),
        ),
        columns=(
            f"distance ({lengths.unit})",
            "contrast (%)",
            "an eye can just see (%)",
            "verdict",
        ),
        rows=tuple(
            (lengths.one(distance_m), 100.0 * contrast, 100.0 * threshold, verdict)
            for distance_m, contrast, threshold, verdict in zip(*columns, strict=True)
        ),
        file_name=file_name("dots of", curve.run, "on", curve.surface),
        alt=f"Line chart of the contrast of the dots of {plain(curve.run)} on "
        f"{plain(curve.surface)} against distance, beside the contrast that an eye can just see. "
        f"{_says(curve, lengths)}",
    )


def _contrast_range(curve: DistanceCurve) -> tuple[float, float]:
    """From a tenth of what any eye can see here, to full contrast or what is drawn above it."""
    least = min(min(curve.threshold_ratio) / 10.0, 0.01)
    low = 10.0 ** math.floor(math.log10(max(least, 1e-6)))
    return low, 1.5 * max(1.0, *(min(c, 10.0) for c in curve.contrast_ratio))


def _contrast_axis(low: float, high: float) -> Spec:
    powers = range(round(math.log10(low)), math.floor(math.log10(high)) + 1)
    return axis(
        "Contrast of the dots",
        type="log",
        range=[math.log10(low), math.log10(high)],
        tickvals=[10.0**n for n in powers],
        ticktext=[f"{100.0 * 10.0**n:.6g} %" for n in powers],
    )


def _says(curve: DistanceCurve, lengths: Lengths) -> str:
    show = lengths.show
    drawn = show.length(curve.drawn_distance_m)
    contrast = show.ratio(curve.drawn_contrast_ratio)
    here = f"At {drawn}, as drawn, the contrast of the dots on {plain(curve.surface)} is {contrast}"
    if curve.hiding_distance_m is None:
        through = "; the LEDs show straight through the sheet" if _seen_through(curve) else ""
        return f"{here}{through}; no distance hides them."
    if curve.hiding_distance_m == 0.0:
        return f"{here}; they show at no distance."
    hides = lengths.roughly(curve.hiding_distance_m)
    if curve.drawn_distance_m >= curve.hiding_distance_m:
        return f"{here}, too little to see; {hides} would do."
    return f"{here}, which shows; from {hides} on no eye there sees them."


def _lines(curve: DistanceCurve, lengths: Lengths) -> Iterator[Spec]:
    show, run, surface = lengths.show, literal(curve.run), literal(curve.surface)
    columns = (curve.distance_m, curve.contrast_ratio, curve.threshold_ratio)
    x = lengths.of(curve.distance_m)
    shared = {"type": "scatter", "mode": "lines", "x": x, "hoverinfo": "text"}
    told = [VERDICTS[verdict] for verdict in curve.verdicts]
    yield shared | {
        "y": [contrast if contrast > 0.0 else None for contrast in curve.contrast_ratio],
        "name": "the dots",
        "line": line(0),
        "hovertext": [
            f"{begin(run)}, {lengths.roughly(distance_m)} from {surface}:<br>"
            f"the dots have a contrast of {show.ratio(contrast)},<br>"
            f"an eye can just see {_seen(threshold, show)};<br>{verdict}"
            for distance_m, contrast, threshold, verdict in zip(*columns, told, strict=True)
        ],
    }
    yield shared | {
        "y": curve.threshold_ratio,
        "name": "what an eye can just see",
        "line": _THRESHOLD,
        "hovertext": [
            f"At {lengths.roughly(distance_m)} an eye can just see<br>{_seen(threshold, show)}"
            for distance_m, threshold in zip(curve.distance_m, curve.threshold_ratio, strict=True)
        ],
    }


def _seen_through(curve: DistanceCurve) -> list[tuple[float, str]]:
    """Return distances and verdicts where LEDs show though their light on the surface is even."""
    columns = (curve.distance_m, curve.contrast_ratio, curve.threshold_ratio, curve.verdicts)
    return [
        (distance_m, verdict)
        for distance_m, contrast, threshold, verdict in zip(*columns, strict=True)
        if verdict != "hidden" and contrast < threshold
    ]


def _straight(curve: DistanceCurve, lengths: Lengths) -> Iterator[Spec]:
    """Mark where images of the LEDs show through a sheet, though their light is even."""
    shown = _seen_through(curve)
    if shown:
        yield {
            "type": "scatter",
            "mode": "markers",
            "x": lengths.of(distance_m for distance_m, _ in shown),
            "y": [min(curve.threshold_ratio)] * len(shown),
            "name": "LEDs seen straight through the sheet",
            "marker": {"color": NEUTRAL, "symbol": "x", "size": 9},
            "hoverinfo": "text",
            "hovertext": [
                f"{lengths.roughly(distance_m)} from {literal(curve.surface)}:<br>"
                f"its light is even, but through the sheet<br>{VERDICTS[verdict]}"
                for distance_m, verdict in shown
            ],
        }


def _seen(threshold_ratio: float, show: Shower) -> str:
    if threshold_ratio >= 1.0:
        return "no contrast at all"
    return f"a contrast of {show.ratio(threshold_ratio)}"


def _marked(curve: DistanceCurve, lengths: Lengths, low: float, high: float) -> Iterator[Spec]:
    """Upright lines with a marker on top: the distance drawn, and the one that hides the dots."""
    show = lengths.show
    marked = [(curve.drawn_distance_m, "as drawn", 1, show.length)]
    if curve.hiding_distance_m:
        marked.append((curve.hiding_distance_m, "hidden from here on", 2, lengths.roughly))
    for distance_m, what, number, say in marked:
        x = lengths.one(distance_m)
        yield limit_line([x, x], [low, high], "", showlegend=False) | {
            "mode": "lines+markers",
            "name": f"{what}: {say(distance_m)}",
            "showlegend": True,
            "line": line(number) | {"width": 2},
            "marker": marker(number),
        }
