"""The wiring diagram holds every part, lead and feed with the answer's numbers, and is wired right.

Its lines are traced as a maker's finger would: from every feed back to the supply.
"""

from dataclasses import replace
from itertools import pairwise

import pytest
from designs import design as made_of
from designs import designs, feed, few, run, some, supply
from drawn import HOSTILE, check_sheet, colliding, crossed, named, points, words
from hypothesis import given
from hypothesis import strategies as st
from pieces import answered, demo, example, with_eye

from lightcalc import units
from lightcalc.design.piece import Feed, Lead
from lightcalc.design.service import Crossing, Joint
from lightcalc.packet.cut_list import cut_list
from lightcalc.packet.svg import clean
from lightcalc.packet.wiring_diagram import wiring_drawings

FRAME = (180.0, 255.0)
EXAMPLES = ["hall-bench", "bedside-shelf", "display-cabinet"]
MINUS = "\u2212"


def text_in(groups):
    return " ".join(text for group in groups for text in words(group))


def amps(value):
    return units.show(value, "current", digits=2)


def volts(value):
    # As a meter shows them: to a hundredth.
    return units.show(round(value, 2) if value >= 1.0 else value, "voltage", digits=4)


def drawings_of(made, catalogue, found, frame=FRAME):
    drawings = wiring_drawings(made, catalogue, found, frame)
    return [(one, check_sheet(one, frame)) for one in drawings]


def check_numbers(made, found, roots):
    """Every lead, run and feed stands there once, with its numbers from the answer."""
    leads = [one for root in roots for one in named(root, "lead")]
    assert sorted(one.get("data-lead") for one in leads) == sorted(w.lead for w in found.wires)
    for wire in found.wires:
        mine = [one for one in leads if one.get("data-lead") == wire.lead]
        text = text_in(mine)
        for shown in (wire.size, wire.wire, amps(wire.full_level_a), amps(wire.peak_a)):
            assert shown in text
        if made.system == "metric":
            assert f"{wire.length_m * 1000:.1f}".rstrip("0").rstrip(".") + " mm" in text
    runs = [one for root in roots for one in named(root, "run")]
    assert sorted(one.get("data-run") for one in runs) == sorted(r.run for r in found.runs)
    feeds = {one.get("data-lead"): one for root in roots for one in named(root, "feed")}
    count = 0
    for one in found.runs:
        (box,) = [group for group in runs if group.get("data-run") == one.run]
        assert amps(one.amps_a) in text_in([box])
        for at in one.feeds:
            text = text_in([feeds[at.lead]])
            for channel in at.channels:
                assert f"{volts(channel.volts_v)}, {amps(channel.amps_a)}" in text
            assert len(at.channels) == text.count(MINUS)
            count += 1
    assert len(feeds) == count


def check_plugs(made, roots):
    """The connectors in every lead are named with it and drawn in each wire of a feed's lead."""
    rows = {one.get("data-lead"): one for root in roots for one in named(root, "lead")}
    feeds = [feed.lead for run in made.runs for feed in run.feeds]
    for lead in (*made.trunks, *feeds):
        plugs = named(rows[lead.name], "plug")
        if lead.crossing.connector is None:
            assert not plugs
            continue
        # Lines may break within long names.
        text = text_in([rows[lead.name]]).replace(" ", "")
        assert f"connector{lead.crossing.connector}" in text
        assert all(joint.replace(" ", "") in text for joint in lead.crossing.joints)
        assert [one.get("data-part") for one in plugs] == (
            list(lead.crossing.connectors) if lead in feeds else []
        )
        marks = [one for plug in plugs for one in named(plug, "plug-mark")]
        wires = len(named(rows[lead.name], "conductor"))
        assert len(marks) == len(plugs) * wires


def check_parts(made, found, roots):
    """Every part of every supply is there, with its volts and amps."""
    parts = [one for root in roots for one in named(root, "part")]
    expected = []
    for one in made.supplies:
        answer = next(a for a in found.supplies if a.supply == one.name)
        expected += [("pack", one.pack), *(("connector", name) for name in one.connectors)]
        expected += [("converter", one.converter)] if one.converter else []
        expected += [("controller", one.controller)] if one.controller else []
        expected += [("switch", "by hand")] if one.switched_off else []
        for fuse in found.fuses:
            if fuse.supply == one.name and (fuse.protected_by != "converter limit" or one.fuse):
                expected.append(("fuse", fuse.fuse or "none fits"))
        if one.converter:
            (box,) = [p for p in parts if p.get("data-part") == one.converter]
            assert f"out {volts(answer.output_v)}" in text_in([box])
            assert amps(answer.output_peak_a) in text_in([box])
    found_parts = [(one.get("data-kind"), one.get("data-part")) for one in parts]
    assert sorted(found_parts) == sorted(expected)


def near(one, other):
    return abs(one[0] - other[0]) < 0.01 and abs(one[1] - other[1]) < 0.01


def on_path(spot, path):
    """Whether a place is on a line of level and upright parts."""
    for (x1, y1), (x2, y2) in pairwise(path):
        if (
            min(x1, x2) - 0.01 <= spot[0] <= max(x1, x2) + 0.01
            and min(y1, y2) - 0.01 <= spot[1] <= max(y1, y2) + 0.01
        ):
            return True
    return False


def nets(root):
    """Join lines where one ends on another; lines that cross in their middles stay apart."""
    lines = [points(one) for one in named(root, "conductor")]
    net = list(range(len(lines)))

    def find(k):
        while net[k] != k:
            k = net[k]
        return k

    for i, one in enumerate(lines):
        for j, other in enumerate(lines):
            if i != j and any(on_path(end, other) for end in (one[0], one[-1])):
                net[find(i)] = find(j)
    return lines, [find(k) for k in range(len(lines))]


def net_at(spot, lines, net):
    (found,) = {net[k] for k, line in enumerate(lines) if on_path(spot, line)}
    return found


def check_wiring(wiring_root, returns, joined):
    """Every + is on one net and every return of a channel on one of its own, to the supply."""
    lines, net = nets(wiring_root)
    terminals = []
    for one in named(wiring_root, "feed"):
        spots = [points(circle)[0] for circle in one.iter("circle")]
        assert len(spots) == 1 + returns
        terminals.append([net_at(spot, lines, net) for spot in spots])
    kinds = [set(column) for column in zip(*terminals, strict=True)]
    assert all(len(kind) == 1 for kind in kinds)
    together = [next(iter(kind)) for kind in kinds]
    assert len(set(together)) == (2 if joined else 1 + returns)
    return together


def check_dots(root):
    """A dot is where a line ends in the middle of another, and nowhere else in the tree."""
    lines, _ = nets(root)
    tees = []
    for i, one in enumerate(lines):
        for end in (one[0], one[-1]):
            for j, other in enumerate(lines):
                inside = on_path(end, other) and not any(near(end, corner) for corner in other)
                if i != j and inside:
                    tees.append(end)
    dots = [points(one)[0] for one in named(root, "joint")]
    for dot in dots:
        assert any(near(dot, tee) for tee in tees)
    for tee in tees:
        assert any(near(tee, dot) for dot in dots)


def returns_in(made, catalogue):
    strip = catalogue.strips[made.runs[0].strip]
    return 1 if strip.kind == "pixel" else len(strip.channels)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_are_drawn_whole_and_wired_right(name):
    made, catalogue, found = example(name)
    ((_, root),) = drawings_of(made, catalogue, found)
    check_numbers(made, found, [root])
    check_parts(made, found, [root])
    check_plugs(made, [root])
    check_wiring(root, returns_in(made, catalogue), joined=False)
    check_dots(root)
    assert not colliding(root)
    assert not crossed(root, "conductor")


def test_connectors_in_leads_and_trunks_are_drawn_and_named():
    both = Crossing(("seat", "back"), "plug-small-2")
    fed = (
        Feed(0.0, Lead("left", 0.5, parent="riser", crossing=both)),
        Feed(1.4, Lead("right", 0.5, crossing=Crossing((), "plug-usb"))),
    )
    made = replace(
        made_of(run(feeds=fed), supplies=(supply(),)),
        trunks=(Lead("riser", 1.0, crossing=Crossing(("back",), "plug-small-2")),),
        joints=(Joint("seat"), Joint("back")),
    )
    ((_, root),) = drawings_of(*answered(made))
    check_plugs(made, [root])
    assert len(named(root, "plug")) == 3
    assert not colliding(root)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_jumper_of_the_cut_list_is_said_with_its_wire_and_length(name):
    made, catalogue, found = example(name)
    ((_, root),) = drawings_of(made, catalogue, found)
    told = " ".join(words(root))
    for cut in cut_list(made, catalogue, found).wires:
        if cut.is_jumper:
            assert f"{cut.lead}: {cut.drawn_m * 1000:.0f} mm" in told
            assert f"{cut.size} ({cut.wire})" in told


def test_a_fuse_is_only_spoken_of_where_there_is_one():
    for pack, spoken in (("usb-20000-stays-on", False), ("liion-3s-10400", True)):
        strip = "strip-5v-60-warm" if pack.startswith("usb") else "strip-12v-60-warm"
        drawn = drawings_of(*answered(made_of(run(strip), supplies=(supply(pack, None),))))
        told = " ".join(text for _, root in drawn for text in words(root))
        assert ("the fuse within" in told) == spoken


def test_parts_show_the_volts_and_amps_of_the_answer():
    made, catalogue, found = example("hall-bench")
    ((_, root),) = drawings_of(made, catalogue, found)
    lead, box = found.wires[0], found.supplies[0]
    pack = catalogue.packs[made.supplies[0].pack]
    fuse = next(one for one in found.fuses if one.fuse)
    trunkless = [wire for wire in found.wires[1:] if wire.supply == box.supply]
    expected = {
        "pack": [
            f"{volts(pack.nominal_v)} nominal",
            f"{volts(pack.full_v)} full, {volts(pack.cutoff_v)} flat",
            f"gives {amps(lead.full_level_a)}",
            f"at most {amps(lead.peak_a)}",
        ],
        "fuse": [amps(fuse.rating_a)],
        "converter": [f"in {volts(lead.end_v)}", f"out {volts(box.output_v)}"],
        "controller": [
            f"out {volts(min(wire.start_v for wire in trunkless))}",
            f"at most {amps(box.channel_peak_a)}",
        ],
    }
    for kind, lines in expected.items():
        (part,) = named(root, "part", kind=kind)
        assert [line for line in lines if line not in words(part)] == []


def test_a_trunk_says_the_volts_at_its_end():
    made, catalogue, found = example("display-cabinet")
    ((_, root),) = drawings_of(made, catalogue, found)
    (row,) = named(root, "lead", lead="back trunk")
    (wire,) = [one for one in found.wires if one.lead == "back trunk"]
    assert wire.start_v - wire.end_v > 0.01
    assert f"{volts(wire.end_v)} at its end" in text_in([row])


@some
@given(designs())
def test_any_design_is_drawn_whole_on_sheets_that_can_be_read(made):
    made, catalogue, found = answered(made)
    sheets = drawings_of(made, catalogue, found)
    roots = [root for _, root in sheets]
    check_numbers(made, found, roots)
    check_parts(made, found, roots)
    for root in roots:
        assert not colliding(root)
        assert not crossed(root, "conductor")


@some
@given(designs())
def test_any_design_is_wired_right(made):
    made, catalogue, found = answered(made)
    sheets = drawings_of(made, catalogue, found, (300.0, 900.0))
    returns = returns_in(made, catalogue)
    joined = made.supplies[0].controller is None and returns > 1
    for _, root in sheets:
        check_wiring(root, returns, joined)
        check_dots(root)


def test_plus_comes_from_plus_of_the_controller():
    made, catalogue, found = example("hall-bench")
    ((_, root),) = drawings_of(made, catalogue, found)
    lines, net = nets(root)
    plus, minus = check_wiring(root, 1, joined=False)
    (controller,) = named(root, "part", kind="controller")
    (box,) = [one for one in controller if one.get("class") == "part-box"]
    right = points(box)[1][0]
    signs = {
        one.text: float(one.get("y")) for one in controller.iter("text") if one.text in ("+", MINUS)
    }
    # A sign stands with its middle at its terminal; its base line is 0.9 mm lower.
    assert net_at((right, signs["+"] - 0.9), lines, net) == plus
    assert net_at((right, signs[MINUS] - 0.9), lines, net) == minus


@pytest.mark.parametrize("name", EXAMPLES)
def test_wires_from_the_last_part_come_down_side_by_side_and_never_cross(name):
    made, catalogue, found = example(name)
    ((_, root),) = drawings_of(made, catalogue, found)
    lines = [points(one) for one in named(root, "conductor")]
    down = [line for line in lines if len(line) == 4]
    assert len(down) == 1 + returns_in(made, catalogue)
    parts = [pair for line in lines for pair in pairwise(line)]
    uprights = [(a, b) for a, b in parts if a[0] == b[0]]
    levels = [(a, b) for line in down for a, b in pairwise(line) if a[1] == b[1]]
    for (x1, y), (x2, _) in levels:
        for (x, y1), (_, y2) in uprights:
            assert not (min(x1, x2) < x < max(x1, x2) and min(y1, y2) < y < max(y1, y2))


def test_each_channel_has_its_return_under_the_same_name_at_both_ends():
    made, catalogue, found = example("display-cabinet")
    ((_, root),) = drawings_of(made, catalogue, found)
    check_wiring(root, 2, joined=False)
    for one in named(root, "lead"):
        marks = [mark.text for mark in named(one, "conductor-mark")]
        if marks:
            assert [mark.split(",")[0] for mark in marks] == [
                "+ red",
                f"{MINUS} warm",
                f"{MINUS} cool",
            ]


def crowd(runs_count, feeds_count, trunks_count=1):
    """Return a design with that many runs, each with so many feeds, on trunks in a chain."""
    trunks = tuple(
        Lead(f"trunk {n}", 0.3, "18 AWG", f"trunk {n - 1}" if n else None)
        for n in range(trunks_count)
    )
    runs = tuple(
        run(
            length_m=1.0,
            name=f"run {n}",
            feeds=tuple(
                feed(
                    k * 0.05,
                    0.4,
                    name=f"run {n} lead {k}",
                    parent=f"trunk {(n + k) % trunks_count}",
                )
                for k in range(feeds_count)
            ),
        )
        for n in range(runs_count)
    )
    return made_of(*runs, supplies=(supply("liion-3s-10400"),), trunks=trunks)


@few
@given(st.integers(1, 9), st.integers(1, 4), st.integers(1, 4))
def test_what_is_too_long_for_a_sheet_goes_on_on_the_next(runs_count, feeds_count, trunks_count):
    made, catalogue, found = answered(crowd(runs_count, feeds_count, trunks_count))
    sheets = drawings_of(made, catalogue, found, (180.0, 150.0))
    check_numbers(made, found, [root for _, root in sheets])
    for drawing, root in sheets:
        assert not colliding(root)
        assert not crossed(root, "conductor")
        check_dots(root)
        # Nothing need be drawn smaller.
        assert drawing.width_mm == pytest.approx(float(root.get("viewBox").split()[2]), abs=0.001)
        assert drawing.title.endswith(f"of {len(sheets)})") == (len(sheets) > 1)
        lines, net = nets(root)
        plus = set()
        others = set()
        for one in named(root, "feed"):
            first, *rest = [points(circle)[0] for circle in one.iter("circle")]
            plus.add(net_at(first, lines, net))
            others |= {net_at(spot, lines, net) for spot in rest}
        # A net on one sheet is never both.
        assert not plus & others


def test_a_crowd_is_drawn_smaller_rather_than_past_the_edge():
    made, catalogue, found = answered(crowd(2, 20, 12))
    sheets = drawings_of(made, catalogue, found)
    check_numbers(made, found, [root for _, root in sheets])
    for _, root in sheets:
        assert not colliding(root)


def test_parts_that_do_not_fit_in_a_row_go_on_below():
    box = supply(connectors=("plug-polarised-2", "plug-small-2") * 4, switched_off=True)
    made, catalogue, found = answered(made_of(run(), supplies=(box,)))
    ((_, root),) = drawings_of(made, catalogue, found)
    check_parts(made, found, [root])
    check_wiring(root, 1, joined=False)
    assert not colliding(root)
    assert not crossed(root, "conductor")


def test_a_supply_has_a_drawing_of_its_own():
    made, catalogue, found = answered(
        made_of(
            run(name="one", supply="left"),
            run(name="two", supply="right"),
            supplies=(supply(name="left"), supply("lifepo4-4s-6000", None, name="right")),
        )
    )
    sheets = drawings_of(made, catalogue, found)
    assert [drawing.title for drawing, _ in sheets] == [
        "bench: wiring of left",
        "bench: wiring of right",
    ]
    check_numbers(made, found, [root for _, root in sheets])
    check_parts(made, found, [root for _, root in sheets])


def test_a_fuse_that_is_not_needed_is_left_out_and_that_is_said():
    made, catalogue, found = example("hall-bench")
    ((_, root),) = drawings_of(made, catalogue, found)
    assert len(named(root, "part", kind="fuse")) == 1
    # The converter of the demo is one of 5 A.
    assert "No fuse is needed after the converter: the source limits itself to 5 A." in words(root)
    box = replace(made.supplies[0], fuse="blade-3a")
    made, catalogue, found = answered(replace(made, supplies=(box,)))
    ((_, root),) = drawings_of(made, catalogue, found)
    assert len(named(root, "part", kind="fuse")) == 2


def test_where_no_fuse_fits_the_diagram_says_so():
    made, catalogue, found = example("bedside-shelf")
    catalogue = replace(
        catalogue, fuses={k: v for k, v in catalogue.fuses.items() if k == "blade-15a"}
    )
    from lightcalc.answers.answer import answer

    found = answer(made, catalogue)
    ((_, root),) = drawings_of(made, catalogue, found)
    (part,) = named(root, "part", kind="fuse")
    assert "see the findings" in text_in([part])


def test_pixels_get_a_word_on_their_data_wire():
    made, catalogue, found = answered(made_of(run("strip-12v-pixel-60", 0.5)))
    ((_, root),) = drawings_of(made, catalogue, found)
    assert any("data wire" in text for text in words(root))
    check_wiring(root, 1, joined=False)


def test_names_from_a_file_come_out_as_text():
    trunk = Lead(HOSTILE[0], 0.5)
    runs = tuple(
        run(name=name, length_m=0.5, supply=HOSTILE[5], feeds=(feed(name=name, parent=HOSTILE[0]),))
        for name in HOSTILE[1:]
    )
    made = made_of(*runs, supplies=(supply(name=HOSTILE[5]),), trunks=(trunk,))
    made = replace(made, piece=replace(made.piece, name=HOSTILE[2]))
    made, catalogue, found = answered(made)
    sheets = drawings_of(made, catalogue, found)
    for drawing, root in sheets:
        assert "<script" not in drawing.svg
        assert not colliding(root)
    names = [one.get("data-run") for _, root in sheets for one in named(root, "run")]
    assert names == [clean(name) for name in HOSTILE[1:]]


@pytest.mark.parametrize(
    ("controller", "noun"),
    [
        ("receiver-infrared-1ch", "eye"),
        ("receiver-radio-1ch", "aerial"),
        ("dimmer-touch-1ch", "knob or touch pad"),
    ],
)
def test_a_controller_says_by_what_it_is_worked_and_where_that_is(controller, noun):
    made = with_eye(controller=controller)
    bare = demo(supplies=made[0].supplies, space=replace(made[0].space, blocks=(), inlays=()))
    for one, where in ((made, "S1 on the plan"), (bare, "see below")):
        ((_, root),) = drawings_of(*one)
        (box,) = named(root, "part", kind="controller")
        assert f"{noun}: {where}" in text_in([box])
        note = f"The {noun} of {controller}: 720 mm from the left, 50 mm from the front, 360 mm"
        assert (note in text_in([root])) == (one is bare)
    nowhere = with_eye(None, controller)
    ((_, root),) = drawings_of(*nowhere)
    assert noun not in text_in(named(root, "part", kind="controller"))
