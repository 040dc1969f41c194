"""Plan and elevations, measured on paper and compared with the design."""

import math
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from designs import few, parts, some
from drawn import HOSTILE, check_sheet, colliding, ends, named, parse, points, words
from hypothesis import given
from pieces import UNIT_M, demo, example, pieces, with_eye

from lightcalc import units
from lightcalc.packet.dimensions import measure
from lightcalc.packet.piece_drawing import MOST_LANES, piece_drawing
from lightcalc.packet.svg import clean
from lightcalc.tables.drawing_scales import drawing_scales

FRAME = (180.0, 255.0)
# Axis to the right and upwards on paper with its direction, and the axis away from the eye.
VIEWS = {
    "front": ((0, 1), (2, 1), (1, 1)),
    "above": ((0, 1), (1, 1), (2, -1)),
    "left": ((1, -1), (2, 1), (0, 1)),
    "right": ((1, 1), (2, 1), (0, -1)),
}
# Coordinates are written to a thousandth of a millimetre of paper.
WRITTEN_MM = 0.0011


def views_of(root):
    """Return each view by name, with a map from metres across it to millimetres of paper."""
    return {one.get("data-view"): one for one in named(root, "view")}


def flat(name, place):
    (a, sa), (b, sb), _ = VIEWS[name]
    return sa * place[a], sb * place[b]


def anchor(name, view, made, reduction):
    """Return the function from a place in space to paper, fixed by the first block drawn."""
    block = made.space.blocks[0]
    left, top, _, _ = ends(named(named(view, "block", block=block.name)[0], "outline"))
    corners = [flat(name, block.at_m), flat(name, block.far_m)]
    u0, v1 = min(u for u, _ in corners), max(v for _, v in corners)
    k = 1000.0 / reduction

    def to_paper(place):
        u, v = flat(name, place)
        return left + (u - u0) * k, top + (v1 - v) * k

    return to_paper


def close(one, other, slack=3 * WRITTEN_MM):
    return math.dist(one, other) <= slack


def lies_behind(place, name, made):
    """Whether a place is hidden: brute force over the blocks, nothing from the code drawn with."""
    (a, _), (b, _), (c, sc) = VIEWS[name]
    for block in made.space.blocks:
        low, high = block.at_m, block.far_m
        near = min(sc * low[c], sc * high[c])
        inside = all(low[k] + 2e-6 < place[k] < high[k] - 2e-6 for k in (a, b))
        if inside and near < sc * place[c] - 2e-6:
            return True
    return False


def cut_path(run, length_m):
    """Return the corners of a run's first mount, cut to a length; sides go on past its end."""
    path, corners = run.mounts[0].path_m, [run.mounts[0].path_m[0]]
    for number, (start, end) in enumerate(pairwise(path)):
        side_m = math.dist(start, end)
        last = number == len(path) - 2
        share = length_m / side_m if last or length_m < side_m else 1.0
        corners.append(tuple(p + share * (q - p) for p, q in zip(start, end, strict=True)))
        length_m -= side_m
        if length_m <= 1e-12:
            break
    return corners


def at(corners, along_m):
    for start, end in pairwise(corners):
        side_m = math.dist(start, end)
        if along_m <= side_m + 1e-9:
            return tuple(p + along_m / side_m * (q - p) for p, q in zip(start, end, strict=True))
        along_m -= side_m
    return corners[-1]


def check_blocks(made, drawing, root):
    for name, view in views_of(root).items():
        to_paper = anchor(name, view, made, drawing.reduction)
        assert len(named(view, "block")) == len(made.space.blocks)
        for block in made.space.blocks:
            (group,) = named(view, "block", block=block.name)
            left, top, right, bottom = ends(named(group, "outline"))
            one, other = to_paper(block.at_m), to_paper(block.far_m)
            assert close((left, bottom), (min(one[0], other[0]), max(one[1], other[1])))
            assert close((right, top), (max(one[0], other[0]), min(one[1], other[1])))


def check_runs(made, found, drawing, root):
    """Every strip is drawn along its line for its length after cutting, dashed where hidden."""
    answers = {one.run: one for one in found.runs}
    for name, view in views_of(root).items():
        to_paper = anchor(name, view, made, drawing.reduction)
        for run in made.runs:
            if not run.mounts:
                assert not named(view, "run", run=run.name)
                continue
            (group,) = named(view, "run", run=run.name)
            corners = cut_path(run, answers[run.name].cut_length_m)
            sides = [(a, b) for a, b in pairwise(corners) if math.dist(a, b) > 0.0]
            long = [(a, b) for a, b in sides if math.dist(to_paper(a), to_paper(b)) >= 1.0 - 1e-6]
            drawn = [one for one in named(group, "strip") if one.tag == "polyline"]
            expected = sum(math.dist(to_paper(a), to_paper(b)) for a, b in long)
            measured = sum(math.dist(*points(one)) for one in drawn)
            assert measured == pytest.approx(expected, abs=0.01 * (len(drawn) + 1))
            assert len(named(group, "end-on")) == len(sides) - len(long)
            check_hidden(name, made, to_paper, long, drawn)
            feeds = named(group, "feed")
            assert [one.get("data-lead") for one in feeds] == [one.lead.name for one in run.feeds]
            for one, fed in zip(feeds, answers[run.name].feeds, strict=True):
                tip = points(named(one, "feed-mark")[0])[0]
                assert close(tip, to_paper(at(corners, fed.at_m)))


def check_sensors(made, drawing, root):
    """What works a controller is drawn where it is in every view, tagged and in the key."""
    (box,) = made.supplies
    for name, view in views_of(root).items():
        to_paper = anchor(name, view, made, drawing.reduction)
        marks = named(view, "sensor-mark")
        if box.sensor_at_m is None:
            assert not marks
            continue
        left, top, right, bottom = ends(marks)
        assert close(((left + right) / 2, (top + bottom) / 2), to_paper(box.sensor_at_m))
        assert [one.text for one in named(view, "tag") if one.tag == "text"].count("S1") == 1
    nouns = ("eye of", "aerial of", "knob or touch pad of")
    assert any(text.startswith(nouns) for text in words(root)) == (box.sensor_at_m is not None)


def check_hidden(name, made, to_paper, sides, drawn):
    for start, end in sides:
        for share in (0.013, 0.21, 0.49, 0.77, 0.983):
            place = tuple(p + share * (q - p) for p, q in zip(start, end, strict=True))
            spot, behind = to_paper(place), lies_behind(place, name, made)
            over = [one for one in drawn if on_line(spot, points(one), 0.004)]
            near_change = any(
                math.dist(spot, end_of) < 0.05 for one in drawn for end_of in points(one)
            )
            if not near_change:
                assert over
                hidden = {"hidden" in one.get("class").split() for one in over}
                assert behind in hidden


def on_line(spot, line, slack):
    (x1, y1), (x2, y2) = line
    length = math.dist(*line)
    along = ((spot[0] - x1) * (x2 - x1) + (spot[1] - y1) * (y2 - y1)) / length
    across = abs((spot[0] - x1) * (y2 - y1) - (spot[1] - y1) * (x2 - x1)) / length
    return -slack <= along <= length + slack and across <= slack


def check_dimensions(made, drawing, root):
    """The text of every dimension is the length between its ticks."""
    spans = named(root, "dimension")
    for one in spans:
        (x1, y1), (x2, y2) = points(named(one, "span")[0])
        length_m = math.dist((x1, y1), (x2, y2)) * drawing.reduction / 1000.0
        (text,) = [part.text for part in one.iter("text")]
        # Shown to a tenth of a millimetre, or to a sixteenth of an inch.
        rounding_m = 0.00005 if made.system == "metric" else 0.0254 / 32
        slack = rounding_m + 2 * WRITTEN_MM * drawing.reduction / 1000.0
        assert units.read(text, "length") == pytest.approx(length_m, abs=slack)
        ticks = [points(tick) for tick in named(one, "tick")]
        middles = sorted(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in ticks)
        for middle, end in zip(middles, sorted([(x1, y1), (x2, y2)]), strict=True):
            assert close(middle, end)
    texts = {(part.text, part.get("x"), part.get("y")) for part in named(root, "measure")}
    assert len(texts) == len(spans)


def check_overall(made, drawing, root):
    for axis, of in enumerate(("width", "depth", "height")):
        (one,) = named(root, "dimension", of=of)
        low = min(block.at_m[axis] for block in made.space.blocks)
        high = max(block.far_m[axis] for block in made.space.blocks)
        length_m = math.dist(*points(named(one, "span")[0])) * drawing.reduction / 1000.0
        assert length_m == pytest.approx(high - low, abs=2e-6 * drawing.reduction)


@some
@given(pieces())
def test_everything_is_where_the_design_has_it_to_scale(piece):
    made, _, found = piece
    drawing = piece_drawing(made, parts(), found, FRAME)
    root = check_sheet(drawing, FRAME)
    check_blocks(made, drawing, root)
    check_sensors(made, drawing, root)
    check_runs(made, found, drawing, root)
    check_dimensions(made, drawing, root)
    check_overall(made, drawing, root)


def edge_points(block, name, shares):
    """Return places along the near edges of a block as a view sees them."""
    (a, _), (b, _), (c, sc) = VIEWS[name]
    for first, second in ((a, b), (b, a)):
        for side in (block.at_m[second], block.far_m[second]):
            for share in shares:
                place = [0.0, 0.0, 0.0]
                place[c] = block.at_m[c] if sc > 0 else block.far_m[c]
                place[second] = side
                place[first] = block.at_m[first] + share * block.size_m[first]
                yield tuple(place)


def edge_through(flat_at, block, name, slack):
    """Return the place on a near edge of a block that a view sees at some point, if any."""
    (a, sa), (b, sb), (c, sc) = VIEWS[name]
    place = [0.0, 0.0, 0.0]
    place[a], place[b] = sa * flat_at[0], sb * flat_at[1]
    place[c] = block.at_m[c] if sc > 0 else block.far_m[c]
    within = all(block.at_m[k] - slack <= place[k] <= block.far_m[k] + slack for k in (a, b))
    sides = [
        (k, side) for k in (a, b) for side in (block.at_m[k], block.far_m[k])
        if abs(place[k] - side) <= slack
    ]  # fmt: skip
    if not within or not sides:
        return None
    place[sides[0][0]] = sides[0][1]
    return tuple(place)


@some
@given(pieces())
def test_edges_are_dashed_where_a_nearer_block_hides_them_and_nowhere_else(piece):
    made, _, found = piece
    made = replace(made, space=replace(made.space, inlays=()))
    drawing = piece_drawing(made, parts(), found, FRAME)
    for name, view in views_of(parse(drawing)).items():
        to_paper = anchor(name, view, made, drawing.reduction)
        dashed = [points(one) for one in named(view, "hidden") if "strip" not in one.get("class")]
        for block in made.space.blocks:
            for place in edge_points(block, name, (0.07, 0.31, 0.53, 0.91)):
                spot = to_paper(place)
                at_an_end = any(math.dist(spot, end) < 0.05 for line in dashed for end in line)
                if lies_behind(place, name, made) and not at_an_end:
                    assert any(on_line(spot, line, 0.004) for line in dashed)
        left, top = to_paper((0.0, 0.0, 0.0))
        for (x1, y1), (x2, y2) in dashed:
            x, y = (x1 + x2) / 2.0, (y1 + y2) / 2.0
            k = drawing.reduction / 1000.0
            spots = [
                place
                for block in made.space.blocks
                if (place := edge_through(((x - left) * k, (top - y) * k), block, name, 3e-3 * k))
            ]
            assert any(lies_behind(place, name, made) for place in spots)


@some
@given(pieces())
def test_what_is_nearer_is_drawn_on_top(piece):
    made, _, found = piece
    for name, view in views_of(parse(piece_drawing(made, parts(), found, FRAME))).items():
        (a, _), (b, _), (c, sc) = VIEWS[name]
        drawn = [one.get("data-block") for one in named(view, "block")]
        by_name = {block.name: block for block in made.space.blocks}
        for under, over in combinations([by_name[one] for one in drawn], 2):
            if all(under.at_m[k] < over.far_m[k] and over.at_m[k] < under.far_m[k] for k in (a, b)):
                nears = [min(sc * one.at_m[c], sc * one.far_m[c]) for one in (under, over)]
                assert nears[0] >= nears[1]


def test_the_demo_has_the_dimensions_a_maker_needs():
    made, _, found = demo()
    root = parse(piece_drawing(made, parts(), found, FRAME))
    expected_m = {
        "width": 1.5, "depth": 0.4, "height": 0.45,
        # Runs start 4 cm from the left at 36 cm; 28 units of 5 cm fit; 7 and 33 cm from the front.
        "front rail, start from the left": 0.04, "front rail": 1.4,
        "front rail, start from the front": 0.07, "front rail, start from below": 0.36,
        "back rail, start from the front": 0.33,
        # The pack, as the design has it.
        "seat box pack, from the left": 0.24, "seat box pack, from the front": 0.2,
        "seat box pack, from below": 0.39,
        # Its receiver, as high as the pack.
        "seat box aerial, from the left": 0.34, "seat box aerial, from the front": 0.28,
    }  # fmt: skip
    found_m = {
        one.get("data-of"): units.read(next(one.iter("text")).text, "length")
        for one in named(root, "dimension")
    }
    assert found_m == pytest.approx(expected_m)


def test_no_lettering_of_the_demo_meets_other_lettering():
    for system in ("metric", "inch"):
        made, _, found = demo(system=system)
        assert not colliding(parse(piece_drawing(made, parts(), found, FRAME)))


@few
@given(pieces())
def test_no_dimension_is_written_on_another(piece):
    made, _, found = piece
    root = parse(piece_drawing(made, parts(), found, FRAME))
    for one in list(root.iter("g")):
        for child in list(one):
            if child.tag == "text" and child.get("class") != "measure":
                one.remove(child)
    assert not colliding(root)


def test_the_drawing_is_as_large_as_a_standard_scale_lets_it_be():
    made, _, found = demo()
    # 1.5 m and 0.4 m side by side are 190 mm at 1:10, and 95 mm at 1:20.
    assert piece_drawing(made, parts(), found, (180.0, 255.0)).scale == "1:20"
    assert piece_drawing(made, parts(), found, (260.0, 255.0)).scale == "1:10"
    inch = replace(made, system="inch")
    assert piece_drawing(inch, parts(), found, (260.0, 255.0)).scale == "1:12"


@few
@given(pieces())
def test_a_larger_sheet_never_makes_a_smaller_drawing(piece):
    made, _, found = piece
    scales = [scale.reduction for scale in drawing_scales(made.system)]
    reductions = [
        piece_drawing(made, parts(), found, frame).reduction
        for frame in ((120.0, 170.0), (180.0, 255.0), (400.0, 600.0))
    ]
    assert reductions == sorted(reductions, reverse=True)
    assert set(reductions) <= set(scales)


def test_views_lie_as_is_usual_with_each_system_of_units():
    made, _, found = demo()
    metric = views_of(parse(piece_drawing(made, parts(), found, FRAME)))
    assert set(metric) == {"front", "above", "left"}
    inch = views_of(parse(piece_drawing(replace(made, system="inch"), parts(), found, FRAME)))
    assert set(inch) == {"front", "above", "right"}

    def top(view):
        return ends(named(view, "outline"))[1]

    def run_x(view, name):
        return points(named(named(view, "run", run=name)[0], "end-on")[0])[0][0]

    # First angle: what is seen from above is drawn below, from the left on the right with the
    # front of the piece outermost; third angle the other way about.
    assert top(metric["above"]) > top(metric["front"])
    assert top(inch["above"]) < top(inch["front"])
    assert run_x(metric["left"], "front rail") > run_x(metric["left"], "back rail")
    assert run_x(inch["right"], "front rail") < run_x(inch["right"], "back rail")
    for views in (metric, inch):
        side = views.get("left") or views["right"]
        assert ends(named(side, "outline"))[0] > ends(named(views["front"], "outline"))[2]


def test_the_scale_bar_is_as_long_as_it_says():
    for system in ("metric", "inch"):
        made, _, found = demo(system=system)
        drawing = piece_drawing(made, parts(), found, FRAME)
        (bar,) = named(parse(drawing), "scale-bar")
        left, _, right, _ = ends(named(bar, "bar"))
        length_m = (right - left) * drawing.reduction / 1000.0
        assert units.read(bar.get("data-words"), "length") == pytest.approx(length_m, rel=1e-4)


def test_the_inlay_is_drawn_to_scale_where_it_lies_in_its_block():
    made, _, found = demo()
    drawing = piece_drawing(made, parts(), found, FRAME)
    view = views_of(parse(drawing))["above"]
    to_paper = anchor("above", view, made, drawing.reduction)
    inlay = made.space.inlays[0]
    drawn = points(named(view, "inlay", inlay=inlay.name)[0])
    for spot, (x, y) in zip(drawn, inlay.outline_m, strict=True):
        assert close(spot, to_paper((x, y, 0.0)))
    # Seen from the front it is inside the wood: two dashed uprights at its ends.
    front = views_of(parse(drawing))["front"]
    to_paper = anchor("front", front, made, drawing.reduction)
    uprights = [points(one) for one in named(front, "hidden") if one.tag == "polyline"]
    for x in (0.08, 1.42):
        low, high = to_paper((x, 0.0, 0.41)), to_paper((x, 0.0, 0.45))
        assert any(
            close(min(line, key=lambda p: -p[1]), low)
            and close(min(line, key=lambda p: p[1]), high)
            for line in uprights
        )


def test_a_pack_is_drawn_where_it_lies_with_a_wire_to_every_feed():
    made, _, _ = example("hall-bench")
    made, _, found = demo(supplies=(replace(made.supplies[0], at_m=(0.7, 0.2, 0.38)),))
    drawing = piece_drawing(made, parts(), found, FRAME)
    for name, view in views_of(parse(drawing)).items():
        to_paper = anchor(name, view, made, drawing.reduction)
        left, top, right, bottom = ends(named(view, "pack-mark"))
        here = to_paper((0.7, 0.2, 0.38))
        assert close(((left + right) / 2, (top + bottom) / 2), here)
        tips = [points(one)[0] for one in named(view, "feed-mark")]
        (apart,) = named(view, "sensor-wire")
        to_sensor = named(apart, "wire")
        wires = [points(one) for one in named(view, "wire") if one not in to_sensor]
        assert len(wires) == 2
        assert all(close(wire[0], here) for wire in wires)
        for tip in tips:
            assert any(close(wire[-1], tip) for wire in wires)
        for wire in wires:
            # Only along the axes.
            assert all(
                abs(a[0] - b[0]) < 0.002 or abs(a[1] - b[1]) < 0.002 for a, b in pairwise(wire)
            )


def test_a_pack_is_dimensioned_and_its_wires_have_their_lengths():
    made, _, _ = example("hall-bench")
    made, _, found = demo(supplies=(replace(made.supplies[0], at_m=(0.7, 0.2, 0.38)),))
    root = parse(piece_drawing(made, parts(), found, FRAME))
    found_m = {
        one.get("data-of"): units.read(next(one.iter("text")).text, "length")
        for one in named(root, "dimension")
    }
    assert found_m["seat box pack, from the left"] == pytest.approx(0.7)
    assert found_m["seat box pack, from the front"] == pytest.approx(0.2)
    assert found_m["seat box pack, from below"] == pytest.approx(0.38)
    told = " ".join(words(root))
    for wire in found.wires:
        assert f"{wire.lead}: {wire.length_m * 1000:.0f} mm" in told


def dimensions(root):
    return {
        one.get("data-of"): units.read(next(one.iter("text")).text, "length")
        for one in named(root, "dimension")
    }


def test_an_eye_is_dimensioned_and_has_a_wire_from_the_pack():
    made, _, found = with_eye()
    drawing = piece_drawing(made, parts(), found, FRAME)
    root = check_sheet(drawing, FRAME)
    assert not colliding(root)
    found_m = dimensions(root)
    assert found_m["seat box eye, from the left"] == pytest.approx(0.72)
    assert found_m["seat box eye, from the front"] == pytest.approx(0.05)
    # As high as the runs start, 36 cm, which is measured once.
    assert found_m["front rail, start from below"] == pytest.approx(0.36)
    for name, view in views_of(root).items():
        to_paper = anchor(name, view, made, drawing.reduction)
        (apart,) = named(view, "sensor-wire")
        (wire,) = [points(one) for one in named(apart, "wire")]
        assert close(wire[0], to_paper(made.supplies[0].at_m))
        assert close(wire[-1], to_paper((0.72, 0.05, 0.36)))
        assert all(min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 0.002 for a, b in pairwise(wire))
    told = " ".join(words(root))
    # 48 cm along, 15 cm to the front, 3 cm down.
    assert "seat box eye about 660 mm" in told
    assert "no place for buck-12v-5a, receiver-infrared-1ch" in told


def test_a_wire_to_a_sensor_is_drawn_only_beyond_the_reach_of_a_jumper():
    # A jumper is 15 cm; the pack lies at 24, 20 and 39 cm.
    for sensor_at_m, count in (((0.24, 0.34, 0.39), 0), ((0.24, 0.36, 0.39), 1)):
        made, _, found = with_eye(sensor_at_m)
        root = parse(piece_drawing(made, parts(), found, FRAME))
        (above,) = named(root, "view", view="above")
        assert len(named(above, "sensor-wire")) == count
        assert ("seat box eye about" in " ".join(words(root))) == bool(count)


def test_without_its_place_nothing_is_drawn_of_a_sensor():
    made, _, found = with_eye(None)
    root = parse(piece_drawing(made, parts(), found, FRAME))
    assert not named(root, "sensor-mark")
    assert not any(text.startswith("S") and text[1:].isdigit() for text in words(root))


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_an_eye_behind_a_pack_leaves_its_signs_to_be_read(system):
    made, _, _ = with_eye((0.24, 0.3, 0.39))
    made, _, found = demo(supplies=made.supplies, system=system)
    root = parse(piece_drawing(made, parts(), found, FRAME))
    assert not colliding(root)
    order = [one.get("class") for one in named(root, "view")[0]]
    assert order.index("sensor") < order.index("pack")


def test_what_is_as_long_as_the_piece_is_measured_once():
    made, _, _ = example("hall-bench")
    # The seat is 40 cm deep; a pack on its back edge lies as far from the front.
    made, _, found = demo(supplies=(replace(made.supplies[0], at_m=(0.7, 0.4, 0.38)),))
    root = parse(piece_drawing(made, parts(), found, FRAME))
    upright = [next(one.iter("text")).text for one in named(root, "dimension", axis="upright")]
    assert upright.count("400 mm") == 1


def test_without_its_place_a_pack_is_only_named():
    made, _, _ = example("hall-bench")
    made, _, found = demo(supplies=(replace(made.supplies[0], at_m=None),))
    root = parse(piece_drawing(made, parts(), found, FRAME))
    assert not named(root, "pack")
    assert any("gives no place for liion-4s-6800" in text for text in words(root))


def test_heights_of_a_piece_that_hangs_count_from_its_underside():
    made, _, _ = example("hall-bench")
    lifted = replace(
        made.space,
        blocks=tuple(
            replace(one, at_m=(one.at_m[0], one.at_m[1], one.at_m[2] + 0.5))
            for one in made.space.blocks
        ),
    )
    runs = tuple(
        replace(
            run,
            mounts=tuple(
                replace(m, path_m=tuple((x, y, z + 0.5) for x, y, z in m.path_m))
                for m in run.mounts
            ),
        )
        for run in made.runs
    )
    made, _, found = demo(space=lifted, runs=runs)
    root = parse(piece_drawing(made, parts(), found, FRAME))
    assert any("from the underside, 500 mm up" in text for text in words(root))
    assert not named(root, "floor")
    (one,) = named(root, "dimension", of="front rail, start from below")
    assert next(one.iter("text")).text == "360 mm"


def test_names_from_a_file_come_out_as_text():
    made, _, _ = example("hall-bench")
    runs = tuple(replace(run, name=name) for run, name in zip(made.runs, HOSTILE[:2], strict=True))
    renamed = tuple(
        replace(block, name=f"{HOSTILE[2]}{n}") for n, block in enumerate(made.space.blocks)
    )
    inlays = (replace(made.space.inlays[0], name=HOSTILE[3], block=renamed[0].name),)
    made, _, found = demo(
        runs=runs,
        piece=replace(made.piece, name=HOSTILE[4] + HOSTILE[5]),
        space=replace(made.space, blocks=renamed, inlays=inlays),
    )
    drawing = piece_drawing(made, parts(), found, FRAME)
    root = check_sheet(drawing, FRAME)
    shown = "".join(words(root))
    assert clean(HOSTILE[0])[:20] in shown
    assert "<script" not in drawing.svg
    assert [one.get("data-run") for one in named(root, "run")][:2] == [
        clean(name) for name in HOSTILE[:2]
    ]
    assert "W" * 120 in shown


def test_more_lanes_than_leave_room_for_the_piece_are_left_to_the_strips():
    made, _, _ = example("hall-bench")
    run = made.runs[0]
    many = tuple(
        replace(
            run,
            name=f"run {n}",
            length_m=UNIT_M * (4 + n),
            mounts=(
                replace(
                    run.mounts[0],
                    path_m=((0.04 + 0.02 * n, 0.07, 0.3), (1.4, 0.07, 0.3)),
                ),
            ),
        )
        for n in range(2 * MOST_LANES)
    )
    made, _, found = demo(runs=many)
    root = check_sheet(piece_drawing(made, parts(), found, FRAME), FRAME)
    heights = {
        points(named(one, "span")[0])[0][1] for one in named(root, "dimension", axis="level")
    }
    assert len(heights) == MOST_LANES + 1
    assert any("Further dimensions" in text for text in words(root))


def test_the_notes_say_on_which_of_its_mounts_a_run_is_drawn():
    made, _, found = example("hall-bench")
    told = " ".join(words(parse(piece_drawing(made, parts(), found, FRAME))))
    assert "drawn here: front rail on the rail, LEDs down;" in told
    assert "back rail on the rail, LEDs to the front." in told


def test_the_tag_of_a_run_never_leads_to_an_eye_upon_it():
    made, _, found = with_eye()
    root = parse(piece_drawing(made, parts(), found, FRAME))
    for name in ("front", "above"):
        (view,) = named(root, "view", view=name)
        left, top, right, bottom = ends(named(view, "sensor-mark"))
        eye = ((left + right) / 2, (top + bottom) / 2)
        leaders = [points(one)[0] for one in named(view, "leader")]
        # Its own leader, and no other.
        assert sum(math.dist(start, eye) < 4.0 for start in leaders) == 1


def test_a_colon_parts_the_name_of_a_lead_from_its_length():
    # "shelf feed 1 4 ft" would read as 14 ft.
    made, catalogue, found = demo(system="inch")
    text = " ".join(words(check_sheet(piece_drawing(made, catalogue, found, FRAME), FRAME)))
    for wire in found.wires:
        assert f"{wire.lead}: {measure(wire.length_m, 'inch')}" in text
