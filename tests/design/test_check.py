"""A run and what it is seen on must agree with the parts in the catalogue."""

import pytest

from lightcalc.design.check import check_against_catalogue
from lightcalc.problems import Problems


@pytest.mark.parametrize(
    ("place", "value", "sentence"),
    [
        (
            "runs.0.strip",
            "strip-12v-60-wrm",
            'runs.front.strip: found "strip-12v-60-wrm", which is no strip in the catalogue; '
            'did you mean "strip-12v-60-warm"?',
        ),
        (
            "runs.0.length",
            "5.01 m",
            "runs.front.length: found 5.01 m; a reel of strip-12v-60-warm is 5 m. "
            "Split it into shorter runs, each with its own feed.",
        ),
        (
            "runs.0.length",
            "49 mm",
            "runs.front.length: found 49 mm; the shortest piece of strip-12v-60-warm is one cut "
            "unit of 50 mm.",
        ),
        (
            "runs.0.feeds.0.wire",
            "21 AWG",
            'runs.front.feeds.1.wire: found "21 AWG", which is no wire in the catalogue; allowed '
            "are: 28 AWG, 26 AWG, 24 AWG, 0.22 mm2, 22 AWG, 0.34 mm2, 0.5 mm2, 20 AWG, 0.75 mm2, "
            "18 AWG, 1 mm2, 16 AWG, 1.5 mm2, 14 AWG, 2.5 mm2, or the name of a wire. The next "
            "thicker is 0.5 mm2.",
        ),
        (
            "runs.0.feeds.1",
            {"at": "2 cm", "lead": "1 m"},
            "runs.front.feeds.2.at: found 20 mm; the nearest solder pad, 0 mm from the start, has "
            "feed 1 already. Pads are 50 mm apart; move one feed, or take it out.",
        ),
        (
            "runs.0.seen.0.sheet",
            "sheet-opal-3",
            'runs.front.seen.1.thickness: is missing; write it like this: thickness = "2 mm"',
        ),
        (
            "runs.0.seen.0",
            {"surface": "s", "distance": "1 m", "sheet": "opal", "thickness": "3 mm"},
            'runs.front.seen.1.sheet: found "opal", which is no sheet in the catalogue; allowed '
            "are: sheet-clear-3, sheet-grey-3, sheet-satin-3, sheet-opal-light-3, sheet-opal-3, "
            "sheet-opal-dense-3, glass-clear-4, glass-satin-4, resin-clear-10, resin-blue-10, "
            "resin-milky-10, resin-pearl-10 and 1 more.",
        ),
        (
            "runs.0.seen.0",
            {"surface": "s", "distance": "1 m", "sheet": "glass-satin-4", "thickness": "5 mm"},
            "runs.front.seen.1.thickness: found 5 mm; glass-satin-4 comes in 4 mm, 6 mm.",
        ),
        (
            "runs.0.seen.0.thickness",
            "3 mm",
            "runs.front.seen.1.thickness: stands alone; name the sheet it is of, or take it out "
            "for a floor or wall.",
        ),
        (
            "use.evening.0.mix",
            {"whit": "50 %"},
            'use.evening.1.mix.whit: is a channel of no strip here; did you mean "white"?',
        ),
        (
            "use.evening.0.mix",
            {"white": "0 %"},
            "use.evening.1.mix: leaves every LED dark; take this part of the evening out.",
        ),
    ],
)
def test_each_contradiction_has_its_own_sentence(sketch, place, value, sentence):
    assert sketch.put(place, value).told() == [f"bench.toml: {sentence}"]


@pytest.mark.parametrize("length", ["50 mm", "1.97 in", "5 m", "16 ft 4 3/4 in", "1.4999999999 m"])
def test_lengths_from_one_cut_unit_to_a_whole_reel_are_fine(sketch, length):
    # 1.97 in is 50.04 mm; 16 ft 4 3/4 in is 4.9975 m.
    sketch.put("runs.0.length", length).put("runs.0.feeds.0.at", "start").read()


def test_feeds_a_cut_unit_apart_are_two(sketch):
    sketch.put("runs.0.feeds.1", {"at": "5 cm", "lead": "1 m"})
    sketch.put("runs.0.feeds.2", {"at": "end", "lead": "1 m"})
    assert len(sketch.read().runs[0].feeds) == 3


def test_the_middle_of_one_cut_unit_is_one_of_its_ends(sketch):
    sketch.put("runs.0.length", "50 mm")
    sketch.put("runs.0.feeds", [{"at": at, "lead": "1 m"} for at in ("start", "middle", "end")])
    sketch.table["trunks"] = []
    (told,) = sketch.told()
    assert told.startswith("bench.toml: runs.front.feeds.2.at: found 25 mm; the nearest solder pad")


def test_a_sheet_may_be_called_by_its_size_in_inches(sketch):
    # 1/8 in is 3.175 mm and sold as 3 mm.
    seen = {"surface": "s", "distance": "1 m", "sheet": "sheet-opal-3", "thickness": "1/8 in"}
    sketch.put("runs.0.seen.0", seen).read()


def test_resin_is_cast_to_any_thickness(sketch):
    seen = {"surface": "s", "distance": "1 m", "sheet": "resin-blue-10", "thickness": "17.3 mm"}
    sketch.put("runs.0.seen.0", seen).read()


def test_the_wire_of_a_trunk_is_one_there_is(sketch):
    sketch.put("trunks", [{"name": "trunk", "length": "1 m", "wire": "21 AWG"}])
    sketch.put("runs.0.feeds.0.from", "trunk")
    (told,) = [line for line in sketch.told() if "trunks" in line]
    assert told.startswith(
        'bench.toml: trunks.trunk.wire: found "21 AWG", which is no wire in the catalogue'
    )


# Areas of AWG from ASTM B258: 19 AWG is 0.65 mm2, 12 AWG 3.3 mm2.
@pytest.mark.parametrize(
    ("wire", "says"),
    [
        (
            "1 x 0.75 mm2",
            "a single conductor, of which a lead has two or more; write its size alone: 0.75 mm2.",
        ),
        ("3 x 0.75 mm2", "Write the size of one conductor, such as 0.75 mm2."),
        ("19 AWG", "or the name of a wire. The next thicker is 0.75 mm2."),
        ("12 AWG", "or the name of a wire. The thickest is 2.5 mm2."),
        ("wire-20-awg", "or the name of a wire. Did you mean wire-20awg?"),
        ("0.75 mm", "or the name of a wire. Did you mean 0.75 mm2?"),
        (
            "20 SWG",
            "SWG is another system, so a wire size is written in AWG or mm2, such as 20 AWG "
            "or 0.75 mm2.",
        ),
        ("banana", "or the name of a wire."),
    ],
)
def test_a_wire_there_is_not_is_told_with_what_to_write_and_the_nearest(sketch, wire, says):
    (told,) = sketch.put("runs.0.feeds.0.wire", wire).told()
    assert told.startswith(f'bench.toml: runs.front.feeds.1.wire: found "{wire}"')
    assert told.endswith(says)


def test_a_wire_may_be_called_by_name_or_size(sketch):
    for name in ("20 AWG", "AWG 20", "0.75 mm2", "0.75 mm²", "wire-18awg-silicone"):
        assert sketch.put("runs.0.feeds.0.wire", name).read().runs[0].feeds[0].lead.wire == name


def test_a_mix_may_name_a_channel_that_only_one_of_the_strips_has(sketch):
    sketch.put("supplies.1", {"name": "aux", "pack": "liion-4s-6800", "converter": "buck-12v-5a"})
    sketch.put("runs.0.supply", "main").put("runs.1.supply", "aux")
    sketch.put("runs.1.strip", "strip-12v-rgb-60").put("use.evening.0.mix", {"red": "20 %"})
    assert sketch.read().use.stretches[0].mix == (("red", 0.2),)


def test_one_colour_may_be_dark(sketch):
    for run in ("0", "1"):
        sketch.put(f"runs.{run}.strip", "strip-12v-rgb-60")
    sketch.put("use.evening.0.mix", {"red": "0 %", "blue": "0 %"}).read()
    sketch.put("use.evening.0.mix.green", "0 %")
    assert len(sketch.told()) == 1


def test_a_length_that_cannot_be_read_is_told_once(sketch):
    (told,) = sketch.put("runs.0.length", "long").put("runs.0.feeds.0.at", "end").told()
    assert "runs.front.length" in told


def test_a_design_without_mistakes_adds_none(sketch, parts):
    problems = Problems("bench.toml")
    check_against_catalogue(sketch.read(), parts, problems)
    assert problems.found == []


def test_a_design_in_inches_is_told_of_in_inches(sketch):
    (told,) = sketch.put("units", "inch").put("runs.0.length", "19 ft").told()
    assert "a reel of strip-12v-60-warm is 16 ft 4 7/8 in" in told
