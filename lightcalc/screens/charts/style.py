"""The look that all charts share: colours, dashes, axes, and text from files made literal.

A chart has no background and no text colour of its own, so that it suits a light and a dark page.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping, Sequence
from typing import Any

import plotly.graph_objects as go  # type: ignore[import-untyped]

from lightcalc.answers.words import Shower
from lightcalc.screens.layout import printable

Spec = dict[str, Any]

# Blue, vermilion, green and purple after the set of Okabe and Ito, "Color universal design"
# (2008), darkened or lightened until each stands out from white and from near black alike (WCAG
# 2.2, success criterion 1.4.11: 3 to 1) and from the others for colour-blind eyes too.
COLOURS = ("#1068cc", "#d9480f", "#0aa06e", "#cc79a7")
NEUTRAL = "#6e6e6e"
DASHES = ("solid", "dash", "dot", "dashdot", "longdash")
MARKERS = ("circle", "square", "diamond", "triangle-up", "star")
LIMIT_LINE = {"color": NEUTRAL, "width": 2, "dash": "dot"}
CLEAR = "rgba(0,0,0,0)"
GRID = "rgba(128,128,128,0.3)"
LONGEST_NAME = 32
LEGEND: Spec = {
    "orientation": "h",
    "yref": "container",
    "y": 0,
    "yanchor": "bottom",
    "x": 0,
    "xanchor": "left",
    "bgcolor": CLEAR,
}


def plain(text: str, longest: int = LONGEST_NAME) -> str:
    """Return a name from a file on one line, without control characters, cut when very long."""
    one_line = printable(" ".join(text.split()))
    return one_line if len(one_line) <= longest else one_line[: longest - 1].rstrip() + "…"


def literal(text: str, longest: int = LONGEST_NAME) -> str:
    """Return a name from a file as text that Plotly draws letter by letter.

    Plotly reads tags, entities, formulas between dollar signs and %{...} in every text it draws.
    It knows few entities by name, so quotes stay as they are.

    >>> literal("<b>oak</b> & $x$ %{y}")
    '&lt;b&gt;oak&lt;/b&gt; &amp; &#36;x&#36; %&#123;y}'
    """
    return (
        html.escape(plain(text, longest), quote=False).replace("$", "&#36;").replace("{", "&#123;")
    )


def begin(text: str) -> str:
    """Return a text as the beginning of a sentence.

    >>> begin("front rail: 12 V")
    'Front rail: 12 V'
    """
    return text[:1].upper() + text[1:]


def in_hours(hours_h: float, show: Shower) -> str:
    """Return a time as text, in hours however long, as on the axis beside it.

    >>> in_hours(64.2, Shower("metric")), in_hours(2.5, Shower("metric"))
    ('64 h', '2 h 30 min')
    """
    return show.hours(hours_h) if hours_h < 24.0 else f"{show.number(hours_h)} h"


def file_name(*words: str) -> str:
    """Return a name for a CSV file that every system can keep, made of plain letters.

    >>> file_name("wire", "../Front <rail>")
    'wire-front-rail.csv'
    """
    kept = re.sub(r"[^a-z0-9]+", "-", " ".join(words).lower()).strip("-")
    return f"{kept[:60].strip('-')}.csv"


def line(number: int) -> Spec:
    """Return the line of the first, second... thing drawn: a colour and a dash of its own."""
    return {
        "color": COLOURS[number % len(COLOURS)],
        "dash": DASHES[number % len(DASHES)],
        "width": 3,
    }


def marker(number: int, size: int = 11) -> Spec:
    """Return the marker that goes with the line of that number."""
    symbol = MARKERS[number % len(MARKERS)]
    return {"color": COLOURS[number % len(COLOURS)], "symbol": symbol, "size": size}


def axis(title: str, **more: Any) -> Spec:
    """Return an axis that a thumb cannot drag."""
    return {
        "title": {"text": title, "standoff": 12},
        "automargin": True,
        "fixedrange": True,
        "gridcolor": GRID,
        "zeroline": False,
        "showline": True,
        "linecolor": NEUTRAL,
        "nticks": 6,
        **more,
    }


def limit_line(
    x: Sequence[float | None], y: Sequence[float | None], name: str, **more: Any
) -> Spec:
    """Return a limit drawn in, of which nothing is told by hovering."""
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y,
        "name": name,
        "line": LIMIT_LINE,
        "hoverinfo": "skip",
        **more,
    }


def label(x: float, y: float, text: str, *, left: bool = False, **more: Any) -> Spec:
    """Return a text beside a place in the chart, above it and to its right or left."""
    return {
        "x": x,
        "y": y,
        "text": text,
        "showarrow": False,
        "xanchor": "right" if left else "left",
        "yanchor": "bottom",
        "xshift": -4 if left else 4,
        "yshift": 8,
        **more,
    }


def figure(traces: Sequence[Mapping[str, Any]], height: int = 340, **layout: Any) -> go.Figure:
    """Return a figure as wide as its place on the page, with its legend below."""
    return go.Figure(
        data=list(traces),
        layout={
            "height": height,
            "autosize": True,
            "paper_bgcolor": CLEAR,
            "plot_bgcolor": CLEAR,
            "dragmode": False,
            "hovermode": "closest",
            "hoverlabel": {"align": "left"},
            "margin": {"l": 8, "r": 14, "t": 18, "b": 8},
            "legend": LEGEND,
            **layout,
        },
    )
