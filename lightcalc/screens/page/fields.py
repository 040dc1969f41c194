"""Forms: a field for each value of a design, bound to its place in the text.

A field shows what the text says and writes what is typed, readable or not. What is wrong with it
stands beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any, TypeVar

import streamlit as st

from lightcalc.design.edit import Path as Place
from lightcalc.design.edit import value_at, with_entry, with_value, without_entry
from lightcalc.design.stretch import with_run_length
from lightcalc.screens.page.choices import choices_for, described
from lightcalc.screens.page.desk import Desk, Side, change, desk_now, problems_at
from lightcalc.screens.page.form_fields import FormField, form_fields
from lightcalc.screens.page.plain import plain

NOTHING = ""
Value = TypeVar("Value")


def form(desk: Desk, side: Side, place: Place, table: str, columns: int = 2) -> None:
    """Show every field of one table of the design, in columns that stack on a phone."""
    fields = form_fields(table)
    for first in range(0, len(fields), columns):
        # Row by row, so that on a phone the fields stand in their order.
        across = st.columns(columns)
        for column, field in zip(across, fields[first : first + columns], strict=False):
            with column:
                show_field(desk, side, place, field)


def show_field(desk: Desk, side: Side, place: Place, field: FormField, label: str = "") -> None:
    """Show one field, and beneath it what is wrong with what it holds."""
    at = (*place, field.key)
    key = field_key(desk, side, at)
    value = value_at(desk.tables(side) or {}, at)
    typed = partial(_typed, side, at, key, field)
    words = plain(label or field.label)
    if field.kind == "flag":
        on = follow(key, value is True, nothing=False)
        st.checkbox(words, on, key=key, on_change=typed, help=field.help or None)
    elif field.kind == "choice":
        _choice(desk, side, at, field, words)
    elif field.kind == "several":
        _several(desk, side, at, field, words)
    else:
        st.text_input(
            words,
            follow(key, _as_typed(value), NOTHING),
            key=key,
            on_change=typed,
            help=field.help or None,
            placeholder=field.example_in((desk.tables(side) or {}).get("units")),
        )
    for sentence in problems_at(desk, side, at):
        wrong(sentence)


def field_key(desk: Desk, side: Side, place: Place) -> str:
    """Return the key of a field; screens have each their own, or Streamlit mixes them up."""
    return f"field {desk.screen} {side} {'/'.join(str(step) for step in place)}"


def follow(key: str, value: Value, nothing: Value) -> Value:
    """Let a field show what the text says; one that does already is left to who types in it.

    Returns what the field begins with, to be given to it in every run: a browser may draw it only
    after a later run than the first, and what it begins with then would else be taken for typed.
    `nothing` stands for it in a run that sets the field anew, in which Streamlit allows no other.
    """
    if key in st.session_state and st.session_state[key] != value:
        st.session_state[key] = value
        return nothing
    return value


def wrong(sentence: str) -> None:
    """Say what is wrong, under the field that it is about."""
    st.markdown(f":red[:material/error: {plain(sentence)}]")


def _choice(desk: Desk, side: Side, at: Place, field: FormField, words: str) -> None:
    key, now = field_key(desk, side, at), _as_typed(value_at(desk.tables(side) or {}, at))
    offered = choices_for(desk, side, field.choices)
    if field.empty in offered:  # left out, it means one of those on offer
        now, nothing = now or field.empty, []
    else:
        nothing = [NOTHING]
    # What the text says stays on offer, also when the catalogue no longer has it.
    options = [*nothing, *offered, *([now] if now and now not in offered else [])]
    begins = follow(key, now, options[0])
    st.selectbox(
        words,
        options,
        options.index(begins),
        key=key,
        on_change=partial(_typed, side, at, key, field),
        help=field.help or None,
        format_func=partial(described, desk, side, field),
    )


def _several(desk: Desk, side: Side, at: Place, field: FormField, words: str) -> None:
    key, now = field_key(desk, side, at), value_at(desk.tables(side) or {}, at)
    offered = choices_for(desk, side, field.choices)
    said = [_as_typed(item) for item in now] if isinstance(now, list) else []
    st.multiselect(
        words,
        [*offered, *(word for word in said if word not in offered)],
        follow(key, said, nothing=None),
        key=key,
        on_change=partial(_typed, side, at, key, field),
        help=field.help or None,
        placeholder=field.empty,
    )


def _as_typed(value: object) -> str:
    """Return a value of the text as one would type it."""
    if value is None:
        return NOTHING
    if isinstance(value, list):
        return ", ".join(_as_typed(item) for item in value)
    if isinstance(value, float):
        return f"{value:.12g}"
    try:
        return str(value)
    except ValueError:
        # Python writes no whole number of more than 4300 digits, but reads it in base 16.
        return "a number too long to show"


def _typed(side: Side, place: Place, key: str, field: FormField) -> None:
    value = _meant(st.session_state[key], field)
    if (field.table, field.key) == ("runs", "length"):
        unit_m = _cut_unit_m(desk_now(), side, place)
        change(side, place, lambda text: with_run_length(text, place, value, unit_m))
    else:
        change(side, place, lambda text: with_value(text, place, value))


def _cut_unit_m(desk: Desk, side: Side, place: Place) -> float:
    """Return the cut unit of the strip of the run at a place; nil when there is no such strip."""
    name = value_at(desk.tables(side) or {}, (*place[:-1], "strip"))
    catalogue = desk.outcome(side).catalogue
    strip = catalogue.strips.get(name) if catalogue and isinstance(name, str) else None
    return strip.cut_unit_m if strip else 0.0


def _meant(typed: object, field: FormField) -> object:
    """Return what to write for what was typed; None takes the key out."""
    if isinstance(typed, bool):
        return typed or None
    if isinstance(typed, list):
        return typed or None
    text = str(typed or "").strip()
    if not text:
        return None
    if field.kind == "list":
        return [item.strip() for item in text.split(",") if item.strip()]
    return _number(text) if field.kind == "number" else text


def _number(text: str) -> object:
    """Return a number for what reads as one, else the text, which the design's reader will refuse.

    >>> _number("2"), _number("2.5"), _number("two")
    (2, 2.5, 'two')
    """
    try:
        return int(text)
    except ValueError:
        pass
    try:
        return float(text.replace(",", ".") if text.count(",") == 1 else text)
    except ValueError:
        return text


def add_button(side: Side, place: Place, label: str, entry: Mapping[str, Any]) -> None:
    """Offer to add an entry to the list at a place."""
    st.button(
        label,
        key=f"add {side} {place}",
        icon=":material/add:",
        on_click=lambda: change(side, place, lambda text: with_entry(text, place, entry)),
    )


def remove_button(desk: Desk, side: Side, place: Place, label: str) -> None:
    """Offer to take out the entry at a place."""
    # With one entry fewer the key is another, so that a second click takes out no second entry.
    count = len(entries(desk, side, place[:-1]))
    st.button(
        label,
        key=f"remove {side} {place} of {count}",
        icon=":material/delete:",
        on_click=lambda: change(side, place, lambda text: without_entry(text, place)),
    )


def entries(desk: Desk, side: Side, place: Place) -> Sequence[Mapping[str, Any]]:
    """Return the entries of the list at a place; none when it is no list of tables."""
    found = value_at(desk.tables(side) or {}, place)
    if not isinstance(found, list) or not all(isinstance(entry, Mapping) for entry in found):
        return []
    return found
