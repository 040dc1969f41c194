"""Writing into the chosen folder: one at a time, each file whole or not at all.

A file is first written beside its place, in `.lightcalc/saving`, put on the disk, and only then put
in its place in one step; whoever reads, and whatever is killed, finds the old file or the new one.
"""

from __future__ import annotations

import errno
import os
import secrets
import shutil
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from lightcalc.folder.names import check_design_name, refusal
from lightcalc.folder.place import (
    ASIDE,
    BEFORE,
    LARGEST_DESIGN_BYTES,
    SAVING,
    WORK,
    kept_place,
    place_of,
    read_bytes,
    root,
)

# A save takes milliseconds; whoever takes longer hangs.
LONGEST_WAIT_S = 10.0
_POLL_S = 0.005
_TRIES = 5
_TRY_AGAIN_S = 0.02

_REASONS = {
    **dict.fromkeys(
        (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC), errno.EFBIG),
        "could not be saved: the disk is full. Free some space and try again.",
    ),
    **dict.fromkeys(
        (errno.EROFS, errno.EACCES, errno.EPERM),
        "could not be saved: this folder cannot be written. Allow writing or choose another one.",
    ),
}
# What file systems say that cannot put a folder on the disk by itself; they do so with its files.
_NO_FOLDER_SYNC = {errno.EINVAL, errno.ENOTSUP, errno.EBADF}


def save_text(folder: Path, name: str, text: str) -> None:
    """Write a design file, whole or not at all; how it was before is kept for `text_before`.

    Raises BadInput, and leaves the old file as it was, when the name may not be used, the text is
    too long, or the disk is full or cannot be written.
    """
    data = design_bytes(check_design_name(name), text)
    with saving(folder, name) as base:
        replace_design(base, name, data)


def text_before(folder: Path, name: str) -> str | None:
    """Return a design's text as it was before its last save; None when there is none."""
    path = kept_place(root(folder), BEFORE, check_design_name(name))
    if not os.path.lexists(path):
        return None
    return read_bytes(root(folder), path, LARGEST_DESIGN_BYTES).decode("utf-8-sig", "replace")


def design_bytes(name: str, text: str) -> bytes:
    """Return a design's text as its file holds it; BadInput when no file can, or it is too long."""
    try:
        data = file_bytes(text)
    except UnicodeEncodeError as problem:
        line = text.count("\n", 0, problem.start) + 1
        raise refusal(name, f"has half a sign in line {line}; type that sign again.") from None
    if len(data) > LARGEST_DESIGN_BYTES:
        sentence = f"is larger than {LARGEST_DESIGN_BYTES // 1000} kB; a design is a few pages."
        raise refusal(name, sentence)
    return data


def file_bytes(text: str, errors: str = "strict") -> bytes:
    """Return text in UTF-8 with no byte-order mark, so that reading it gives the same text."""
    return text.lstrip("\ufeff").encode("utf-8", errors)


@contextmanager
def saving(folder: Path, name: str) -> Iterator[Path]:
    """Hold the right to write, for one window at a time; gives where the folder really is.

    What goes wrong with the disk is raised as BadInput, a sentence about `name`.
    """
    base = root(folder)
    try:
        for place in (kept_place(base, part) for part in ("", ASIDE, BEFORE, SAVING, WORK)):
            _make_folder(place)
        with FileLock(kept_place(base, "lock"), timeout=LONGEST_WAIT_S, poll_interval=_POLL_S):
            half_written = kept_place(base, SAVING)
            _clear(half_written)
            try:
                yield base
            except BaseException:
                with suppress(OSError):
                    _clear(half_written)
                raise
    except Timeout:
        raise refusal(name, "could not be saved: another window is saving. Try again.") from None
    except OSError as problem:
        raise refusal(name, _reason(problem)) from problem


def replace_design(base: Path, name: str, data: bytes) -> None:
    """Write a design file, the one before kept; nothing is done when it holds this already."""
    target = place_of(base, name)
    if os.path.lexists(target):
        before = read_bytes(base, target, LARGEST_DESIGN_BYTES)
        if before == data:
            return
        replace_file(base, kept_place(base, BEFORE, name), before)
    replace_file(base, target, data)


def replace_file(base: Path, target: Path, data: bytes) -> None:
    """Put a file in its place in one step, in place of the one that may be there."""
    half = _written(base, data)
    with suppress(OSError):
        half.chmod(target.stat(follow_symlinks=False).st_mode & 0o777)
    _replace(half, target)
    _sync_folder(target.parent)


def add_file(base: Path, target: Path, data: bytes) -> None:
    """Put a file in a place where there is none; FileExistsError when there is one."""
    half = _written(base, data)
    try:
        # A second name for the same file, unlike a move, never takes another's place.
        os.link(half, target)
    except FileExistsError:
        raise
    except OSError:
        # Not every file system knows second names.
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, "is there already", str(target)) from None
        _replace(half, target)
    else:
        half.unlink()
    _sync_folder(target.parent)


def add_folder(base: Path, target: Path, files: Mapping[str, bytes]) -> None:
    """Put a new sub-folder with its files in a place where there is none, in one step."""
    half = kept_place(base, SAVING, secrets.token_hex(8))
    half.mkdir()
    for name, data in files.items():
        _write(half / name, data)
    _sync_folder(half)
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, "is there already", str(target))
    half.rename(target)
    _sync_folder(target.parent)


def move(source: Path, target: Path) -> None:
    """Give a file another place, where there is none."""
    _replace(source, target)
    _sync_folder(target.parent)


def remove(target: Path) -> None:
    """Take a file away, when it is there."""
    target.unlink(missing_ok=True)
    _sync_folder(target.parent)


def names_in(*folders: Path) -> set[str]:
    """Return the names of all that lies in the folders."""
    return {entry.name for folder in folders for entry in folder.iterdir()}


def _written(base: Path, data: bytes) -> Path:
    half = kept_place(base, SAVING, secrets.token_hex(8))
    _write(half, data)
    return half


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _replace(source: Path, target: Path) -> None:
    for left in range(_TRIES - 1, -1, -1):
        try:
            source.replace(target)
        except PermissionError:
            # On Windows a file that is being read cannot be replaced; reading takes a moment.
            if not left:
                raise
            time.sleep(_TRY_AGAIN_S)
        else:
            return


def _sync_folder(folder: Path) -> None:
    """Put on the disk which files the folder holds; Windows does so by itself."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as problem:
        if problem.errno not in _NO_FOLDER_SYNC:
            raise
    finally:
        os.close(descriptor)


def _make_folder(path: Path) -> None:
    if not path.is_dir():
        path.mkdir(exist_ok=True)
        _sync_folder(path.parent)


def _clear(folder: Path) -> None:
    """Take away what killed saves left; nobody else writes while the lock is held."""
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                shutil.rmtree(entry.path)
            else:
                Path(entry.path).unlink()


def _reason(problem: OSError) -> str:
    known = _REASONS.get(problem.errno or 0)
    return known or f"could not be saved ({problem.strerror or problem}); try again."
