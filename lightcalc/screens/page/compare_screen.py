"""One pack or two: the three builds in a table, then two ways to build it, each to be edited."""

from __future__ import annotations

import streamlit as st

from lightcalc.answers.build_text import text_of_build
from lightcalc.answers.compare import builds
from lightcalc.answers.results import Answer
from lightcalc.answers.words import PRICE_COUNTS, Shower
from lightcalc.screens.compare_table import compare_rows
from lightcalc.screens.headlines import verdict
from lightcalc.screens.page.design_screen import edit_part
from lightcalc.screens.page.desk import Desk, Side, change, desk_now, swap_sides, tell
from lightcalc.screens.page.headline import grade_words, show_headline
from lightcalc.screens.page.other_way import set_aside
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.tables import show_table
from lightcalc.screens.sheet import parts_words, short_answers

PARTS = ("Supplies", "Runs", "Evenings")
NAMES: dict[Side, str] = {"mine": "Your design", "other": "The other way"}


def compare_screen(desk: Desk) -> None:
    """Show what a second pack brings, and two ways to build the piece side by side."""
    outcome = show_headline(desk)
    if outcome is None:
        return
    st.subheader("One pack or two", anchor=False)
    comparison = outcome.comparison
    show = Shower(comparison.units)
    possible = [build for build in comparison.builds if build.possible]
    headings = ("", *(build.build for build in possible))
    show_table(headings, (tuple(row) for row in compare_rows(comparison, show)))
    for build in comparison.builds:
        if not build.possible:
            st.markdown(f"{plain(build.build)} cannot work: {plain(build.reason)}")
    st.caption(
        "Two packs each feed runs of their own. Never join packs, or the outputs of two converters."
    )
    st.caption(f"Parts: {PRICE_COUNTS}")
    st.subheader("Side by side", anchor=False)
    _start(desk, outcome)
    if desk.text("other"):
        _sides(desk)


def _start(desk: Desk, outcome: Outcome) -> None:
    """Offer what the other way may begin as."""
    st.markdown("Begin the other way as:")
    with st.container(horizontal=True):
        for build in builds(*outcome.drawn):
            st.button(
                build.name.capitalize(),
                key=f"begin {build.name}",
                disabled=build.design is None or not desk.outcome().good,
                on_click=_begin,
                args=(build.name,),
            )


def _begin(name: str) -> None:
    desk = desk_now()
    if not desk.outcome().good:
        tell("Not every field of your design can be read; the other way begins once they can.")
        return
    design, catalogue = desk.outcome().drawn
    ways = [build for build in builds(design, catalogue) if build.design is not None]
    build = next((build for build in ways if build.name == name), None)
    if build is None:
        tell(f"{plain(name.capitalize())} cannot be made of this design as it is now.")
        return
    if not set_aside(desk, [text_of_build(desk.text(), design, b) for b in ways]):
        return
    text = text_of_build(desk.text(), design, build)
    change("other", (), lambda _text: text)


def _sides(desk: Desk) -> None:
    part = st.segmented_control("What to change", PARTS, default=PARTS[0], key="side part")
    across = st.columns(2)
    for place, side in zip(across, NAMES, strict=True):
        with place, st.container(border=True, key=f"side-{side}"):
            st.markdown(f"**{NAMES[side]}**")
            found = desk.last_good(side)
            if not desk.outcome(side).good:
                st.warning("Not every field can be read; these are the answers before that.")
            if found is not None:
                _answers(found.answer)
            if desk.tables(side) is not None:
                edit_part(desk, side, part or PARTS[0])
    st.button(
        "Make the other way my design",
        icon=":material/swap_horiz:",
        on_click=swap_sides,
        help="Your design as it is now becomes the other way; nothing is lost.",
    )


def _answers(answer: Answer) -> None:
    grade, sentence = verdict(answer)
    st.markdown(f"{grade_words(grade)} {sentence}")
    for label, text in short_answers(answer, Shower(answer.units)):
        st.markdown(f"**{label}**: {plain(text)}")
    st.markdown(f"**Parts**: {plain(parts_words(answer, Shower(answer.units)))}")
