"""The shopping list agrees with the cut list and the price list, and its CSV starts no formula."""

import csv
import io
import math
import re
import string
from dataclasses import replace

import pytest
from designs import catalogue_with, design, designs, parts, run, some, supply
from hypothesis import given
from hypothesis import strategies as st
from pieces import example
from sheets import parse, text_of

from lightcalc.answers.answer import answer
from lightcalc.packet.build_sheet import build_sheet
from lightcalc.packet.cut_list import cut_list
from lightcalc.packet.shop_sheet import buy_tables
from lightcalc.packet.shopping import shopping, shopping_csv, spare_rules

# What starts a formula: OWASP, "CSV Injection", lists = + - @ tab and carriage return.
STARTS = ("=", "+", "-", "@", "\t", "\r")

STEPS = {
    "whole reels",
    "ends, loops and whole metres of wire",
    "ends, loops and whole feet of wire",
    "spare fuses and connectors",
    "jumpers between parts",
    "each line rounded",
}


def list_of(made, catalogue=None):
    catalogue = catalogue or parts()
    found = answer(made, catalogue)
    cuts = cut_list(made, catalogue, found)
    return shopping(made, catalogue, found, cuts), cuts


def text_in(part):
    """Return the text of a part of a sheet that is not yet HTML."""
    return " ".join(map(text_in, part.children)) if hasattr(part, "children") else str(part)


def rows_of(text):
    return list(csv.reader(io.StringIO(text, newline="")))


@some
@given(designs())
def test_strip_and_wire_are_enough_for_the_cut_list(made):
    found, cuts = list_of(made)
    bought = {(line.part, line.colour): line.buy_count for line in found.lines}
    for strip in cuts.strips:
        assert bought[strip.strip, ""] == len(strip.reels)
    for total in cuts.wire_totals:
        metres = bought[total.wire, total.colour]
        assert 1.1 * total.length_m <= metres + 1e-6
        assert metres < 1.1 * total.length_m + 1.0 + 1e-6


@some
@given(designs())
def test_the_total_is_the_answers_price_and_every_step_between(made):
    found, _ = list_of(made)
    assert found.total == pytest.approx(sum(line.price for line in found.lines))
    steps = sum(step.price for step in found.difference)
    assert found.total == pytest.approx(found.by_length_price + steps)


@pytest.mark.parametrize("each", [0.008, 0.126, 7.3333])
def test_lines_of_prices_finer_than_hundredths_still_add_up_to_the_total(each):
    made, catalogue, _ = example("hall-bench")
    fine = replace(
        catalogue,
        **{
            kind: {
                name: replace(part, price=each) for name, part in getattr(catalogue, kind).items()
            }
            for kind in ("packs", "converters", "controllers", "fuses", "connectors", "strips")
        },
    )
    listed, _ = list_of(made, fine)
    steps = sum(step.price for step in listed.difference)
    assert listed.total == pytest.approx(listed.by_length_price + steps, abs=1e-9)
    assert listed.total == pytest.approx(sum(round(line.price, 2) for line in listed.lines))


@pytest.mark.parametrize("name", ["hall-bench", "bedside-shelf", "display-cabinet"])
def test_what_the_price_leaves_out_is_only_spares_and_whole_lengths(name):
    made, catalogue, found = example(name)
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    assert {step.what for step in listed.difference} <= STEPS
    # Counted again from the lines: what goes into the piece, with no spares, is the answer's price.
    whole = sum(
        line.needed_count * line.unit_price
        for line in listed.lines
        if line.kind not in {"strip", "wire"}
    )
    by_length = sum(
        catalogue.strips[run.strip].price * run.cut_length_m / catalogue.strips[run.strip].reel_m
        for run in found.runs
    )
    returns = {run.supply: len(catalogue.strips[run.strip].channels) for run in found.runs}
    packs = {f"{one.name} pack lead" for one in made.supplies}
    by_length += sum(
        catalogue.wires[wire.wire].price_per_m
        * wire.length_m
        * (2 if wire.lead in packs else 1 + returns[wire.supply])
        for wire in found.wires
    )
    assert whole + by_length == pytest.approx(found.price)


@some
@given(designs())
def test_every_line_buys_what_is_needed_and_its_spares(made):
    found, _ = list_of(made)
    for line in found.lines:
        assert line.buy_count == int(line.buy_count) >= line.needed_count > 0
        assert line.price == pytest.approx(line.buy_count * line.unit_price, abs=0.005 + 1e-9)
        assert line.price == round(line.price, 2)
        if line.kind == "fuse":
            assert line.spare_count == 1
        if line.kind == "connector":
            assert line.spare_count == max(math.ceil(0.1 * line.needed_count), 1)


def test_the_demo_costs_what_its_price_list_says():
    # From the example catalogue: a reel 9.50, pack 62, converter 11, receiver 11, two blades 0.40,
    # two polarised plugs 1.60, three small plugs 0.50, 3 m each of red and black 20 AWG at 0.36,
    # 1 m each of 22 AWG at 0.28. No fuse after the converter, which limits itself.
    made, catalogue, found = example("hall-bench")
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    assert listed.total == pytest.approx(
        9.5 + 62 + 11 + 11 + 2 * 0.4 + 2 * 1.6 + 3 * 0.5 + 6 * 0.36 + 2 * 0.28
    )
    assert listed.currency == "EUR"
    assert {one.what for one in listed.also} == {
        "holder for a blade fuse",
        "charger for 4 lithium-ion cells in series, 16.8 V",
        "splice for wires",
        "aluminium channel on the surface",
    }


def test_wire_of_an_inch_design_is_bought_by_the_foot_for_the_same_money():
    # 0.3048 m to the foot, exactly (NIST SP 811).
    made, catalogue, found = example("hall-bench")
    cuts = cut_list(made, catalogue, found)
    metric = shopping(made, catalogue, found, cuts)
    inch = shopping(replace(made, system="inch"), catalogue, found, cuts)
    pairs = [pair for pair in zip(metric.lines, inch.lines, strict=True) if pair[0].kind == "wire"]
    assert len(pairs) == 4
    for metres, feet in pairs:
        assert (metres.sold_by, feet.sold_by) == ("m", "ft")
        assert feet.needed_count * 0.3048 == pytest.approx(metres.needed_count)
        assert feet.unit_price / 0.3048 == pytest.approx(metres.unit_price)
        assert 1.1 * feet.needed_count <= feet.buy_count < 1.1 * feet.needed_count + 1.0
    channels = [one for one in inch.also if "channel" in one.what]
    assert [one.sold_by for one in channels] == ["ft", "ft"]
    # 1.4 m are 55.1 in; a saw cuts to 56 in.
    assert [one.count * 12 for one in channels] == pytest.approx([56, 56])
    rows = rows_of(shopping_csv(inch))
    assert {row[4] for row in rows if row[0] == "wire"} == {"ft"}


@some
@given(st.floats(0.05, 20.0), st.sampled_from(["metric", "inch"]))
def test_channel_is_bought_to_the_next_whole_centimetre_or_inch_and_never_less(length_m, system):
    made = design(run(length_m=length_m, mounting="aluminium channel on the surface"))
    made = replace(made, system=system)
    catalogue = parts()
    found = answer(made, catalogue)
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    (channel,) = [one for one in listed.also if "channel" in one.what]
    # 2.54 cm to the inch, exactly (NIST SP 811).
    step_m, steps = (0.0254, 12) if system == "inch" else (0.01, 100)
    count = channel.count * steps
    assert count == pytest.approx(round(count), abs=1e-6)
    assert -1e-6 <= round(count) * step_m - found.runs[0].cut_length_m < step_m + 1e-6


def test_lengths_to_buy_are_printed_as_a_rule_shows_them():
    made, catalogue, found = example("hall-bench")
    made = replace(made, system="inch")
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    text = " ".join(map(text_in, buy_tables(listed)))
    assert "4 ft 8 in" in text
    assert "2 ft" in text
    assert not re.search(r"\d\.\d+ (ft|in)\b", text)


def test_the_csv_shows_lengths_in_feet_to_hundredths_and_never_too_few():
    made, catalogue, found = example("display-cabinet")
    made = replace(made, system="inch")
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    rows = rows_of(shopping_csv(listed))[1:]
    for row, one in zip(rows, (*listed.lines, *listed.also), strict=False):
        needed, spare, buy = map(float, row[5:8])
        assert all(len(cell.partition(".")[2]) <= 2 for cell in row[5:8]), row
        assert len(row[8].partition(".")[2]) <= 4, row
        assert needed + spare == pytest.approx(buy, abs=1e-9)
        known = one.needed_count if hasattr(one, "needed_count") else one.count
        assert 0.0 <= needed - known < 0.01
    assert any("." in row[5] for row in rows if row[0] == "wire")


@pytest.mark.parametrize("unknown", [False, True])
def test_what_is_to_be_known_of_the_list_is_printed_beside_it(unknown):
    made, catalogue, found = example("hall-bench")
    if unknown:
        pack = replace(catalogue.packs["liion-4s-6800"], price=None)
        catalogue = replace(catalogue, packs={**catalogue.packs, pack.name: pack})
        found = answer(made, catalogue)
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    assert len(listed.notes) == 1
    text = text_of(parse(build_sheet(made, catalogue, found)))
    for note in listed.notes:
        assert note in text


def test_prices_stand_in_the_currency_of_the_catalogue():
    catalogue = replace(parts(), currency="NOK")
    head, *_ = rows_of(shopping_csv(list_of(design(), catalogue)[0]))
    assert head[-2:] == ["unit price (NOK)", "price (NOK)"]


def test_a_fuse_a_converter_makes_needless_is_bought_only_when_named():
    for named, kinds in ((None, 1), ("cartridge-1a", 2)):
        found, _ = list_of(design(supplies=(supply(fuse=named),)))
        assert len([line for line in found.lines if line.kind == "fuse"]) == kinds


def test_parts_of_several_supplies_are_one_line():
    made = design(
        run(),
        run(name="other", supply="second"),
        supplies=(supply(), supply(name="second", pack_multiple=2)),
    )
    (pack,) = [line for line in list_of(made)[0].lines if line.kind == "pack"]
    assert (pack.needed_count, pack.buy_count, pack.what_for) == (3, 3, "box; second")


@pytest.mark.parametrize(
    ("kind", "part", "field"),
    [("packs", "liion-4s-6800", "price"), ("wires", "wire-20awg", "price_per_m")],
)
def test_a_price_nobody_knows_is_said_to_be_unknown(kind, part, field):
    free = catalogue_with(kind, part, **{field: None})
    found, _ = list_of(design(), free)
    assert found.total is None
    assert found.unknown == (part,)
    assert found.difference == ()
    assert any(part in note for note in found.notes)
    rows = rows_of(shopping_csv(found))
    assert all(row[-2:] == ["unknown", "unknown"] for row in rows if row[1] == part)
    assert [rows[-2][0], rows[-2][-1]] == ["total", "unknown"]
    assert float(rows[-1][-1]) == pytest.approx(found.known_total)


def test_the_csv_holds_the_list_and_nothing_else():
    made, catalogue, found = example("display-cabinet")
    listed = shopping(made, catalogue, found, cut_list(made, catalogue, found))
    head, *rows = rows_of(shopping_csv(listed))
    assert {len(row) for row in (head, *rows)} == {10}
    assert len(rows) == len(listed.lines) + len(listed.also) + 1
    for row, line in zip(rows, listed.lines, strict=False):
        assert row[:4] == [line.kind, line.part, line.colour, line.what_for]
        assert float(row[7]) == line.buy_count
        assert float(row[9]) == pytest.approx(line.price)


hostile = st.text(
    st.sampled_from(["=", "+", "-", "@", "\t", "\r", "\n", '"', "'", ";", ",", " ", "|", "\uff1d"])
    | st.sampled_from(string.ascii_letters),
    min_size=1,
    max_size=12,
)


def assert_no_formula(text):
    for row in rows_of(text):
        for cell in row:
            assert not cell.startswith(STARTS), cell
            assert not cell.lstrip().startswith(STARTS), cell
    # Told to split at another sign, a spreadsheet finds no formula either.
    for sign in ";|\t":
        for cell in text.replace("\r\n", sign).split(sign):
            assert not cell.strip().startswith(STARTS), (sign, cell)


@some
@given(hostile, hostile, hostile)
def test_no_cell_starts_a_formula_whatever_things_are_called(one, other, colour):
    parts_ = catalogue_with("wires", "wire-20awg", colours=(colour, "black"))
    name, strip = "=cmd", parts_.strips["strip-12v-60-warm"]
    parts_ = replace(
        parts_,
        strips={**parts_.strips, name: replace(strip, name=name)},
        currency="@EUR",
    )
    made = design(
        run(name, 1.0, name=one, supply=other, mounting="aluminium channel on the surface"),
        supplies=(supply(name=other, switched_off=True),),
    )
    assert_no_formula(shopping_csv(list_of(made, parts_)[0]))


def test_a_name_that_starts_nothing_is_left_as_it_is():
    text = shopping_csv(list_of(design(run(name="rail - left + right @ 2 = 3")))[0])
    assert "rail - left + right @ 2 = 3" in text


def test_every_kind_of_line_has_a_rule_for_spares():
    found, _ = list_of(
        design(supplies=(supply(controller="receiver-radio-1ch", connectors=("plug-small-2",)),))
    )
    assert {line.kind for line in found.lines} == set(spare_rules())


def test_a_bank_takes_a_plug_for_its_socket_and_an_adapter_in_place_of_a_charger():
    banked = design(run(), supplies=(supply("usb-20000-stays-on", "boost-12v-1a5"),))
    also = {one.what for one in list_of(banked)[0].also}
    assert {"plug that fits the bank's socket", "cable and listed adapter to charge the bank"} <= (
        also
    )
    assert not any(what.startswith("charger") for what in also)
    cells = {one.what for one in list_of(design())[0].also}
    assert "plug that fits the bank's socket" not in cells
