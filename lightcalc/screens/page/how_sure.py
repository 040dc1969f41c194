"""How sure the answers are: bands, chances, and what to measure first; worked out when asked."""

from __future__ import annotations

import streamlit as st

from lightcalc.answers.words import Shower
from lightcalc.screens import band_words as words
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.tables import show_table


def how_sure(outcome: Outcome) -> None:
    """Show the section; it takes about a second, so it is off until it is wanted."""
    st.subheader("How sure", anchor=False)
    asked = st.toggle(
        "Try many builds",
        key="band",
        help="Every part as far off as its tolerance lets it be. Takes about a second.",
    )
    if not asked:
        st.caption("Parts differ from their labels. This says by how much the answers do.")
        return
    show = Shower(outcome.answer.units)
    with st.spinner("Trying many builds"):
        spread = outcome.spread
    first = words.measure_first(spread, show)
    for sentence in words.hours_sentences(spread, show):
        told = plain(sentence)
        st.markdown(f"**{told}**" if sentence == first else told)
    show_table(words.BANDS, words.band_rows(spread, show))
    st.caption(plain(words.BANDS_READ))
    for sentence in words.hangs_on_sentences(spread, show):
        st.markdown(plain(sentence))
    st.caption(plain(words.sampling_sentence(spread, show)))
