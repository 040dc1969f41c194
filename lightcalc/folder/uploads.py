"""What the maker brings from elsewhere or takes away: designs, and catalogues as files or a zip."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from contextlib import suppress
from pathlib import Path

from lightcalc.folder.names import (
    CATALOGUE_TOML,
    DESIGN_ENDING,
    free_name,
    is_readings_name,
    refusal,
    shown,
    tidy_stem,
)
from lightcalc.folder.place import (
    LARGEST_DESIGN_BYTES,
    catalogue_path,
    decoded,
    design_names,
    place_of,
    read_bytes,
    root,
)
from lightcalc.folder.saving import add_file, add_folder, file_bytes, saving
from lightcalc.folder.work import open_work, taken_names
from lightcalc.folder.zips import LARGEST_CATALOGUE_BYTES, MOST_FILES, files_in_zip, zip_of
from lightcalc.problems import BadInput, nearest


def take_design(folder: Path, file_name: str, data: bytes) -> str:
    """Put a design file from elsewhere into the folder under a free name, and return that name.

    Raises BadInput when it is no text in UTF-8 or larger than 200 kB.
    """
    if len(data) > LARGEST_DESIGN_BYTES:
        sentence = f"is larger than {LARGEST_DESIGN_BYTES // 1000} kB; a design is a few pages."
        raise refusal(file_name, sentence)
    text = decoded(data, file_name)
    if "\0" in text:
        raise refusal(
            file_name, f"is no text; a design is a text file that ends in {DESIGN_ENDING}."
        )
    if is_readings_name(file_name):
        raise refusal(file_name, "holds readings and no design; bring it in on the screen Bench.")
    with saving(folder, file_name) as base:
        name = free_name(tidy_stem(file_name, "design"), DESIGN_ENDING, taken_names(base))
        add_file(base, place_of(base, name), file_bytes(text))
    return name


def take_before(folder: Path, name: str, before: str) -> str:
    """Put what a design's file held before its last save beside it, and return the new name.

    Where a design put there so still holds just that, its name is returned and nothing is written.
    Raises BadInput as `take_design` does.
    """
    stem = tidy_stem(f"{name.removesuffix(DESIGN_ENDING)} before{DESIGN_ENDING}", "design")
    for other in design_names(folder):
        if other.startswith(stem):
            # One that cannot be read holds something else.
            with suppress(BadInput):
                if open_work(folder, other).text == before:
                    return other
    return take_design(folder, f"{stem}{DESIGN_ENDING}", before.encode())


def take_catalogue_zip(folder: Path, file_name: str, data: bytes, known: Collection[str]) -> str:
    """Put a catalogue that comes as a zip into a new sub-folder, and return its name.

    `known` are the names that files of a catalogue have; the zip holds them, with or without one
    folder around them. Raises BadInput, and writes nothing, when it holds anything else, is
    damaged or encrypted, or is more than 2 MB when unpacked.
    """
    return take_catalogue(folder, file_name, files_in_zip(file_name, data), known)


def take_catalogue(
    folder: Path, name: str, files: Iterable[tuple[str, bytes]], known: Collection[str]
) -> str:
    """Put the files of a catalogue into a new sub-folder, and return its name.

    Raises BadInput, and writes nothing, when a file is not one of the `known`, comes twice, or all
    of them are more than 2 MB.
    """
    checked = _checked(name, list(files), known)
    with saving(folder, name) as base:
        free = free_name(tidy_stem(name, "parts"), "", taken_names(base))
        add_folder(base, place_of(base, free), checked)
    return free


def zip_of_catalogue(folder: Path, name: str, known: Iterable[str]) -> bytes:
    """Return the files of a catalogue as a zip, "." for the one in the folder itself.

    Only the `known` files are in it. Raises BadInput when there is no such catalogue.
    """
    place = catalogue_path(folder, name)
    files = {
        file: read_bytes(root(folder), place / file, LARGEST_CATALOGUE_BYTES)
        for file in sorted(known)
        if (place / file).exists()
    }
    if CATALOGUE_TOML not in files:
        raise refusal(name, f"is no catalogue: it has no {CATALOGUE_TOML}.")
    return zip_of(files)


def _checked(name: str, files: list[tuple[str, bytes]], known: Collection[str]) -> dict[str, bytes]:
    """Return the files of a catalogue by name; BadInput when one of them may not be there."""
    if len(files) > MOST_FILES:
        raise refusal(name, f"has {len(files)} files; a catalogue has at most {MOST_FILES}.")
    if sum(len(data) for _, data in files) > LARGEST_CATALOGUE_BYTES:
        raise refusal(name, f"is more than {LARGEST_CATALOGUE_BYTES / 1e6:g} MB.")
    checked: dict[str, bytes] = {}
    for file, data in files:
        if file not in known:
            near = nearest(shown(file), known)
            hint = f'did you mean "{near}"?' if near else f"known are: {', '.join(sorted(known))}."
            raise refusal(file, f"is no file of a catalogue; {hint}")
        if file in checked:
            raise refusal(file, "comes twice; take one of the two out.")
        checked[file] = data
    if CATALOGUE_TOML not in checked:
        raise refusal(
            name, f"has no {CATALOGUE_TOML}, which holds the catalogue's name and currency."
        )
    return checked
