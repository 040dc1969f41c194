"""Write a packet to a folder, and never over anything that is not of an earlier packet.

A packet's folder holds `packet.txt`, which lists each of its files with the SHA-256 of what was
written. A file that is not listed, or not as it was listed, is somebody's work and stays.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path

from lightcalc.files import clear_halves, put_file
from lightcalc.problems import Problems

LIST = "packet.txt"
HEADER = "Files of this packet, and what they held when they were written (SHA-256)."
Written = tuple[str, str]
"""The name of a file and the sum of what was written to it."""

_LINE = re.compile(r"([0-9a-f]{64})  ([a-z0-9-]+\.[a-z]+)\Z")


def write_packet(files: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write files and their list to a folder that is new, empty, or holds an earlier packet.

    Files of the earlier packet that are not written again are removed. Each file is there whole
    or not at all. While files change the list names both what they held and what they will hold,
    so that a packet that was broken off can be written again. Returns the paths written.

    Raises BadInput when something in the folder would be lost, before anything is written;
    OSError when the folder cannot be written.
    """
    if folder.is_dir():
        clear_halves(folder)
    earlier = _check(files, folder)
    folder.mkdir(parents=True, exist_ok=True)
    sums = {(name, _sum(content)) for name, content in files.items()}
    put_file(folder / LIST, _list(earlier | sums))
    for name, content in files.items():
        put_file(folder / name, content)
    for name in {name for name, _ in earlier} - set(files):
        (folder / name).unlink(missing_ok=True)
    put_file(folder / LIST, _list(sums))
    return tuple(folder / name for name in (*files, LIST))


def _check(files: Mapping[str, bytes], folder: Path) -> set[Written]:
    """Return the files of an earlier packet with what they held; raise when any work is there."""
    problems = Problems(str(folder))
    if folder.exists() and not folder.is_dir():
        problems.fail("", "is a file; name a folder for the packet.")
    if not folder.exists() or not any(folder.iterdir()):
        return set()
    earlier = _earlier(folder / LIST)
    if earlier is None:
        problems.fail(
            "", f"holds other files and no {LIST} of an earlier packet; name a new folder."
        )
    listed = {name for name, _ in earlier}
    ours = earlier | {(name, _sum(content)) for name, content in files.items()}
    for name in sorted(listed | set(files)):
        path = folder / name
        if not (path.exists() or path.is_symlink()) or _written(path) in ours:
            continue
        what = (
            "was changed since it was written" if name in listed else "is not of the earlier packet"
        )
        problems.add(name, f"{what}; move it, or name a new folder.")
    problems.raise_if_any()
    return earlier


def _earlier(path: Path) -> set[Written] | None:
    """Read the list of an earlier packet; None when it is none."""
    if not path.is_file() or path.is_symlink():
        return None
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    found = [_LINE.match(line) for line in lines[1:]]
    if not lines or lines[0] != HEADER or not all(found):
        return None
    return {(match[2], match[1]) for match in found if match and match[2] != LIST}


def _written(path: Path) -> Written | None:
    plain = path.is_file() and not path.is_symlink()
    return (path.name, _sum(path.read_bytes())) if plain else None


def _sum(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _list(files: set[Written]) -> bytes:
    lines = [HEADER, *(f"{sum_of_it}  {name}" for name, sum_of_it in sorted(files))]
    return ("\n".join(lines) + "\n").encode("utf-8")
