"""The page: opens the desk, and shows one screen of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import streamlit as st

from lightcalc.problems import BadInput
from lightcalc.screens.page.answers_screen import answers_screen
from lightcalc.screens.page.bench_screen import bench_screen
from lightcalc.screens.page.charts_screen import charts_screen
from lightcalc.screens.page.compare_screen import compare_screen
from lightcalc.screens.page.design_screen import design_screen
from lightcalc.screens.page.desk import Desk, chosen_folder, open_desk
from lightcalc.screens.page.files_screen import files_screen
from lightcalc.screens.page.find_screen import find_screen
from lightcalc.screens.page.look_screen import look_screen
from lightcalc.screens.page.plain import plain
from lightcalc.screens.page.safety_screen import safety_screen
from lightcalc.screens.page.seed import seed

# Name in the menu, place in the address, sign, screen.
SCREENS: tuple[tuple[str, str, str, Callable[[Desk], None]], ...] = (
    ("Answers", "answers", ":material/lightbulb:", answers_screen),
    ("Design", "design", ":material/edit:", design_screen),
    ("Charts", "charts", ":material/show_chart:", charts_screen),
    ("One pack or two", "packs", ":material/battery_full:", compare_screen),
    ("What to build", "find", ":material/search:", find_screen),
    ("Look", "look", ":material/visibility:", look_screen),
    ("Bench", "bench", ":material/electric_meter:", bench_screen),
    ("Safety", "safety", ":material/health_and_safety:", safety_screen),
    ("Files", "files", ":material/folder:", files_screen),
)
HOME = "answers"
STYLE = Path(__file__).with_name("page.css")
# A file: the page would fetch the picture of a named sign from another host.
ICON = Path(__file__).with_name("icon.svg")


def show_page() -> None:
    """Show the page once; Streamlit calls this again after every change."""
    st.set_page_config("lightcalc", ICON, "wide")
    st.html(STYLE)
    try:
        seed(chosen_folder())
        desk = open_desk()
    except BadInput as bad:
        for problem in bad.problems:
            st.error(plain(str(problem)))
        return
    if desk is None:
        st.error(f"There is no design in {plain(str(chosen_folder()))}.")
        return
    pages = [
        st.Page(
            partial(screen, replace(desk, screen=place)),
            title=title,
            url_path=place,
            icon=sign,
            default=place == HOME,
        )
        for title, place, sign, screen in SCREENS
    ]
    st.navigation(pages, position="top").run()
