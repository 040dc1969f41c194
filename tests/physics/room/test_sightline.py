"""Which LEDs an eye sees: against slow ray casting by other means, and by laws.

The slow casting asks of every face of every box, one by one, where a line passes through its
rectangle, and of an outline, by the winding of angles, whether it holds all of that way.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import Sheet, sheet_shares
from lightcalc.physics.room.rays import TOLERANCE_M
from lightcalc.physics.room.scene import Box, Eye, Floor, Insert, Point, Row, Scene
from lightcalc.physics.room.sightline import (
    Way,
    bright_points,
    sightlines,
    slanted_straight_share,
)

SCENES = 1000
GLOSS = 0.04
Seen = tuple[str, str, Way, tuple[str, ...]]
seeds = st.integers(0, 2**32 - 1)


def some_box(random: Random, name: str) -> Box:
    """A slab one way or another, standing on the floor or above it, with round sides."""
    thin = random.randrange(3)
    x, y, z = (
        random.randint(-4, 8) / 10.0,
        random.randint(-2, 6) / 10.0,
        random.randint(0, 6) / 10.0,
    )
    sides = [random.randint(2, 10) / 10.0 for _ in range(3)]
    sides[thin] = random.randint(1, 3) / 50.0
    return Box(name, (x, y, z), (x + sides[0], y + sides[1], z + sides[2]))


def some_insert(random: Random, box: Box) -> Insert:
    """A wavy ring of corners that takes up much of a box's broad face, hollow here and there."""
    u, v = (axis for axis in range(3) if axis != thin_axis(box))
    count = random.randint(3, 9)
    corners = []
    for number in range(count):
        turn = 2.0 * math.pi * (number + random.uniform(0.0, 0.9)) / count
        reach = random.uniform(0.25, 0.49)
        a, b = 0.5 + reach * math.cos(turn), 0.5 + reach * math.sin(turn)
        corners.append(
            (
                box.low[u] + a * (box.high[u] - box.low[u]),
                box.low[v] + b * (box.high[v] - box.low[v]),
            )
        )
    sheet = Sheet(random.uniform(1.3, 1.7), random.uniform(0.0, 50.0), random.uniform(0.0, 200.0))
    return Insert(f"insert {box.name}", box.name, tuple(corners), sheet)


def some_row(random: Random, boxes: list[Box]) -> Row:
    """LEDs in a line on a face of a box, facing out from it or any other way."""
    box = random.choice(boxes)
    axis, sign = random.randrange(3), random.choice((-1, 1))
    low, high = np.array(box.low), np.array(box.high)
    first, last = (low + (high - low) * [random.random() for _ in range(3)] for _ in range(2))
    first[axis] = last[axis] = (high if sign > 0 else low)[axis]
    places = tuple((float(x), float(y), float(z)) for x, y, z in np.linspace(first, last, 3))
    facing = np.eye(3)[axis] * sign
    if random.random() < 0.3:
        facing = np.array([random.gauss(0.0, 1.0) for _ in range(3)])
        facing /= np.linalg.norm(facing)
    return Row("row", places, (facing[0], facing[1], facing[2]), 10.0, 1.0, 0.01, 0.02)


def some_eye(random: Random, name: str, boxes: list[Box], row: Row) -> Eye:
    """In front of the piece, or else where it looks at an LED across a box's middle."""
    if random.random() < 0.5:
        x, y, z = random.uniform(-1.5, 2.5), random.uniform(-2.0, -0.5), random.uniform(0.1, 1.8)
    else:
        box = boxes[0]
        middle = at(box.low, box.high, 0.5)
        x, y, z = at(row.places[1], middle, random.uniform(1.5, 5.0))
    return Eye(name, (x, y, max(z, 0.1)), (0.5, 0.2, 0.4))


def some_scene(random: Random) -> Scene:
    boxes = [some_box(random, f"box {number}") for number in range(random.randint(2, 6))]
    inserts = tuple(some_insert(random, box) for box in boxes[: random.randint(0, 2)])
    row = some_row(random, boxes)
    eyes = tuple(some_eye(random, f"eye {n}", boxes, row) for n in range(random.randint(1, 2)))
    if random.random() < 0.4:
        facing = np.subtract(eyes[0].place, row.places[1])
        facing /= np.linalg.norm(facing)
        row = replace(row, facing=(facing[0], facing[1], facing[2]))
    return Scene(tuple(boxes), (row,), eyes, inserts, Floor(gloss=GLOSS))


def thin_axis(box: Box) -> int:
    sides = [round(high - low, 9) for low, high in zip(box.low, box.high, strict=True)]
    return sides.index(min(sides))


def at(start: Point, end: Point, t: float) -> Point:
    x, y, z = (a + (b - a) * t for a, b in zip(start, end, strict=True))
    return (x, y, z)


def in_box(point: Point, box: Box, besides: int = -1) -> bool:
    return all(
        box.low[axis] <= point[axis] <= box.high[axis] for axis in range(3) if axis != besides
    )


def way_in_box(box: Box, start: Point, end: Point) -> tuple[float, float] | None:
    """Where a line enters and leaves a box, by its six faces and by the ends inside it."""
    marks = [t for t, point in ((0.0, start), (1.0, end)) if in_box(point, box)]
    for axis in range(3):
        if start[axis] == end[axis]:
            continue
        for plane in (box.low[axis], box.high[axis]):
            t = (plane - start[axis]) / (end[axis] - start[axis])
            if 0.0 <= t <= 1.0 and in_box(at(start, end, t), box, axis):
                marks.append(t)
    if not marks or (max(marks) - min(marks)) * math.dist(start, end) <= 2.0 * TOLERANCE_M:
        return None
    return min(marks), max(marks)


def holds(insert: Insert, axis: int, enter: Point, leave: Point) -> bool:
    """Whether an outline winds once round the middle of every piece its edges cut a way into."""
    u, v = (other for other in range(3) if other != axis)
    du, dv = leave[u] - enter[u], leave[v] - enter[v]
    marks = [0.0, 1.0]
    for a, b in pairwise((*insert.corners, insert.corners[0])):
        speed = du * (b[1] - a[1]) - dv * (b[0] - a[0])
        if speed != 0.0:
            off = (a[0] - enter[u]) * (b[1] - a[1]) - (a[1] - enter[v]) * (b[0] - a[0])
            marks.append(min(max(off / speed, 0.0), 1.0))
    for begin, finish in pairwise(sorted(marks)):
        middle = at(enter, leave, (begin + finish) / 2.0)
        angles = [math.atan2(b - middle[v], a - middle[u]) for a, b in insert.corners]
        turns = (math.remainder(b - a, 2.0 * math.pi) for a, b in pairwise((*angles, angles[0])))
        if abs(sum(turns)) < math.pi:
            return False
    return True


def slow_line(scene: Scene, start: Point, end: Point) -> frozenset[str] | None:
    """Names of the inserts a line crosses; None when it is stopped."""
    crossed = set()
    for box in scene.boxes:
        way = way_in_box(box, start, end)
        if way is None:
            continue
        enter, leave = at(start, end, way[0]), at(start, end, way[1])
        inserts = [insert for insert in scene.inserts if insert.host == box.name]
        passed = [i.name for i in inserts if holds(i, thin_axis(box), enter, leave)]
        if not passed:
            return None
        crossed.update(passed)
    return frozenset(crossed)


def slow_share(sheet: Sheet, thickness_m: float, slant: float) -> float:
    """Straight share by Fresnel's sine and tangent laws, with the angle outside in radians."""
    inner = math.asin(math.sin(slant) / sheet.refractive_index)
    kept = math.exp(
        -(sheet.absorption_per_m + sheet.scattering_per_m) * thickness_m / math.cos(inner)
    )
    ratio = [
        math.sin(slant - inner) / math.sin(slant + inner),
        math.tan(slant - inner) / math.tan(slant + inner),
    ]
    return sum((1.0 - r**2) ** 2 * kept / (1.0 - (r**2 * kept) ** 2) for r in ratio) / 2.0


def slow_kept(scene: Scene, crossed: frozenset[str], start: Point, end: Point) -> float:
    kept = 1.0
    for insert in scene.inserts:
        if insert.name in crossed:
            box = next(box for box in scene.boxes if box.name == insert.host)
            axis = thin_axis(box)
            across = [end[other] - start[other] for other in range(3) if other != axis]
            slant = math.atan2(math.hypot(*across), abs(end[axis] - start[axis]))
            kept *= slow_share(insert.sheet, box.high[axis] - box.low[axis], slant)
    return kept


def slow_looks(scene: Scene, eye: Eye, row: Row, mirrored: bool) -> Counter[Seen]:
    """Count LEDs by way and inserts, one point of one LED after another."""
    counts: Counter[Seen] = Counter()
    x, y, z = eye.place
    goal = (x, y, -z) if mirrored else eye.place
    for led in bright_points(row).tolist():
        best: tuple[float, frozenset[str]] | None = None
        for point in map(tuple, led):
            if (
                point[2] < 0.0
                or sum(f * (g - p) for f, g, p in zip(row.facing, goal, point, strict=True)) <= 0.0
            ):
                continue
            legs = [(point, goal)]
            if mirrored:
                a, b, c = at(point, goal, point[2] / (point[2] + z))
                legs = [(point, (a, b, 0.0)), ((a, b, 0.0), eye.place)]
                assert abs(c) < 1e-9
            found = [slow_line(scene, *leg) for leg in legs]
            if None in found:
                continue
            crossed = frozenset[str]().union(*(names for names in found if names))
            kept = slow_kept(scene, crossed, point, goal)
            if best is None or kept > best[0]:
                best = (kept, crossed)
        if best:
            way = Way.MIRRORED if mirrored else Way.THROUGH if best[1] else Way.DIRECT
            counts[
                eye.name, row.name, way, tuple(i.name for i in scene.inserts if i.name in best[1])
            ] += 1
    return counts


def found_looks(scene: Scene) -> Counter[Seen]:
    return Counter({(s.eye, s.row, s.way, s.inserts): s.count for s in sightlines(scene)})


def test_the_leds_seen_are_those_of_slow_casting_in_a_thousand_scenes() -> None:
    ways: Counter[Way] = Counter()
    hidden = hollow_mirrors = 0
    for seed in range(SCENES):
        scene = some_scene(Random(seed))
        expected: Counter[Seen] = Counter()
        for eye in scene.eyes:
            for mirrored in (False, True):
                expected += slow_looks(scene, eye, scene.rows[0], mirrored)
        assert found_looks(scene) == expected, seed
        for (_, _, way, inserts), count in expected.items():
            ways[way] += count
            hollow_mirrors += way == Way.MIRRORED and bool(inserts)
        hidden += not expected
    # The scenes would prove little if they were all of one kind.
    assert min(ways[way] for way in Way) > 100, ways
    assert hidden > 100
    assert hollow_mirrors > 20


UP_M = 20.0


def raised(scene: Scene) -> Scene:
    """The same high above the floor, with its image in a mirror at that height."""

    def up(point: Point) -> Point:
        return (point[0], point[1], UP_M + point[2])

    def down(point: Point) -> Point:
        return (point[0], point[1], UP_M - point[2])

    def image(box: Box) -> Box:
        (x, y, _), (a, b, _) = box.low, box.high
        return Box(f"image of {box.name}", (x, y, down(box.high)[2]), (a, b, down(box.low)[2]))

    def turned(insert: Insert, host: Box, sign: float) -> Insert:
        if thin_axis(host) == 2:
            return insert
        return replace(insert, corners=tuple((a, UP_M + sign * b) for a, b in insert.corners))

    pairs = list(zip(scene.inserts, scene.boxes, strict=False))
    return replace(
        scene,
        boxes=tuple(replace(box, low=up(box.low), high=up(box.high)) for box in scene.boxes)
        + tuple(map(image, scene.boxes)),
        inserts=tuple(turned(i, box, 1.0) for i, box in pairs)
        + tuple(
            replace(turned(i, box, -1.0), name=f"image of {i.name}", host=f"image of {i.host}")
            for i, box in pairs
        ),
        rows=tuple(replace(row, places=tuple(map(up, row.places))) for row in scene.rows),
        eyes=tuple(replace(eye, place=down(eye.place)) for eye in scene.eyes),
    )


@settings(max_examples=200, deadline=None)
@given(seeds)
def test_a_mirrored_sight_is_a_direct_sight_of_a_world_upside_down(seed: int) -> None:
    scene = some_scene(Random(seed))
    # LEDs just off their faces, and of no size: rounding would put some inside their box, and
    # parts of others are under the floor.
    row = scene.rows[0]
    lifted = tuple(at(place, tuple(np.add(place, row.facing)), 1e-3) for place in row.places)
    assume(min(place[2] for place in lifted) > 1e-6)
    scene = replace(scene, eyes=scene.eyes[:1], rows=(replace(row, places=lifted, side_m=1e-9),))
    mirrored = [s for s in sightlines(scene) if s.way == Way.MIRRORED]
    straight = [s for s in sightlines(raised(scene)) if s.way != Way.MIRRORED]
    assert sum(s.count for s in mirrored) == sum(s.count for s in straight)
    if mirrored and not scene.inserts:
        assert mirrored[0].nearest_m == pytest.approx(straight[0].nearest_m)
        assert mirrored[0].kept == pytest.approx(GLOSS * straight[0].kept)


@settings(max_examples=100, deadline=None)
@given(seeds, st.floats(-20.0, 20.0), st.floats(-20.0, 20.0))
def test_moving_the_whole_piece_along_the_floor_changes_nothing(
    seed: int, east: float, north: float
) -> None:
    scene = some_scene(Random(seed))
    # LEDs just off their faces, and of no size, so that rounding puts none inside its box.
    row = scene.rows[0]
    lifted = tuple(at(place, tuple(np.add(place, row.facing)), 1e-4) for place in row.places)
    scene = replace(scene, inserts=(), rows=(replace(row, places=lifted, side_m=1e-9),))

    def moved(point: Point) -> Point:
        return (point[0] + east, point[1] + north, point[2])

    away = replace(
        scene,
        boxes=tuple(replace(b, low=moved(b.low), high=moved(b.high)) for b in scene.boxes),
        rows=(replace(scene.rows[0], places=tuple(map(moved, lifted))),),
        eyes=tuple(replace(eye, place=moved(eye.place)) for eye in scene.eyes),
    )
    assert found_looks(scene) == found_looks(away)


TOP = Box("top", (0.0, 0.0, 0.40), (1.0, 0.6, 0.42))
SOFA = Eye("sofa", (0.5, -2.0, 1.1), (0.5, 0.3, 0.4))
LYING = Eye("lying", (0.5, -2.0, 0.2), (0.5, 0.3, 0.4))


def row_at(y: float, z: float = 0.40, facing: Point = (0.0, 0.0, -1.0)) -> Row:
    places = tuple((0.1 + 0.1 * number, y, z) for number in range(9))
    return Row("row", places, facing, 10.0, 1.0, 0.1, 0.002)


def test_an_edge_hides_leds_from_above_and_not_from_below() -> None:
    scene = Scene((TOP,), (row_at(0.02),), (SOFA, LYING))
    seen = {(s.eye, s.way): s.share for s in sightlines(scene)}
    assert seen == {
        ("sofa", Way.MIRRORED): 1.0,
        ("lying", Way.DIRECT): 1.0,
        ("lying", Way.MIRRORED): 1.0,
    }


def test_the_nearest_led_and_the_way_over_the_floor_are_told() -> None:
    scene = Scene((TOP,), (row_at(0.02),), (LYING,), floor=Floor(gloss=0.1))
    direct, mirrored = sightlines(scene)
    assert direct.nearest_led == mirrored.nearest_led == (0.5, 0.02, 0.40)
    assert direct.nearest_m == pytest.approx(math.hypot(2.02, 0.2))
    assert mirrored.nearest_m == pytest.approx(math.hypot(2.02, 0.6))
    assert (direct.kept, mirrored.kept) == (1.0, 0.1)


def test_a_rug_that_lies_where_the_mirror_would_be_takes_the_mirror_image() -> None:
    rug = Box("rug", (-1.0, -2.0, 0.0), (2.0, 0.5, 0.01))
    bare = Scene((TOP,), (row_at(0.02),), (SOFA,))
    assert [s.way for s in sightlines(bare)] == [Way.MIRRORED]
    assert sightlines(replace(bare, boxes=(TOP, rug))) == ()


def test_leds_under_an_insert_show_through_it_by_its_straight_share() -> None:
    sheet = Sheet(1.5, 20.0, 30.0)
    square = ((0.05, 0.05), (0.55, 0.05), (0.55, 0.55), (0.05, 0.55))
    tray = Box("tray", (0.0, 0.0, 0.30), (1.0, 0.6, 0.32))
    above = Eye("above", (0.3, 0.3, 1.4), (0.3, 0.3, 0.4))
    scene = Scene(
        (TOP, tray),
        (row_at(0.3, 0.32, (0.0, 0.0, 1.0)),),
        (above,),
        (Insert("window", "top", square, sheet),),
    )
    (sight,) = sightlines(scene)
    assert (sight.way, sight.inserts) == (Way.THROUGH, ("window",))
    assert sight.nearest_led == pytest.approx((0.3, 0.3, 0.32))
    # By similar triangles, the eye 1.00 m above the underside of the window and 1.08 m above
    # the LEDs: the eye sees LEDs up to 0.25 * 1.08 m off its own x, so those from 0.1 to 0.5.
    assert sight.count == 5
    straight = sheet_shares(sheet, TOP.high[2] - TOP.low[2]).straight
    assert sight.kept == pytest.approx(straight, rel=1e-9)


@given(
    st.builds(Sheet, st.floats(1.01, 2.0), st.floats(0.0, 200.0), st.floats(0.0, 500.0)),
    st.floats(1e-3, 0.03),
    st.floats(0.01, 1.5),
)
def test_the_slanted_share_follows_fresnels_sine_and_tangent_laws(
    sheet: Sheet, thickness: float, slant: float
) -> None:
    found = float(slanted_straight_share(sheet, thickness, math.cos(slant)))
    assert found == pytest.approx(slow_share(sheet, thickness, slant), rel=1e-9)
    upright = sheet_shares(sheet, thickness).straight
    assert slanted_straight_share(sheet, thickness, 1.0) == pytest.approx(upright, rel=1e-12)


def test_nothing_passes_straight_along_a_sheet() -> None:
    shares = slanted_straight_share(Sheet(1.5, 0.0, 0.0), 0.003, np.array([1e-3, 1e-6, 0.0]))
    assert (np.diff(shares) <= 0.0).all()
    assert shares[-1] == 0.0
