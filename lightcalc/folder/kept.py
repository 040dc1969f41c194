"""Work in progress, and the file that holds it."""

from __future__ import annotations

import json
import os
import secrets
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from lightcalc.folder.names import check_design_name, refusal
from lightcalc.folder.place import WORK, kept_place, read_bytes

FORMAT = 1
LARGEST_WORK_BYTES = 4_000_000

_TEXTS = ("stamp", "text", "good", "saved")


class Damaged(Exception):  # noqa: N818 - read as a sentence where it is raised
    """The file of a work in progress cannot be read as one."""


@dataclass(frozen=True)
class Work:
    """What lies open of one design.

    `text` is as typed, readable as a design or not; `good` the last text that had an answer, empty
    when none had; `saved` the text of the design file that this work began from. `state` holds what
    else the page keeps. `stamp` tells this version of the work from every other; it stays as it is
    in a copy that was changed, and says what the change was made to. `notice` is a sentence for the
    maker, empty when there is nothing to say.
    """

    name: str
    text: str
    good: str = ""
    saved: str = ""
    state: Mapping[str, str] = field(default_factory=dict)
    stamp: str = ""
    notice: str = ""


def stamped(work: Work) -> Work:
    """Return the work as a new version, with a stamp that no other version has."""
    return replace(work, stamp=secrets.token_hex(16), notice="")


def same(one: Work, other: Work) -> bool:
    """Return whether two versions hold the same."""
    return replace(one, stamp="", notice="") == replace(other, stamp="", notice="")


def work_bytes(work: Work) -> bytes:
    """Return the work as its file holds it; BadInput when that is too much.

    TypeError when it holds anything but texts, since it could not be read again.
    """
    body = {
        "format": FORMAT,
        "stamp": work.stamp,
        "text": work.text,
        "good": work.good,
        "saved": work.saved,
        "state": dict(work.state),
    }
    if not _whole(body):
        raise TypeError("A work holds texts alone.")
    # Half a sign, which UTF-8 cannot hold, is kept too, since all is written in plain letters.
    data = json.dumps(body, indent=0, sort_keys=True).encode()
    if len(data) > LARGEST_WORK_BYTES:
        sentence = f"is more than the {LARGEST_WORK_BYTES / 1e6:g} MB that is kept; shorten it."
        raise refusal(work.name, sentence)
    return data


def work_path(base: Path, name: str) -> Path:
    """Return where the work on a design is kept."""
    return kept_place(base, WORK, f"{check_design_name(name)}.json")


def read_work(base: Path, name: str) -> Work | None:
    """Return the work that is kept on a design, with its stamp; None when none is.

    Raises Damaged when it cannot be read, and BadInput when a newer version of the program kept it.
    """
    path = work_path(base, name)
    if not os.path.lexists(path):
        return None
    status = path.lstat()
    if not stat.S_ISREG(status.st_mode) or status.st_size > LARGEST_WORK_BYTES:
        raise Damaged
    try:
        body = json.loads(read_bytes(base, path, LARGEST_WORK_BYTES))
    except (ValueError, RecursionError):
        raise Damaged from None
    if isinstance(body, dict) and isinstance(body.get("format"), int) and body["format"] > FORMAT:
        sentence = "was kept by a newer version of this program; use that version to open it."
        raise refusal(name, sentence)
    if not _whole(body):
        raise Damaged
    texts = {key: body[key] for key in _TEXTS}
    return Work(name, state=body["state"], **texts)


def _whole(body: Any) -> bool:
    if not isinstance(body, dict) or body.get("format") != FORMAT:
        return False
    state = body.get("state")
    return (
        all(isinstance(body.get(key), str) for key in _TEXTS)
        and isinstance(state, dict)
        and all(isinstance(value, str) for value in state.values())
    )
