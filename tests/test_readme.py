"""The README holds what it promises: its commands are whole, its example is what is printed."""

import json
import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from lightcalc.design.read import read_design_table
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.screens.cli import VERBS, cli

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "catalog_examples"
README = (ROOT / "README.md").read_text(encoding="utf-8")


def _blocks(kind: str, section: str) -> list[str]:
    text = README.split(f"## {section}", 1)[1].split("\n## ", 1)[0]
    return re.findall(rf"^```{kind}\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)


def test_two_commands_are_two_lines_that_set_themselves_up() -> None:
    blocks = _blocks("sh", "Two commands")
    assert len(blocks) == 2
    for block in blocks:
        assert block.count("\n") == 1
        assert block.startswith("python3 -m venv ")


def test_the_worked_example_is_what_the_command_prints() -> None:
    (printed,) = _blocks("text", "A worked example")
    result = CliRunner().invoke(cli, ["answer", str(EXAMPLES / "hall-bench.toml")])
    assert len(printed) > 500
    assert result.output.startswith(printed)


def test_the_band_in_the_readme_is_what_the_command_prints() -> None:
    (printed,) = _blocks("text", "How sure")
    result = CliRunner().invoke(cli, ["answer", str(EXAMPLES / "hall-bench.toml"), "--band"])
    assert len(printed) > 200
    assert printed in result.output


def test_the_search_in_the_readme_is_what_the_command_prints() -> None:
    (printed,) = _blocks("text", "What to build")
    result = CliRunner().invoke(cli, ["find", str(EXAMPLES / "hall-bench.toml"), "--most", "3"])
    assert len(printed) > 500
    assert printed.strip() in result.output


def test_the_search_table_in_the_readme_can_be_read() -> None:
    (text,) = _blocks("toml", "What to build")
    table = tomllib.loads((EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8") + text)
    find = read_design_table(table, read_catalogue(EXAMPLES), EXAMPLES / "hall-bench.toml").find
    assert find.price == 120.0
    assert find.hidden


def test_the_design_in_the_readme_can_be_answered(tmp_path: Path) -> None:
    (text,) = _blocks("toml", "Your own piece")
    catalogue = read_catalogue(EXAMPLES)
    design = read_design_table(tomllib.loads(text), catalogue, tmp_path / "console.toml")
    assert design.piece.name == "Console table"


def test_the_look_in_the_readme_is_what_the_command_prints(tmp_path: Path) -> None:
    (design,) = _blocks("toml", "Your own piece")
    (space,) = _blocks("toml", "A look before it is glued")
    (printed,) = _blocks("text", "A look before it is glued")
    path = tmp_path / "console.toml"
    path.write_text(f"{design}\n{space}", encoding="utf-8")
    words = ["look", str(path), "--catalog", str(EXAMPLES), "--compare", "--no-pictures"]
    result = CliRunner().invoke(cli, words)
    assert printed.strip() == result.output.strip()
    assert len(printed.splitlines()) > 10


def test_every_verb_of_the_readme_is_there() -> None:
    verbs = set(re.findall(r"`lightcalc ([a-z]+)", README))
    assert verbs == set(VERBS)


WALK = "Your first piece, step by step"


def _walk() -> list[tuple[str, str]]:
    """Return every block of the walk-through: its heading, such as `toml shelf.toml`, and text."""
    text = README.split(f"## {WALK}", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"^```([^\n]+)\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)


def _begins_and_ends(parts: list[list[str]], lines: list[str]) -> bool:
    """Return whether lines hold the parts in turn, the first at the start, gaps in between."""
    if lines[: len(parts[0])] != parts[0]:
        return False
    at = len(parts[0])
    for part in parts[1:]:
        places = range(at, len(lines) - len(part) + 1)
        found = next((n for n in places if lines[n : n + len(part)] == part), None)
        if found is None:
            return False
        at = found + len(part)
    return parts[-1] == [] or at == len(lines)


def _shown_lines(told: str) -> list[list[str]]:
    parts: list[list[str]] = [[]]
    for line in told.rstrip("\n").split("\n"):
        if line == "...":
            parts.append([])
        else:
            parts[-1].append(line)
    return parts


def test_the_walk_through_prints_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    printed = 0
    for heading, text in _walk():
        kind, _, name = heading.partition(" ")
        if kind == "console":
            command, told = text.split("\n", 1)
            words = shlex.split(command.removeprefix("$ lightcalc "))
            lines = CliRunner().invoke(cli, words).output.rstrip("\n").split("\n")
            assert _begins_and_ends(_shown_lines(told), lines), (command, lines)
            printed += 1
        elif kind == "csv":
            with (tmp_path / name).open("a", encoding="utf-8") as file:
                file.write(text)
        else:
            assert kind == "toml"
            (tmp_path / name).write_text(text, encoding="utf-8")
    assert printed >= 8


def test_lines_that_are_not_printed_would_be_noticed() -> None:
    lines = ["one", "two", "three", "four"]
    assert _begins_and_ends(_shown_lines("one\n...\nthree\n...\n"), lines)
    assert _begins_and_ends(_shown_lines("...\nfour\n"), lines)
    for told in ("two\n...\n", "one\n...\nthree\n", "...\nthree\n...\ntwo\n...\n", "one\n"):
        assert not _begins_and_ends(_shown_lines(told), lines), told


def test_what_json_calls_missing_prices_and_a_missing_plug_is_explained(tmp_path: Path) -> None:
    parts = tmp_path / "parts"
    shutil.copytree(EXAMPLES, parts)
    text = (EXAMPLES / "hall-bench.toml").read_text(encoding="utf-8")
    bare = re.sub(r"^connectors = .*$", "", text, flags=re.MULTILINE)
    (parts / "bare.toml").write_text(bare, encoding="utf-8")
    wires = (parts / "wires.csv").read_text(encoding="utf-8").splitlines()
    (head,) = [n for n, line in enumerate(wires) if line.startswith("name,")]
    column = [name.partition(" (")[0] for name in wires[head].split(",")].index("price")
    for number in range(head + 1, len(wires)):
        cells = wires[number].split(",")
        cells[column] = ""
        wires[number] = ",".join(cells)
    (parts / "wires.csv").write_text("\n".join(wires), encoding="utf-8")
    result = CliRunner().invoke(cli, ["answer", str(parts / "bare.toml"), "--json"])
    found = json.loads(result.output)
    assert found["price"] is None
    assert found["unpriced"]
    (plug,) = [one for one in found["findings"] if one["code"] == "pack-no-plug"]
    assert plug["grade"] == "note"
    (named,) = re.findall(r'connectors = \["[^"]+"\]', plug["remedy"])
    for word in ("`unpriced`", "`pack-no-plug`", f"`{named}`"):
        assert word in README


def test_the_charge_current_of_a_pack_is_explained() -> None:
    result = CliRunner().invoke(cli, ["catalog", "columns", "packs"])
    assert "charge current (A): that its charger gives" in result.output
    assert "`charge current`" in README
