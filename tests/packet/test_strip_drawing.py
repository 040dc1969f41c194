"""Flat strips, measured on paper and compared with the answer."""

from dataclasses import replace

import pytest
from designs import designs, some
from drawn import HOSTILE, check_sheet, colliding, ends, named, parse, points, words
from hypothesis import given
from hypothesis import strategies as st
from pieces import answered, demo, example

from lightcalc import units
from lightcalc.packet.plan import plan_drawings
from lightcalc.packet.strip_drawing import strip_drawings
from lightcalc.packet.svg import clean

FRAME = (180.0, 255.0)
EXAMPLES = ["hall-bench", "bedside-shelf", "display-cabinet"]


def check_strip(group, run, cut_unit_m, reduction):
    """Compare one strip on paper with its run."""
    left, _, right, _ = ends(named(group, "strip-outline"))
    mm_per_m = 1000.0 / reduction
    assert right - left == pytest.approx(run.cut_length_m * mm_per_m, abs=0.002)
    marks = [points(one)[0][0] - left for one in named(group, "cut-mark")]
    apart_mm = cut_unit_m * mm_per_m
    every = max(round(marks[0] / apart_mm), 1) if marks else run.cut_units_count
    assert every == 1 or apart_mm < 0.8
    expected = [n * apart_mm for n in range(every, run.cut_units_count, every)]
    assert marks == pytest.approx(expected, abs=0.002)
    tips = {
        one.get("data-lead"): points(named(one, "feed-mark")[0])[0] for one in named(group, "feed")
    }
    assert tips.keys() == {feed.lead for feed in run.feeds}
    for feed in run.feeds:
        assert tips[feed.lead][0] - left == pytest.approx(feed.at_m * mm_per_m, abs=0.002)
    lengths = {one.get("data-of"): one for one in named(group, "dimension")}
    inside = [f for f in run.feeds if 1e-4 < f.at_m < run.cut_length_m - 1e-4]
    assert run.run in lengths or not run.run
    for feed in inside:
        assert feed.lead in lengths
    return lengths


def check_lengths(lengths, reduction, system):
    for one in lengths.values():
        (x1, _), (x2, _) = points(named(one, "span")[0])
        (text,) = [part.text for part in one.iter("text")]
        length_m = abs(x2 - x1) * reduction / 1000.0
        rounding_m = 0.00005 if system == "metric" else 0.0254 / 32
        assert units.read(text, "length") == pytest.approx(
            length_m, abs=rounding_m + 2e-6 * reduction
        )


def check_all(made, catalogue, found, drawings, frame):
    answers = {run.run: run for run in found.runs}
    seen = []
    for drawing in drawings:
        root = check_sheet(drawing, frame)
        assert drawing.scale == f"1:{drawing.reduction}"
        for group in named(root, "flat-strip"):
            run = answers[group.get("data-run")]
            strip = catalogue.strips[run.strip]
            lengths = check_strip(group, run, strip.cut_unit_m, drawing.reduction)
            check_lengths(lengths, drawing.reduction, made.system)
            seen.append(run.run)
    assert seen == [run.name for run in made.runs]


@some
@given(designs(), st.floats(110.0, 180.0))
def test_every_strip_is_drawn_once_to_scale(made, high_mm):
    made, catalogue, found = answered(made)
    frame = (180.0, high_mm)
    check_all(made, catalogue, found, strip_drawings(made, catalogue, found, frame), frame)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("frame", [(180.0, 120.0), FRAME, (250.0, 180.0)])
def test_strips_of_the_examples_fit_any_usual_sheet(name, frame):
    made, catalogue, found = example(name)
    drawings = strip_drawings(made, catalogue, found, frame)
    check_all(made, catalogue, found, drawings, frame)
    for drawing in drawings:
        assert not colliding(parse(drawing))


def test_only_a_piece_with_blocks_has_a_plan():
    for name, count in (("hall-bench", 2), ("bedside-shelf", 1)):
        made, catalogue, found = example(name)
        drawings = plan_drawings(made, catalogue, found)
        assert len(drawings) == count
        assert [bool(named(parse(one), "view")) for one in drawings] == [True, False][-count:]


def test_a_strip_says_where_it_starts_and_where_it_turns():
    made, _, _ = example("hall-bench")
    bent = replace(
        made.runs[0].mounts[0],
        path_m=((0.04, 0.07, 0.36), (0.34, 0.07, 0.36), (0.34, 0.07, 1.6)),
    )
    made, catalogue, found = demo(runs=(replace(made.runs[0], mounts=(bent,)),))
    (drawing,) = strip_drawings(made, catalogue, found, FRAME)
    root = parse(drawing)
    text = " ".join(words(root))
    assert "Starts 40 mm from the left, 70 mm from the front, 360 mm above the floor" in text
    assert "turns a corner at 300 mm" in text
    left, _, _, _ = ends(named(root, "strip-outline"))
    (turn,) = named(root, "turn")
    assert points(turn)[0][0] - left == pytest.approx(300.0 / drawing.reduction, abs=0.002)


def test_marks_too_near_to_see_are_thinned_out_and_that_is_said():
    made, _, _ = example("display-cabinet")
    run = replace(made.runs[0], strip="strip-24v-168-warm", length_m=9.9)
    supply = replace(made.supplies[0], controller=None)
    made = replace(made, runs=(run,), supplies=(supply,), trunks=made.trunks, use=replace(made.use))
    made = replace(
        made,
        use=replace(made.use, stretches=tuple(replace(s, mix=()) for s in made.use.stretches)),
    )
    made, catalogue, found = answered(made)
    drawings = strip_drawings(made, catalogue, found, FRAME)
    check_all(made, catalogue, found, drawings, FRAME)
    # 237 units of 41.667 mm at 1:100 are 0.42 mm apart.
    assert drawings[0].scale == "1:100"
    assert any("Every other cut mark" in text for text in words(parse(drawings[0])))


def test_many_runs_go_on_on_further_sheets():
    made, _, _ = example("hall-bench")
    many = tuple(replace(made.runs[0], name=f"run {n}") for n in range(17))
    made, catalogue, found = demo(runs=many)
    for high_mm in range(100, 200, 7):
        frame = (180.0, float(high_mm))
        drawings = strip_drawings(made, catalogue, found, frame)
        check_all(made, catalogue, found, drawings, frame)
    assert len(drawings) > 2
    assert drawings[-1].title.endswith(f" {len(drawings)} of {len(drawings)}")


def test_names_from_a_file_come_out_as_text():
    made, _, _ = example("hall-bench")
    runs = tuple(
        replace(
            made.runs[0],
            name=name,
            where=name,
            feeds=(
                replace(made.runs[0].feeds[0], lead=replace(made.runs[0].feeds[0].lead, name=name)),
            ),
        )
        for name in HOSTILE
    )
    made, catalogue, found = demo(runs=runs)
    drawings = strip_drawings(made, catalogue, found, FRAME)
    seen = []
    for drawing in drawings:
        root = check_sheet(drawing, FRAME)
        assert "<script" not in drawing.svg
        seen += [one.get("data-run") for one in named(root, "flat-strip")]
        assert not colliding(root)
    assert seen == [clean(name) for name in HOSTILE]


def test_a_run_with_several_mounts_says_which_is_drawn_and_that_the_others_are_instead():
    made, catalogue, found = example("hall-bench")
    told = " ".join(one for one in words(parse(strip_drawings(made, catalogue, found, FRAME)[0])))
    assert "Drawn here: on the rail, LEDs down." in told
    assert "to build instead and not as well: under the seat, LEDs down." in told
    # No other way of its LEDs is claimed for what is drawn: not in the maker's own words either.
    back = told.split("2 back rail", 1)[1]
    assert "Drawn here: on the rail, LEDs to the front." in back
    assert back.count("LEDs down") == back.count("instead and not as well") == 1
    assert "facing down" not in back
    one_way = tuple(replace(run, mounts=run.mounts[:1]) for run in made.runs)
    single = strip_drawings(*demo(runs=one_way), FRAME)[0]
    assert "Drawn here" not in " ".join(words(parse(single)))
    other = tuple(replace(run, mounts=run.mounts[::-1]) for run in made.runs)
    turned = " ".join(words(parse(strip_drawings(*demo(runs=other), FRAME)[0])))
    assert "Drawn here: under the seat, LEDs down." in turned


@pytest.mark.parametrize("system", ["metric", "inch"])
def test_a_cut_unit_keeps_its_millimetres(system):
    told = " ".join(words(parse(strip_drawings(*demo(system=system), FRAME)[0])))
    unit = {"metric": "28 cut units of 50 mm", "inch": "28 cut units of about 1 15/16 in (50 mm)"}
    assert unit[system] in told
