"""Open, save, download and bring in designs and catalogues; nothing leaves the chosen folder."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import streamlit as st

from lightcalc.answers.words import Shower
from lightcalc.design.edit import with_value
from lightcalc.folder.place import catalogue_names, catalogue_path, design_names
from lightcalc.folder.saving import text_before
from lightcalc.folder.uploads import take_before, take_catalogue_zip, take_design, zip_of_catalogue
from lightcalc.folder.work import keep_both, start_again
from lightcalc.folder.zips import zip_of
from lightcalc.packet.packet import packet_files
from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.problems import BadInput
from lightcalc.screens.json_door import to_json
from lightcalc.screens.options import examples_folder
from lightcalc.screens.page.choices import described_parts
from lightcalc.screens.page.desk import (
    FIRST,
    Desk,
    change,
    desk_now,
    open_design,
    show_work,
    tell,
)
from lightcalc.screens.page.headline import show_headline
from lightcalc.screens.page.outcome import CATALOGUE_FILES, Outcome, catalogue_name
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.seed import PARTS, in_folder_of_parts
from lightcalc.screens.page.tables import show_table
from lightcalc.screens.sheet import answer_sheet

LARGEST_DESIGN_MB, LARGEST_CATALOGUE_MB = 1, 2


def files_screen(desk: Desk) -> None:
    """Show designs, then catalogues."""
    outcome = show_headline(desk)
    st.subheader("Designs", anchor=False)
    st.caption(f"In the folder {plain(str(desk.folder))}")
    _open(desk)
    _keep(desk)
    _take_away(desk, outcome)
    _bring_design(desk)
    st.subheader("Parts", anchor=False)
    _parts(desk)


def _open(desk: Desk) -> None:
    names = list(design_names(desk.folder))
    at = names.index(desk.work.name) if desk.work.name in names else 0
    st.session_state["open which"] = names[at]
    st.selectbox("Open a design", names, key="open which", on_change=_opened)
    with st.container(horizontal=True):
        st.button(
            "Begin a new one from the demo", icon=":material/add:", on_click=_new, args=(desk,)
        )
        _offer_before(desk)


def _offer_before(desk: Desk) -> None:
    """Offer the design's file as it was before its last save, to be opened beside it."""
    try:
        before = text_before(desk.folder, desk.work.name)
    except BadInput as bad:
        st.caption("; ".join(plain(str(problem)) for problem in bad.problems))
        return
    if before is not None and before != desk.work.text:
        st.button(
            "Open the version before the last save",
            icon=":material/history:",
            on_click=_open_before,
            args=(desk, before),
            help="It opens beside this one, under a name of its own; nothing is written over.",
        )


def _open_before(desk: Desk, before: str) -> None:
    try:
        open_design(take_before(desk.folder, desk.work.name, before))
    except BadInput as bad:
        _tell(bad)


def _opened() -> None:
    try:
        open_design(st.session_state["open which"])
    except BadInput as bad:
        _tell(bad)


def _new(desk: Desk) -> None:
    text = (examples_folder() / FIRST).read_text(encoding="utf-8")
    named = catalogue_name(desk.text())
    parts = named if named != "." or "." in catalogue_names(desk.folder) else PARTS
    try:
        open_design(take_design(desk.folder, FIRST, in_folder_of_parts(text, parts).encode()))
    except BadInput as bad:
        _tell(bad)


def _keep(desk: Desk) -> None:
    with st.container(horizontal=True):
        st.button(
            "Save under a new name",
            icon=":material/file_copy:",
            on_click=_keep_both,
        )
        if desk.work.text != desk.work.saved:
            st.button(
                "Go back to the saved file",
                icon=":material/undo:",
                on_click=_forget,
                help="What you typed since is set aside in the folder, not deleted.",
            )


def _keep_both() -> None:
    desk = desk_now()
    try:
        show_work(keep_both(desk.folder, desk.work))
    except BadInput as bad:
        _tell(bad)


def _forget() -> None:
    desk = desk_now()
    try:
        show_work(start_again(desk.folder, desk.work))
    except BadInput as bad:
        _tell(bad)


def _tell(bad: BadInput) -> None:
    tell("; ".join(plain(str(problem)) for problem in bad.problems))


def _take_away(desk: Desk, outcome: Outcome | None) -> None:
    stem = desk.work.name.removesuffix(".toml")
    with st.container(horizontal=True):
        _download("Design", desk.text(), desk.work.name, "application/toml")
        if outcome is not None:
            _download("Answer sheet", answer_sheet(outcome.answer), f"{stem}.txt", "text/plain")
            numbers = to_json(outcome.answer)
            _download("All numbers", numbers, f"{stem}.json", "application/json")
            _download(
                "Build packet",
                partial(packet_zip, outcome),
                f"{stem}-packet.zip",
                "application/zip",
            )


def packet_zip(outcome: Outcome) -> bytes:
    """Return the paper for bench, shop and client, worked out when it is asked for."""
    return zip_of(packet_files(*outcome.drawn, outcome.answer))


def _download(
    label: str, data: str | bytes | Callable[[], bytes], file_name: str, kind: str
) -> None:
    st.download_button(
        label,
        data,
        file_name,
        kind,
        key=f"download {label}",
        icon=":material/download:",
        on_click="ignore",
    )


def _bring_design(desk: Desk) -> None:
    given = st.file_uploader(
        "Bring in a design (a .toml file)",
        type="toml",
        key="bring design",
        max_upload_size=LARGEST_DESIGN_MB,
    )
    if given is not None and st.button("Put it in the folder", key="take design"):
        try:
            open_design(take_design(desk.folder, given.name, given.getvalue()))
        except BadInput as bad:
            _tell(bad)
        st.rerun()


def _parts(desk: Desk) -> None:
    names = list(catalogue_names(desk.folder))
    now = catalogue_name(desk.text())
    if names:
        st.session_state["parts"] = now if now in names else None
        st.selectbox(
            "Parts of this design",
            names,
            key="parts",
            format_func=lambda name: "beside the design" if name == "." else name,
            on_change=_parts_chosen,
        )
    if now in names:
        data = zip_of_catalogue(desk.folder, now, CATALOGUE_FILES)
        _download("These parts", data, "parts.zip", "application/zip")
        _table(desk, now)
    given = st.file_uploader(
        "Bring in parts (a .zip of catalogue.toml and its CSV files)",
        type="zip",
        key="bring parts",
        max_upload_size=LARGEST_CATALOGUE_MB,
    )
    if given is not None and st.button("Put them in the folder", key="take parts"):
        try:
            name = take_catalogue_zip(desk.folder, given.name, given.getvalue(), CATALOGUE_FILES)
            tell(f"The parts are in {plain(name)}; choose them under Parts of this design.")
        except BadInput as bad:
            _tell(bad)
        st.rerun()


def _parts_chosen() -> None:
    name = str(st.session_state["parts"])
    value = None if name == "." else name
    change("mine", ("catalogue",), lambda text: with_value(text, ("catalogue",), value))


def _table(desk: Desk, name: str) -> None:
    try:
        catalogue = read_catalogue(catalogue_path(desk.folder, name))
    except BadInput as bad:
        for problem in bad.problems:
            st.markdown(f":red[:material/error: {plain(str(problem))}]")
        return
    kind = st.selectbox("Look at", list(KINDS), key="kind of part")
    good = desk.last_good()
    show = Shower(good.answer.units if good else "metric")
    show_table(("Part", "What it is"), described_parts(catalogue, kind, show))
