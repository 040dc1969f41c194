"""The text of a design file: slips of the pen are told with their line and their fix."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.design.load import LARGEST_FILE_BYTES, MOST_REPAIRS, load_toml
from lightcalc.problems import BadInput, Problems
from lightcalc.toml_text import LONGEST_LINE


def load(tmp_path, text):
    """Return what is read and what is told."""
    path = tmp_path / "bench.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    problems = Problems(path.name)
    table = load_toml(path, problems)
    return table, [str(problem) for problem in problems.found]


def refused(tmp_path, text):
    with pytest.raises(BadInput) as caught:
        load(tmp_path, text)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("line", "fixed"),
    [
        ("length = 1.6 m", 'length = "1.6 m"'),
        ("length = 63 1/2 in # of oak", 'length = "63 1/2 in" # of oak'),
        ("length=5 ft 3 in", 'length="5 ft 3 in"'),
        ("name = front rail", 'name = "front rail"'),
        ('e = [{ level = 60 %, time = "2 h" }]', 'e = [{ level = "60 %", time = "2 h" }]'),
        ("f = { at = start, lead = 45 cm }", 'f = { at = "start", lead = "45 cm" }'),
        ("length = \u201c1.6 m\u201d", 'length = "1.6 m"'),
        ("switched_off = True", "switched_off = true"),
        ('viewer = "5\' 3""', 'viewer = "5 ft 3 in"'),
        ('viewer = "5\'-3 1/2"" # standing', 'viewer = "5 ft 3 1/2 in" # standing'),
        ('f = { at = "start", lead = "63""}', 'f = { at = "start", lead = "63 in"}'),
        ('a = ["3/4"", "1 m"]', 'a = ["3/4 in", "1 m"]'),
    ],
)
def test_missing_quotes_are_told_with_the_line_as_it_should_be(tmp_path, line, fixed):
    table, told = load(tmp_path, f"# a bench\n{line}\nlast = 1\n")
    assert told == [
        f"bench.toml: line 2: found {line} and cannot read it; write it like this: {fixed}"
    ]
    assert table == load(tmp_path, f"{fixed}\nlast = 1\n")[0]


def test_every_line_with_missing_quotes_is_told_in_one_go(tmp_path):
    _, told = load(tmp_path, "a = 1.6 m\nb = 2\nc = 3 ft\n\nd = 4 V\n")
    assert [sentence[:18] for sentence in told] == [
        "bench.toml: line 1",
        "bench.toml: line 3",
        "bench.toml: line 5",
    ]


def test_what_is_inside_quotes_or_a_comment_is_left_alone(tmp_path):
    text = "a = { x = \"b = c d\", y = 'e = f g', z = 1 m } # h = i j\n"
    table, _ = load(tmp_path, text)
    assert table == {"a": {"x": "b = c d", "y": "e = f g", "z": "1 m"}}


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a = 1\nlength: 60 %\n", "line 2: found length: 60 %; a key and its value stand on"),
        ("a = 1\na = 2\nb = 1\n", "line 2: found a = 2; this key stands in its part already"),
        ("a = {b = 1, b = 2}\n", "line 1: found a = {b = 1, b = 2}; this key stands in its part"),
        ("[[runs]]\n[runs]\n", "line 2: found [runs]; this part was begun before in another way"),
        ("[use]\n[use]\n", "line 2: found [use]; this part was begun before in another way"),
        ('a = "oak\nb = 1\n', 'line 1: found a = "oak; a quote is opened and not closed'),
        ("a = '''oak\n", "line 1: found a = '''oak; a quote is opened and never closed."),
        ('a = """oak\n', 'line 1: found a = """oak; a quote is opened and never closed.'),
        ("a = [1,\n2\n", "line 2: found 2; a [ has no ] that closes it"),
        ("a = {b = 1\n", "line 1: found a = {b = 1; a { has no } that closes it on the same line"),
        ("a = {b = 1,\n c = 1}\n", "line 1: found a = {b = 1,; after { or a comma comes a key"),
        ('a = "..\\parts"\n', 'line 1: found a = "..\\parts"; a backslash in double quotes'),
        ('a = "C:\\users"\n', 'line 1: found a = "C:\\users"; a backslash in double quotes'),
        ('a = 63 1/2"\n', 'line 1: found a = 63 1/2"; texts and quantities stand in quotes'),
        ("[[runs]\n", "line 1: found [[runs]; a part begins with its name in brackets"),
        ("\0\1\n", "line 1: found signs that cannot be shown; a key and its value"),
        ("a = [plug, clip]\n", "line 1: found a = [plug, clip]; texts and quantities stand in"),
    ],
)
def test_what_cannot_be_mended_is_told_with_its_line(tmp_path, text, sentence):
    (told,) = refused(tmp_path, text)
    assert told.startswith(f"bench.toml: {sentence}")


def test_what_was_mended_before_is_told_with_what_could_not(tmp_path):
    told = refused(tmp_path, "a = 1.6 m\na = 2\nb = 1\n")
    assert len(told) == 2


def test_a_file_of_bare_values_ends(tmp_path):
    told = refused(tmp_path, "\n".join(f"k{n} = {n} m" for n in range(MOST_REPAIRS + 10)))
    assert len(told) == MOST_REPAIRS + 1


def test_a_mark_at_the_start_and_line_ends_of_other_systems_are_no_mistake(tmp_path):
    assert load(tmp_path, b"\xef\xbb\xbfa = 1\r\nb = '''x\r\ny'''\r\n") == (
        {"a": 1, "b": "x\ny"},
        [],
    )


def test_an_empty_file_is_an_empty_table(tmp_path):
    assert load(tmp_path, "") == ({}, [])


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"a = 'caf\xe9'", "is no text in UTF-8"),
        ("a = 1".encode("utf-16"), "is no text in UTF-8"),
        (bytes(range(256)) * 10, "is no text in UTF-8"),
        (b"a = 1" + b" " * LONGEST_LINE, "line 1: has 2005 characters"),
        (b"a = 1\n" + b"a" * (LONGEST_LINE + 1), "line 2: has 2001"),
        (b"# a\n[a" + b" . a" * 16 + b"]\n", "line 2: has a key of more than 16 parts"),
        (b"#" * 50 + b"\n" * LARGEST_FILE_BYTES, "is larger than 200 kB"),
        (b"a = [\n" + b"[\n" * 3000, "has tables within tables too deep"),
        # More than one line holds, and more digits than Python turns into a number.
        (b"a = " + b"1" * (LONGEST_LINE + 1), "line 1: has 2005 characters"),
    ],
)
def test_what_is_no_design_is_refused_in_one_sentence(tmp_path, raw, sentence):
    (told,) = refused(tmp_path, raw)
    assert told.startswith(f"bench.toml: {sentence}")


def test_a_path_that_is_no_file_is_told(tmp_path):
    for path, sentence in [
        (tmp_path, "is a folder; name a design file in it."),
        (tmp_path / "none.toml", "is not there; check its name."),
        (tmp_path / ("x" * 300), "cannot be read: File name too long."),
        (tmp_path / "nul\0.toml", "cannot be read: its name is no name of a file."),
    ]:
        with pytest.raises(BadInput) as caught:
            load_toml(path, Problems(path.name))
        assert str(caught.value) == f"{path}: {sentence}"


LINES = st.text("ab=[]{}\"'#.,:1 \\m%-_\u201cé\0", max_size=20)


@given(st.lists(LINES, max_size=8))
def test_no_text_whatever_makes_loading_fail(tmp_path_factory, lines):
    folder = tmp_path_factory.mktemp("any", numbered=True)
    try:
        _, told = load(folder, "\n".join(lines))
    except BadInput as bad:
        told = [str(problem) for problem in bad.problems]
        assert told
    for sentence in told:
        assert sentence.isprintable()
