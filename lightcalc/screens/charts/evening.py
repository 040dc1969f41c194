"""A charge the way it is used: light and pack volts over the hours lit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightcalc.answers.curves.results import EveningCurve
from lightcalc.answers.words import Shower
from lightcalc.screens.charts.along import LEAST_SPAN_RATIO
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import (
    NEUTRAL,
    Spec,
    axis,
    figure,
    file_name,
    in_hours,
    label,
    limit_line,
    line,
    plain,
)

_MOST_NUMBERS = 8
# Of very many evenings a curve holds only some, which cannot be counted then.
_MOST_COUNTED = 50
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
        *_evening_ends(curve, (low, 1.02 * high)),
    ]
    return Chart(
        title=f"One charge of {plain(curve.supply)}, evening after evening",
        says=_says(curve, show),
        figure=figure(
            traces,
            height=440,
            xaxis=axis(
                "Hours of light since the charger (h)", range=[0.0, end_h or 1.0], anchor="y2"
            ),
            yaxis=axis("Light (% of full)", range=[0.0, _TOP_PER_CENT], domain=[0.54, 1.0]),
            yaxis2=axis("Pack (V)", range=[low, 1.02 * high], domain=[0.0, 0.46], anchor="x"),
            annotations=[
                label(0.0, curve.cutoff_v, cutoff, yref="y2", yshift=0),
                *_evening_numbers(curve.evening_ends_h),
            ],
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
        alt="Two line charts over the hours of light since the charger: light in per cent of full, "
        f"and pack volts, with the {cutoff} drawn in. {_says(curve, show)}",
    )


def _says(curve: EveningCurve, show: Shower) -> str:
    if not any(curve.light_ratio):
        return f"A charge of {plain(curve.supply)} gives no light."
    lowest = min(curve.light_ratio)
    first, last = show.volts(curve.pack_v[0]), show.volts(curve.pack_v[-1])
    return (
        f"A charge of {plain(curve.supply)} gives {in_hours(max(curve.time_h), show)} of light, "
        f"{_evenings(len(curve.evening_ends_h))}. Its pack falls from {first} to {last}, and the "
        f"light is {show.ratio(lowest)} of full at the least."
    )


def _evenings(count: int) -> str:
    if count > _MOST_COUNTED:
        return "many evenings"
    return "one whole evening" if count == 1 else f"{count or 'no'} whole evenings"


def _rows(curve: EveningCurve) -> Iterator[tuple[str | float, ...]]:
    columns = (curve.time_h, curve.level_ratio, curve.light_ratio, curve.pack_v, curve.pack_a)
    for time_h, level, light, volts, amps in zip(*columns, strict=True):
        yield time_h, 100.0 * level, 100.0 * light, volts, amps


def _told(curve: EveningCurve, show: Shower) -> list[str]:
    columns = (curve.time_h, curve.light_ratio, curve.pack_v, curve.pack_a)
    return [
        f"After {in_hours(time_h, show)} of light:<br>{show.ratio(light)} of full light,"
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


def _evening_ends(curve: EveningCurve, volts: tuple[float, float]) -> Iterator[Spec]:
    """Upright lines through both panels."""
    ends = curve.evening_ends_h
    if not ends:
        return
    x = [place for end_h in ends for place in (end_h, end_h, None)]
    thin = {"line": {"color": NEUTRAL, "width": 1, "dash": "dash"}}
    name = "end of an evening"
    yield limit_line(x, [0.0, _TOP_PER_CENT, None] * len(ends), name, legendgroup="ends", **thin)
    below = [*volts, None] * len(ends)
    yield limit_line(x, below, name, legendgroup="ends", showlegend=False, yaxis="y2", **thin)


def _evening_numbers(ends_h: Sequence[float]) -> Iterator[Spec]:
    """Yield numbers at the ends of evenings, at some of them where there are many."""
    if len(ends_h) > _MOST_COUNTED:
        return
    every = 1 + (len(ends_h) - 1) // _MOST_NUMBERS
    for number, end_h in enumerate(ends_h, start=1):
        if number % every == 0:
            yield label(end_h, _TOP_PER_CENT, f"{number}", left=True, yanchor="top", yshift=0)
