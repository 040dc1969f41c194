"""The care card says what is so of the cells in the design, and nothing that is not."""

import re
from dataclasses import replace

import pytest
from designs import catalogue_with, design, run, supply
from pieces import answered, example
from sheets import figures, parse, text_of

from lightcalc.answers.answer import answer
from lightcalc.design.service import Joint, Service
from lightcalc.packet.care_card import care_card


def told(made):
    return text_of(parse(care_card(*made)))


def with_pack(pack, converter="buck-12v-5a"):
    return answered(design(run(), supplies=(supply(pack, converter),)))


def test_lithium_is_charged_out_of_the_piece_and_never_when_freezing():
    text = told(example("hall-bench"))
    assert "Never charge it when it is below 0" in text
    assert "dangerous goods" in text
    assert "The seat lifts off two rails." in text
    assert "To get at the pack: lift the seat off its rails." in text
    assert "It comes apart at: seat to rails." in text


def test_cells_that_cannot_be_charged_are_never_charged():
    text = told(example("bedside-shelf"))
    assert "Never try to charge these cells." in text
    assert "How to charge it" not in text
    assert "Never mix old and new" in text
    assert "dangerous goods" not in text


@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_hours_stand_with_their_range(name):
    paths = [one.get("data-figure") for one in figures(parse(care_card(*example(name))))]
    for figure in ("hours_h", "hours_low_h", "hours_high_h"):
        assert f"supplies.0.{figure}" in paths


EVERY_PACK = {
    "Never open, crush, drop, wet or pierce the pack": "Never",
    "Switch it off and stop using it. Do not charge it again": "When it swells, smells",
    "Used cells and packs go to a collection point": "When to replace",
    "take the pack out, so that nothing can come on": "How to ship or move it",
    "ask the maker of the piece; do not lever": "How to open the piece",
}


@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_every_card_says_what_never_to_do_and_what_to_do_when_it_swells_or_is_shipped(name):
    root = parse(care_card(*example(name)))
    sections = [text_of(one) for one in root.iter("section")]
    for words, title in EVERY_PACK.items():
        assert any(title in one and words in one for one in sections), words


@pytest.mark.parametrize("name", ["hall-bench", "display-cabinet"])
def test_what_is_charged_says_when_it_is_worn(name):
    made = example(name)
    paths = [one.get("data-figure") for one in figures(parse(care_card(*made)))]
    assert "supplies.0.years_until_worn_years" in paths
    assert "Expect to replace the pack" in told(made)


def test_each_of_two_packs_has_its_own_hours_at_full_level():
    text = told(two_packs())
    for name in ("base", "top"):
        assert re.search(rf"without a break, from full, pack {name} gives about \d", text)


def two_packs():
    """Return a design with two kinds of pack, told to stop, with all that a card may say."""
    service = Service(reach="pull out the drawer", held_by="shelf")
    packs = (("base", "lifepo4-4s-6000"), ("top", "sla-12v-7ah"))
    made = design(
        *(run(name=name, supply=name, length_m=4.9) for name, _ in packs),
        supplies=tuple(
            supply(
                pack, "buckboost-12v-4a", controller="dimmer-smooth-1ch", name=name,
                switched_off=True, service=service,
            )
            for name, pack in packs
        ),
    )  # fmt: skip
    made = replace(
        made,
        joints=(Joint("top to case"),),
        piece=replace(made.piece, notes="Walnut, oiled. The top lifts off after four screws."),
    )
    return answered(made)


@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_it_defers_to_makers_and_local_rules(name):
    text = told(example(name))
    assert "instructions that came with the pack" in text
    assert "rules where you live" in text


def test_a_bank_is_charged_as_its_instructions_say():
    text = told(with_pack("usb-20000-stays-on", "boost-12v-1a5"))
    assert "USB bank: take it out" in text
    assert "Charge only with the charger made for this pack" not in text


def test_where_nothing_is_said_of_the_way_to_the_pack_there_is_room_to_write_it():
    said, unsaid = told(example("hall-bench")), told(with_pack("liion-4s-6800"))
    assert "writes here how to get at the pack" in unsaid
    assert "writes here how to get at the pack" not in said


def test_a_pack_is_named_by_its_chemistry_volts_amp_hours_and_watt_hours():
    # 14.4 V times 6.8 Ah are 97.9 Wh; eight alkaline cells of 1.5 V and 2.5 Ah hold 30 Wh.
    assert "lithium-ion, 14.4 V nominal, 6.8 Ah, 97.9 Wh." in told(example("hall-bench"))
    assert "alkaline, 12 V nominal, 2.5 Ah, 30 Wh." in told(with_pack("aa-alkaline-8", None))
    bank = told(with_pack("usb-20000-stays-on", "boost-12v-1a5"))
    assert re.search(r"lithium-ion, 3\.\d V nominal in its cells, 5 V out, 20 Ah, 7\d Wh\.", bank)


def test_twice_the_cells_hold_twice_the_watt_hours():
    two = supply("liion-4s-6800", "buck-12v-5a", pack_multiple=2)
    text = told(answered(design(run(), supplies=(two,))))
    assert "2 \u00d7 liion-4s-6800: lithium-ion, 14.4 V nominal, 13.6 Ah, 196 Wh." in text


@pytest.mark.parametrize(("multiple", "large"), [(1, False), (2, True)])
def test_a_lithium_pack_stands_beside_the_100_watt_hours_of_carriers(multiple, large):
    one = supply("liion-4s-6800", "buck-12v-5a", pack_multiple=multiple)
    text = told(answered(design(run(), supplies=(one,))))
    assert ("more than the 100 Wh" in text) == large
    assert ("within the 100 Wh" in text) == (not large)
    for word in ("UN 38.3", "IATA", "carrier's rules decide"):
        assert word in text
    assert "100 Wh" not in told(with_pack("aa-alkaline-8", None))


def test_the_charger_is_named_by_its_cells_and_its_hours_by_amp_hours_over_amps():
    # 6.8 Ah at 2 A are 3.4 h, times 1.25 to 1.5: 4 h 15 min to 5 h 6 min.
    text = told(example("hall-bench"))
    assert "a charger for 4 lithium-ion cells in series, 16.8 V." in text
    assert "6.8 Ah at 2 A would take about 4 to 5 h" in text
    assert "the pack's maker states the amps" in text
    # A third of that current takes three times as long.
    stated = catalogue_with("packs", "liion-4s-6800", charge_current_a=2.0 / 3.0)
    made = design(run(), supplies=(supply("liion-4s-6800"),))
    text = told((made, stated, answer(made, stated)))
    assert "about 13 to 15 h at 670 mA, for 6.8 Ah" in text
    assert "maker states the amps" not in text


def test_a_charger_whose_volts_are_not_those_of_the_full_pack_has_those_of_the_label():
    # At rest a lead-acid or iron phosphate cell stands below its charger's volts.
    assert "a charger for 6 lead-acid cells in series, 12 V nominal." in told(two_packs())
    assert "4 lithium iron phosphate cells in series, 12.8 V nominal." in told(two_packs())


def test_a_bank_takes_its_watt_hours_over_those_of_the_adapter():
    # 3.7 V times 10 Ah are 37 Wh: 3.7 h from 10 W, times 1.25 to 1.5.
    text = told(with_pack("usb-10000", "boost-12v-1a5"))
    assert "about 5 to 6 h from an adapter of 10 W, for 37 Wh" in text


def test_the_card_speaks_of_a_plug_at_the_pack_only_where_there_is_one():
    made = design(run(), supplies=(supply(),))
    plugged = design(run(), supplies=(supply(connectors=("plug-polarised-2",)),))
    with_plug, without = told(answered(plugged)), told(answered(made))
    assert "Part the plug of the pack, and take it out" in with_plug
    assert "no plug" not in with_plug
    assert "There is no plug in its wires" in without
    assert "Part the plug" not in without
    assert "nplug" not in without.replace("unplug the wires that go across", "")


@pytest.mark.parametrize(
    ("controller", "says", "never"),
    [
        ("receiver-infrared-1ch", "Point it at the eye", "radio goes through wood"),
        ("receiver-radio-1ch", "radio goes through wood", "Point it at the eye"),
        ("dimmer-touch-1ch", "Dimmed light", "remote"),
    ],
)
def test_the_card_tells_of_the_remote_where_there_is_one(controller, says, never):
    made = design(run(), supplies=(supply(controller=controller),))
    text = told(answered(made))
    assert says in text
    assert never not in text
    assert ("The remote" in text) == controller.startswith("receiver")


def with_eye(at_m, *, blocks=True, system="inch"):
    """Return the bench with an infrared receiver whose eye is somewhere."""
    made, catalogue, _ = example("hall-bench")
    one = replace(made.supplies[0], controller="receiver-infrared-1ch", sensor_at_m=at_m)
    made = replace(made, system=system, supplies=(one,))
    if not blocks:
        made = replace(made, space=replace(made.space, blocks=(), inlays=()))
    return made, catalogue, answer(made, catalogue)


# The bench is 1500 mm wide, 380 mm deep and 450 mm high.
@pytest.mark.parametrize(
    ("at_m", "says"),
    [
        ((0.0, 0.0, 0.0), "at the left end, at the front edge, at the floor"),
        ((0.34, 0.0, 0.39), "on the left, at the front edge, high up"),
        ((0.75, 0.19, 0.2), "in the middle, halfway back, halfway up"),
        ((1.4, 0.3, 0.1), "on the right, near the back, low down"),
        ((1.5, 0.38, 0.45), "at the right end, at the back edge, at the very top"),
    ],
)
def test_the_client_is_told_in_plain_words_where_the_eye_is(at_m, says):
    text = told(with_eye(at_m))
    assert f"The eye is {says}, as you stand before the piece." in text


@pytest.mark.parametrize("system", ["metric", "inch"])
@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_no_workshop_measure_stands_on_a_card(name, system):
    made, catalogue, _ = example(name)
    made = replace(made, system=system)
    eyed = with_eye((0.34, 0.0, 0.39), system=system)
    for text in (told((made, catalogue, answer(made, catalogue))), told(eyed)):
        assert not re.search(r"\d (mm|cm|m|in|ft)\b", text)
        assert "from the front" not in text
        assert "amp hours over amps" not in text


def test_where_nothing_is_known_of_the_piece_the_eye_is_only_told_at_an_edge():
    assert "The eye is at the front edge, high up," in told(with_eye((0.3, 0.0, 0.4), blocks=False))
    made, catalogue, _ = with_eye((0.3, 0.2, 0.4), blocks=False)
    made = replace(made, piece=replace(made.piece, height_m=None))
    assert "The eye is" not in told((made, catalogue, answer(made, catalogue)))


def test_what_draws_nothing_between_evenings_is_not_said_to_draw():
    drawing = design(run(), supplies=(supply(controller="receiver-infrared-1ch"),))
    off = replace(drawing, supplies=(replace(drawing.supplies[0], switched_off=True),))
    assert "some parts draw a little all day" in told(answered(drawing))
    switched = told(answered(off))
    assert "a little all day" not in switched
    assert "Switch it off by hand, at the pack, after every evening" in switched
    assert "a little all day" not in told(example("bedside-shelf"))


def test_one_pack_is_the_pack_and_several_have_their_names():
    assert "A full charge of the pack gives about" in told(example("hall-bench"))
    both = told(two_packs())
    for name in ("base", "top"):
        assert f"A full charge of pack {name} gives about" in both
