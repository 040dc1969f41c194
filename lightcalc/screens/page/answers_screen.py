"""The first screen: the answers, the few things one turns most, and every finding."""

from __future__ import annotations

import streamlit as st

from lightcalc.answers.findings.finding import Finding
from lightcalc.answers.results import Answer
from lightcalc.answers.words import Shower
from lightcalc.screens import rows
from lightcalc.screens.page.desk import Desk
from lightcalc.screens.page.fields import entries, show_field
from lightcalc.screens.page.form_fields import FormField, form_fields
from lightcalc.screens.page.headline import grade_words, show_headline
from lightcalc.screens.page.how_sure import how_sure
from lightcalc.screens.page.plain import on_page, plain
from lightcalc.screens.page.safety_screen import reminder
from lightcalc.screens.page.tables import show_table


def answers_screen(desk: Desk) -> None:
    """Show answers first, then what to turn, then findings, wires and runs."""
    outcome = show_headline(desk, whole=True)
    st.subheader("Change and see", anchor=False)
    _knobs(desk)
    if outcome is None:
        return
    answer = outcome.answer
    st.subheader("What to know", anchor=False)
    for finding in answer.findings:
        show_finding(finding)
    if not answer.findings:
        st.markdown("Nothing.")
    how_sure(outcome)
    _runs(answer)
    _wires(answer)
    reminder()


def show_finding(finding: Finding) -> None:
    """Show one finding: grade, where, why and what to do."""
    st.markdown(
        f"{grade_words(finding.grade)} **{plain(finding.where)}**: {on_page(finding.why)} "
        f"{on_page(finding.remedy)}"
    )


def _knobs(desk: Desk) -> None:
    """Show a length for each run, a pack for each supply, and a level for each stretch."""
    with st.container(border=True, key="knobs"):
        across = st.columns(3)
        with across[0]:
            for number, run in enumerate(entries(desk, "mine", ("runs",))):
                label = f"Length of {run.get('name') or number + 1}"
                show_field(desk, "mine", ("runs", number), _field("runs", "length"), label)
        with across[1]:
            for number, supply in enumerate(entries(desk, "mine", ("supplies",))):
                label = f"Pack of {supply.get('name') or number + 1}"
                show_field(desk, "mine", ("supplies", number), _field("supplies", "pack"), label)
            show_field(desk, "mine", ("ask",), _field("ask", "hours_a_charge"))
        with across[2]:
            for number, stretch in enumerate(entries(desk, "mine", ("use", "evening"))):
                label = f"Brightness for {stretch.get('time') or 'part ' + str(number + 1)}"
                at = ("use", "evening", number)
                show_field(desk, "mine", at, _field("use.evening", "level"), label)


def _field(table: str, key: str) -> FormField:
    return next(field for field in form_fields(table) if field.key == key)


def _runs(answer: Answer) -> None:
    st.subheader("Runs at full level", anchor=False)
    show_table(rows.RUNS, rows.run_rows(answer, Shower(answer.units)))
    st.caption(rows.RUNS_READ)


def _wires(answer: Answer) -> None:
    st.subheader("Wires and fuses", anchor=False)
    show_table(rows.WIRES, rows.wire_rows(answer, Shower(answer.units)))
    st.caption(rows.WIRES_READ)
    if connectors := rows.connectors_read(answer, Shower(answer.units)):
        st.caption(plain(connectors))
    for fuse in answer.fuses:
        name = "not needed" if fuse.protected_by == "converter limit" else fuse.fuse or "none fits"
        st.markdown(f"Fuse {plain(fuse.place)}, {plain(fuse.supply)}: **{plain(name)}**")
