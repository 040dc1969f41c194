"""The table of columns describes the parts, all of them and no others."""

import pytest

from lightcalc.parts.catalogue import KINDS
from lightcalc.parts.cells import _READERS
from lightcalc.parts.columns import columns
from lightcalc.parts.rules import _cell_volts
from lightcalc.units import scale
from lightcalc.units.scales import kinds


@pytest.mark.parametrize("file", KINDS)
def test_each_field_of_a_part_has_one_column(file):
    fields = [column.field for column in columns()[file]]
    assert fields == list(dict.fromkeys(fields))
    assert set(fields) == set(KINDS[file].__dataclass_fields__)


def test_no_file_is_described_that_is_not_read():
    assert set(columns()) == set(KINDS)


@pytest.mark.parametrize("file", KINDS)
def test_each_column_is_described_in_full(file):
    headings = [column.heading.casefold() for column in columns()[file]]
    assert len(set(headings)) == len(headings)
    for column in columns()[file]:
        assert column.holds in _READERS
        assert column.meaning
        assert bool(column.unit) == bool(column.quantity)
        assert (column.holds == "choice") <= bool(column.choices)
        if column.unit:
            assert column.quantity in kinds()
            assert scale(column.unit, column.quantity).factor > 0


@pytest.mark.parametrize("file", KINDS)
def test_a_condition_or_a_default_looks_back_not_forward(file):
    seen = set()
    for column in columns()[file]:
        if column.condition:
            assert column.condition.field in seen
        if column.empty.startswith("="):
            assert column.empty[1:] in seen
        seen.add(column.field)
    by_field = {column.field: column for column in columns()[file]}
    for column in columns()[file]:
        if column.condition:
            assert set(column.condition.values) <= set(by_field[column.condition.field].choices)


@pytest.mark.parametrize("file", KINDS)
def test_choices_are_those_of_the_code(file):
    from typing import Literal, get_args, get_origin, get_type_hints

    for name, hint in get_type_hints(KINDS[file]).items():
        column = next(column for column in columns()[file] if column.field == name)
        if get_origin(hint) is Literal:
            assert column.choices == get_args(hint)
        else:
            assert column.holds != "choice"


def test_a_pack_may_be_of_any_chemistry_that_is_tabled_and_no_other():
    from lightcalc.tables.chemistries import chemistry_keys

    column = next(column for column in columns()["packs"] if column.field == "chemistry")
    assert sorted(column.choices) == sorted(chemistry_keys())
    assert sorted(_cell_volts()) == sorted(chemistry_keys())


def test_a_fuse_may_be_of_any_kind_that_is_tabled_and_no_other():
    from lightcalc.tables.fuses import fuse_behaviours

    column = next(column for column in columns()["fuses"] if column.field == "kind")
    assert sorted(column.choices) == sorted(fuse_behaviours())
