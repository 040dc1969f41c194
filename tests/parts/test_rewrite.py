"""A catalogue is written again with some figures changed and all else as it was."""

import difflib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.parts.catalogue import KINDS, read_catalogue
from lightcalc.parts.rewrite import rewritten, write_catalogue
from lightcalc.problems import BadInput

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
STRIP, PACK, CONVERTER = "strip-12v-60-warm", "liion-4s-6800", "buck-adjustable-3a"


def test_a_copy_with_no_changes_is_the_same_sign_by_sign(tmp_path):
    write_catalogue(EXAMPLES, tmp_path / "copy", {})
    names = {path.name for path in (tmp_path / "copy").iterdir()}
    assert names == {"catalogue.toml", *(f"{file}.csv" for file in KINDS)}
    for name in names:
        assert (tmp_path / "copy" / name).read_bytes() == (EXAMPLES / name).read_bytes()


def test_changed_figures_come_out_again_and_only_their_lines_differ(tmp_path):
    changes = {
        "strips": {STRIP: {"power_w_per_m": 4.56, "power_tolerance": 0.036, "forward_v": (8.9,)}},
        "packs": {PACK: {"capacity_coulomb": 6.6 * 3600.0, "resistance_ohm": 0.2}},
        "converters": {CONVERTER: {"loss_points": ((0.1, 0.2), (3.0, 4.1))}},
    }
    write_catalogue(EXAMPLES, tmp_path / "new", changes)
    old, new = read_catalogue(EXAMPLES), read_catalogue(tmp_path / "new")
    for kind, rows in changes.items():
        for name, part in getattr(new, kind).items():
            for field in vars(part):
                expected = rows.get(name, {}).get(field, getattr(getattr(old, kind)[name], field))
                found = getattr(part, field)
                if isinstance(expected, float):
                    assert found == pytest.approx(expected, rel=1e-3)
                elif field == "loss_points" and expected:
                    assert found == tuple(pytest.approx(pair) for pair in expected)
                else:
                    assert found == expected
        before, after = (
            (folder / f"{kind}.csv").read_text().splitlines()
            for folder in (EXAMPLES, tmp_path / "new")
        )
        changed = [line for line in difflib.ndiff(before, after) if line.startswith("- ")]
        assert len(changed) == len(rows)


@given(st.floats(1e-5, 9.9))
@settings(max_examples=40, deadline=None)
def test_any_figure_is_written_so_that_it_is_read_again(ohm):
    text = (EXAMPLES / "packs.csv").read_text()
    line = next(
        line
        for line in rewritten(text, "packs", {PACK: {"resistance_ohm": ohm}}).splitlines()
        if line.startswith(PACK)
    )
    cell = line.split(",")[11]
    assert "e" not in cell
    assert float(cell) / 1000.0 == pytest.approx(ohm, rel=6e-4)


def test_units_quotes_line_ends_and_comments_of_the_file_stay():
    text = '# mine, all\r\nname,power (W/ft),colour\r\n"a",1.5,"warm, soft"\r\n\r\nb,2,cool\r\n'
    new = rewritten(text, "strips", {"a": {"power_w_per_m": 6.0}})
    # A foot is 0.3048 m: 6 W/m is 1.829 W/ft.
    assert (
        new == '# mine, all\r\nname,power (W/ft),colour\r\na,1.829,"warm, soft"\r\n\r\nb,2,cool\r\n'
    )


def test_a_field_with_no_column_gets_one():
    text = "name,capacity (Ah)\nred,2\nblue,3\n"
    new = rewritten(text, "packs", {"red": {"capacity_tolerance": 0.031}})
    assert new == "name,capacity (Ah),capacity tolerance (%)\nred,2,3.1\nblue,3\n"


def test_nothing_is_ever_written_over(tmp_path):
    (tmp_path / "mine.txt").write_text("x")
    with pytest.raises(BadInput, match="not empty"):
        write_catalogue(EXAMPLES, tmp_path, {})
    with pytest.raises(BadInput, match="not empty"):
        write_catalogue(EXAMPLES, EXAMPLES, {})
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
