"""Read files of the maker: plain files alone, and no more of them than was asked for.

A pipe or a device could keep a program waiting for ever, and a link may stand for any file of the
computer; whatever reads a file by a name it was given reads it here. What a verb writes is written
here, so that whatever is killed, and whatever disk is full, no half file stands under its name.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
import shutil
import stat
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

# Waiting for the other end of a pipe, or becoming the program of a terminal, is not wanted.
_FLAGS = (
    os.O_RDONLY
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)
_NO_LINKS = getattr(os, "O_NOFOLLOW", 0)


class NotPlainError(OSError):
    """The name is that of a pipe, a device or the like."""


class TooLargeError(Exception):
    """The file holds more than was to be read."""


def read_plain_file(path: Path, most_bytes: int, *, links: bool = True) -> bytes:
    """Return what a plain file holds, at most so many bytes.

    `links` says whether the name may be that of a link to the file. Raises FileNotFoundError,
    IsADirectoryError, NotPlainError, or OSError otherwise, each with its `strerror`; and
    TooLargeError, with nothing returned, when the file is larger.
    """
    try:
        # Only opening a device can already do something, so it is looked at before.
        _check_kind(path.stat() if links else path.lstat(), path)
        descriptor = os.open(path, _FLAGS | (0 if links else _NO_LINKS))
    except ValueError:
        raise OSError(errno.EINVAL, "its name is no name of a file", str(path)) from None
    with os.fdopen(descriptor, "rb") as file:
        # It may have become another file since.
        _check_kind(os.fstat(descriptor), path)
        data = file.read(most_bytes + 1)
    if len(data) > most_bytes:
        raise TooLargeError
    return data


def put_file(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, in place of the one that may be there.

    Raises OSError that names `path`; what was there stays then.
    """
    half = _beside(path)
    try:
        _write(half, data)
        os.replace(half, path)  # noqa: PTH105 - says what it does better than Path.replace
    except OSError as problem:
        raise _about(path, problem) from problem
    finally:
        with suppress(OSError):
            half.unlink(missing_ok=True)


def put_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files to a new or empty folder; a new one appears with all of them or not at all.

    In a folder that is there they appear one by one, each whole, in their order. Raises OSError
    that names the folder, or the file.
    """
    if folder.is_dir():
        for name, data in files.items():
            put_file(folder / name, data)
        return
    half = _beside(folder)
    try:
        half.mkdir(parents=True)
        for name, data in files.items():
            _write(half / name, data)
        half.rename(folder)
    except OSError as problem:
        raise _about(folder, problem) from problem
    finally:
        shutil.rmtree(half, ignore_errors=True)


def clear_halves(folder: Path) -> None:
    """Take away what a `put_file` into this folder left when it was killed."""
    for path in folder.iterdir():
        if re.fullmatch(r"\.[0-9a-f]{16}\.half", path.name) and not path.is_dir():
            path.unlink()


def leads_out(path: Path, folder: Path) -> bool:
    """Return whether a file that stands in a folder is a link to somewhere outside of it."""
    return not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def _check_kind(status: os.stat_result, path: Path) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, "is a folder", str(path))
    if stat.S_ISLNK(status.st_mode):
        raise OSError(errno.ELOOP, "is a link", str(path))
    if not stat.S_ISREG(status.st_mode):
        raise NotPlainError(errno.EINVAL, "is a pipe or a device, not a plain file", str(path))


def _beside(path: Path) -> Path:
    return path.with_name(f".{secrets.token_hex(8)}.half")


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _about(path: Path, problem: OSError) -> OSError:
    return OSError(problem.errno, problem.strerror, str(path))
