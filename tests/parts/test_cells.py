"""What one cell may hold."""

import pytest

PART = {
    "strips": "strip-12v-rgb-60",
    "packs": "liion-3s-5200",
    "converters": "boost-12v-1a5",
    "controllers": "receiver-radio-1ch",
    "wires": "wire-20awg",
    "fuses": "blade-5a",
    "connectors": "plug-usb",
    "sheets": "sheet-opal-3",
}


@pytest.mark.parametrize(
    ("file", "heading", "text", "says"),
    [
        ("strips", "power", "nan", "not a finite number"),
        ("strips", "power", "inf", "not a finite number"),
        ("strips", "power", "1e400", "not a finite number"),
        ("strips", "power", "1e99", "at most 100 W/m"),
        ("strips", "power", "-1", "at least 0.01 W/m"),
        ("strips", "power", "0", "at least 0.01 W/m"),
        ("strips", "power", "14,4", "point for decimals"),
        ("strips", "power", "1 000", "point for decimals"),
        ("strips", "power", "14.4 W", '"W" measures a power; write a power per length as'),
        ("strips", "power", "400 W/ft", "at most 100 W/m"),
        ("strips", "width", "5/16", 'such as "5/16 in"'),
        ("strips", "LED pitch", "0 LEDs/m", "as 60 LEDs/m"),
        ("strips", "price", "$24.00", "write 24.00 alone"),
        ("strips", "price", "24 EUR", "write 24 alone"),
        ("wires", "price", "$0.36", "write 0.36 alone"),
        ("wires", "price", "$0.15/ft", "write 0.15 per ft."),
        ("wires", "price", "0.15 USD per ft", "write 0.15 per ft."),
        ("wires", "price", "0.15 per reel", "write 0.15/m or 0.15/ft"),
        ("wires", "price", "9/0 ft", "none of it"),
        ("strips", "price", "0.9/ft", "the price here is of one reel. Write that number alone"),
        ("packs", "capacity", "20 kWh", "at most 1000 Ah"),
        ("packs", "capacity", "5 W", "write a battery capacity as"),
        ("strips", "power", "much", "write a number"),
        ("strips", "power", "x" * 501, "at most 500"),
        ("strips", "rated", "72", "extra-low voltage up to 60 V DC"),
        ("strips", "kind", "pixl", 'Did you mean "pixel"?'),
        ("strips", "channels", "red; green; blu", 'Did you mean "blue"?'),
        ("strips", "channels", "red; red; blue", "each word may stand there once"),
        ("strips", "LEDs in series", "2.5", "whole number"),
        ("strips", "beam", "180", "less than 180 deg"),
        ("strips", "heat share", "101", "at most 100 %"),
        ("strips", "dropout", "1", "only for constant-current or pixel"),
        ("strips", "idle", "1", "only for pixel"),
        ("packs", "full", "84", "extra-low voltage up to 60 V DC"),
        ("packs", "rechargeable", "maybe", "write yes or no"),
        ("packs", "output", "5", "only for usb bank"),
        ("packs", "chemistry", "lithium ion", 'Did you mean "lithium-ion"?'),
        ("packs", "cells in series", "0", "at least 1"),
        ("converters", "max output", "110", "extra-low voltage up to 60 V DC"),
        ("converters", "losses", "0.1 0.3", "write pairs"),
        ("converters", "losses", "0.1:a", "write a number"),
        ("controllers", "remote", "radioo", 'Did you mean "radio"?'),
        ("wires", "size", "20", "20 AWG or 0.75 mm2"),
        ("wires", "colours", "red;;black", "nothing between two"),
        ("fuses", "opens at", "100", "more than 100 %"),
        ("sheets", "refractive index", "0.9", "at least 1"),
        ("sheets", "thicknesses", "3; 0", "at least 0.01 mm"),
        ("connectors", "name", "a" * 61, "at most 60 letters"),
        ("connectors", "name", "../../etc", "starts with a letter or digit"),
    ],
)
def test_a_cell_that_is_not_allowed_is_told_with_what_is(spoiled, file, heading, text, says):
    spoiled.change(file, PART[file], {heading: text})
    told = spoiled.told()
    assert any(heading in sentence and says in sentence for sentence in told), told


@pytest.mark.parametrize(
    ("file", "heading", "field", "expected"),
    [
        ("strips", "beam", "beam_deg", 120.0),
        ("strips", "heat share", "heat_share", 0.75),
        ("strips", "price", "price", None),
        ("packs", "slow current", "slow_current_a", None),
        ("wires", "colours", "colours", ()),
    ],
)
def test_an_empty_cell_stands_for_what_the_table_says(spoiled, file, heading, field, expected):
    spoiled.change(file, PART[file], {heading: ""})
    assert getattr(getattr(spoiled.read(), file)[PART[file]], field) == expected


def test_a_cell_needed_for_its_kind_must_be_filled(spoiled):
    spoiled.change("strips", "strip-5v-pixel-60", {"dropout": ""})
    spoiled.change("packs", "usb-10000", {"output": ""})
    told = spoiled.told()
    assert len(told) == 2
    assert "needed for pixel" in told[0]
    assert "needed for usb bank" in told[1]


def test_a_limit_itself_is_allowed(spoiled):
    spoiled.change("strips", "strip-12v-60-warm", {"power tolerance": "90", "reel": "200"})
    assert spoiled.read().strips["strip-12v-60-warm"].power_tolerance == 0.9


@pytest.mark.parametrize(
    ("file", "heading", "field", "text", "expected"),
    [
        # The inch, the pound and the foot: NIST Special Publication 811, appendix B.
        ("strips", "power", "power_w_per_m", "4.4 W/ft", 4.4 / 0.3048),
        ("strips", "cut unit", "cut_unit_m", "2 in", 0.0508),
        ("strips", "width", "width_m", "5/16 in", 0.0079375),
        ("strips", "reel", "reel_m", "16.4 ft", 16.4 * 0.3048),
        ("strips", "max temperature", "max_c", "140 F", 60.0),
        ("strips", "rail", "rail_ohm_per_m", "30 mohm/ft", 0.03 / 0.3048),
        ("strips", "power tolerance", "power_tolerance", "10 %", 0.1),
        ("strips", "rated", "rated_v", "12 V", 12.0),
        ("packs", "mass", "mass_kg", "24 oz", 1.5 * 0.45359237),
        ("wires", "price", "price_per_m", "0.15/ft", 0.15 / 0.3048),
        ("wires", "price", "price_per_m", "0.49 per foot", 0.49 / 0.3048),
        ("wires", "price", "price_per_m", "49 per 100 ft", 0.49 / 0.3048),
        ("wires", "price", "price_per_m", "0.4 / m", 0.4),
        ("sheets", "price", "price_per_m2", "2/ft2", 2.0 / 0.3048**2),
        ("packs", "capacity", "capacity_coulomb", "5,200 mAh", 5.2 * 3600.0),
        ("sheets", "thicknesses", "thicknesses_m", "1/8 in; 3", (0.003175, 0.003)),
    ],
)
def test_a_cell_may_carry_its_own_unit(  # noqa: PLR0917 - one of each
    spoiled, file, heading, field, text, expected
):
    spoiled.change(file, PART[file], {heading: text})
    found = getattr(getattr(spoiled.read(), file)[PART[file]], field)
    assert found == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "pitch_m"),
    [
        ("60 LEDs/m", 1.0 / 60.0),
        ("60/m", 1.0 / 60.0),
        ("18 LEDs per ft", 0.3048 / 18.0),
        ("300 leds per 5 m", 1.0 / 60.0),
        ("21/32 in", 0.01666875),
    ],
)
def test_a_pitch_may_be_so_many_leds_on_a_length(spoiled, text, pitch_m):
    spoiled.change("strips", "strip-12v-60-warm", {"LED pitch": text})
    assert spoiled.read().strips["strip-12v-60-warm"].pitch_m == pytest.approx(pitch_m, rel=1e-9)


def test_watt_hours_are_amp_hours_at_the_nominal_volts(spoiled):
    spoiled.change("packs", "liion-3s-5200", {"nominal": "11.1", "capacity": "55.5 Wh"})
    pack = spoiled.read().packs["liion-3s-5200"]
    assert pack.capacity_coulomb == pytest.approx(5.0 * 3600.0, rel=1e-9)


def test_watt_hours_wait_for_volts_that_can_be_read(spoiled):
    spoiled.change("packs", "liion-3s-5200", {"nominal": "eleven", "capacity": "55.5 Wh"})
    (told,) = spoiled.told()
    assert "nominal" in told


@pytest.mark.parametrize(("text", "protected"), [("TRUE", True), ("y", True), ("Yes", True)])
def test_a_spreadsheets_true_is_a_yes(spoiled, text, protected):
    spoiled.change("packs", "liion-3s-5200", {"protected": text})
    assert spoiled.read().packs["liion-3s-5200"].protected is protected
