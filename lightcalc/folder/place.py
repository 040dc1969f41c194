"""Where things lie in the chosen folder, and reading them; nothing outside of it is ever opened.

A link inside the folder is refused wherever it leads: what it stands for may lie outside, and may
change between a look and the next. The chosen folder itself may be reached by a link.

```text
FOLDER/
    hall-bench.toml       designs
    my parts/             a catalogue: catalogue.toml and CSV files; or the folder itself is one
    .lightcalc/
        work/             work in progress, one JSON file a design
        before/           each design as it was before its last save
        aside/            what was damaged or given up, kept in case
        saving/           files half written; all of them leftovers when nobody saves
        lock              held by whoever saves
```
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

from lightcalc.files import NotPlainError, TooLargeError, read_plain_file
from lightcalc.folder.names import (
    CATALOGUE_TOML,
    check_design_name,
    check_name,
    is_design_name,
    is_name,
    refusal,
    shown,
)
from lightcalc.problems import BadInput, Problem

LARGEST_DESIGN_BYTES = 200_000
ASIDE, BEFORE, SAVING, WORK = "aside", "before", "saving", "work"
KEPT_FOLDER = ".lightcalc"
ITSELF = "."

_LINK = "is a link to another place; put the file or folder itself into the chosen folder."


def design_names(folder: Path) -> tuple[str, ...]:
    """Return the names of the designs in the folder, also of those that are only in work."""
    base = root(folder)
    files = {
        entry.name
        for entry in _entries(base)
        if is_design_name(entry.name) and entry.is_file(follow_symlinks=False)
    }
    kept = {
        entry.name.removesuffix(".json")
        for entry in _entries(kept_place(base, WORK), missing_ok=True)
        if entry.name.endswith(".json") and entry.is_file(follow_symlinks=False)
    }
    return tuple(sorted(files | {name for name in kept if is_design_name(name)}))


def catalogue_names(folder: Path) -> tuple[str, ...]:
    """Return the sub-folders that hold a catalogue, before them "." when the folder itself does."""
    base = root(folder)
    found = [ITSELF] if _is_plain_file(base / CATALOGUE_TOML) else []
    for entry in sorted(_entries(base), key=lambda entry: entry.name):
        inner = base / entry.name
        if (
            is_name(entry.name)
            and entry.is_dir(follow_symlinks=False)
            and not is_link(inner)
            and _is_plain_file(inner / CATALOGUE_TOML)
        ):
            found.append(entry.name)
    return tuple(found)


def catalogue_path(folder: Path, name: str) -> Path:
    """Return the place of a catalogue, "." for the folder itself, for reading it with its parts.

    Raises BadInput when it leads out of the folder, or when a file in it is a link.
    """
    base = root(folder)
    plain = name.removeprefix("./").rstrip("/") or ITSELF
    inner = base if plain == ITSELF else place_of(base, check_name(plain))
    if not _is_there(inner.is_dir):
        raise refusal(name, f"is no folder of parts in {shown(base.name)}; check its name.")
    for entry in _entries(inner):
        if entry.name.lower().endswith((".csv", CATALOGUE_TOML)) and is_link(inner / entry.name):
            raise refusal(entry.name, _LINK)
    return inner


def read_text(folder: Path, name: str, most_bytes: int = LARGEST_DESIGN_BYTES) -> str:
    """Return the text of a file in the folder or, as in "my parts/strips.csv", in a sub-folder.

    Raises BadInput when the name may not be used, or when the file is missing, a link, larger than
    `most_bytes`, or not UTF-8. Ends of lines are as they stand in the file.
    """
    base = root(folder)
    return decoded(read_bytes(base, place_of(base, *check_path(name)), most_bytes), name)


def design_text(base: Path, name: str) -> str | None:
    """Return the text of a design file; None when there is none. BadInput as in `read_text`."""
    path = place_of(base, check_design_name(name))
    if not os.path.lexists(path):
        return None
    return decoded(read_bytes(base, path, LARGEST_DESIGN_BYTES), name)


def decoded(data: bytes, name: str) -> str:
    """Return bytes as text; BadInput when they are no text in UTF-8."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        sentence = f"is no text in UTF-8 (line {line}); save it from a text editor as UTF-8."
        raise refusal(name, sentence) from None


def check_path(name: str) -> tuple[str, ...]:
    """Return the parts of a file's name, or of a sub-folder's and a file's with a / between."""
    outer, slash, inner = name.partition("/")
    return (check_name(outer), check_name(inner)) if slash else (check_name(outer),)


def root(folder: Path) -> Path:
    """Return where the chosen folder really is; BadInput when it is no folder."""
    try:
        base = Path(os.path.realpath(folder))
        if base.is_dir():
            return base
    except (OSError, ValueError):
        pass
    raise refusal(str(folder), "is no folder; choose the folder that holds your designs.")


def kept_place(base: Path, *parts: str) -> Path:
    """Return a place in what the page keeps; its parts are known to be names."""
    return place_of(base, KEPT_FOLDER, *parts)


def place_of(base: Path, *parts: str) -> Path:
    """Return a place in the folder; BadInput when it, or a folder on the way, is a link."""
    path = base.joinpath(*parts)
    if is_link(path):
        raise refusal(path.name, _LINK)
    return path


def is_link(path: Path) -> bool:
    """Return whether a path under the root is a link or junction, or leads through one."""
    # realpath also sees the junctions of Windows; a link to itself it leaves as it is.
    real = os.path.realpath(path)
    return os.path.normcase(real) != os.path.normcase(path) or path.is_symlink()


def read_bytes(base: Path, path: Path, most_bytes: int) -> bytes:
    """Return what a plain file holds; BadInput when it is larger, or anything else than that."""
    name = path.name
    try:
        data = read_plain_file(path, most_bytes, links=False)
    except FileNotFoundError:
        raise refusal(name, f"is not there; check its name in {shown(base.name)}.") from None
    except (IsADirectoryError, NotPlainError):
        raise refusal(name, "is no plain file; name a file.") from None
    except OSError as problem:
        told = _LINK if is_link(path) else f"cannot be read ({problem.strerror})."
        raise refusal(name, told) from None
    except TooLargeError:
        sentence = f"is larger than {most_bytes / 1000:g} kB; that much is not read."
        raise refusal(name, sentence) from None
    # A folder on the way may have become a link since it was looked at.
    if is_link(path):
        raise refusal(name, _LINK)
    return data


def _is_plain_file(path: Path) -> bool:
    return _is_there(path.is_file) and not is_link(path)


def _is_there(ask: Callable[[], bool]) -> bool:
    """Return what the file system says; False when it will not let us look."""
    try:
        return ask()
    except OSError:
        return False


def _entries(path: Path, *, missing_ok: bool = False) -> Iterator[os.DirEntry[str]]:
    try:
        with os.scandir(path) as entries:
            yield from entries
    except FileNotFoundError:
        if not missing_ok:
            raise refusal(path.name, "is not there any more; choose a folder again.") from None
    except OSError as problem:
        sentence = f"cannot be listed ({problem.strerror})."
        raise BadInput([Problem(shown(path.name), "", sentence)]) from None
