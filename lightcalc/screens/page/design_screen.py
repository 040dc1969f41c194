"""Change everything about the design: piece, runs, leads, supplies, evenings, and what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import streamlit as st

from lightcalc.design.edit import Path as Place
from lightcalc.screens.page.desk import Desk, Side, change
from lightcalc.screens.page.fields import (
    add_button,
    entries,
    field_key,
    follow,
    form,
    remove_button,
    show_field,
)
from lightcalc.screens.page.form_fields import form_fields
from lightcalc.screens.page.headline import show_headline
from lightcalc.screens.page.plain import plain

PARTS = ("Runs", "Supplies", "Evenings", "Piece", "As text")
MOST_TEXT = 200_000
TEXT_ROWS_PX = 520


@dataclass(frozen=True)
class _Kind:
    """A kind of entry of a list: what it is called, its form, and how a new one begins."""

    what: str
    table: str
    begins: Mapping[str, str]


FEED = _Kind("Feed", "runs.feeds", {"at": "end"})
SURFACE = _Kind("Surface to judge", "runs.seen", {"surface": "floor"})
JOINT = _Kind("Joint", "joints", {"name": "seat to base"})
TRUNK = _Kind("Trunk", "trunks", {"name": "trunk"})
STRETCH = _Kind("Part of the evening", "use.evening", {"level": "50 %"})


def design_screen(desk: Desk) -> None:
    """Show the answers, and under them one part of the design at a time."""
    show_headline(desk)
    st.subheader("The design", anchor=False)
    part = st.segmented_control("Part of the design", PARTS, default=PARTS[0], key="part")
    if part == "As text" or desk.tables() is None:
        if part != "As text":
            st.warning("This text is not in the form of a design; the forms come back when it is.")
        _as_text(desk)
    else:
        edit_part(desk, "mine", part or PARTS[0])


def edit_part(desk: Desk, side: Side, part: str) -> None:
    """Show the forms of one part of a text."""
    {"Runs": _runs, "Supplies": _supplies, "Evenings": _evenings, "Piece": _piece}[part](desk, side)


def _runs(desk: Desk, side: Side) -> None:
    columns = 1 if side == "other" else 2
    for number, run in enumerate(entries(desk, side, ("runs",))):
        place: Place = ("runs", number)
        with st.expander(plain(f"Run: {run.get('name') or number + 1}"), expanded=number == 0):
            form(desk, side, place, "runs", columns)
            _list(desk, side, (*place, "feeds"), FEED)
            _list(desk, side, (*place, "seen"), SURFACE)
            remove_button(desk, side, place, "Take this run out")
    add_button(side, ("runs",), "Add a run", {"name": "new run", "feeds": [{"at": "start"}]})
    st.markdown("**Trunk leads**, which several feeds branch from")
    _list(desk, side, ("trunks",), TRUNK)
    st.markdown("**Joints** at which the piece comes apart")
    _list(desk, side, ("joints",), JOINT)


def _list(desk: Desk, side: Side, place: Place, kind: _Kind) -> None:
    """Show the entries of a list inside the design, each with its form."""
    columns = 1 if side == "other" else 2
    found = entries(desk, side, place)
    for number in range(len(found)):
        at = (*place, number)
        with st.container(border=True):
            st.markdown(f"**{kind.what} {number + 1}**")
            form(desk, side, at, kind.table, columns)
            form(desk, side, at, f"{kind.table}/service", columns)
            remove_button(desk, side, at, f"Take {kind.what.lower()} {number + 1} out")
    add_button(side, place, f"Add: {kind.what.lower()}", kind.begins)


def _supplies(desk: Desk, side: Side) -> None:
    for number, supply in enumerate(entries(desk, side, ("supplies",))):
        place: Place = ("supplies", number)
        title = plain(f"Supply: {supply.get('name') or number + 1}")
        with st.expander(title, expanded=number == 0):
            columns = 1 if side == "other" else 2
            form(desk, side, place, "supplies", columns)
            st.markdown("**Getting at it**")
            form(desk, side, place, "supplies/service", columns)
            remove_button(desk, side, place, "Take this supply out")
    add_button(side, ("supplies",), "Add a supply", {"name": "new supply"})


def _evenings(desk: Desk, side: Side) -> None:
    columns = 1 if side == "other" else 2
    _list(desk, side, ("use", "evening"), STRETCH)
    form(desk, side, ("use",), "use", columns)
    form(desk, side, ("ask",), "ask", columns)


def _piece(desk: Desk, side: Side) -> None:
    form(desk, side, ("piece",), "piece")
    for field in form_fields(""):
        show_field(desk, side, (), field)
    st.caption(
        "Blocks, inlays, mounts and viewers of the piece in space are written under As text; "
        "the README says how."
    )


def _as_text(desk: Desk) -> None:
    key = field_key(desk, "mine", ("text",))
    st.text_area(
        "The whole design, as in its file",
        follow(key, desk.work.text, ""),
        key=key,
        height=TEXT_ROWS_PX,
        max_chars=MOST_TEXT,
        on_change=lambda: change("mine", (), lambda _text: str(st.session_state[key])),
    )
