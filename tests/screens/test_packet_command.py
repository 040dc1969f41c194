"""The verb `packet` writes every file, says which, and leaves other people's files alone."""

import json
from xml.etree import ElementTree

FILES = {"build-sheet.html", "care-card.html", "wiring-1.svg", "plan-1.svg", "plan-2.svg"}
OVERSIZED = 'pack = "liion-4s-6800"\npack_fuse = "blade-15a"\npack_wire = "26 AWG"'
OTHERS = {"cut-list.csv", "shopping-list.csv", "packet.txt"}


def test_the_demo_makes_a_whole_packet(shop):
    result = shop.run("packet", "hall-bench.toml", "--out", "paper")
    assert result.exit_code == 0, result.output
    written = {path.name for path in (shop.folder / "paper").iterdir()}
    assert written == FILES | OTHERS
    for name in written:
        assert name in result.output
    for path in (shop.folder / "paper").glob("*.svg"):
        assert ElementTree.parse(path).getroot().tag.endswith("svg")


def test_a_packet_can_be_written_again_and_is_the_same(shop):
    held = []
    for _ in range(2):
        assert shop.run("packet", "hall-bench.toml", "--out", "paper").exit_code == 0
        held.append({p.name: p.read_bytes() for p in (shop.folder / "paper").iterdir()})
    assert held[0] == held[1]


def test_json_lists_the_files(shop):
    result = shop.run("packet", "hall-bench.toml", "--out", "paper", "--json")
    told = json.loads(result.stdout)
    assert set(told["files"]) == FILES | OTHERS
    assert told["stops"] is False


def test_a_finding_of_stop_is_told_and_the_packet_is_still_written(shop):
    design = shop.changed(('pack = "liion-4s-6800"', OVERSIZED))
    result = shop.run("packet", design, "--out", "paper")
    assert result.exit_code == 1
    assert "STOP" in result.output
    sheet = (shop.folder / "paper" / "build-sheet.html").read_text(encoding="utf-8")
    assert ">STOP<" in sheet


def test_the_folder_of_the_designs_is_not_written_to(shop):
    before = {path.name for path in shop.folder.iterdir()}
    told = shop.refused("packet", "hall-bench.toml", "--out", ".")
    assert "name a new folder" in told
    assert {path.name for path in shop.folder.iterdir()} == before


def test_a_folder_that_cannot_be_made_is_told_in_a_sentence(shop):
    shop.write("mine", "paper")
    assert "is a file" in shop.refused("packet", "hall-bench.toml", "--out", "paper")


def test_a_design_that_cannot_be_used_writes_nothing(shop):
    design = shop.changed(('strip = "strip-12v-60-warm"', 'strip = "no-such-strip"'))
    shop.refused("packet", design, "--out", "paper")
    assert not (shop.folder / "paper").exists()
