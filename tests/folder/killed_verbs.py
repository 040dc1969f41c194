"""As `killed_saves`, for what the verbs write: packets, catalogues, designs found, pictures.

python tests/folder/killed_verbs.py FOLDER KILLS SEED
"""

import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

from killed_saves import number_of, run, text_of

from lightcalc.answers.finder.find import find
from lightcalc.design.read import read_design
from lightcalc.files import put_file
from lightcalc.packet.folder import LIST, write_packet
from lightcalc.parts.begin import begin_catalogue
from lightcalc.parts.rewrite import write_catalogue
from lightcalc.screens.find_files import save_found

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
SHEETS = ("build-sheet.html", "wiring-1.svg", "cut-list.csv")
AS_MEASURED = {"packs": {"liion-4s-6800": {"capacity_coulomb": 20_000.0}}}


def write_over_packet(folder, number):
    """What a kill left is written over, or this is refused and the child ends by itself."""
    write_packet(dict.fromkeys(SHEETS, text_of(number).encode()), folder / "packet")


def read_packet(folder):
    names = {path.name for path in (folder / "packet").iterdir() if path.suffix != ".half"}
    numbers = [number_of((folder / "packet" / name).read_text()) for name in SHEETS]
    # Sheets are put in their place in this order, each whole.
    in_order = None not in numbers and numbers == sorted(numbers, reverse=True)
    return numbers[-1] if names == {*SHEETS, LIST} and in_order else None


def write_first_packet(folder, number):
    """Write where a kill came before, then in a new folder."""
    for again in (number - 1, number):
        write_packet(dict.fromkeys(SHEETS, text_of(again).encode()), folder / f"{again}")


def read_first_packet(folder):
    """Return the last packet with all of its sheets, and hold that each sheet is whole."""
    found = [int(path.name) for path in folder.iterdir() if path.suffix != ".half"]
    for number in found:
        sheets = [folder / f"{number}" / name for name in SHEETS]
        if any(path.exists() and number_of(path.read_text()) != number for path in sheets):
            return None
    whole = [number for number in found if (folder / f"{number}" / SHEETS[-1]).exists()]
    return max(whole, default=0)


def write_measured(folder, number):
    write_catalogue(EXAMPLES, folder / f"{number}", AS_MEASURED)


def write_new(folder, number):
    begin_catalogue(folder / f"{number}", "EUR", EXAMPLES)


def read_catalogues(folder):
    """Return the last catalogue; all hold the same files, but for their own name."""
    places = [path for path in folder.iterdir() if path.suffix != ".half"]
    tables = [
        {path.name: path.read_bytes() for path in place.glob("*.csv")}
        | {"catalogue.toml": (place / "catalogue.toml").is_file()}
        for place in places
    ]
    same = all(table == tables[0] and all(table.values()) for table in tables)
    return max((int(place.name) for place in places), default=0) if same else None


@cache
def found():
    """Return a search and the one design of it that is saved."""
    drawn, catalogue = read_design(EXAMPLES / "hall-bench.toml")
    drawn = replace(drawn, find=replace(drawn.find, open=("pack",)))
    return drawn, catalogue, find(drawn, catalogue).hits[:1]


def save_a_find(folder, _number):
    drawn, catalogue, hits = found()
    list(save_found(hits, drawn, catalogue, folder))


def read_finds(folder):
    """Return how many designs there are; all are one design, under other names."""
    texts = [path.read_text() for path in folder.glob("*.toml")]
    whole = all(text == texts[0] and text.endswith("\n") for text in texts)
    return len(texts) if whole else None


def put_picture(folder, number):
    put_file(folder / "seated.png", text_of(number).encode())


def read_picture(folder):
    return number_of((folder / "seated.png").read_text())


def nothing(_folder):
    """Begin in an empty folder."""


WAYS = {
    "packet": (lambda folder: write_over_packet(folder, 0), write_over_packet, read_packet),
    "first packet": (nothing, write_first_packet, read_first_packet),
    "bench --out": (nothing, write_measured, read_catalogues),
    "catalog new": (nothing, write_new, read_catalogues),
    "find --save": (lambda folder: save_a_find(folder, 0), save_a_find, read_finds),
    "look --out": (lambda folder: put_picture(folder, 0), put_picture, read_picture),
}

if __name__ == "__main__":
    run(WAYS, Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
