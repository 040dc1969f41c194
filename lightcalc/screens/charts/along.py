"""Charts along the runs, cut unit by cut unit: volts, and light with the limit asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from lightcalc.answers.results import RunAnswer
from lightcalc.answers.words import Shower
from lightcalc.screens.charts.chart import Chart
from lightcalc.screens.charts.lengths import Lengths, lengths_for
from lightcalc.screens.charts.style import (
    Spec,
    axis,
    begin,
    figure,
    label,
    limit_line,
    line,
    literal,
    marker,
    plain,
)

FROM_START = "Distance from the start of the run"
# Volts along a run are drawn within a tenth of themselves at least, so that little looks little.
LEAST_SPAN_RATIO = 0.1


def volts_along_runs(runs: Sequence[RunAnswer], show: Shower) -> Chart:
    """Draw the volts that each cut unit gets, run by run. There is one run at least."""
    lengths = _lengths(runs, show)
    traces: list[Spec] = []
    for number, run in enumerate(runs):
        values = run.profile.unit_v
        traces += _traces(number, run, values, show.volts, lengths)
    dimmest = min(runs, key=lambda run: run.dimmest_light_ratio)
    every = [volts for run in runs for volts in run.profile.unit_v]
    high = max(every)
    low = min(min(every) - 0.03 * high, (1.0 - LEAST_SPAN_RATIO) * high)
    return Chart(
        title="Volts along each run",
        says=(
            f"The dimmest LEDs are those of {plain(dimmest.run)}, "
            f"{show.length(dimmest.dimmest_at_m)} from its start: they get "
            f"{show.volts(dimmest.dimmest_v)}, {show.ratio(dimmest.volts_fall_ratio)} less than "
            f"the {show.volts(dimmest.fed_v)} at its feed."
        ),
        figure=figure(
            traces,
            xaxis=_x_axis(runs, lengths),
            yaxis=axis("Volts at the LEDs (V)", range=[low, 1.01 * high]),
            annotations=[
                _label(dimmest, dimmest.dimmest_v, show.volts(dimmest.dimmest_v), lengths)
            ],
        ),
        columns=("run", f"from its start ({lengths.unit})", "volts (V)"),
        rows=tuple(
            (plain(run.run), x, v)
            for run in runs
            for x, v in zip(lengths.of(run.profile.position_m), run.profile.unit_v, strict=True)
        ),
        file_name="volts-along-the-runs.csv",
        alt=f"Line chart of volts against {FROM_START.lower()}, a line a run. "
        + " ".join(
            f"{begin(plain(run.run))}: {show.volts(run.fed_v)} at its feed, "
            f"{show.volts(run.dimmest_v)} at its dimmest LEDs."
            for run in runs
        ),
    )


def light_along_runs(runs: Sequence[RunAnswer], asked_fall_ratio: float, show: Shower) -> Chart:
    """Draw the light of each cut unit, and how far it may fall below the run's brightest."""
    lengths = _lengths(runs, show)
    traces: list[Spec] = []
    for number, run in enumerate(runs):
        values = [100.0 * ratio for ratio in run.profile.light_ratio]
        traces += _traces(number, run, values, _per_cent(show), lengths)
    asked = show.ratio(asked_fall_ratio)
    for number, run in enumerate(runs):
        y = 100.0 * _least_ratio(run, asked_fall_ratio)
        ends = lengths.of([0.0, run.cut_length_m])
        name = f"limit asked: {asked} below the run's brightest"
        traces.append(limit_line(ends, [y, y], name, legendgroup="limit", showlegend=number == 0))
    # Runs whose falls look the same are told apart by their dimmest LEDs.
    worst = max(runs, key=lambda run: (round(run.light_fall_ratio, 3), -run.dimmest_light_ratio))
    dimmest = worst.dimmest_light_ratio
    top = max(100.0, *(100.0 * run.brightest_light_ratio for run in runs))
    return Chart(
        title="Light along each run",
        says=_light_says(worst, asked_fall_ratio, show),
        figure=figure(
            traces,
            xaxis=_x_axis(runs, lengths),
            yaxis=axis("Light (% of its rating)", range=[0.0, 1.12 * top]),
            annotations=[_label(worst, 100.0 * dimmest, show.ratio(dimmest), lengths)],
        ),
        columns=(
            "run",
            f"from its start ({lengths.unit})",
            "light (% of its rating)",
            "least light asked (% of its rating)",
        ),
        rows=tuple(_light_rows(runs, asked_fall_ratio, lengths)),
        file_name="light-along-the-runs.csv",
        alt=f"Line chart of light, from nothing up, against {FROM_START.lower()}, a line a run; a "
        f"dotted line marks a fall of {asked}. "
        + " ".join(
            f"{begin(plain(run.run))}: {show.ratio(run.brightest_light_ratio)} at its brightest, "
            f"{show.ratio(run.dimmest_light_ratio)} at its dimmest."
            for run in runs
        ),
    )


def _least_ratio(run: RunAnswer, asked_fall_ratio: float) -> float:
    return run.brightest_light_ratio * (1.0 - asked_fall_ratio)


def _light_rows(
    runs: Sequence[RunAnswer], asked_fall_ratio: float, lengths: Lengths
) -> Iterator[tuple[str | float, ...]]:
    for run in runs:
        least = 100.0 * _least_ratio(run, asked_fall_ratio)
        places = lengths.of(run.profile.position_m)
        for x, light in zip(places, run.profile.light_ratio, strict=True):
            yield plain(run.run), x, 100.0 * light, least


def _light_says(worst: RunAnswer, asked_fall_ratio: float, show: Shower) -> str:
    kept = worst.light_fall_ratio <= asked_fall_ratio
    return (
        f"The dimmest LEDs of {plain(worst.run)}, {show.length(worst.dimmest_at_m)} from its "
        f"start, give {show.ratio(worst.dimmest_light_ratio)} of their rated light, "
        f"{show.ratio(worst.light_fall_ratio)} less than the brightest of the same run: "
        f"{'within' if kept else 'more than'} the fall of {show.ratio(asked_fall_ratio)} asked "
        f"for at most."
    )


def _per_cent(show: Shower) -> Callable[[float], str]:
    return lambda per_cent: f"{show.ratio(per_cent / 100.0)} of its rated light"


def _lengths(runs: Sequence[RunAnswer], show: Shower) -> Lengths:
    return lengths_for(max(run.cut_length_m for run in runs), show)


def _x_axis(runs: Sequence[RunAnswer], lengths: Lengths) -> Spec:
    return lengths.axis(FROM_START, 0.0, max(run.cut_length_m for run in runs))


def _traces(
    number: int,
    run: RunAnswer,
    values: Sequence[float],
    say: Callable[[float], str],
    lengths: Lengths,
) -> Iterator[Spec]:
    """One run as a line, with a marker at its dimmest LEDs."""
    name, show = literal(run.run), lengths.show
    places_m, places = run.profile.position_m, lengths.of(run.profile.position_m)
    told = [
        f"{begin(name)}, {show.length(place_m)} from its start:<br>{say(value)}"
        for place_m, value in zip(places_m, values, strict=True)
    ]
    dimmest = min(range(len(places_m)), key=lambda k: abs(places_m[k] - run.dimmest_at_m))
    shared = {"type": "scatter", "name": name, "legendgroup": str(number), "hoverinfo": "text"}
    yield shared | {
        "mode": "lines",
        "x": places,
        "y": list(values),
        "line": line(number),
        "hovertext": told,
    }
    yield shared | {
        "mode": "markers",
        "x": [places[dimmest]],
        "y": [values[dimmest]],
        "marker": marker(number),
        "hovertext": [f"{told[dimmest]}, at its dimmest LEDs"],
        "showlegend": False,
    }


def _label(run: RunAnswer, y: float, text: str, lengths: Lengths) -> Spec:
    """Return a label at the dimmest LEDs of a run, on the side where there is room."""
    left = run.dimmest_at_m > run.cut_length_m / 2.0
    return label(lengths.one(run.dimmest_at_m), y, text, left=left)
