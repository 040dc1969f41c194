"""Hours a charge against the size of a pack, for each way to power the runs."""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.curves.results import PackSizeCurve
from lightcalc.answers.words import Shower
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import (
    NEUTRAL,
    Spec,
    axis,
    begin,
    figure,
    in_hours,
    limit_line,
    line,
    literal,
    marker,
    plain,
)


def pack_size_chart(curves: Sequence[PackSizeCurve], show: Shower) -> Chart:
    """Draw one line a build; the pack named in the design is marked on each. There is one build."""
    first = curves[0]
    top = max(*(h for c in curves for h in (*c.hours_h, c.named_hours_h)), first.asked_h or 0.0)
    top = 1.08 * max(top, 1e-3)
    widest = max(ah for curve in curves for ah in (*curve.capacity_ah, curve.named_capacity_ah))
    traces = [_line(n, curve, show) for n, curve in enumerate(curves)]
    traces += [_named(n, curve, show) for n, curve in enumerate(curves)]
    named = f"the pack named, {_ah(first.named_capacity_ah, show)}"
    traces.append(limit_line([first.named_capacity_ah] * 2, [0.0, top], named) | _dashed())
    if first.asked_h is not None:
        asked = f"asked: {in_hours(first.asked_h, show)}"
        traces.append(limit_line([0.0, widest], [first.asked_h] * 2, asked))
    lasts = "; ".join(f"{plain(c.build)} {_lasts(c.named_hours_h, show)}" for c in curves)
    return Chart(
        title="Hours against the size of a pack",
        says=f"With packs of {_ah(first.named_capacity_ah, show)}, as named, a charge lasts: "
        f"{lasts}." + (f" You asked for {in_hours(first.asked_h, show)}." if first.asked_h else ""),
        figure=figure(
            traces,
            height=380,
            xaxis=axis("Capacity of one pack (Ah)", range=[0.0, 1.02 * widest]),
            yaxis=axis("Hours a charge (h)", range=[0.0, top]),
        ),
        columns=("build", "capacity of one pack (Ah)", "hours a charge (h)"),
        rows=tuple(
            (plain(curve.build), ah, hours)
            for curve in curves
            for ah, hours in zip(curve.capacity_ah, curve.hours_h, strict=True)
        ),
        file_name="hours-and-pack-size.csv",
        alt="Line chart of hours a charge against the capacity of one pack, a line for each way "
        f"to power the runs. With the pack named: {lasts}.",
    )


def _dashed() -> Spec:
    return {"line": {"color": NEUTRAL, "width": 1, "dash": "dash"}}


def _ah(capacity_ah: float, show: Shower) -> str:
    return f"{show.number(capacity_ah)} Ah"


def _lasts(hours_h: float, show: Shower) -> str:
    return in_hours(hours_h, show) if hours_h > 0.0 else "no light"


def _line(number: int, curve: PackSizeCurve, show: Shower) -> Spec:
    name = literal(curve.build)
    named = _lasts(curve.named_hours_h, show)
    return {
        "type": "scatter",
        "mode": "lines",
        "x": curve.capacity_ah,
        "y": curve.hours_h,
        "name": f"{name}: {named} as named",
        "legendgroup": str(number),
        "line": line(number),
        "hoverinfo": "text",
        "hovertext": [
            f"{begin(name)}, {_ah(ah, show)} a pack:<br>{_lasts(hours, show)}"
            for ah, hours in zip(curve.capacity_ah, curve.hours_h, strict=True)
        ],
    }


def _named(number: int, curve: PackSizeCurve, show: Shower) -> Spec:
    named = f"{_ah(curve.named_capacity_ah, show)} as named"
    return {
        "type": "scatter",
        "mode": "markers",
        "x": [curve.named_capacity_ah],
        "y": [curve.named_hours_h],
        "marker": marker(number, 13),
        "showlegend": False,
        "legendgroup": str(number),
        "hoverinfo": "text",
        "hovertext": [
            f"{begin(literal(curve.build))}, {named}:<br>{_lasts(curve.named_hours_h, show)}"
        ],
    }
