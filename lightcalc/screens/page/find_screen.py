"""What to build: a search of what the design leaves open, and going on with what it finds."""

from __future__ import annotations

import streamlit as st

from lightcalc.answers.finder.find import Hunt, Result, relax
from lightcalc.answers.finder.results import Hit
from lightcalc.answers.finder.search import Progress
from lightcalc.answers.finder.text import text_of_hit
from lightcalc.answers.words import PRICE_COUNTS, Shower
from lightcalc.screens import charts
from lightcalc.screens.find_sheet import (
    HEADINGS,
    answer_line,
    differs_line,
    drawn_words,
    leds_lines,
    merit_cells,
    relaxed_lines,
    searched_line,
    why_line,
)
from lightcalc.screens.page.charts_screen import show_chart
from lightcalc.screens.page.desk import Desk, change, desk_now, tell
from lightcalc.screens.page.fields import form
from lightcalc.screens.page.headline import show_headline
from lightcalc.screens.page.other_way import set_aside
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.tables import show_table

FOUND, FOUND_FOR = "found", "found for"
MOST_SHOWN = 12


def find_screen(desk: Desk) -> None:
    """Offer a search, and show what the last one found."""
    outcome = show_headline(desk)
    if outcome is None:
        return
    st.subheader("What to build", anchor=False)
    st.markdown(
        "Tries all that may change, in every way that the catalogue allows, "
        "and keeps those that no other beats in price, hours, evenness and mass at once."
    )
    searches = st.button("Search", icon=":material/search:", disabled=not desk.outcome().good)
    place = st.empty()
    with st.expander("What may change, and what is asked"):
        form(desk, "mine", ("find",), "find")
        form(desk, "mine", ("ask",), "ask")
    if searches:
        with place.container():
            _search(outcome, (desk.work.name, desk.text()))
        place.empty()
    result: Result | None = st.session_state.get(FOUND)
    name, text = st.session_state.get(FOUND_FOR, ("", ""))
    if result is not None and name == desk.work.name:
        if text != desk.text():
            st.info("The design was changed since; search again to take that in.")
        _show(result)


def _search(outcome: Outcome, searched: tuple[str, str]) -> None:
    """Search with a bar that fills; what was found is kept when the search is stopped."""
    hunt = Hunt(*outcome.drawn)
    bar = st.progress(0.0, "Looking at what is open…")
    st.button("Stop, and keep the best so far", icon=":material/stop_circle:")
    st.session_state[FOUND_FOR] = searched
    for last, done in hunt.steps():
        st.session_state[FOUND] = hunt.result(last, whole=last.left_count == 0)
        words = f"{last.left_count:,} designs left, {len(last.standing)} stand"
        bar.progress(done, words)
    if not last.standing:
        words = "Nothing does; looking at what would have to give way: {:,} designs left"

        def look(step: Progress) -> bool:
            bar.progress(1.0, words.format(step.left_count))
            return False

        st.session_state[FOUND] = hunt.result(last, True, *relax(hunt, look))


def _show(result: Result) -> None:
    search_, show = result.search, Shower(result.search.units)
    st.markdown(f"**{plain(answer_line(search_))}**")
    if search_.found:
        rows = [
            (str(found.rank), *merit_cells(found.merits, search_.currency, show))
            for found in search_.found[:MOST_SHOWN]
        ]
        rows.append(("as drawn", *merit_cells(search_.drawn.merits, search_.currency, show)))
        show_chart(charts.frontier_chart(search_, show))
        show_table(HEADINGS, rows)
        st.caption(PRICE_COUNTS)
        st.markdown(plain(drawn_words(search_)))
        for hit in result.hits[:MOST_SHOWN]:
            _show_hit(hit, result)
    for line in (*leds_lines(search_), *relaxed_lines(search_, show)):
        st.markdown(plain(line))
    st.caption(plain(searched_line(search_, show)))


def _show_hit(hit: Hit, result: Result) -> None:
    found = hit.found
    with st.container(border=True):
        words, button = st.columns((5, 2), vertical_alignment="center")
        words.markdown(f"**{found.rank}. {plain(differs_line(found))}**")
        if found.why:
            words.markdown(plain(why_line(found, result.search)))
        button.button(
            f"Take {found.rank} as the other way",
            key=f"take {found.rank}",
            icon=":material/compare_arrows:",
            on_click=_begin,
            args=(hit,),
            help="It stands beside your design under One pack or two, to be changed or taken.",
        )


def _begin(hit: Hit) -> None:
    """Let a design that was found be the other way; it needs the text it was found for."""
    desk, result = desk_now(), st.session_state[FOUND]
    searched = desk.work.name, desk.text()
    if not desk.outcome().good or st.session_state[FOUND_FOR] != searched:
        tell("The design was changed since this was found; search again first.")
        return
    choices = Hunt(*desk.outcome().drawn).choices
    texts = {other: text_of_hit(desk.text(), choices, other) for other in result.hits}
    if set_aside(desk, list(texts.values())):
        change("other", (), lambda _text: texts[hit])
        tell(f"Number {hit.found.rank} is now the other way, under One pack or two.")
