"""A charge the way it is used: light and pack volts over the hours lit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightcalc.answers.curve_results import EveningCurve
from lightcalc.screens.charts.along import LEAST_SPAN_RATIO
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import (
    NEUTRAL,
    Spec,
    axis,
    figure,
    file_name,
    label,
    limit_line,
    line,
    plain,
)
from lightcalc.screens.words import Shower

_MOST_NUMBERS = 8
_TOP_PER_CENT = 115.0


def evening_chart(curve: EveningCurve, show: Shower) -> Chart:
    """Draw light above and pack volts below, on one axis of lit hours."""
    high = max(*curve.pack_v, curve.cutoff_v)
    low = min(*curve.pack_v, curve.cutoff_v)
    low = min(low - 0.03 * high, (1.0 - LEAST_SPAN_RATIO) * high)
    told = _told(curve, show)
    end_h = max(curve.time_h)
    cutoff = f"cut-off {show.volts(curve.cutoff_v)}"
    traces = [
        _line(0, curve.time_h, [100.0 * r for r in curve.light_ratio], "light", told),
        _line(1, curve.time_h, curve.pack_v, "volts of the pack", told) | {"yaxis": "y2"},
        limit_line([0.0, end_h], [curve.cutoff_v] * 2, "cut-off", yaxis="y2", showlegend=False),
        label(0.0, curve.cutoff_v, cutoff, "top right", yaxis="y2"),
        *_evening_ends(curve, _TOP_PER_CENT, (low, 1.02 * high)),
    ]
    return Chart(
        title=f"One charge of {plain(curve.supply)}, evening after evening",
        says=_says(curve, show),
        figure=figure(
            traces,
            height=440,
            xaxis=axis("Hours of light since the charger (h)", range=[0.0, end_h], anchor="y2"),
            yaxis=axis("Light (% of full)", range=[0.0, _TOP_PER_CENT], domain=[0.54, 1.0]),
            yaxis2=axis("Pack (V)", range=[low, 1.02 * high], domain=[0.0, 0.46], anchor="x"),
        ),
        columns=(
            "hours of light (h)",
            "level (%)",
            "light (% of full)",
            "pack volts (V)",
            "pack amps (A)",
        ),
        rows=tuple(_rows(curve)),
        file_name=file_name("one charge of", curve.supply),
        alt="Two line charts over the hours of light since the charger. "
        f"Above, light in per cent of full; below, pack volts, {show.volts(curve.pack_v[0])} at "
        f"first and {show.volts(curve.pack_v[-1])} after {show.hours(end_h)}, with its {cutoff}. "
        f"Dotted lines mark the ends of {len(curve.evening_ends_h)} evenings.",
    )


def _says(curve: EveningCurve, show: Shower) -> str:
    count = len(curve.evening_ends_h)
    evenings = "one whole evening" if count == 1 else f"{count or 'no'} whole evenings"
    lowest = min(curve.light_ratio)
    return (
        f"A charge of {plain(curve.supply)} gives {show.hours(max(curve.time_h))} of light, "
        f"{evenings}. Its pack falls from {show.volts(curve.pack_v[0])} to "
        f"{show.volts(curve.pack_v[-1])}, and the light is {show.ratio(lowest)} of full "
        "at the least."
    )


def _rows(curve: EveningCurve) -> Iterator[tuple[str | float, ...]]:
    columns = (curve.time_h, curve.level_ratio, curve.light_ratio, curve.pack_v, curve.pack_a)
    for time_h, level, light, volts, amps in zip(*columns, strict=True):
        yield time_h, 100.0 * level, 100.0 * light, volts, amps


def _told(curve: EveningCurve, show: Shower) -> list[str]:
    columns = (curve.time_h, curve.light_ratio, curve.pack_v, curve.pack_a)
    return [
        f"After {show.hours(time_h)} of light:<br>{show.ratio(light)} of full light,"
        f"<br>the pack at {show.volts(volts)} gives {show.amps(amps)}"
        for time_h, light, volts, amps in zip(*columns, strict=True)
    ]


def _line(
    number: int, x: Sequence[float], y: Sequence[float], name: str, told: Sequence[str]
) -> Spec:
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y,
        "name": name,
        "line": line(number),
        "hoverinfo": "text",
        "hovertext": told,
    }


def _evening_ends(curve: EveningCurve, top: float, volts: tuple[float, float]) -> Iterator[Spec]:
    """Upright lines through both panels, some of them numbered."""
    ends = curve.evening_ends_h
    if not ends:
        return
    x = [place for end_h in ends for place in (end_h, end_h, None)]
    thin = {"line": {"color": NEUTRAL, "width": 1, "dash": "dash"}}
    name = "end of an evening"
    yield limit_line(x, [0.0, top, None] * len(ends), name, legendgroup="ends", **thin)
    below = [*volts, None] * len(ends)
    yield limit_line(x, below, name, legendgroup="ends", showlegend=False, yaxis="y2", **thin)
    every = 1 + (len(ends) - 1) // _MOST_NUMBERS
    numbered = [n for n in range(len(ends)) if (n + 1) % every == 0]
    yield label(0.0, top, "", "bottom left") | {
        "x": [ends[n] for n in numbered],
        "y": [top] * len(numbered),
        "text": [f"{n + 1}" for n in numbered],
    }
