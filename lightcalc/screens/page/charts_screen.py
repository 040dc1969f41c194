"""Charts of the design, one question at a time, each with its numbers to take away."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import streamlit as st

from lightcalc.answers.curves.hours import evening_curves, level_curves, pack_size_curves
from lightcalc.answers.curves.light import distance_curves, wire_curves
from lightcalc.answers.words import Shower
from lightcalc.screens import charts
from lightcalc.screens.charts import Chart, csv_text
from lightcalc.screens.page.desk import Desk
from lightcalc.screens.page.headline import show_headline
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import plain


def charts_screen(desk: Desk) -> None:
    """Show the charts of one question."""
    outcome = show_headline(desk)
    if outcome is None:
        return
    st.subheader("Charts", anchor=False)
    question = st.selectbox("What do you want to see?", list(QUESTIONS), key="question")
    for chart in QUESTIONS[question](outcome):
        show_chart(chart)


def show_chart(chart: Chart) -> None:
    """Show a chart with the sentence that reads it, and its numbers as a file."""
    with st.container(border=True):
        st.markdown(f"**{plain(chart.title)}**")
        st.plotly_chart(
            chart.figure,
            key=f"chart {chart.file_name}",
            config={"displayModeBar": False, "responsive": True, "scrollZoom": False},
            alt=chart.alt,
        )
        st.markdown(plain(chart.says))
        st.download_button(
            "Numbers as CSV",
            csv_text(chart),
            chart.file_name,
            "text/csv",
            key=f"csv {chart.file_name}",
            icon=":material/download:",
            on_click="ignore",
        )


def _shower(outcome: Outcome) -> Shower:
    return Shower(outcome.answer.units)


def _along(outcome: Outcome) -> Iterable[Chart]:
    show, answer = _shower(outcome), outcome.answer
    design, _ = outcome.drawn
    yield charts.light_along_runs(answer.runs, design.ask.light_fall_ratio, show)
    yield charts.volts_along_runs(answer.runs, show)


def _evening(outcome: Outcome) -> Iterable[Chart]:
    return (charts.evening_chart(c, _shower(outcome)) for c in evening_curves(*outcome.drawn))


def _levels(outcome: Outcome) -> Iterable[Chart]:
    return (charts.level_chart(c, _shower(outcome)) for c in level_curves(*outcome.drawn))


def _packs(outcome: Outcome) -> Iterable[Chart]:
    curves = pack_size_curves(*outcome.drawn)
    if curves:
        yield charts.pack_size_chart(curves, _shower(outcome))


def _wires(outcome: Outcome) -> Iterable[Chart]:
    return (charts.wire_chart(c, _shower(outcome)) for c in wire_curves(*outcome.drawn))


def _dots(outcome: Outcome) -> Iterable[Chart]:
    return (charts.distance_chart(c, _shower(outcome)) for c in distance_curves(*outcome.drawn))


def _power(outcome: Outcome) -> Iterable[Chart]:
    return (charts.balance_chart(s, _shower(outcome)) for s in outcome.answer.supplies)


QUESTIONS: dict[str, Callable[[Outcome], Iterable[Chart]]] = {
    "How bright is each run along its length?": _along,
    "What happens over an evening?": _evening,
    "How long does it last when dimmed?": _levels,
    "How long with a larger pack, or two?": _packs,
    "What does thicker wire bring?": _wires,
    "From what distance do dots show?": _dots,
    "Where does the power go?": _power,
}
