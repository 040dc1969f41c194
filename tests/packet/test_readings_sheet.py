"""There is a box for every reading that the bench can compare, beside what the answer expects."""

from dataclasses import replace
from itertools import chain

import pytest
from designs import design, run, supply
from pieces import answered, demo, example, with_eye
from sheets import EXAMPLES, figures, of_class, parse

from lightcalc.packet.build_sheet import build_sheet
from lightcalc.packet.figures import Figures
from lightcalc.packet.html import to_text
from lightcalc.packet.readings_sheet import CHECKS, Bench
from lightcalc.packet.steps import assembly


def rows(root, check):
    (found,) = [one for one in of_class(root, check) if one.tag == "table"]
    (body,) = found.iter("tbody")
    return list(body)


def paths(row):
    return [one.get("data-figure") for one in figures(row)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_volts_and_amps_of_every_feed_and_far_end_have_their_box(name):
    made, catalogue, found = example(name)
    lit = rows(parse(build_sheet(made, catalogue, found)), "lit")
    written = list(chain.from_iterable(paths(row) for row in lit))
    for n, lit_run in enumerate(found.runs):
        assert f"runs.{n}.dimmest_v" in written
        assert f"runs.{n}.amps_a" in written
        for m, feed in enumerate(lit_run.feeds):
            for k, _ in enumerate(feed.channels):
                assert f"runs.{n}.feeds.{m}.channels.{k}.volts_v" in written
                assert f"runs.{n}.feeds.{m}.channels.{k}.amps_a" in written
    for row in lit:
        assert [one.text for one in of_class(row, "box")] == ["V", "A"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_lead_is_checked_for_polarity_and_every_channel_for_shorts(name):
    made, catalogue, found = example(name)
    root = parse(build_sheet(made, catalogue, found))
    assert len(rows(root, "polarity")) == len(found.wires)
    channels = sum(len(catalogue.strips[run.strip].channels) for run in made.runs)
    assert len(rows(root, "resistance")) == channels
    assert len(rows(root, "pack")) == len(made.supplies)


def test_warmth_is_written_in_the_units_of_the_design():
    boxes = [
        of_class(rows(parse(build_sheet(*example(name))), "heat")[0], "box")[0].text
        for name in ("hall-bench", "bedside-shelf")
    ]
    assert boxes == ["\u00b0C", "\u00b0F"]


def test_warmth_a_hair_below_its_limit_reads_cooler_than_the_limit():
    made, catalogue, found = example("bedside-shelf")
    heat = replace(found.heat[0], strip_c=59.9, limit_c=60.0)
    close = Figures(replace(found, heat=(heat, *found.heat[1:])))
    (row, *_) = list(CHECKS["heat"][1](Bench(made, catalogue, close, 100)))
    shown = [to_text(part) for part in row[2] if not isinstance(part, str)]
    assert ">139.8\u00a0\u00b0F<" in shown[0]
    assert ">140\u00a0\u00b0F<" in shown[1]


def test_amps_of_a_bank_are_not_measured_in_a_fuse_that_is_not_there():
    bank = answered(design(run("strip-5v-60-warm"), supplies=(supply("usb-20000", None),)))
    cells = example("hall-bench")
    for made, fused in ((bank, False), (cells, True)):
        steps = assembly(made[0], made[1], Figures(made[2]))
        told = " ".join(to_text(step) for step in steps)
        assert ("fuse&#x27;s place" in told) == fused
        assert "the meter in series in the +" in told


def test_everybody_who_holds_the_remote_has_a_box_beside_what_is_seen_of_the_eye():
    made = with_eye()
    found = made[2]
    tried = rows(parse(build_sheet(*made)), "remote")
    assert len(found.remotes) == len(tried) == 4
    for number, (row, line) in enumerate(zip(tried, found.remotes, strict=True)):
        assert paths(row) == [f"remotes.{number}.free_ratio", f"remotes.{number}.hand_m"]
        assert line.viewer in [one.text for one in row]
        assert len(of_class(row, "box")) == 1


def test_an_eye_of_a_piece_without_blocks_is_tried_from_where_the_client_sits():
    made = with_eye()
    bare = demo(supplies=made[0].supplies, space=replace(made[0].space, blocks=(), inlays=()))
    (row,) = rows(parse(build_sheet(*bare)), "remote")
    assert "where the client sits" in [one.text for one in row]
