"""Readings from the built piece: which agree, what is likely wrong, and what the parts really are.

What is typed is kept at once with the design's work; `Save the readings` writes it to the file
beside the design, which the verb `bench` then reads.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache, partial
from typing import Any

import streamlit as st

from lightcalc.answers.bench.bench import bench
from lightcalc.answers.bench.results import BenchAnswer
from lightcalc.answers.words import Shower
from lightcalc.design.edit import with_entry, with_value
from lightcalc.design.read_readings import readings_in
from lightcalc.folder.names import refusal
from lightcalc.folder.place import decoded
from lightcalc.folder.readings import readings_name, readings_text, save_readings
from lightcalc.folder.zips import zip_of
from lightcalc.parts.rewrite import changed_files
from lightcalc.problems import BadInput, Problem
from lightcalc.screens import bench_sheet as sheet
from lightcalc.screens.page.bench_places import (
    EXAMPLES,
    entry_words,
    places_to_read,
    value_key,
    with_unit,
)
from lightcalc.screens.page.desk import (
    READINGS_FILE,
    Desk,
    Edit,
    Side,
    begin_readings,
    change,
    desk_now,
    tell,
)
from lightcalc.screens.page.fields import entries, field_key, follow, remove_button
from lightcalc.screens.page.headline import grade_words, show_headline
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.tables import show_table

SIDE: Side = "readings"
LARGEST_READINGS_MB = 1
MOST_TEXT = 100_000
TEXT_ROWS_PX = 320
# A refit is a few hundred kilobytes; people step back and forth between what they typed.
BENCHES_KEPT = 32
VERDICTS = {
    "no fault": grade_words("fine"),
    "fault": ":red[:material/build: **Fault**]",
    "unexplained": grade_words("caution"),
}


def bench_screen(desk: Desk) -> None:
    """Show what the readings say, then the readings themselves, then what was learned."""
    outcome = show_headline(desk)
    st.subheader("Bench: readings from the built piece", anchor=False)
    if outcome is None:
        return
    try:
        saved = readings_text(desk.folder, desk.work.name)
    except BadInput as bad:
        saved = ""
        _tell(bad)
    desk = _begun(desk, saved)
    found = _found(desk, outcome)
    if found is not None:
        _verdict(found)
    _readings(desk, outcome)
    if found is not None:
        _learned(found)
    _keep(desk, saved)
    _take_away(desk, outcome, found)
    _bring()
    _as_text(desk)


def _begun(desk: Desk, saved: str) -> Desk:
    """Begin from the file where nothing was typed since it was read."""
    state = desk.work.state
    if saved and state.get(SIDE, "") == state.get(READINGS_FILE, "") != saved:
        begin_readings(saved)
        return Desk(desk.folder, desk_now().work, desk.screen)
    return desk


def _found(desk: Desk, outcome: Outcome) -> BenchAnswer | None:
    """Return what the readings say, or say why they say nothing."""
    text = desk.text(SIDE)
    tables = desk.tables(SIDE)
    if tables is not None and not tables.get("readings"):
        st.info(
            "No readings yet. Measure the built piece at full level before anything is glued, add "
            "what the meter shows below, and see whether it agrees. Volts at a feed and at the far "
            "end, and the amps of each run, say most.",
            icon=":material/info:",
        )
        return None
    found, problems = _benched(outcome, readings_name(desk.work.name), text)
    if problems:
        what = "1 mistake" if len(problems) == 1 else f"{len(problems)} mistakes"
        listed = "\n".join(f"- {plain(p.where)}: {plain(p.sentence)}" for p in problems[:12])
        st.warning(f"{what} in the readings.\n\n{listed}", icon=":material/edit:")
    return found


@lru_cache(maxsize=BENCHES_KEPT)
def _benched(
    outcome: Outcome, name: str, text: str
) -> tuple[BenchAnswer | None, tuple[Problem, ...]]:
    design, catalogue = outcome.drawn
    try:
        return bench(design, catalogue, readings_in(text, name, design, catalogue)), ()
    except BadInput as bad:
        return None, tuple(bad.problems)


def _verdict(found: BenchAnswer) -> None:
    first, *more = sheet.verdict_sentences(found, Shower(found.units))
    with st.container(border=True, key="bench verdict"):
        open_yet = found.verdict == "no fault" and found.faults
        grade = grade_words("caution") if open_yet else VERDICTS[found.verdict]
        st.markdown(f"{grade} {plain(first)}")
        for sentence in more:
            st.markdown(plain(sentence))
    show_table(sheet.READINGS, sheet.reading_rows(found))
    st.caption(plain(sheet.readings_read(found)))


def _readings(desk: Desk, outcome: Outcome) -> None:
    """Show a field for each reading, and one to add."""
    st.markdown("**What the meter showed**")
    listed = entries(desk, SIDE, ("readings",))
    for number, entry in enumerate(listed):
        _reading(desk, number, entry)
    _add(desk, outcome)


def _reading(desk: Desk, number: int, entry: Mapping[str, Any]) -> None:
    place = ("readings", number, value_key(entry))
    key, words = field_key(desk, SIDE, place), entry_words(entry)
    begins = follow(key, str(entry.get(place[-1], "")), "")
    with st.container(horizontal=True, vertical_alignment="bottom", key=f"bench row {number}"):
        st.text_input(
            # As mistakes name it: readings.4 is the fourth.
            f"{number + 1}\\. {plain(words)}",
            begins,
            key=key,
            placeholder=EXAMPLES[value_key(entry)],
            on_change=lambda: change(
                SIDE, place, lambda text: with_value(text, place, _typed(key, entry))
            ),
        )
        remove_button(desk, SIDE, ("readings", number), "Take out")


def _typed(key: str, entry: Mapping[str, Any]) -> str:
    return with_unit(value_key(entry), str(st.session_state[key]))


def _add(desk: Desk, outcome: Outcome) -> None:
    places = places_to_read(*outcome.drawn)
    there = {entry_words(entry) for entry in entries(desk, SIDE, ("readings",))}
    offered = [words for words in places if words not in there]
    if not offered:
        return
    with (
        st.form("add reading", clear_on_submit=True),
        st.container(horizontal=True, vertical_alignment="bottom", key="bench add"),
    ):
        st.selectbox("Add a reading", offered, key="reading where", format_func=str)
        st.text_input("It showed", key="reading value", placeholder="11.9 or 520 mA")
        st.form_submit_button("Add", icon=":material/add:", on_click=partial(_added, places))


def _added(places: Mapping[str, Mapping[str, str]]) -> None:
    words = st.session_state["reading where"]
    typed = _typed("reading value", places[words])
    if not typed:  # as after Enter, which adds by itself
        return
    entry = {**places[words], value_key(places[words]): typed}
    change(SIDE, ("readings",), _with(entry))


def _with(entry: Mapping[str, str]) -> Edit:
    return lambda text: with_entry(text, ("readings",), entry)


def _learned(found: BenchAnswer) -> None:
    show = Shower(found.units)
    st.subheader("What was learned", anchor=False)
    learned = sheet.learned_rows(found, show)
    if learned:
        heads = ("figure", *sheet.LEARNED[1:])
        show_table(heads, learned)
        st.caption(plain(sheet.LEARNED_READ))
    else:
        st.markdown(plain(sheet.NOTHING_LEARNED))
    for line in sheet.lines_to_write(found, written=True):
        st.markdown(plain(line))
    closer = list(sheet.not_learned(found))
    if closer:
        with st.expander(sheet.COULD_NOT_TELL):
            for sentence in closer:
                st.markdown(plain(sentence))


def _keep(desk: Desk, saved: str) -> None:
    text, name = desk.text(SIDE), readings_name(desk.work.name)
    if text == saved or not text:
        return
    with st.container(horizontal=True, vertical_alignment="center", key="bench keep"):
        st.caption(f"{plain(name)}: kept, not yet saved to its file")
        st.button(
            "Save the readings",
            icon=":material/save:",
            on_click=_save,
        )


def _save() -> None:
    desk = desk_now()
    text, begun = desk.text(SIDE), desk.work.state.get(READINGS_FILE, "")
    try:
        save_readings(desk.folder, desk.work.name, text, begun)
    except BadInput as bad:
        _tell(bad)
    else:
        begin_readings(text)


def _take_away(desk: Desk, outcome: Outcome, found: BenchAnswer | None) -> None:
    with st.container(horizontal=True, key="bench take"):
        if desk.text(SIDE):
            name = readings_name(desk.work.name)
            _download("Readings", desk.text(SIDE).encode("utf-8", "replace"), name)
        if found is not None and found.verdict != "unexplained" and found.rows:
            _download("The parts as measured", partial(_measured, outcome, found), "measured.zip")
    if found is not None and found.rows and sheet.not_sure(found):
        st.caption(plain(sheet.not_sure(found)))


def _measured(outcome: Outcome, found: BenchAnswer) -> bytes:
    """Return the catalogue with the parts as measured, worked out when it is asked for."""
    return zip_of(changed_files(outcome.drawn[1].folder, found.rows))


def _download(label: str, data: bytes | Callable[[], bytes], name: str) -> None:
    st.download_button(
        label, data, name, key=f"download {label}", icon=":material/download:", on_click="ignore"
    )


def _bring() -> None:
    given = st.file_uploader(
        "Bring in readings (a .toml file); they take the place of those above",
        type="toml",
        key="bring readings",
        max_upload_size=LARGEST_READINGS_MB,
    )
    if given is not None and st.button("Take these readings", key="take readings"):
        try:
            brought = decoded(given.getvalue(), given.name)
            if len(brought) > MOST_TEXT:
                raise refusal(given.name, f"is longer than the {MOST_TEXT} signs of a few pages.")
            change(SIDE, (), lambda _text: brought)
        except BadInput as bad:
            _tell(bad)
        st.rerun()


def _as_text(desk: Desk) -> None:
    with st.expander("The readings as text, for all that they may say"):
        key = field_key(desk, SIDE, ("text",))
        st.text_area(
            "As in the file of readings",
            follow(key, desk.text(SIDE), ""),
            key=key,
            height=TEXT_ROWS_PX,
            max_chars=MOST_TEXT,
            on_change=lambda: change(SIDE, (), lambda _text: str(st.session_state[key])),
        )


def _tell(bad: BadInput) -> None:
    tell("; ".join(plain(str(problem)) for problem in bad.problems))
