"""The README holds what it promises: its commands are whole, its example is what is printed."""

import re
import tomllib
from pathlib import Path

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
    few = ["--open", "converter", "--open", "feeds", "--most", "3"]
    result = CliRunner().invoke(cli, ["find", str(EXAMPLES / "hall-bench.toml"), *few])
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


def test_every_verb_of_the_readme_is_there() -> None:
    verbs = set(re.findall(r"`lightcalc ([a-z]+)", README))
    assert verbs == set(VERBS)
