"""The top of every screen: what is open, whether the design works, and the four answers."""

from __future__ import annotations

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from lightcalc.folder.work import ChangedElsewhere, save_design
from lightcalc.problems import BadInput
from lightcalc.screens.headlines import (
    Headline,
    hours_headline,
    packs_headline,
    shows_headline,
    verdict,
    wiring_headline,
)
from lightcalc.screens.page.desk import Desk, desk_now, show_work, tell, told
from lightcalc.screens.page.outcome import Outcome
from lightcalc.screens.page.plain import on_page, plain

# Grades are told by a word and a sign; the colour only repeats them.
SIGNS = {
    "stop": ("Stop", ":material/block:", "red"),
    "caution": ("Caution", ":material/warning:", "orange"),
    "note": ("Note", ":material/info:", "blue"),
    "before": ("Before the mistake", ":material/history:", "gray"),
    "fine": ("Fine", ":material/check_circle:", "green"),
}


def grade_words(grade: str) -> str:
    """Return a grade as Markdown: its sign and its word."""
    word, sign, colour = SIGNS[grade]
    return f":{colour}[{sign} **{word}**]"


def _graded(grade: str, old: bool) -> str:
    """Return a grade as Markdown; an answer from before a mistake has no grade of its own."""
    return grade_words("before" if old else grade)


def show_headline(desk: Desk, *, whole: bool = False) -> Outcome | None:
    """Show the top of a screen; return the outcome whose answers are shown, None without any.

    The `whole` answers have their sentences; short ones leave the screen to what it is for.
    """
    _show_status(desk)
    for sentence in told():
        st.info(sentence, icon=":material/info:")
    outcome = desk.last_good()
    st.title(plain(outcome.answer.piece if outcome else desk.work.name), anchor=False)
    if not desk.outcome().good:
        _show_problems(desk, outcome is not None)
    if outcome is None:
        return None
    answer = outcome.answer
    with st.container(key="answers", gap="small"):
        old = not desk.outcome().good
        grade, sentence = verdict(answer)
        st.markdown(f"{_graded(grade, old)} {sentence}")
        places = _places(whole)
        show = _card if whole else _short
        show(places[0], hours_headline(answer), old)
        show(places[2], wiring_headline(answer), old)
        show(places[3], shows_headline(answer), old)
        # Three designs are answered for this one, so it comes last.
        show(places[1], packs_headline(outcome.comparison), old)
    return outcome


def _show_status(desk: Desk) -> None:
    work = desk.work
    changed = work.text != work.saved
    with st.container(horizontal=True, vertical_alignment="center", key="status"):
        state = "kept, not yet saved to its file" if changed else "saved"
        if not desk.outcome().good:
            state += "; the commands and the packet refuse it until the mistakes are mended"
        st.caption(f"{plain(work.name)}, {state}")
        if changed:
            st.button("Save", icon=":material/save:", key="save", on_click=_save)


def _save() -> None:
    desk = desk_now()
    try:
        show_work(save_design(desk.folder, desk.work))
    except ChangedElsewhere:
        tell(
            f"The file {plain(desk.work.name)} was changed by another program since you opened "
            "it, so it was left alone. Under Files, save yours under a new name."
        )
    except BadInput as bad:
        tell("; ".join(plain(str(problem)) for problem in bad.problems))


def _show_problems(desk: Desk, answered: bool) -> None:
    problems = desk.outcome().problems
    what = "1 mistake" if len(problems) == 1 else f"{len(problems)} mistakes"
    rest = "The answers below are from before that." if answered else "There is no answer yet."
    listed = "\n".join(f"- {plain(p.where)}: {plain(p.sentence)}" for p in problems[:12])
    st.warning(f"{what}. {rest}\n\n{listed}", icon=":material/edit:")


def _places(whole: bool) -> list[DeltaGenerator]:
    """Return a place for each answer: columns that stack on a phone, or small ones that wrap."""
    if whole:
        return [place.container(border=True) for place in st.columns(4, gap="small")]
    row = st.container(horizontal=True, gap="small", key="short")
    return [row.container(border=True, width="content", gap=None) for _ in range(4)]


def _short(place: DeltaGenerator, headline: Headline, old: bool) -> None:
    """Show the question, its grade and the large number alone."""
    with place:
        st.markdown(f"{plain(headline.label)} {_graded(headline.grade, old)}")
        st.header(plain(headline.number), anchor=False)


def _card(place: DeltaGenerator, headline: Headline, old: bool) -> None:
    """Show one answer: question and grade, the large number, the sentence, what is behind it."""
    with place:
        st.markdown(f"{plain(headline.label)} {_graded(headline.grade, old)}")
        st.header(plain(headline.number), anchor=False)
        st.markdown(plain(headline.sentence))
        if headline.behind:
            st.caption(on_page(headline.behind))
