"""What a thicker or thinner wire does to the light of a run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import plotly.graph_objects as go  # type: ignore[import-untyped]

from lightcalc.answers.curves.results import WireCurve
from lightcalc.answers.words import Shower
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import (
    COLOURS,
    Spec,
    axis,
    figure,
    file_name,
    limit_line,
    literal,
    plain,
)

CHOSEN, FITS, TOO_THIN = "chosen", "thick enough", "too thin"
# Colour, hatching, and the mark beside the name of a wire.
_LOOKS = {
    CHOSEN: (COLOURS[0], "", "●"),
    FITS: (COLOURS[2], ".", ""),
    TOO_THIN: (COLOURS[1], "/", "✕"),
}
_ROW_PX = 23


def wire_chart(curve: WireCurve, show: Shower) -> Chart:
    """Draw each wire as a row, thin above thick: the fall in light, and volts lost in the leads."""
    return Chart(
        title=f"Wire and the light of {plain(curve.run)}",
        says=_says(curve, show),
        figure=_figure(curve, show),
        columns=(
            "wire",
            "copper (mm2)",
            "fall in light (%)",
            "light of the dimmest LEDs (% of their rating)",
            "volts lost in the leads (%)",
            "verdict",
        ),
        rows=tuple(_rows(curve)),
        file_name=file_name("wire and light of", curve.run),
        alt=f"Bar chart of the fall in light along {plain(curve.run)} for each wire: "
        + ", ".join(
            f"{plain(size)} {show.ratio(curve.light_fall_ratio[k])} ({_kind(curve, k)})"
            for k, size in enumerate(curve.sizes)
        )
        + ". Beside it, the volts lost in the leads. Dotted lines mark what was asked for at most: "
        f"{show.ratio(curve.asked_fall_ratio)} and {show.ratio(curve.asked_drop_ratio)}.",
    )


def _figure(curve: WireCurve, show: Shower) -> go.Figure:
    falls, drops = _per_cent(curve.light_fall_ratio), _per_cent(curve.lead_drop_ratio)
    count = len(curve.sizes)
    rows = [-0.5, count - 0.5]
    asked, drop = 100.0 * curve.asked_fall_ratio, 100.0 * curve.asked_drop_ratio
    limit = {"legendgroup": "asked"}
    return figure(
        [
            *(_bars(curve, kind, falls, show) for kind in _LOOKS),
            *(_bars(curve, kind, drops, show) | _RIGHT for kind in _LOOKS),
            limit_line([asked] * 2, rows, "asked at most", **limit),
            limit_line([drop] * 2, rows, "asked at most", **limit) | _RIGHT,
        ],
        height=_ROW_PX * count + 120,
        barmode="overlay",
        bargap=0.25,
        # Room to the right for what is written after the longest bar.
        xaxis=axis("Fall in light (%)", range=[0.0, 1.5 * max(*falls, asked)], domain=[0.0, 0.54])
        | {"nticks": 4},
        xaxis2=axis("Lost in leads (%)", range=[0.0, 1.7 * max(*drops, drop)], domain=[0.6, 1.0])
        | {"nticks": 4, "anchor": "y"},
        # Places and not words: two wires of one size stay two.
        yaxis=axis(
            "",
            range=rows[::-1],
            tickvals=list(range(count)),
            ticktext=[_marked(curve, k) for k in range(count)],
            showgrid=False,
        ),
    )


_RIGHT: Spec = {"xaxis": "x2", "showlegend": False}


def _per_cent(ratios: Sequence[float]) -> list[float]:
    return [100.0 * ratio for ratio in ratios]


def _marked(curve: WireCurve, k: int) -> str:
    mark = _LOOKS[TOO_THIN if not curve.suits[k] else _kind(curve, k)][2]
    return f"{mark} {literal(curve.sizes[k])}".lstrip()


def _rows(curve: WireCurve) -> Iterator[tuple[str | float, ...]]:
    for k, size in enumerate(curve.sizes):
        yield (
            plain(size),
            curve.area_mm2[k],
            100.0 * curve.light_fall_ratio[k],
            100.0 * curve.dimmest_light_ratio[k],
            100.0 * curve.lead_drop_ratio[k],
            _kind(curve, k),
        )


def _kind(curve: WireCurve, k: int) -> str:
    if curve.sizes[k] == curve.chosen_size:
        return CHOSEN if curve.suits[k] else f"{CHOSEN}, {TOO_THIN}"
    return FITS if curve.suits[k] else TOO_THIN


def _says(curve: WireCurve, show: Shower) -> str:
    leads = ", ".join(plain(size) for size in dict.fromkeys(curve.lead_sizes))
    # Where the leads differ, no row is the design as it stands.
    mixed = len(set(curve.lead_sizes)) > 1
    chosen = f" all the way (its leads are {leads})" if mixed else ", as chosen"
    lights = curve.dimmest_light_ratio
    parts = [
        f"With {plain(size)}{chosen}, the light of {plain(curve.run)} falls by "
        f"{show.ratio(curve.light_fall_ratio[k])} from its brightest to its dimmest LEDs, which "
        f"give {show.ratio(lights[k])} of their rating; with {plain(curve.sizes[0])} they would "
        f"give {show.ratio(lights[0])}."
        for k, size in enumerate(curve.sizes)
        if size == curve.chosen_size
    ]
    if not any(curve.suits):
        return " ".join([*parts[:1], "No wire is thick enough."])
    thinnest = plain(curve.sizes[curve.suits.index(True)])
    if all(curve.suits):
        return " ".join([*parts[:1], f"The thinnest, {thinnest}, will do."])
    demands = "volts, amps, strength or the fuse"
    return " ".join(
        [*parts[:1], f"The thinnest that will do is {thinnest}; others fail on {demands}."]
    )


def _bars(curve: WireCurve, kind: str, values: Sequence[float], show: Shower) -> Spec:
    """All wires of one kind; the chosen one is a kind of its own."""
    chosen = [k for k, size in enumerate(curve.sizes) if size == curve.chosen_size]
    others = [k for k in range(len(curve.sizes)) if k not in chosen and _kind(curve, k) == kind]
    rows = chosen if kind == CHOSEN else others
    colour, shape, mark = _LOOKS[kind]
    return {
        "type": "bar",
        "orientation": "h",
        "name": f"{mark} {kind}".lstrip(),
        "legendgroup": kind,
        "x": [values[k] for k in rows],
        "y": rows,
        "marker": {
            "color": colour,
            "line": {"color": colour, "width": 1},
            "pattern": {"shape": shape, "fillmode": "replace", "size": 6, "solidity": 0.45},
        },
        "text": [show.ratio(values[k] / 100.0) for k in rows],
        "textposition": "outside",
        "cliponaxis": False,
        "hoverinfo": "text",
        "hovertext": [_hover(curve, k, show) for k in rows],
    }


def _hover(curve: WireCurve, k: int, show: Shower) -> str:
    return (
        f"{literal(curve.sizes[k])} ({_kind(curve, k)}):<br>the light of {literal(curve.run)} "
        f"falls by {show.ratio(curve.light_fall_ratio[k])}<br>to "
        f"{show.ratio(curve.dimmest_light_ratio[k])} of its rating;<br>the leads take "
        f"{show.ratio(curve.lead_drop_ratio[k])} of the volts"
    )
