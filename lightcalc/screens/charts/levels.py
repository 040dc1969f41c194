"""Hours without a break against the level a supply is dimmed to, with their range."""

from __future__ import annotations

from collections.abc import Iterator

from lightcalc.answers.curves.results import LevelCurve
from lightcalc.answers.words import Shower
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
    marker,
    plain,
)

# Hours grow without end as the level goes to nothing; dimmer than that they may leave the chart.
_DIMMEST_IN_FULL = 0.2
_BAND = "rgba(16,104,204,0.35)"


def level_chart(curve: LevelCurve, show: Shower) -> Chart:
    """Draw hours against level; the band is where they are likely to be."""
    top, at = _top_h(curve), _at(curve)
    traces = [*_band(curve), _hours(curve, show), _used(curve, show), *_asleep(curve, show)]
    if curve.asked_h is not None:
        asked = f"asked: {in_hours(curve.asked_h, show)}"
        traces.append(limit_line([0.0, 103.0], [curve.asked_h] * 2, asked))
    return Chart(
        title=f"Hours of {plain(curve.supply)} against brightness",
        says=_says(curve, show),
        figure=figure(
            traces,
            xaxis=axis("Brightness (% of full)", range=[0.0, 103.0]),
            yaxis=axis("Hours without a break (h)", range=[0.0, top]),
            annotations=[
                label(100.0 * level, hours, in_hours(hours, show), left=level > 0.8)
                for level, hours in {curve.level_ratio[k]: curve.hours_h[k] for k in at}.items()
            ],
        ),
        columns=("level (%)", "hours (h)", "hours, low (h)", "hours, high (h)", "stays on"),
        rows=tuple(_rows(curve)),
        file_name=file_name("hours and brightness of", curve.supply),
        alt="Line chart of hours a charge against brightness, with a band for the likely range. "
        + " ".join(
            f"{show.ratio(curve.level_ratio[k])}: {_hours_and_range(curve, k, show)}." for k in at
        ),
    )


def _rows(curve: LevelCurve) -> Iterator[tuple[str | float, ...]]:
    columns = (curve.level_ratio, curve.hours_h, curve.hours_low_h, curve.hours_high_h)
    for level, hours, low, high, on in zip(*columns, curve.stays_on, strict=True):
        yield 100.0 * level, hours, low, high, "yes" if on else "no"


def _at(curve: LevelCurve) -> list[int]:
    """Return the places of the curve that are nearest to the levels used."""
    places = range(len(curve.level_ratio))
    return [
        min(places, key=lambda k: abs(curve.level_ratio[k] - used))
        for used in curve.levels_used_ratio
    ]


def _top_h(curve: LevelCurve) -> float:
    bright = min(_DIMMEST_IN_FULL, *curve.levels_used_ratio, 1.0)
    kept = [
        high
        for level, high in zip(curve.level_ratio, curve.hours_high_h, strict=True)
        if level >= bright - 1e-9
    ]
    return 1.1 * max(*kept, curve.asked_h or 0.0, 1e-3)


def _hours_and_range(curve: LevelCurve, k: int, show: Shower) -> str:
    low, high = in_hours(curve.hours_low_h[k], show), in_hours(curve.hours_high_h[k], show)
    return f"{in_hours(curve.hours_h[k], show)}, likely {low} to {high}"


def _says(curve: LevelCurve, show: Shower) -> str:
    parts = [
        f"{in_hours(curve.hours_h[k], show)} at {show.ratio(curve.level_ratio[k])} "
        f"(likely {in_hours(curve.hours_low_h[k], show)} to "
        f"{in_hours(curve.hours_high_h[k], show)})"
        for k in dict.fromkeys(_at(curve))
    ]
    asked = "" if curve.asked_h is None else f" You asked for {in_hours(curve.asked_h, show)}."
    return (
        f"Without a break a charge of {plain(curve.supply)} lasts {', '.join(parts)}"
        f"{_in_the_mix(curve, show)}.{asked}"
    )


def _in_the_mix(curve: LevelCurve, show: Shower) -> str:
    mix = ", ".join(f"{plain(channel)} {show.ratio(share)}" for channel, share in curve.mix)
    return f", in the mix of {mix}" if mix else ""


def _band(curve: LevelCurve) -> Iterator[Spec]:
    edge = {"type": "scatter", "mode": "lines", "hoverinfo": "skip", "line": {"width": 0}}
    x = [100.0 * level for level in curve.level_ratio]
    yield edge | {"x": x, "y": curve.hours_low_h, "showlegend": False, "legendgroup": "band"}
    yield edge | {
        "x": x,
        "y": curve.hours_high_h,
        "fill": "tonexty",
        "fillcolor": _BAND,
        "name": "likely range",
        "legendgroup": "band",
    }


def _hours(curve: LevelCurve, show: Shower) -> Spec:
    return {
        "type": "scatter",
        "mode": "lines",
        "x": [100.0 * level for level in curve.level_ratio],
        # No line where the hours cannot be had.
        "y": [h if on else None for h, on in zip(curve.hours_h, curve.stays_on, strict=True)],
        "name": "hours",
        "line": line(0),
        "hoverinfo": "text",
        "hovertext": [
            f"At {show.ratio(level)} of full brightness:<br>{_hours_and_range(curve, k, show)}"
            for k, level in enumerate(curve.level_ratio)
        ],
    }


def _used(curve: LevelCurve, show: Shower) -> Spec:
    """Mark the levels of the evening."""
    at = _at(curve)
    x, y = [100.0 * curve.level_ratio[k] for k in at], [curve.hours_h[k] for k in at]
    return {
        "type": "scatter",
        "mode": "markers",
        "x": x,
        "y": y,
        "name": "levels you use",
        "marker": marker(1, 13),
        "hoverinfo": "text",
        "hovertext": [
            f"At {show.ratio(curve.level_ratio[k])}, which you use:"
            f"<br>{_hours_and_range(curve, k, show)}"
            for k in at
        ],
    }


def _asleep(curve: LevelCurve, show: Shower) -> Iterator[Spec]:
    """Cross out the levels at which a USB bank switches itself off."""
    off = [k for k, on in enumerate(curve.stays_on) if not on]
    if off:
        yield {
            "type": "scatter",
            "mode": "markers",
            "x": [100.0 * curve.level_ratio[k] for k in off],
            "y": [curve.hours_h[k] for k in off],
            "name": "the bank switches itself off",
            "marker": {"color": NEUTRAL, "symbol": "x", "size": 11},
            "hoverinfo": "text",
            "hovertext": [
                f"At {show.ratio(curve.level_ratio[k])} so little is drawn"
                "<br>that the bank switches itself off"
                for k in off
            ],
        }
