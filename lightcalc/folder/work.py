"""Work in progress on the designs of a folder: every edit is kept, and none is written over.

A work is kept beside its design file until it is saved there. Two tabs, or the page and a text
editor, may change the same design; whoever comes second is told what the first did
(`ChangedElsewhere`) and nothing is written. There is always a way to keep both.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

from lightcalc.folder.kept import Damaged, Work, read_work, same, stamped, work_bytes, work_path
from lightcalc.folder.names import (
    DESIGN_ENDING,
    check_design_name,
    free_name,
    refusal,
    shown,
)
from lightcalc.folder.place import (
    ASIDE,
    BEFORE,
    LARGEST_DESIGN_BYTES,
    WORK,
    design_text,
    kept_place,
    place_of,
    root,
)
from lightcalc.folder.saving import (
    add_file,
    design_bytes,
    file_bytes,
    move,
    names_in,
    remove,
    replace_design,
    replace_file,
    saving,
)
from lightcalc.problems import BadInput, Problem

_DAMAGED = (
    "What was kept of this design could not be read, so you see its file as it was last saved. "
    "What could not be read was not deleted; it lies in .lightcalc/aside."
)


class ChangedElsewhere(BadInput):
    """Another tab or program changed the design meanwhile; `theirs` is its version of it.

    Nothing was written. `file_changed` tells a design file that no longer is what the work began
    from, from a work that was changed in another tab.
    """

    def __init__(self, theirs: Work, *, file_changed: bool) -> None:
        what = (
            "its file was changed" if file_changed else "it was changed in another tab or program"
        )
        sentence = f"{what} since you opened it; nothing was written over."
        super().__init__([Problem(shown(theirs.name), "", sentence)])
        self.theirs = theirs
        self.file_changed = file_changed


def open_work(folder: Path, name: str) -> Work:
    """Return the work that is kept on a design, or one that begins from the design's file.

    Work that differs from what it began from is returned as it is, also when another program has
    changed the file since; work that does not follows the file. When what was kept cannot be read,
    it is set aside, the work begins from the file, and `notice` says so.

    Raises BadInput when there is no such design, or it cannot be read.
    """
    base = root(folder)
    try:
        work = _now(base, name)
    except Damaged:
        return _open_damaged(folder, name)
    if work is None:
        raise refusal(name, f"is not there; check its name in {shown(base.name)}.")
    return work


def keep_work(folder: Path, work: Work) -> Work:
    """Keep a work that was changed, and return it with its new stamp.

    `work.stamp` says which version was changed. Raises ChangedElsewhere when another one is kept by
    now, and BadInput when the disk does not take it or a newer version of the program kept it;
    nothing is written then.
    """
    mine = stamped(work)
    data = work_bytes(mine)
    with saving(folder, check_design_name(work.name)) as base:
        now = _unchanged(base, work)
        if now is not None and same(now, mine):
            return now
        replace_file(base, work_path(base, work.name), data)
    return mine


def save_design(folder: Path, work: Work) -> Work:
    """Write a work to its design file, and return it as saved.

    The file as it was is kept for `text_before`. Raises ChangedElsewhere when another work is kept
    by now, or when the file is no longer as in `work.saved`; BadInput when the disk does not take
    it. To write over what another program wrote, on the maker's word, pass
    `replace(work, saved=changed.theirs.saved)`.
    """
    data = design_bytes(check_design_name(work.name), work.text)
    text = data.decode()
    mine = stamped(replace(work, text=text, saved=text))
    with saving(folder, work.name) as base:
        found = design_text(base, work.name)
        now = _unchanged(base, work, or_same_as=mine if found == text else None)
        if now is not None and found == text and same(now, mine):
            return now
        if found not in (None, work.saved, text):
            raise ChangedElsewhere(_begun(work.name, found, work), file_changed=True)
        replace_design(base, work.name, data)
        replace_file(base, work_path(base, work.name), work_bytes(mine))
    return mine


def keep_both(folder: Path, work: Work) -> Work:
    """Give a work a new free name, as a design of its own, and return it.

    The old name keeps what others made of it. When nothing else is kept there than this work, it
    goes back to its design file, since all of the work now goes on under the new name.
    """
    stem = check_design_name(work.name)[: -len(DESIGN_ENDING)]
    data = file_bytes(work.text, "replace")
    fits = len(data) <= LARGEST_DESIGN_BYTES
    with saving(folder, work.name) as base:
        name = free_name(stem, DESIGN_ENDING, taken_names(base))
        saved = data.decode() if fits else ""
        mine = stamped(replace(work, name=name, saved=saved))
        # In this order a kill in between leaves a work with no file, which is still listed.
        add_file(base, work_path(base, name), work_bytes(mine))
        if fits:
            add_file(base, place_of(base, name), data)
        if _is_kept(base, work):
            remove(work_path(base, work.name))
    return mine


def start_again(folder: Path, work: Work) -> Work:
    """Give up what was typed since the last save, and return the work as begun from its file.

    What is given up is set aside in `.lightcalc/aside`, not deleted. Raises as `keep_work`, and
    BadInput when the design has no file.
    """
    with saving(folder, check_design_name(work.name)) as base:
        _unchanged(base, work)
        text = design_text(base, work.name)
        if text is None:
            raise refusal(work.name, "has no file that it could start again from.")
        begun = stamped(_begun(work.name, text, work))
        if work.text != text:
            add_file(base, _place_aside(base, work.name), work_bytes(work))
        replace_file(base, work_path(base, work.name), work_bytes(begun))
    return begun


def taken_names(base: Path) -> set[str]:
    """Return every name that a new design or sub-folder may not have."""
    works = {name.removesuffix(".json") for name in names_in(kept_place(base, WORK))}
    return names_in(base, kept_place(base, BEFORE)) | works


def _now(base: Path, name: str) -> Work | None:
    """Return the work as kept or begun; None when there is no such design. Raises Damaged."""
    kept = read_work(base, name)
    if kept is None:
        text = design_text(base, name)
        return None if text is None else _begun(name, text)
    try:
        text = design_text(base, name)
    except BadInput:
        # The work goes on; saving it says what is wrong with the file.
        return kept
    if text is None or text == kept.saved or kept.text not in (kept.saved, text):
        return kept
    return _begun(name, text, kept)


def _begun(name: str, text: str, was: Work | None = None) -> Work:
    """Return a work that begins from a design file, with what else was kept of the one before.

    Until it is kept, its stamp says what it comes from, so that each tab finds the same one.
    """
    stamp = hashlib.sha256(text.encode()).hexdigest()
    if was is None:
        return Work(name, text=text, saved=text, stamp=stamp)
    stamp = f"{was.stamp} {stamp}"
    return Work(name, text=text, good=was.good, saved=text, state=was.state, stamp=stamp)


def _unchanged(base: Path, work: Work, or_same_as: Work | None = None) -> Work | None:
    """Return what is kept now; ChangedElsewhere unless that is what `work` was changed from."""
    try:
        now = _now(base, work.name)
    except Damaged:
        now = _set_aside(base, work.name)
    if now is None or now.stamp == work.stamp or (or_same_as and same(now, or_same_as)):
        return now
    raise ChangedElsewhere(now, file_changed=False)


def _is_kept(base: Path, work: Work) -> bool:
    """Return whether what is kept under its name is this work, or what it was changed from."""
    try:
        kept = read_work(base, work.name)
    except (Damaged, BadInput):
        return False
    return kept is not None and kept.stamp == work.stamp


def _open_damaged(folder: Path, name: str) -> Work:
    try:
        with saving(folder, name) as base:
            try:
                work = _now(base, name)
            except Damaged:
                work = _set_aside(base, name)
    except BadInput:
        # In a folder that cannot be written it stays where it is.
        text = design_text(root(folder), name)
        work = None if text is None else replace(_begun(name, text), notice=_DAMAGED)
    if work is None:
        raise refusal(name, "has no file, and what was kept of it could not be read.")
    return work


def _set_aside(base: Path, name: str) -> Work | None:
    """Set aside what was kept and is damaged; return the work begun from its file."""
    move(work_path(base, name), _place_aside(base, name))
    text = design_text(base, name)
    return None if text is None else replace(_begun(name, text), notice=_DAMAGED)


def _place_aside(base: Path, name: str) -> Path:
    aside = kept_place(base, ASIDE)
    return aside / free_name(name, ".json", names_in(aside))
