"""A name from a file is letters and nothing else, on the terminal and in every file written."""

import csv
import json
import re
import unicodedata
from xml.etree import ElementTree

import attacks
import doors
import html5lib
import pytest

from lightcalc.packet import html, svg

# Each is a name that the reader takes; what no reader takes is in `attacks`.
HOSTILE = {
    "html": attacks.HTML,
    "end of a style": "</style></title></text></svg><script>alert(1)</script>&lt;b&gt;&#60;",
    "attribute": "\"' onload='alert(1)' x=\"",
    "formula": attacks.FORMULA,
    "other formulas": "+1;@SUM(A1)|-2+3\uff1d1",
    "bidi": attacks.BIDI,
    "bidi isolates": "\u2067\u2068rail\u2069\u061c\u200e",
    "not shown": "\u200b\u2060\ufeff\u00ad\U000e0041rail",
    "markdown": "[a](javascript:alert(1)) ![b](http://x) `c` $d$ :red[e]",
    "percent": "%s %n {0} {piece} \\x1b[31m \\033",
    "combining": "z" + "\u0300" * 40,
    "private and unassigned": "\ue000\U000f0000\u0378",
    "line separators": "a\u2028b\u2029c",
    "xml": "]]>&xxe;<!DOCTYPE a><![CDATA[",
}
# Everything in the demo that bears a name or holds words of the maker's own.
_WORDS = (
    *("Hall bench with a resin seam", "front rail", "back rail", "seat box", "seat to rails"),
    *("the floor", "on the rail", "under the seat", "resin seam", "front left leg"),
    *("Ash, oiled. The seat lifts off two rails.", "lift the seat off its rails"),
    "behind the front rail, LEDs facing down",
)
# Which word stands first: each takes its turn at every third name or so.
TURNS = (0, 3, 5, 6, 10)
_FORMULA = re.compile(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20]")
_NUMBER = re.compile(r"-?[0-9.]+(e[+-]?[0-9]+)?")


def spoiled(text, turn):
    """Put hostile words where the maker's own stand, each told from the others by a number."""
    hostile = list(HOSTILE.values())
    for number, own in enumerate(_WORDS):
        word = hostile[(number + turn) % len(hostile)]
        text = text.replace(f'"{own}"', attacks.quoted(f"{word} {number}"))
    return text, " ".join(f"{hostile[turn]} 0".split())


@pytest.fixture(params=TURNS, scope="module")
def piece(request, tmp_path_factory):
    """Return a folder with the demo and its readings, all names hostile, and the piece's name."""
    folder = tmp_path_factory.mktemp("hostile")
    head = f"catalogue = {attacks.quoted(str(doors.EXAMPLES))}\n"
    text, word = spoiled(doors.DEMO, request.param)
    (folder / "bench.toml").write_text(head + text, encoding="utf-8")
    text, _ = spoiled(doors.READINGS, request.param)
    (folder / "readings.toml").write_text(text, encoding="utf-8")
    return folder, word


def run(*line):
    """Run a verb, whose output `doors.flags` holds to be letters and new lines."""
    result = doors.flags(line, seconds=30)
    assert result.exit_code in (0, 1), result.output[-2000:]
    return result


@pytest.mark.parametrize("verb", ["answer", "compare"])
def test_the_terminal_shows_letters_alone(piece, verb):
    folder, word = piece
    run(verb, str(folder / "bench.toml"))
    found = json.loads(run(verb, str(folder / "bench.toml"), "--json").stdout)
    assert found["piece"] == word


def test_a_look_and_a_bench_show_letters_alone(piece):
    folder, _ = piece
    run("look", str(folder / "bench.toml"), "--no-pictures")
    run("bench", str(folder / "bench.toml"), str(folder / "readings.toml"))


def test_mistakes_about_hostile_names_are_letters_alone(piece):
    folder, word = piece
    text = (folder / "bench.toml").read_text(encoding="utf-8")
    spoilt = folder / "spoilt.toml"
    spoilt.write_text(
        text.replace('strip = "', f"bad = 1\nstrip = {attacks.quoted(word)} # ")
        .replace("1.42 m", "1 furlong")
        .replace('pack = "', f"pack = {attacks.quoted(word)} # "),
        encoding="utf-8",
    )
    result = doors.flags(["answer", str(spoilt)])
    assert result.exit_code == 2
    assert "is not a known key" in result.output


@pytest.fixture(scope="module")
def packet(piece):
    folder, word = piece
    out = folder / "packet"
    run("packet", str(folder / "bench.toml"), "--out", str(out))
    assert {path.name for path in folder.iterdir()} >= {"packet"}
    return {path.name: path.read_text(encoding="utf-8") for path in out.iterdir()}, word


def test_no_file_of_a_packet_turns_or_steers(packet):
    files, _ = packet
    for name, text in files.items():
        odd = {sign for sign in text if unicodedata.category(sign) == "Cc" and sign not in "\n\r"}
        assert not odd, (name, odd)
        if not name.endswith(".csv"):
            assert not re.search("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]", text), name


def local(tag):
    return tag.rpartition("}")[2]


def test_a_name_becomes_no_element_and_no_attribute(packet):
    files, _ = packet
    known_tags = html.TAGS | svg.TAGS
    known = html.ATTRIBUTES | svg.ATTRIBUTES
    for name, text in files.items():
        if name.endswith(".html"):
            root = html5lib.parse(text)
        elif name.endswith(".svg"):
            root = ElementTree.fromstring(text)
        else:
            continue
        for element in root.iter():
            if not isinstance(element.tag, str):
                raise AssertionError(f"{name} has a comment or an instruction")
            assert local(element.tag) in known_tags, (name, element.tag)
            for key in element.attrib:
                assert local(key) in known or local(key).startswith("data-"), (name, key)
        styles = [one.text for one in root.iter() if local(one.tag) == "style"]
        assert len(styles) <= 1


def test_a_name_is_shown_as_it_is_written(packet):
    files, word = packet
    sheet = "".join(html5lib.parse(files["build-sheet.html"]).itertext())
    assert svg.clean(word) in sheet


def test_no_cell_begins_a_formula(packet):
    files, _ = packet
    for name, text in files.items():
        if not name.endswith(".csv"):
            continue
        for row in csv.reader(text.splitlines()):
            for cell in row:
                first = re.split(r"[;,|\t]", cell)
                for part in first:
                    assert not _FORMULA.match(part) or _NUMBER.fullmatch(part), (name, cell)


def test_names_of_files_steer_nothing_either(tmp_path, monkeypatch):
    """The name of a design is told where its pictures went, and in what is wrong with it."""
    monkeypatch.chdir(tmp_path)
    name = f"bench{attacks.ESCAPES.replace('/', '')}{attacks.BIDI}.toml"
    head = f"catalogue = {attacks.quoted(str(doors.EXAMPLES))}\n"
    plain = doors.DEMO.partition("# The bench in space")[0]
    plain = re.sub(r"\[\[runs\.mounts\]\]\n(?:\w+ = .*\n)+", "", plain)
    (tmp_path / name).write_text(head + plain, encoding="utf-8")
    run("answer", name)
    (tmp_path / name).write_text("a = \n", encoding="utf-8")
    assert doors.flags(["answer", name]).exit_code == 2
