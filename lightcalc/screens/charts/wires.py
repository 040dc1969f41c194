"""What a thicker or thinner wire does to the light of a run."""

from __future__ import annotations

from collections.abc import Iterator

from lightcalc.answers.curve_results import WireCurve
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import (
    COLOURS,
    NEUTRAL,
    Spec,
    axis,
    figure,
    file_name,
    limit_line,
    literal,
    plain,
)
from lightcalc.screens.words import Shower

CHOSEN, FITS, TOO_THIN = "chosen", "thick enough", "too thin"
_LOOKS = {
    CHOSEN: (COLOURS[0], ""),
    FITS: (COLOURS[2], "."),
    TOO_THIN: (COLOURS[1], "/"),
}
_ROW_PX = 23


def wire_chart(curve: WireCurve, show: Shower) -> Chart:
    """Draw the fall in light for each wire as bars, thin wires above thick ones."""
    falls = [100.0 * ratio for ratio in curve.light_fall_ratio]
    asked = 100.0 * curve.asked_fall_ratio
    count = len(curve.sizes)
    name = f"asked: {show.ratio(curve.asked_fall_ratio)} at most"
    traces = [_bars(curve, kind, show) for kind in _LOOKS]
    traces.append(limit_line([asked, asked], [-0.5, count - 0.5], name))
    # Room to the right for what is written after the longest bar.
    right = 1.5 * max(*falls, asked, 1e-3)
    return Chart(
        title=f"Wire and the light of {plain(curve.run)}",
        says=_says(curve, show),
        figure=figure(
            traces,
            height=_ROW_PX * count + 120,
            barmode="overlay",
            bargap=0.25,
            xaxis=axis("Fall in light along the run (%)", range=[0.0, right]),
            # Places and not words: two wires of one size stay two.
            yaxis=axis(
                "",
                range=[count - 0.5, -0.5],
                tickvals=list(range(count)),
                ticktext=[literal(size) for size in curve.sizes],
                showgrid=False,
            ),
        ),
        columns=(
            "wire",
            "copper (mm2)",
            "fall in light (%)",
            "light of the dimmest LEDs (% of their rating)",
            "fall in volts in the leads (%)",
            "verdict",
        ),
        rows=tuple(_rows(curve)),
        file_name=file_name("wire and light of", curve.run),
        alt=f"Bar chart of the fall in light along {plain(curve.run)} for each wire: "
        + ", ".join(f"{plain(s)} {_told(curve, k, show)}" for k, s in enumerate(curve.sizes))
        + f". A dotted line marks the {show.ratio(curve.asked_fall_ratio)} asked for at most.",
    )


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


def _told(curve: WireCurve, k: int, show: Shower) -> str:
    return f"{show.ratio(curve.light_fall_ratio[k])} ({_kind(curve, k)})"


def _short(curve: WireCurve, k: int, show: Shower) -> str:
    fall, kind = show.ratio(curve.light_fall_ratio[k]), _kind(curve, k)
    return fall if kind == FITS else f"{fall}, {kind}"


def _says(curve: WireCurve, show: Shower) -> str:
    asked = f"at most {show.ratio(curve.asked_fall_ratio)} was asked for"
    leads = ", ".join(plain(size) for size in dict.fromkeys(curve.lead_sizes))
    mixed = len(set(curve.lead_sizes)) > 1
    # Where the leads differ, no point of the curve is the design as it stands.
    chosen = f" all the way (its leads are {leads})" if mixed else ", as chosen"
    parts = [
        f"With {plain(size)}{chosen}, the light of {plain(curve.run)} falls by "
        f"{show.ratio(fall)}; {asked}."
        for size, fall in zip(curve.sizes, curve.light_fall_ratio, strict=True)
        if size == curve.chosen_size
    ]
    thinnest = [plain(size) for size, suits in zip(curve.sizes, curve.suits, strict=True) if suits]
    found = f"The thinnest that will do is {thinnest[0]}." if thinnest else "None will do."
    return " ".join([*parts[:1], found])


def _bars(curve: WireCurve, kind: str, show: Shower) -> Spec:
    """All wires of one kind; the chosen one is a kind of its own."""
    chosen = [k for k, size in enumerate(curve.sizes) if size == curve.chosen_size]
    others = [k for k in range(len(curve.sizes)) if k not in chosen and _kind(curve, k) == kind]
    rows = chosen if kind == CHOSEN else others
    colour, shape = _LOOKS[kind]
    return {
        "type": "bar",
        "orientation": "h",
        "name": kind,
        "x": [100.0 * curve.light_fall_ratio[k] for k in rows],
        "y": rows,
        "marker": {
            "color": colour,
            "line": {"color": NEUTRAL if kind == CHOSEN else colour, "width": 1},
            "pattern": {"shape": shape, "fillmode": "replace", "size": 6, "solidity": 0.45},
        },
        "text": [_short(curve, k, show) for k in rows],
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
