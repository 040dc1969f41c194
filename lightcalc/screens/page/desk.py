"""What lies open on the page: the work in progress, what it comes to, and how it is changed.

Three texts may lie open: `mine`, the design itself, `other`, a second way to build it that the
page sets beside it, and `readings`, what a meter showed on the built piece. Every change is kept on
disk at once; nothing typed waits for a button.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

import streamlit as st

from lightcalc.design.edit import NoSuchPlace, place_of, raw, value_at
from lightcalc.design.edit import Path as Place
from lightcalc.folder.kept import Work
from lightcalc.folder.place import design_names
from lightcalc.folder.work import ChangedElsewhere, keep_both, keep_work, open_work
from lightcalc.problems import BadInput, Problem
from lightcalc.screens.page.outcome import KEPT, Outcome, outcome_of
from lightcalc.screens.page.plain import plain

Side = Literal["mine", "other", "readings"]
Edit = Callable[[str], str]

FOLDER_VARIABLE = "LIGHTCALC_FOLDER"
DEFAULT_FOLDER = "lightcalc designs"
FIRST = "hall-bench.toml"
# What the file of readings held when these were begun.
READINGS_FILE = "readings saved"
WORK, NOTICE, UNKEPT, OPENED = "work", "notice", "unkept", "design"


@dataclass(frozen=True)
class Desk:
    """The folder, the work that is open and the screen, as one rerun of the page sees them.

    Every field of a form asks what its text comes to, so a desk looks at the parts on disk once.
    """

    folder: Path
    work: Work
    screen: str = ""
    _found: dict[str, Outcome] = field(default_factory=dict, init=False, repr=False, compare=False)

    def text(self, side: Side = "mine") -> str:
        """Return one of the texts as typed; empty when there is none."""
        return self.work.text if side == "mine" else self.work.state.get(side, "")

    def outcome(self, side: Side = "mine") -> Outcome:
        """Return what that text comes to."""
        return self._outcome_of(self.text(side))

    def _outcome_of(self, text: str) -> Outcome:
        if text not in self._found:
            self._found[text] = outcome_of(self.folder, self.work.name, text)
        return self._found[text]

    def good_text(self, side: Side) -> str:
        """Return the text kept as the latest with an answer; empty when none was kept."""
        return self.work.good if side == "mine" else self.work.state.get("other good", "")

    def last_good(self, side: Side = "mine") -> Outcome | None:
        """Return the latest outcome with an answer; None when there never was one."""
        found = self.outcome(side)
        if found.good:
            return found
        text = self.good_text(side)
        kept = self._outcome_of(text) if text else None
        return kept if kept and kept.good else None

    def tables(self, side: Side = "mine") -> Mapping[str, Any] | None:
        """Return the raw tables of a text, to be read only; None when it is no TOML."""
        return _tables(self.text(side))


@lru_cache(maxsize=KEPT)
def _tables(text: str) -> Mapping[str, Any] | None:
    """Parse a text once; parsing in a way that keeps comments takes longer than an answer."""
    try:
        return raw(text)
    except NoSuchPlace:
        return None


def chosen_folder() -> Path:
    """Return the one folder that the page reads and writes."""
    return Path(os.environ.get(FOLDER_VARIABLE) or DEFAULT_FOLDER).resolve()


def open_desk() -> Desk | None:
    """Return what is open in this tab, with what other tabs did to it; None with no design."""
    folder = chosen_folder()
    names = design_names(folder)
    if not names:
        return None
    work: Work | None = st.session_state.get(WORK)
    asked = st.query_params.get(OPENED, "")
    if work is None:
        work = _open(folder, sorted(names, key=lambda name: (name != asked, name != FIRST)))
        if work.notice:
            tell(plain(work.notice))
    elif not st.session_state.get(UNKEPT):
        work = _as_on_disk(folder, work)
    st.session_state[WORK] = work
    if asked != work.name:
        st.query_params[OPENED] = work.name
    return Desk(folder, work)


def _open(folder: Path, names: list[str]) -> Work:
    """Open the first design that can be opened; those that cannot say why.

    BadInput when none can.
    """
    refused: list[Problem] = []
    for name in names:
        try:
            work = open_work(folder, name)
        except BadInput as bad:
            refused += bad.problems
        else:
            for problem in refused:
                tell(plain(str(problem)))
            return work
    raise BadInput(refused)


def _as_on_disk(folder: Path, work: Work) -> Work:
    """Take over what another tab changed since; this tab has kept all of its own."""
    try:
        theirs = open_work(folder, work.name)
    except BadInput:
        return work
    if theirs.stamp == work.stamp:
        return work
    if theirs.text != work.text:
        tell("This design was changed in another tab or program; you see it as it is now.")
    return theirs


def desk_now() -> Desk:
    """Return the desk with all that was typed; what a button was drawn with may be older."""
    return Desk(chosen_folder(), st.session_state[WORK])


def open_design(name: str) -> None:
    """Open another design in this tab."""
    show_work(open_work(chosen_folder(), name))


def show_work(work: Work) -> None:
    """Put a work on the desk in place of what lies there, and tell what is to be told of it."""
    if work.notice:
        tell(plain(work.notice))
    st.session_state[WORK] = work
    st.session_state[UNKEPT] = False
    st.query_params[OPENED] = work.name


def tell(sentence: str) -> None:
    """Show a sentence once, at the top of the page."""
    st.session_state.setdefault(NOTICE, []).append(sentence)


def told() -> list[str]:
    """Return the sentences not shown yet, and forget them."""
    found: list[str] = st.session_state.pop(NOTICE, [])
    return found


def change(side: Side, place: Place, edit: Edit) -> None:
    """Change the text of a side at a place and keep it; see `_change`."""
    _change(
        lambda work: _edited(Desk(chosen_folder(), work), side, edit),
        lambda work: _stands(work, side, place),
    )


def begin_readings(text: str) -> None:
    """Begin the readings from what their file holds, and remember that it does."""
    _change(
        lambda work: replace(work, state={**work.state, "readings": text, READINGS_FILE: text}),
        lambda work: _stands(work, "readings", ()),
    )


def swap_sides() -> None:
    """Let the other way become the design, and the design the other way, in one change."""
    _change(
        lambda work: _swapped(Desk(chosen_folder(), work)),
        lambda work: (work.text, work.state.get("other")),
    )


def _change(edit: Callable[[Work], Work], stands: Callable[[Work], object]) -> None:
    """Change the work that is open and keep it; every way out keeps what was typed.

    When another tab changed the design meanwhile, the change goes on top of theirs; where what
    `stands` at its place is no longer the same, this version goes on under a name of its own.
    """
    folder, work = chosen_folder(), st.session_state[WORK]
    try:
        mine = edit(work)
    except NoSuchPlace:
        tell("This field is no longer in the design; it was taken out elsewhere.")
        return
    try:
        kept = keep_work(folder, mine)
    except ChangedElsewhere as changed:
        # What the disk did not take before is in `mine` alone.
        only_here = st.session_state.get(UNKEPT)
        same = not only_here and stands(work) == stands(changed.theirs)
        both = _on_top(folder, changed.theirs, edit) if same else None
        kept = both or _under_another_name(folder, mine)
    except BadInput as bad:
        kept = _unkept(mine, bad)
    else:
        st.session_state[UNKEPT] = False
    st.session_state[WORK] = kept


def _on_top(folder: Path, theirs: Work, edit: Callable[[Work], Work]) -> Work | None:
    """Put a change on top of another tab's; None when that cannot be."""
    try:
        both = keep_work(folder, edit(theirs))
    except (BadInput, NoSuchPlace):
        return None
    tell("This design was also changed in another tab; you see both changes.")
    return both


def _under_another_name(folder: Path, mine: Work) -> Work:
    try:
        kept = keep_both(folder, mine)
    except BadInput as bad:
        return _unkept(mine, bad)
    st.session_state[UNKEPT] = False
    tell(
        f"Another tab changed the same place of {plain(mine.name)}. Your version goes on as "
        f"{plain(kept.name)}; nothing is lost."
    )
    return kept


def _unkept(mine: Work, bad: BadInput) -> Work:
    """Go on with a work that the disk did not take, and say so."""
    st.session_state[UNKEPT] = True
    tell("; ".join(plain(str(problem)) for problem in bad.problems))
    return mine


def _stands(work: Work, side: Side, place: Place) -> object:
    """Return what stands at a place, with how many are in each list on the way.

    Of a whole text, that is every letter of it.
    """
    text = Desk(Path(), work).text(side)
    if not place:
        return text
    tables = _tables(text)
    if tables is None:
        return None
    lists = [depth for depth, step in enumerate(place) if isinstance(step, int)]
    counts = [_length(value_at(tables, place[:depth])) for depth in lists]
    return counts, value_at(tables, place)


def _length(value: object) -> int:
    return len(value) if isinstance(value, list) else 0


def _edited(desk: Desk, side: Side, edit: Edit) -> Work:
    """Return the work with one side changed, and remembered as good when it can be answered."""
    work, text = desk.work, edit(desk.text(side))
    if side == "readings":
        return replace(work, state={**work.state, side: text})
    good = text if outcome_of(desk.folder, work.name, text).good else _good(desk, side)
    if side == "mine":
        return replace(work, text=text, good=good)
    return replace(work, state={**work.state, "other": text, "other good": good})


def _swapped(desk: Desk) -> Work:
    """Return the work with its two sides in each other's place."""
    state = {**desk.work.state, "other": desk.text("mine"), "other good": _good(desk, "mine")}
    return replace(desk.work, text=desk.text("other"), good=_good(desk, "other"), state=state)


def _good(desk: Desk, side: Side) -> str:
    """Return the latest text of a side with an answer; empty when there never was one."""
    return desk.text(side) if desk.outcome(side).good else desk.good_text(side)


def problems_at(desk: Desk, side: Side, place: Place) -> list[str]:
    """Return what is wrong at a place of a text, as sentences."""
    tables = desk.tables(side)
    if tables is None:
        return []
    where = place_of(tables, place)
    # A run's mounts have no fields of their own; most that is wrong with them is its length.
    also = f"{place_of(tables, place[:2])}.mounts" if place[2:] == ("length",) else ""
    return [
        found.sentence
        for found in desk.outcome(side).problems
        if found.where == where or (also and found.where.startswith(also))
    ]
