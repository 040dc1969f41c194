"""A catalogue can be begun from nothing, and takes nothing away."""

import csv

import pytest

from lightcalc.parts.begin import begin_catalogue
from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.parts.columns import columns
from lightcalc.problems import BadInput
from lightcalc.screens.options import examples_folder


def test_what_is_begun_can_be_read_and_has_wires_to_choose_from(tmp_path):
    folder = tmp_path / 'shelf "A" \\ oak'
    begin_catalogue(folder, "USD", examples_folder())
    begun, examples = read_catalogue(folder), read_catalogue(examples_folder())
    assert (begun.name, begun.currency) == (folder.name, "USD")
    assert (begun.wires, begun.fuses) == (examples.wires, examples.fuses)
    assert not begun.strips
    assert not begun.packs


def test_every_file_has_every_heading(tmp_path):
    begin_catalogue(tmp_path / "new", "EUR", examples_folder())
    for kind in KINDS:
        lines = (tmp_path / "new" / f"{kind}.csv").read_text(encoding="utf-8").splitlines()
        first = next(line for line in lines if not line.startswith("#"))
        (headings,) = csv.reader([first])
        if kind in ("wires", "fuses"):
            continue
        assert headings == [column.example_heading for column in columns()[kind]]


def test_a_folder_that_holds_anything_is_left_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("kept")
    with pytest.raises(BadInput, match="holds files already"):
        begin_catalogue(tmp_path, "EUR", examples_folder())
    assert [entry.name for entry in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("currency", ["", "E\nUR", "E" * 61])
def test_a_currency_that_cannot_be_shown_is_refused(tmp_path, currency):
    with pytest.raises(BadInput, match="currency"):
        begin_catalogue(tmp_path / "new", currency, examples_folder())
    assert not (tmp_path / "new").exists()
