"""The numbers of a chart as a table that a spreadsheet reads, and as it takes them."""

import csv
import io

import plotly.graph_objects as go
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from to_draw import every_chart, named

from lightcalc.screens.charts import Chart, csv_text


def chart(*rows, columns=("name", "light (%)")):
    return Chart("title", "says", go.Figure(), columns, rows, "file.csv", "alt")


def read_back(made):
    return list(csv.reader(io.StringIO(csv_text(made), newline="")))


@pytest.mark.parametrize("made", [*every_chart()], ids=lambda made: made.file_name)
def test_every_chart_comes_back_from_its_csv(made):
    first, *lines = read_back(made)
    assert tuple(first) == made.columns
    assert len(lines) == len(made.rows) > 0
    for line, row in zip(lines, made.rows, strict=True):
        assert len(line) == len(row) == len(first)
        for cell, value in zip(line, row, strict=True):
            if isinstance(value, str):
                assert cell == value
            else:
                assert float(cell) == pytest.approx(value, rel=1e-5)


def test_every_column_of_numbers_names_its_unit():
    for made in every_chart():
        for column, cell in zip(made.columns, made.rows[0], strict=True):
            assert isinstance(cell, str) or column.endswith(")"), column


# The openings that a spreadsheet takes for a formula: OWASP, "CSV injection".
@pytest.mark.parametrize("opening", ["=", "+", "-", "@", "\t", "\r", " =", "\n="])
def test_a_text_that_opens_like_a_formula_is_only_text(opening):
    text = f"{opening}1+1"
    name, number = read_back(chart((text, 1.0)))[1]
    heading = read_back(chart(("oak", 1.0), columns=(text, "b (V)")))[0][0]
    assert name.startswith("'")
    assert name.replace("'", "") == text
    assert (heading, number) == (name, "1")


def test_a_number_below_nil_stays_a_number():
    assert read_back(chart(("oak", -0.25)))[1] == ["oak", "-0.25"]


@settings(deadline=None, derandomize=True, max_examples=60)
@given(st.text(alphabet=st.characters(exclude_categories=("Cs",))), st.floats(-1e9, 1e9))
def test_any_text_and_number_comes_back(text, number):
    cell, back = read_back(chart((text, number)))[1]
    assert cell in (text, f"'{text}")
    assert float(back) == pytest.approx(number, rel=1e-5)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_no_name_of_a_file_can_leave_its_folder():
    for made in named("../..\\<x>|:*?\x00"):
        assert made.file_name.endswith(".csv")
        assert set(made.file_name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
        assert made.file_name.count(".") == 1
