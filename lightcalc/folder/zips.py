"""Zips of a catalogue: unpacked in memory within bounds, and packed."""

from __future__ import annotations

import io
import stat
import zipfile
import zlib
from collections.abc import Mapping

from lightcalc.folder.names import refusal
from lightcalc.problems import BadInput

LARGEST_CATALOGUE_BYTES = 2_000_000
MOST_FILES = 20
# Some computers add a hidden copy of each file and folder.
MOST_ENTRIES = 3 * MOST_FILES

_ENCRYPTED = 0x1 | 0x40 | 0x2000
_PLAIN_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_MADE_ON_UNIX = 3
# The earliest day that a zip can name; the same files always give the same zip.
_DAY = (1980, 1, 1, 0, 0, 0)
_DAMAGED = "cannot be read as a zip; make it again, or bring the files themselves."
_FLAT = "put the catalogue's files side by side, with at most one folder around them."


def files_in_zip(zip_name: str, data: bytes) -> list[tuple[str, bytes]]:
    """Return name and content of each file in a zip, the one folder around them left out.

    Hidden copies that some computers add are left out too. Raises BadInput when the zip is damaged,
    encrypted, holds links, folders in folders, too many files, or more than 2 MB when unpacked.
    """
    if len(data) > LARGEST_CATALOGUE_BYTES:
        raise refusal(zip_name, f"is more than {LARGEST_CATALOGUE_BYTES / 1e6:g} MB.")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            return _files(zip_name, packed)
    except BadInput:
        raise
    # All that the library raises on damaged zips, down to names that are no UTF-8.
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as problem:
        raise refusal(zip_name, _DAMAGED) from problem
    except (OverflowError, IndexError, MemoryError) as problem:
        raise refusal(zip_name, _DAMAGED) from problem


def zip_of(files: Mapping[str, bytes]) -> bytes:
    """Return files as a zip, side by side."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as target:
        for name, data in files.items():
            info = zipfile.ZipInfo(name, _DAY)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = (stat.S_IFREG | 0o644) << 16
            target.writestr(info, data)
    return packed.getvalue()


def _files(zip_name: str, packed: zipfile.ZipFile) -> list[tuple[str, bytes]]:
    entries = packed.infolist()
    if len(entries) > MOST_ENTRIES:
        sentence = f"has {len(entries)} entries; a catalogue has at most {MOST_FILES} files."
        raise refusal(zip_name, sentence)
    files: list[tuple[str, bytes]] = []
    folders: set[str] = set()
    room = LARGEST_CATALOGUE_BYTES
    for entry in entries:
        name = entry.orig_filename
        outer, _, inner = name.rpartition("/")
        if _is_hidden_copy(outer, inner):
            continue
        _check_kind(name, entry)
        folders.add("/" if name.startswith("/") else outer)
        if entry.is_dir():
            continue
        content = _content(zip_name, packed, entry, room)
        room -= len(content)
        files.append((inner, content))
    if len(files) > MOST_FILES:
        raise refusal(zip_name, f"has {len(files)} files; a catalogue has at most {MOST_FILES}.")
    if len(folders) > 1 or any(_leads_elsewhere(outer) for outer in folders):
        raise refusal(zip_name, f"has folders within folders; {_FLAT}")
    return files


def _check_kind(name: str, entry: zipfile.ZipInfo) -> None:
    if entry.flag_bits & _ENCRYPTED:
        raise refusal(name, "is encrypted; make the zip again with no password.")
    if entry.compress_type not in _PLAIN_METHODS:
        raise refusal(name, "is packed in an unusual way; make a plain zip.")
    kind = stat.S_IFMT(entry.external_attr >> 16) if entry.create_system == _MADE_ON_UNIX else 0
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
        raise refusal(name, "is a link or a device, not a file; put the file itself into the zip.")


def _content(zip_name: str, packed: zipfile.ZipFile, entry: zipfile.ZipInfo, room: int) -> bytes:
    """Return what a file in a zip holds, when there is room for it; whatever size it claims."""
    content = b""
    if entry.file_size <= room:
        with packed.open(entry) as file:
            content = file.read(room + 1)
    if max(entry.file_size, len(content)) > room:
        raise refusal(zip_name, f"holds more than {LARGEST_CATALOGUE_BYTES / 1e6:g} MB.")
    if len(content) != entry.file_size:
        raise refusal(zip_name, _DAMAGED)
    return content


def _is_hidden_copy(outer: str, inner: str) -> bool:
    return outer.split("/", 1)[0] == "__MACOSX" or inner == ".DS_Store"


def _leads_elsewhere(outer: str) -> bool:
    return "/" in outer or outer in (".", "..") or "\\" in outer
