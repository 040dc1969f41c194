"""Read files of the maker: plain files alone, and no more of them than was asked for.

A pipe or a device could keep a program waiting for ever, and a link may stand for any file of the
computer; whatever reads a file by a name it was given reads it here.
"""

from __future__ import annotations

import errno
import os
import stat
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
