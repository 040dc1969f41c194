"""What was found in a search: hours against price, each design with its number."""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.finder.results import Found, Merits, Search
from lightcalc.answers.words import Shower
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.style import (
    NEUTRAL,
    Spec,
    axis,
    figure,
    in_hours,
    limit_line,
    literal,
    marker,
)

SHARED = "as drawn"


def frontier_chart(search: Search, show: Shower) -> Chart:
    """Draw price and hours of every design that was found, and of the one drawn."""
    priced = [found for found in search.found if found.merits.price is not None]
    shared = [found for found in priced if found.build == SHARED]
    split = [found for found in priced if found.build != SHARED]
    traces = [
        _dots(number, name, some, search, show)
        for number, (name, some) in enumerate((("packs as drawn", shared), ("two packs", split)))
        if some
    ]
    traces.append(_drawn(search, show))
    asked = next((one.value for one in search.asked if one.demand == "hours"), None)
    price = [found.merits.price or 0.0 for found in priced] + [search.drawn.merits.price or 0.0]
    hours = [found.merits.hours_h for found in priced] + [search.drawn.merits.hours_h]
    top, widest = 1.1 * max(*hours, asked or 0.0), 1.08 * max(price)
    if asked is not None:
        traces.append(limit_line([0.0, widest], [asked] * 2, f"asked: {in_hours(asked, show)}"))
    return Chart(
        title="Price and hours of what was found",
        says=_says(priced, search, show),
        figure=figure(
            traces,
            height=380,
            xaxis=axis(f"Price ({literal(search.currency)})", range=[0.0, max(widest, 1.0)]),
            yaxis=axis("Hours a charge (h)", range=[0.0, max(top, 1.0)]),
        ),
        columns=(
            "number",
            f"price ({search.currency})",
            "hours a charge (h)",
            "fall in light (ratio)",
            "mass (kg)",
            "light (lm)",
            "changes",
        ),
        rows=tuple(_row(found) for found in search.found),
        file_name="what-to-build.csv",
        alt="Scatter chart of hours a charge against price, a numbered marker for each design "
        f"that was found. {_says(priced, search, show)}",
    )


def _row(found: Found) -> tuple[str | float, ...]:
    merits = found.merits
    return (
        str(found.rank),
        "" if merits.price is None else merits.price,
        merits.hours_h,
        merits.light_fall_ratio,
        "" if merits.mass_kg is None else merits.mass_kg,
        merits.light_lm,
        "; ".join(found.differs) or "none",
    )


def _says(priced: Sequence[Found], search: Search, show: Shower) -> str:
    if not priced:
        return "No design that was found has a known price."
    cheapest = min(priced, key=lambda found: found.merits.price or 0.0)
    longest = max(priced, key=lambda found: found.merits.hours_h)
    text = f"Cheapest is number {cheapest.rank}, {_both(cheapest, search, show)}"
    if longest is cheapest:
        return f"{text}; it lasts longest too."
    return f"{text}; longest lasts number {longest.rank}, {_both(longest, search, show)}."


def _both(found: Found, search: Search, show: Shower) -> str:
    price = found.merits.price or 0.0
    return f"{price:.0f} {search.currency} and {in_hours(found.merits.hours_h, show)}"


def _dots(number: int, name: str, some: Sequence[Found], search: Search, show: Shower) -> Spec:
    return {
        "type": "scatter",
        "mode": "markers+text",
        "x": [found.merits.price for found in some],
        "y": [found.merits.hours_h for found in some],
        "text": [str(found.rank) for found in some],
        "textposition": "top center",
        "name": name,
        "marker": marker(number, 12),
        "hoverinfo": "text",
        "hovertext": [_hover(found.merits, search, show) for found in some],
    }


def _hover(merits: Merits, search: Search, show: Shower) -> str:
    price = "" if merits.price is None else f"{merits.price:.0f} {literal(search.currency)}, "
    mass = "" if merits.mass_kg is None else f", {show.mass(merits.mass_kg)} in all"
    fall = show.ratio(merits.light_fall_ratio)
    return f"{price}{in_hours(merits.hours_h, show)} a charge,<br>light falls by {fall}{mass}"


def _drawn(search: Search, show: Shower) -> Spec:
    merits = search.drawn.merits
    price = merits.price
    return {
        "type": "scatter",
        "mode": "markers",
        "x": [price],
        "y": [merits.hours_h],
        "name": "your design",
        "marker": {"color": NEUTRAL, "symbol": "x", "size": 13},
        "hoverinfo": "text",
        "hovertext": [_hover(merits, search, show)],
    }
