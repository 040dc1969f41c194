"""Paper knows the room of what is drawn on it."""

import pytest
from drawn import letterings, named, parse, points
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.packet.paper import MARGIN_MM, Box, Paper, text_box

numbers = st.floats(-100.0, 100.0)
boxes = st.builds(
    lambda x, y, w, h: Box(x, y, x + w, y + h),
    numbers,
    numbers,
    st.floats(0.1, 50),
    st.floats(0.1, 50),
)


@given(boxes, boxes)
def test_boxes_meet_both_ways_or_not_at_all(one, other):
    assert one.meets(other) == other.meets(one)
    assert one.meets(one)


@given(boxes, st.lists(st.tuples(numbers, numbers), min_size=1))
def test_a_box_around_places_holds_them_and_itself(box, places):
    around = box.with_all(places)
    for x, y in [*places, (box.left, box.top), (box.right, box.bottom)]:
        assert around.left <= x <= around.right
        assert around.top <= y <= around.bottom


@given(st.lists(st.tuples(numbers, numbers), min_size=2, max_size=5), numbers, numbers)
def test_a_sheet_is_as_large_as_what_is_on_it_and_a_margin(places, x, y):
    paper = Paper()
    paper.line(places, 0.5)
    paper.text((x, y), "rail", 3.0, turned=True)
    paper.circle((y, x), 2.0, 0.5)
    drawing = paper.drawing("a", "b")
    (box,) = [one.box for one in letterings(parse(drawing))]
    xs = [p[0] for p in places]
    left = min(min(xs) - 0.25, box.left, y - 2.25)
    right = max(max(xs) + 0.25, box.right, y + 2.25)
    assert drawing.width_mm == pytest.approx(right - left + 2 * MARGIN_MM, abs=0.01)


def test_a_turned_text_takes_its_room_upwards():
    level = text_box((10.0, 10.0), "1400 mm", 3.0)
    turned = text_box((10.0, 10.0), "1400 mm", 3.0, turned=True)
    assert turned.height == pytest.approx(level.width)
    assert turned.width == pytest.approx(level.height)
    assert turned.bottom == 10.0
    middle = text_box((10.0, 10.0), "1400 mm", 3.0, anchor="middle")
    assert middle.middle[0] == pytest.approx(10.0)


def test_groups_hold_what_is_drawn_in_them_and_none_is_empty():
    paper = Paper()
    with paper.group("outer", run="a"), paper.group("inner"):
        paper.line([(0, 0), (1, 1)], class_="one")
    with paper.group("nothing"):
        pass
    root = parse(paper.drawing("a", "b"))
    assert len(named(named(named(root, "outer", run="a")[0], "inner")[0], "one")) == 1
    assert not named(root, "nothing")


def test_a_drawing_may_be_printed_smaller():
    paper = Paper()
    paper.box(Box(0.0, 0.0, 98.0, 48.0), 0.0)
    drawing = paper.drawing("a", "b", shrink=0.5)
    assert (drawing.width_mm, drawing.height_mm) == (50.0, 25.0)
    root = parse(drawing)
    assert root.get("viewBox") == "-1 -1 100 50"
    assert points(next(root.iter("rect")))[2] == (98.0, 48.0)


def test_room_that_is_taken_is_not_free():
    paper = Paper()
    paper.take(Box(0.0, 0.0, 10.0, 10.0))
    assert not paper.free(Box(9.0, 9.0, 12.0, 12.0))
    assert paper.free(Box(11.0, 11.0, 12.0, 12.0))
