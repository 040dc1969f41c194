"""Small tables of plain text."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd  # type: ignore[import-untyped]
import streamlit as st

from lightcalc.screens.layout import whole
from lightcalc.screens.page.plain import plain


def show_table(headings: tuple[str, ...], cells: Iterable[tuple[str, ...]]) -> None:
    """Show a small table; cells are plain text, and a number stays on one line with its unit."""
    shown = [[whole(plain(cell)) for cell in row] for row in cells]
    frame = pd.DataFrame(shown, columns=list(headings))
    with st.container(key=f"table {headings[0]} {len(headings)}".replace(" ", "-")):
        st.table(frame.set_index(headings[0]))
