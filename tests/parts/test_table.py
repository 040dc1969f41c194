"""Files that are no good as a whole, and headings that are wrong."""

import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightcalc.parts import table
from lightcalc.parts.table import read_table
from lightcalc.problems import Problems

GOOD_HEAD = (
    "name,poles,max current (A),max volts (V),resistance (mohm),mating cycles,price,mass (g)"
)
GOOD_ROW = "plug,2,5,24,15,,,"


def told(tmp_path, data):
    path = tmp_path / "connectors.csv"
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    problems = Problems(path.name)
    rows = read_table(path, "connectors", problems)
    return rows, [str(problem) for problem in problems.found]


def test_a_good_file_has_no_mistakes(tmp_path):
    rows, sentences = told(tmp_path, f"{GOOD_HEAD}\n{GOOD_ROW}\n")
    assert sentences == []
    assert rows[0]["resistance_ohm"] == 0.015
    assert rows[0]["cycles"] is None


def test_a_file_of_headings_offers_no_parts(tmp_path):
    assert told(tmp_path, GOOD_HEAD + "\n") == ([], [])


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("", "is empty"),
        ("# only a note\n\n", "is empty"),
        (GOOD_HEAD.encode() + b"\npl\xfcg,2,5,24,15,,,\n", "is not UTF-8 (line 2)"),
        (GOOD_HEAD.replace(",", ";") + "\n", "semicolons"),
        (f'{GOOD_HEAD}\n"plug,2,5\n', "quotation mark"),
        (f"{GOOD_HEAD}\n{GOOD_ROW}1,6,7\n", "10 cells under 8 headings"),
        # 0,49 in the last column but one: a cell too many, though an empty one.
        (f"{GOOD_HEAD}\n{GOOD_ROW.rstrip(',')},,0,49,\n", "point for decimals"),
        (f"{GOOD_HEAD}\n{GOOD_ROW.rstrip(',')},,0,49\n", "write the price as 0.49"),
        (",".join(["x"] * 201) + "\n", "201 columns"),
        (GOOD_HEAD.replace("poles", "pole") + "\n", 'did you mean "poles"?'),
        (GOOD_HEAD.replace("poles", "zzz") + "\n", "known are: name, poles"),
        (GOOD_HEAD.replace("max volts (V),", "") + "\n", '"max volts (V)" is missing'),
        (GOOD_HEAD.replace("(V)", "(A)") + "\n", '"A" measures a current'),
        (GOOD_HEAD.replace("(V)", "(volz)") + "\n", '"volz" is not a known unit'),
        (GOOD_HEAD.replace(" (V)", "") + "\n", "needs its unit"),
        (GOOD_HEAD.replace("poles", "poles (mm)") + "\n", "has no unit"),
        (GOOD_HEAD.replace("price", "poles") + "\n", "heads two columns"),
        (GOOD_HEAD.replace("price", "") + "\n", "column 7: has no heading"),
        (f"{GOOD_HEAD}\n{GOOD_ROW}\n{GOOD_ROW.upper()}\n", "already used in row 2"),
        (f"{GOOD_HEAD}\n\x1b[31m{GOOD_ROW}\n", "cannot be shown"),
        (f'{GOOD_HEAD}\n"a\nb",2,5,24,15,,,\n', "line breaks"),
        (f"{GOOD_HEAD}\n=plug,2,5,24,15,,,\n", "starts with a letter or digit"),
        (f"{GOOD_HEAD}\nplug,2\n", "max current (A): is empty"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(tmp_path, data, says):
    rows, sentences = told(tmp_path, data)
    assert any(says in sentence for sentence in sentences), sentences
    assert all(sentence.isprintable() for sentence in sentences)
    assert all(row["name"] == "plug" for row in rows)


def test_a_file_over_the_size_limit_is_not_read(tmp_path):
    rows, sentences = told(tmp_path, b"#" * (table.LARGEST_BYTES + 1))
    assert rows == []
    assert "larger than 300 kB" in sentences[0]


def test_more_rows_than_the_limit_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(table, "MOST_ROWS", 3)
    body = "".join(f"plug{n},2,5,24,15,,,\n" for n in range(4))
    assert "more than 3 rows" in told(tmp_path, f"{GOOD_HEAD}\n{body}")[1][0]


def test_a_list_of_mistakes_ends_somewhere(tmp_path):
    body = "plug,x,y,z,u,v,w,t\n" * 1000
    sentences = told(tmp_path, f"{GOOD_HEAD}\n{body}")[1]
    assert table.MOST_PROBLEMS < len(sentences) < table.MOST_PROBLEMS + 12
    assert "the rest is not listed" in sentences[-1]


def test_a_folder_or_a_pipe_in_place_of_a_file_is_told(tmp_path):
    for make in (os.mkdir, os.mkfifo):
        path = tmp_path / make.__name__
        make(path)
        problems = Problems("connectors.csv")
        assert read_table(path, "connectors", problems) == []
        assert "not a plain file" in str(problems.found[0])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_any_bytes_at_all_are_refused_in_sentences(tmp_path, data):
    rows, sentences = told(tmp_path, data)
    assert rows == []
    assert sentences
    assert all(sentence.isprintable() for sentence in sentences)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200)
@given(
    place=st.integers(0, 7),
    cell=st.one_of(st.text(max_size=30), st.floats().map(repr), st.integers().map(str)),
)
def test_any_cell_is_read_or_told(tmp_path, place, cell):
    cells = GOOD_ROW.split(",")
    cells[place] = '"' + cell.replace('"', '""') + '"'
    rows, sentences = told(tmp_path, f"{GOOD_HEAD}\n{','.join(cells)}\n")
    assert len(rows) + bool(sentences) == 1
    assert all(sentence.isprintable() for sentence in sentences)
