"""Plain text for a terminal of 80 columns, which nothing from a file can steer."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from lightcalc.screens.layout import WIDTH, heading, paragraph, printable, table

WORDS = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), max_size=12)


@given(st.text())
def test_no_control_sign_reaches_the_terminal(text):
    shown = printable(text)
    assert not any(unicodedata.category(sign) in {"Cc", "Cf", "Cs"} for sign in shown)
    assert printable(shown) == shown


@given(st.lists(WORDS, max_size=40).map(" ".join))
def test_a_paragraph_keeps_its_words_and_its_width(text):
    lines = paragraph(text).split("\n")
    assert all(len(line) <= WIDTH for line in lines)
    assert " ".join(lines).split() == printable(text).split()


def test_a_paragraph_never_breaks_a_name_at_its_hyphen():
    name = "liion-3s-10400"
    text = paragraph(" ".join([name] * 40))
    assert text.split() == [name] * 40


def test_a_paragraph_hangs_under_its_first_word():
    lines = paragraph("word " * 40, "  - ", "    ").split("\n")
    assert lines[0].startswith("  - word")
    assert all(line.startswith("    word") for line in lines[1:])


def test_a_heading_stands_apart():
    assert heading("Where the power goes") == "\nWHERE THE POWER GOES"


@given(st.lists(st.lists(st.sampled_from(["", "a", "12 V", "0.75 mm2"]), min_size=3, max_size=3)))
def test_columns_line_up_on_the_right_but_the_first(rows):
    headings = ["lead", "volts", "size"]
    lines = table(headings, rows).split("\n")
    assert len(lines) == len(rows) + 1
    ends = [
        line.rindex(row[2]) + len(row[2])
        for line, row in zip(lines[1:], rows, strict=True)
        if row[2]
    ]
    assert len(set(ends)) <= 1
    for line, row in zip(lines[1:], rows, strict=True):
        assert line.split() == " ".join(row).split()
        assert line.startswith(f"  {row[0]}".rstrip())


def test_a_long_first_column_wraps_to_keep_the_table_in_the_terminal():
    rows = [["the rail behind the front apron of the bench, left of the drawer", *["12,345 V"] * 6]]
    lines = table(["lead", *["volts"] * 6], rows).split("\n")
    assert max(len(line) for line in lines) <= WIDTH
    assert " ".join(line[2:20].strip() for line in lines[1:]).startswith("the rail behind")
    assert lines[1].count("12,345 V") == 6


def test_a_line_break_in_a_cell_does_not_break_the_table():
    assert len(table(["run"], [["front\nrail"]]).split("\n")) == 2
