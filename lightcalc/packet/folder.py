"""Write a packet to a folder, and never over anything that is not of an earlier packet.

A packet's folder holds `packet.txt`, which lists each of its files with the SHA-256 of what was
written. A file that is not listed, or no longer as it was listed, is somebody's work and stays.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from collections.abc import Mapping
from pathlib import Path

from lightcalc.problems import Problems

LIST = "packet.txt"
HEADER = "Files of this packet, and what they held when they were written (SHA-256)."
_LINE = re.compile(r"([0-9a-f]{64})  ([a-z0-9-]+\.[a-z]+)\Z")


def write_packet(files: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write files and their list to a folder that is new, empty, or holds an earlier packet.

    Files of the earlier packet that are not written again are removed. Each file is written
    beside its place and then moved there, the list last, so that a reader never meets half a
    file and a packet that was broken off can be written again. Returns the paths written.

    Raises BadInput when something in the folder would be lost, before anything is written;
    OSError when the folder cannot be written.
    """
    earlier = _check(files, folder)
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        _replace(folder / name, content)
    _replace(folder / LIST, _list(files))
    for name in earlier:
        if name not in files:
            (folder / name).unlink(missing_ok=True)
    return tuple(folder / name for name in (*files, LIST))


def _check(files: Mapping[str, bytes], folder: Path) -> Mapping[str, str]:
    """Return the files of an earlier packet with what they held; raise when any work is there."""
    problems = Problems(str(folder))
    if folder.exists() and not folder.is_dir():
        problems.fail("", "is a file; name a folder for the packet.")
    if not folder.exists() or not any(folder.iterdir()):
        return {}
    earlier = _earlier(folder / LIST)
    if earlier is None:
        problems.fail(
            "", f"holds other files and no {LIST} of an earlier packet; name a new folder."
        )
    for name in {**earlier, **files}:
        path = folder / name
        if not (path.exists() or path.is_symlink()):
            continue
        if name not in earlier and not _holds(path, files[name]):
            problems.add(name, "is not of the earlier packet; move it, or name a new folder.")
        elif name in earlier and not (
            _is_as_written(path, earlier[name]) or (name in files and _holds(path, files[name]))
        ):
            problems.add(name, "was changed since it was written; move it, or name a new folder.")
    problems.raise_if_any()
    return earlier


def _earlier(path: Path) -> dict[str, str] | None:
    """Read the list of an earlier packet; None when it is none."""
    if not path.is_file() or path.is_symlink():
        return None
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    found = [_LINE.match(line) for line in lines[1:]]
    if not lines or lines[0] != HEADER or not all(found):
        return None
    return {match[2]: match[1] for match in found if match and match[2] != LIST}


def _is_as_written(path: Path, sum_of_it: str) -> bool:
    return path.is_file() and not path.is_symlink() and _sum(path.read_bytes()) == sum_of_it


def _holds(path: Path, content: bytes) -> bool:
    return _is_as_written(path, _sum(content))


def _sum(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _list(files: Mapping[str, bytes]) -> bytes:
    lines = [HEADER, *(f"{_sum(content)}  {name}" for name, content in files.items())]
    return ("\n".join(lines) + "\n").encode("utf-8")


def _replace(path: Path, content: bytes) -> None:
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        with beside.open("xb") as file:
            file.write(content)
        os.replace(beside, path)  # noqa: PTH105 - says what it does better than Path.replace
    finally:
        beside.unlink(missing_ok=True)
