"""The parts of a supply exist, fit its strips and fit each other."""

import dataclasses

import pytest

from lightcalc.design.check_supply import source_v

AUX = {"name": "aux", "pack": "liion-6s-5200", "converter": "buckboost-24v-2a"}


def told(sketch):
    return [sentence.removeprefix("bench.toml: supplies.main") for sentence in sketch.told()]


@pytest.mark.parametrize("key", ["pack", "converter", "controller", "fuse", "pack_fuse"])
def test_a_part_that_is_not_in_the_catalogue_is_told_with_the_nearest(sketch, key):
    near = {
        "pack": "liion-4s-680",
        "converter": "buck-12v-5",
        "controller": "dimmer-touch-1c",
        "fuse": "blade-15",
        "pack_fuse": "blade-15",
    }[key]
    (sentence,) = told(sketch.put(f"supplies.0.{key}", near))
    assert sentence.startswith(f'.{key}: found "{near}", which is no ')
    assert f'did you mean "{near}' in sentence


def test_connectors_are_looked_up_one_by_one(sketch):
    sketch.put("supplies.0.connectors", ["plug-usb", "plug-usc", "nail"])
    assert [sentence[:26] for sentence in told(sketch)] == [
        '.connectors: found "plug-u',
        '.connectors: found "nail",',
    ]


def test_a_supply_that_feeds_nothing_is_told(sketch):
    sketch.put("supplies.1", {**AUX, "pack": "liion-4s-6800", "converter": "buck-12v-5a"})
    for run in ("0", "1"):
        sketch.put(f"runs.{run}.supply", "main")
    assert sketch.told() == [
        'bench.toml: supplies.aux: feeds no run; write supply = "aux" in a run, or take it out.'
    ]


def test_one_supply_has_strips_of_one_voltage(sketch):
    sketch.put("runs.1.strip", "strip-24v-120-neutral")
    assert told(sketch) == [
        ": feeds strips of 12 V (strip-12v-60-warm) and 24 V (strip-24v-120-neutral); one supply "
        "gives one voltage. Give each its own supply."
    ]


def test_one_supply_has_strips_of_the_same_channels(sketch):
    sketch.put("runs.1.strip", "strip-12v-rgb-60")
    assert told(sketch) == [
        ": feeds strips of one channel (strip-12v-60-warm) and channels red, green, blue "
        "(strip-12v-rgb-60); one supply and its controller drive one kind. Give each its own "
        "supply."
    ]


def test_pixels_and_channels_of_the_same_colours_do_not_share_a_supply(sketch):
    sketch.put("runs.0.strip", "strip-12v-pixel-60").put("runs.1.strip", "strip-12v-rgb-60")
    (sentence,) = told(sketch)
    assert "pixels of red, green, blue (strip-12v-pixel-60) and channels red, green" in sentence


def test_strips_of_one_channel_each_share_a_supply_whatever_limits_their_current(sketch):
    sketch.put("runs.1.strip", "strip-12v-cc-60-warm").read()


def test_a_controller_has_a_channel_for_each_of_the_strip(sketch):
    for run in ("0", "1"):
        sketch.put(f"runs.{run}.strip", "strip-12v-rgb-60")
    sketch.put("supplies.0.controller", "receiver-radio-2ch")
    assert told(sketch) == [
        '.controller: found "receiver-radio-2ch" with 2 channels; strip-12v-rgb-60 needs 3 (red, '
        "green, blue). Take a controller with 3 or more."
    ]
    sketch.put("supplies.0.controller", "receiver-radio-4ch").read()


def test_pixels_take_any_controller(sketch):
    for run in ("0", "1"):
        sketch.put(f"runs.{run}.strip", "strip-12v-pixel-60")
    sketch.put("supplies.0.controller", "receiver-radio-pixel").read()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"converter": "boost-24v-2a"},
            '.converter: found "boost-24v-2a", which gives 24 V and cannot reach the 12 V of the '
            "strip; take one whose output includes 12 V.",
        ),
        (
            {"pack": "liion-3s-5200"},
            '.converter: found "buck-12v-5a", which needs more than 13 V at its input, and '
            "liion-3s-5200 gives 12.6 V when full. Take a converter for less, or a pack of more "
            "volts.",
        ),
        (
            {"converter": "boost-12v-3a"},
            '.converter: found "boost-12v-3a", which takes at most 11 V at its input, and '
            "liion-4s-6800 gives 16.8 V when full. Take a converter for more, or a pack of fewer "
            "volts.",
        ),
        (
            {"pack": "liion-1s-10000", "converter": "buck-adjustable-3a"},
            '.converter: found "buck-adjustable-3a", which needs more than 4.5 V at its input, '
            "and liion-1s-10000 gives 4.2 V when full. Take a converter for less, or a pack of "
            "more volts.",
        ),
        (
            {"pack": "aa-alkaline-4", "converter": "buck-adjustable-3a"},
            '.converter: found "buck-adjustable-3a", which only lowers volts, and aa-alkaline-4 '
            "gives 6.4 V when full, too little for 12 V. Take a boost or buck-boost converter, or "
            "a pack of more volts.",
        ),
        (
            {"output": "61 V"},
            ".output: found 61 V; this is for extra-low voltage only, up to 60 V DC.",
        ),
        (
            {"output": "13 V"},
            '.output: found 13 V; buck-12v-5a gives 12 V. Write output = "12 V" for this strip, '
            "or leave it out.",
        ),
        (
            {"output": "13 V", "converter": "buck-adjustable-3a"},
            '.output: found 13 V for a strip rated 12 V; write output = "12 V" or leave it out.',
        ),
        (
            {"output": "12 V", "converter": ..., "pack": "nimh-aa-10-2000"},
            ".output: stands alone; it is what an adjustable converter is set to. Name a "
            "converter, or take it out.",
        ),
        (
            {"fuse": "blade-2a", "converter": ..., "pack": "nimh-aa-10-2000"},
            ".fuse: has no place: with no converter there is one fuse, at the pack. Write it as "
            "pack_fuse.",
        ),
        (
            {"pack_fuse": "blade-2a", "converter": "boost-12v-1a5", "pack": "usb-10000"},
            ".pack_fuse: has no place: usb-10000 is a USB bank, closed up to its socket. Write the "
            "fuse after it as fuse, or take it out.",
        ),
    ],
)
def test_what_cannot_work_together_has_its_own_sentence(sketch, changes, sentence):
    sketch.put("supplies.0.converter", "buck-12v-5a")
    for key, value in changes.items():
        sketch.put(f"supplies.0.{key}", value)
    assert told(sketch) == [sentence]


def test_a_boost_converter_cannot_lower(sketch, parts):
    # The pack falls from 16.8 V to 12 V, at no time below the strip's 12 V.
    boost = dataclasses.replace(parts.converters["boost-12v-3a"], input_max_v=30.0)
    sketch.parts = dataclasses.replace(parts, converters={boost.name: boost})
    sketch.put("supplies.0.converter", boost.name)
    assert told(sketch) == [
        '.converter: found "boost-12v-3a", which only raises volts, and liion-4s-6800 never falls '
        "below 12 V, too much for 12 V. Take a buck or buck-boost converter."
    ]


def test_a_bank_gives_the_volts_of_its_socket_to_a_converter(sketch):
    for run in ("0", "1"):
        sketch.put(f"runs.{run}.strip", "strip-5v-60-warm").put(f"runs.{run}.length", "1 m")
    sketch.put("supplies.0.pack", "usb-5000").put("supplies.0.converter", "boost-5v-3a")
    (sentence,) = told(sketch)
    assert "takes at most 4.6 V at its input, and usb-5000 gives 5 V" in sentence


def test_a_small_difference_of_setting_is_let_be(sketch):
    sketch.put("supplies.0.converter", "buck-adjustable-3a").put("supplies.0.output", "12.3 V")
    assert sketch.read().supplies[0].output_v == 12.3


def test_a_setting_that_cannot_be_read_is_told_once(sketch):
    sketch.put("supplies.0.output", "12")
    assert len(told(sketch)) == 1


def test_volts_a_maker_can_reach_are_those_of_the_socket_of_a_bank(parts):
    assert source_v(parts.packs["usb-5000"]) == (5.0, 5.0)
    pack = parts.packs["liion-4s-6800"]
    assert source_v(pack) == (pack.cutoff_v, pack.full_v)


@pytest.mark.parametrize("key", ["fuse", "pack_fuse"])
def test_a_rating_is_answered_with_the_fuses_that_have_it(sketch, key):
    sketch.put(f"supplies.0.{key}", "5 A")
    (text,) = sketch.told()
    assert "write one of: blade-5a, cartridge-5a, resettable-5a." in text
    sketch.put(f"supplies.0.{key}", "6 A")
    (text,) = sketch.told()
    assert "ratings there are: 500 mA, 630 mA" in text
