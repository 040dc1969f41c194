"""See it before it is glued: a picture from each eye, who sees LEDs, and the light on the floor."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st

from lightcalc.answers.look.look import Looked, look
from lightcalc.answers.look.space import placed
from lightcalc.answers.words import Shower
from lightcalc.screens import rows
from lightcalc.screens.charts import floor_map, wall_map
from lightcalc.screens.eye_pictures import eye_pictures
from lightcalc.screens.look_command import each_in
from lightcalc.screens.page.answers_screen import show_finding
from lightcalc.screens.page.charts_screen import show_chart
from lightcalc.screens.page.desk import Desk
from lightcalc.screens.page.headline import show_headline
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.tables import show_table

# A look with its pictures takes some megabytes.
LOOKS_KEPT = 8


def look_screen(desk: Desk) -> None:
    """Show what each eye sees of the piece with its runs in the mount that is chosen."""
    outcome = show_headline(desk)
    if outcome is None:
        return
    st.subheader("See it before it is glued", anchor=False)
    design, _ = outcome.drawn
    if not placed(design):
        st.info(
            "This piece is not drawn in space yet. Under Design, As text, say where its blocks and "
            "runs are; the example of the hall bench shows how."
        )
        return
    number = _choose_mount(outcome)
    with st.spinner("Working out the light in the room"):
        looked = _looked(outcome, number)
    for finding in looked.look.findings:
        show_finding(finding)
    if not looked.look.findings:
        st.markdown("No eye sees an LED, and no light shows as dots.")
    _pictures(outcome, number)
    _sights(looked)
    show = Shower(outcome.answer.units)
    for chart in (floor_map(looked, show), wall_map(looked, show)):
        if chart is not None:
            show_chart(chart)


def _choose_mount(outcome: Outcome) -> int:
    """Let one of the ways to mount the runs be chosen; return its number."""
    design, _ = outcome.drawn
    longest = max((run.mounts for run in design.runs), key=len)
    if len(longest) == 1:
        return 0
    names = {number: mount.name for number, mount in enumerate(longest)}
    chosen = st.radio(
        "How the runs are mounted",
        list(names),
        format_func=lambda number: plain(names[number]),
        horizontal=True,
        key="mount",
    )
    return int(chosen or 0)


@lru_cache(maxsize=LOOKS_KEPT)
def _looked(outcome: Outcome, number: int) -> Looked:
    design, catalogue = outcome.drawn
    most = max(len(run.mounts) for run in design.runs)
    return look(design, catalogue, mounts=each_in(design, number, most))


@lru_cache(maxsize=LOOKS_KEPT)
def _drawn(outcome: Outcome, number: int) -> tuple[tuple[str, bytes], ...]:
    """Return the pictures; every mount's are as the eyes see them adapted to the first."""
    adapted_to: dict[str, float] = {}
    if number:
        list(eye_pictures(_looked(outcome, 0), adapted_to))
    return tuple(eye_pictures(_looked(outcome, number), adapted_to))


def _pictures(outcome: Outcome, number: int) -> None:
    with st.spinner("Drawing what each eye sees"):
        drawn = _drawn(outcome, number)
    across = st.columns(2)
    for place, (eye, png) in enumerate(drawn):
        with across[place % 2]:
            words = f"From the eye {eye}"
            st.image(png, caption=plain(words), width="stretch", alt=words)


def _sights(looked: Looked) -> None:
    if looked.look.sights:
        shown = rows.sight_rows(looked.look.sights, Shower(looked.look.units))
        show_table(rows.SIGHTS, shown)
        st.caption(rows.SIGHTS_READ)
