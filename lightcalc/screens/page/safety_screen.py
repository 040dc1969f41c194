"""Safety notes: those that apply to the design that is open first, then all the others."""

from __future__ import annotations

import streamlit as st

from lightcalc.answers.findings.cautions import Caution, all_cautions
from lightcalc.screens.page.desk import Desk
from lightcalc.screens.page.headline import show_headline
from lightcalc.screens.page.plain import plain


def safety_screen(desk: Desk) -> None:
    """Show every caution, those for this design's parts first."""
    outcome = show_headline(desk)
    applying = outcome.answer.cautions if outcome else ()
    st.subheader("For this design", anchor=False)
    for caution in applying:
        _show(caution)
    st.subheader("For other cells and parts", anchor=False)
    for caution in all_cautions():
        if caution not in applying:
            _show(caution)


def _show(caution: Caution) -> None:
    st.markdown(f":material/health_and_safety: {plain(caution.text)}")


def reminder() -> None:
    """Show the first caution where answers are read; all of them are a touch away."""
    st.divider()
    st.caption(plain(all_cautions()[0].text))
