"""What was found in a search: hours against price, each design with its number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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

COUNTED = {1: "one pack", 2: "two packs"}
# Markers that lie nearer than this, in parts of the chart, have one label between them.
NEAR = 0.05


def frontier_chart(search: Search, show: Shower) -> Chart:
    """Draw price and hours of every design that was found, and of the one drawn."""
    priced = [found for found in search.found if found.merits.price is not None]
    asked = next((one.value for one in search.asked if one.demand == "hours"), None)
    price = [found.merits.price or 0.0 for found in priced] + [search.drawn.merits.price or 0.0]
    hours = [found.merits.hours_h for found in priced] + [search.drawn.merits.hours_h]
    top, widest = 1.1 * max(*hours, asked or 0.0), 1.08 * max(price)
    labels = _labels(priced, widest, top)
    # What was found lies above the design as drawn, which may be one of them.
    traces = [_drawn(search, show)]
    for number, packs in enumerate(sorted({len(found.packs) for found in priced})):
        some = [found for found in priced if len(found.packs) == packs]
        traces.append(_dots(number, some, labels, search, show))
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


def _labels(priced: Sequence[Found], widest: float, top: float) -> dict[int, tuple[str, str]]:
    """Return the label of each rank and where it stands; neighbours share that of the highest.

    One that would stand on a marker above it stands beneath its own.
    """
    groups: list[list[Found]] = []
    for found in sorted(priced, key=lambda found: (-found.merits.hours_h, found.rank)):
        near = (group for group in groups if _is_near(group[0], found, widest, NEAR * top))
        group = next(near, None)
        if group is None:
            groups.append([found])
        else:
            group.append(found)
    labels = {found.rank: ("", "top center") for found in priced}
    for group in groups:
        head, text = group[0], ", ".join(str(rank) for rank in sorted(one.rank for one in group))
        others = (found for found in priced if found not in group)
        under = any(_is_near(found, head, widest, 3.0 * NEAR * top) for found in others)
        labels[head.rank] = text, "bottom center" if under else "top center"
    return labels


def _is_near(high: Found, low: Found, widest: float, below_h: float) -> bool:
    """Whether a design is not far under another one in the chart."""
    aside = abs((high.merits.price or 0.0) - (low.merits.price or 0.0))
    return aside <= NEAR * widest and 0.0 <= high.merits.hours_h - low.merits.hours_h <= below_h


def _dots(
    number: int,
    some: Sequence[Found],
    labels: Mapping[int, tuple[str, str]],
    search: Search,
    show: Shower,
) -> Spec:
    packs = len(some[0].packs)
    return {
        "type": "scatter",
        "mode": "markers+text",
        "x": [found.merits.price for found in some],
        "y": [found.merits.hours_h for found in some],
        "text": [labels[found.rank][0] for found in some],
        "textposition": [labels[found.rank][1] for found in some],
        "name": COUNTED.get(packs, f"{packs} packs"),
        "marker": marker(number, 12),
        "hoverinfo": "text",
        "hovertext": [
            _hover(f"Number {found.rank}: ", found.merits, search, show) for found in some
        ],
    }


def _hover(number: str, merits: Merits, search: Search, show: Shower) -> str:
    price = "" if merits.price is None else f"{merits.price:.0f} {literal(search.currency)}, "
    mass = "" if merits.mass_kg is None else f", {show.mass(merits.mass_kg)} in all"
    fall = show.ratio(merits.light_fall_ratio)
    return (
        f"{number}{price}{in_hours(merits.hours_h, show)} a charge,<br>light falls by {fall}{mass}"
    )


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
        "hovertext": [_hover("Your design: ", merits, search, show)],
    }
