"""Lines among boxes and inserts: against slow casting by other means, and by laws.

The slow casting cuts a line at every plane of every box and of every outline's edges, and asks
of the middle of each piece what it lies in, by angles seen from that point. Production clips
lines to slabs and counts edges instead.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.dots.sheet import Sheet
from lightcalc.physics.room.rays import (
    TOLERANCE_M,
    Kind,
    blocked,
    crossings,
    nearest,
    passage,
    solids,
)
from lightcalc.physics.room.scene import Box, Insert, Point, Scene, Wall

RESIN = Sheet(1.5, 10.0, 100.0)
SCENES = 1000
seeds = st.integers(0, 2**32 - 1)


def thin_axis(box: Box) -> int:
    sides = [round(high - low, 9) for low, high in zip(box.low, box.high, strict=True)]
    return sides.index(min(sides))


def some_outline(random: Random, box: Box) -> tuple[tuple[float, float], ...]:
    """A star round a middle, hollow as often as not, that may reach out to the box's faces."""
    u, v = (axis for axis in range(3) if axis != thin_axis(box))
    whole = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    count = random.randint(3, 7)
    turns = sorted(random.uniform(0.0, 2.0 * math.pi) for _ in range(count))
    reach = [random.uniform(0.1, 0.5) for _ in turns]
    star = tuple(
        (0.5 + r * math.cos(turn), 0.5 + r * math.sin(turn))
        for r, turn in zip(reach, turns, strict=True)
    )
    return tuple(
        (
            box.low[u] + (box.high[u] - box.low[u]) * a,
            box.low[v] + (box.high[v] - box.low[v]) * b,
        )
        for a, b in (whole if random.random() < 0.15 else star)
    )


def some_scene(random: Random) -> Scene:
    """Boxes on a grid of 5 cm, so that many touch, and inserts in the first one or two."""
    boxes = []
    for number in range(random.randint(2, 7)):
        x, y, z = (random.randint(0, 20) for _ in range(3))
        far = [place + random.randint(1, 10) for place in (x, y, z)]
        high = (far[0] / 20.0, far[1] / 20.0, far[2] / 20.0)
        boxes.append(Box(f"box {number}", (x / 20.0, y / 20.0, z / 20.0), high))
    inserts = tuple(
        Insert(f"insert {box.name}", box.name, some_outline(random, box), RESIN)
        for box in boxes[: random.randint(0, 2)]
    )
    return Scene(tuple(boxes), (), (), inserts)


def some_point(random: Random, scene: Scene) -> Point:
    """On a face of a box, on the floor, or anywhere, round numbers among them."""
    where = [random.uniform(-0.5, 2.0) for _ in range(3)]
    choice = random.random()
    if choice < 0.4:
        box = random.choice(scene.boxes)
        where = [random.uniform(low, high) for low, high in zip(box.low, box.high, strict=True)]
        axis = random.randrange(3)
        where[axis] = random.choice((box.low, box.high))[axis]
    elif choice < 0.55:
        where[2] = 0.0
    elif choice < 0.7:
        where = [round(place * 20.0) / 20.0 for place in where]
    return (where[0], where[1], where[2])


def at(start: Point, end: Point, t: float) -> Point:
    x, y, z = (a + (b - a) * t for a, b in zip(start, end, strict=True))
    return (x, y, z)


def in_box(point: Point, box: Box) -> bool:
    return all(a <= p <= b for a, p, b in zip(box.low, point, box.high, strict=True))


def in_outline(point: Point, insert: Insert, axis: int) -> bool:
    """Whether an outline, looked at from a point, goes once round it."""
    u, v = (point[other] for other in range(3) if other != axis)
    angles = [math.atan2(b - v, a - u) for a, b in insert.corners]
    turns = (
        math.remainder(b - a, 2.0 * math.pi)
        for a, b in zip(angles, angles[1:] + angles[:1], strict=True)
    )
    return abs(sum(turns)) > math.pi


def along_edge(pieces: list[tuple[Point, float]], insert: Insert, axis: int) -> bool:
    """Whether a line runs along an outline's very edge, where it may pass or not."""
    u, v = (other for other in range(3) if other != axis)
    for middle, _ in pieces:
        here = (middle[u], middle[v])
        for a, b in pairwise((*insert.corners, insert.corners[0])):
            if math.dist(a, here) + math.dist(here, b) - math.dist(a, b) < 1e-12:
                return True
    return False


def cuts(scene: Scene, start: Point, end: Point) -> list[float]:
    """Where a line crosses planes of boxes and of outlines' edges, sorted, ends included."""
    found = [0.0, 1.0]
    for box in scene.boxes:
        for axis in range(3):
            for plane in (box.low[axis], box.high[axis]):
                if end[axis] != start[axis]:
                    found.append((plane - start[axis]) / (end[axis] - start[axis]))
    for insert in scene.inserts:
        axis = thin_axis(next(box for box in scene.boxes if box.name == insert.host))
        u, v = (other for other in range(3) if other != axis)
        du, dv = end[u] - start[u], end[v] - start[v]
        for a, b in pairwise((*insert.corners, insert.corners[0])):
            across = (b[1] - a[1], a[0] - b[0])
            speed = du * across[0] + dv * across[1]
            if speed != 0.0:
                found.append(
                    ((a[0] - start[u]) * across[0] + (a[1] - start[v]) * across[1]) / speed
                )
    return sorted(t for t in found if 0.0 <= t <= 1.0)


def slow_cast(scene: Scene, start: Point, end: Point) -> tuple[bool, tuple[bool, ...]] | None:
    """Whether a line is stopped, and which inserts it crosses; None for along an outline."""
    length = math.dist(start, end)
    marks = cuts(scene, start, end)
    pieces = [
        (at(start, end, (a + b) / 2.0), (b - a) * length)
        for a, b in pairwise(marks)
        if (b - a) * length > 1e-9
    ]
    stopped, crossed = False, [False] * len(scene.inserts)
    for box in scene.boxes:
        inside = [(middle, long) for middle, long in pieces if in_box(middle, box)]
        if sum(long for _, long in inside) <= 2.0 * TOLERANCE_M:
            continue
        passes = False
        for number, insert in enumerate(scene.inserts):
            if insert.host != box.name:
                continue
            if along_edge(inside, insert, thin_axis(box)):
                return None
            if all(in_outline(middle, insert, thin_axis(box)) for middle, _ in inside):
                passes = crossed[number] = True
        stopped = stopped or not passes
    return stopped, tuple(crossed)


def test_lines_fare_as_slow_casting_says_in_a_thousand_scenes() -> None:
    stopped_count = crossed_count = clear_count = 0
    for seed in range(SCENES):
        random = Random(seed)
        scene = some_scene(random)
        starts = [some_point(random, scene) for _ in range(12)]
        ends = [some_point(random, scene) for _ in range(12)]
        found = crossings(solids(scene), starts, ends)
        for number, (start, end) in enumerate(zip(starts, ends, strict=True)):
            expected = slow_cast(scene, start, end)
            if expected is None:
                continue
            stopped, crossed = expected
            assert bool(found.blocked[number]) == stopped, (seed, start, end)
            assert tuple(found.through[number].tolist()) == crossed, (seed, start, end)
            stopped_count += stopped
            crossed_count += any(crossed) and not stopped
            clear_count += not stopped and not any(crossed)
    # The scenes would prove little if they were all of one kind.
    assert min(stopped_count, clear_count) > 3000
    assert crossed_count > 100


def first_face(scene: Scene, start: Point, way: Point) -> tuple[float, str | None, Point]:
    """Distance to the first face, its box, and its normal, by asking each face in turn."""
    best: tuple[float, str | None, Point] = (math.inf, None, (0.0, 0.0, 0.0))
    for box in scene.boxes:
        for axis in range(3):
            for plane, sign in ((box.low[axis], -1.0), (box.high[axis], 1.0)):
                if way[axis] * sign >= 0.0:
                    continue
                t = (plane - start[axis]) / way[axis]
                place = [s + t * w for s, w in zip(start, way, strict=True)]
                place[axis] = plane
                x, y, z = place
                if 0.0 <= t < best[0] and in_box((x, y, z), box):
                    normal = [0.0, 0.0, 0.0]
                    normal[axis] = sign
                    best = (t, box.name, (normal[0], normal[1], normal[2]))
    return best


def first_thing(scene: Scene, start: Point, way: Point) -> tuple[float, Kind, str, Point]:
    """Distance to what is met first, its kind, box or insert, and normal."""
    distance, name, normal = first_face(scene, start, way)
    met: tuple[float, Kind, str, Point] = (distance, Kind.NOTHING, "", normal)
    if name is not None:
        inside = at(
            start, (start[0] + way[0], start[1] + way[1], start[2] + way[2]), distance + 1e-6
        )
        met = (distance, Kind.BOX, name, normal)
        for insert, box in zip(scene.inserts, scene.boxes, strict=False):
            if insert.host == name and in_outline(inside, insert, thin_axis(box)):
                met = (distance, Kind.INSERT, insert.name, normal)
    if way[2] < 0.0 and -start[2] / way[2] < met[0]:
        met = (-start[2] / way[2], Kind.FLOOR, "", (0.0, 0.0, 1.0))
    if scene.wall and way[1] > 0.0 and (scene.wall.y_m - start[1]) / way[1] < met[0]:
        met = ((scene.wall.y_m - start[1]) / way[1], Kind.WALL, "", (0.0, -1.0, 0.0))
    return met


def test_the_first_thing_met_is_the_nearest_face_in_a_thousand_scenes() -> None:
    counts = dict.fromkeys(Kind, 0)
    for seed in range(SCENES):
        random = Random(seed)
        scene = replace(some_scene(random), wall=random.choice((None, Wall(2.5))))
        start = (random.uniform(0.0, 1.5), random.uniform(-3.0, -1.0), random.uniform(0.1, 2.0))
        ways = []
        for _ in range(12):
            box = random.choice(scene.boxes)
            aim = [random.uniform(a - 0.3, b + 0.3) for a, b in zip(box.low, box.high, strict=True)]
            ways.append(np.subtract(aim, start) / math.dist(aim, start))
        hits = nearest(solids(scene), start, 2.0 * np.array(ways))
        for number, (x, y, z) in enumerate(np.array(ways).tolist()):
            distance, kind, name, normal = first_thing(scene, start, (x, y, z))
            counts[kind] += 1
            assert hits.distance_m[number] == pytest.approx(distance, abs=1e-9), seed
            assert Kind(hits.kind[number]) == kind, seed
            assert tuple(hits.normal[number].tolist()) == normal, seed
            items = scene.inserts if kind == Kind.INSERT else scene.boxes
            if name:
                assert items[hits.index[number]].name == name, seed
            else:
                assert hits.index[number] == hits.box[number] == -1
    # The scenes would prove little if they were all of one kind.
    assert min(counts.values()) > 100, counts


@settings(max_examples=200, deadline=None)
@given(seeds)
def test_a_line_is_clear_up_to_what_it_meets_first_and_not_beyond(seed: int) -> None:
    random = Random(seed)
    scene = some_scene(random)
    shapes = solids(scene)
    start = np.array([0.7, -1.0, 0.8])
    ways = np.array([some_point(random, scene) for _ in range(20)]) - start
    hits = nearest(shapes, start, ways, past_inserts=True)
    assert not (hits.kind == Kind.INSERT).any()
    boxes = hits.kind == Kind.BOX
    ways = (ways / np.linalg.norm(ways, axis=1, keepdims=True))[boxes]
    reach = hits.distance_m[boxes, None]
    assert not blocked(shapes, start, start + (reach - 1e-5) * ways).any()
    assert blocked(shapes, start, start + (reach + 5.0) * ways).all()


@settings(max_examples=200, deadline=None)
@given(seeds)
def test_light_goes_both_ways_alike(seed: int) -> None:
    random = Random(seed)
    scene = some_scene(random)
    shapes = solids(scene)
    starts, ends = ([some_point(random, scene) for _ in range(30)] for _ in range(2))
    out, back = crossings(shapes, starts, ends), crossings(shapes, ends, starts)
    assert (out.blocked == back.blocked).all()
    assert (out.through == back.through).all()


@settings(max_examples=200, deadline=None)
@given(seeds)
def test_moving_the_whole_scene_changes_nothing(seed: int) -> None:
    random = Random(seed)
    scene = some_scene(random)
    shift = np.array([random.randint(-40, 40) / 8.0 for _ in range(3)])
    # Points off all faces: a move rounds coordinates, and may round a point off its face.
    starts, ends = (
        np.array([[random.uniform(-0.5, 2.0) for _ in range(3)] for _ in range(30)])
        for _ in range(2)
    )
    moved = replace(
        scene,
        boxes=tuple(
            replace(box, low=tuple(box.low + shift), high=tuple(box.high + shift))
            for box in scene.boxes
        ),
        inserts=tuple(
            replace(insert, corners=tuple(map(tuple, insert.corners + np.delete(shift, axis))))
            for insert, axis in zip(scene.inserts, map(thin_axis, scene.boxes), strict=False)
        ),
    )
    here = passage(solids(scene), starts, ends)
    there = passage(solids(moved), starts + shift, ends + shift)
    assert (here.blocked == there.blocked).all()
    assert (here.insert == there.insert).all()
    assert here.cosine == pytest.approx(there.cosine, abs=1e-12)


@settings(max_examples=100, deadline=None)
@given(seeds)
def test_one_more_box_never_clears_a_line(seed: int) -> None:
    random = Random(seed)
    scene = some_scene(random)
    starts, ends = ([some_point(random, scene) for _ in range(30)] for _ in range(2))
    fewer = replace(scene, boxes=scene.boxes[:-1], inserts=())
    more = replace(scene, inserts=())
    assert (blocked(solids(more), starts, ends) >= blocked(solids(fewer), starts, ends)).all()


TOP = Box("top", (0.0, 0.0, 0.40), (1.0, 0.5, 0.42))
ELL = ((0.2, 0.1), (0.8, 0.1), (0.8, 0.2), (0.4, 0.2), (0.4, 0.4), (0.2, 0.4))


def test_an_led_on_a_face_shines_freely_from_it_at_any_slant() -> None:
    shapes = solids(Scene((TOP,), (), ()))
    slopes = np.array([1.0, 1e-2, 1e-4, 1e-6])
    eyes = np.stack([0.5 + 0.0 * slopes, -1.0 + 0.0 * slopes, 0.4 - slopes], axis=1)
    assert not blocked(shapes, (0.5, 0.1, 0.4), eyes).any()
    # Placed with rounding, a trillionth of a metre inside, it still does where it matters.
    assert not blocked(shapes, (0.5, 0.1, 0.4 + 1e-12), eyes[:3]).any()
    assert blocked(shapes, (0.5, 0.1, 0.4), (0.5, -1.0, 0.4001))


def test_light_leaks_through_no_joint() -> None:
    left = replace(TOP, high=(0.1 + 0.2, 0.5, 0.42))
    right = replace(TOP, name="right", low=(0.3, 0.0, 0.40))
    shapes = solids(Scene((left, right), (), ()))
    for x in (0.3, 0.1 + 0.2):
        assert blocked(shapes, (x, 0.25, 0.2), (x, 0.1, 1.0))


def test_the_floor_under_a_leg_is_in_the_dark() -> None:
    shapes = solids(Scene((Box("leg", (0.0, 0.0, 0.0), (0.05, 0.05, 0.4)),), (), ()))
    assert blocked(shapes, (0.02, 0.02, 0.0), (0.5, 0.5, 1.0))
    assert not blocked(shapes, (0.06, 0.02, 0.0), (0.5, 0.5, 1.0))


@pytest.mark.parametrize(
    ("start", "end", "through"),
    [
        ((0.3, 0.3, 0.39), (0.3, 0.3, 0.43), True),  # down one arm
        ((0.6, 0.3, 0.39), (0.6, 0.3, 0.43), False),  # down the notch
        ((0.25, 0.15, 0.40), (0.7, 0.15, 0.42), True),  # along the other arm
        ((0.75, 0.15, 0.40), (0.3, 0.39, 0.42), False),  # across the notch, arm to arm
        ((0.3, 0.3, 0.40), (0.1, 0.3, 0.42), False),  # out through the edge of the hole
    ],
)
def test_a_hollow_insert_passes_what_stays_inside_its_outline(
    start: Point, end: Point, through: bool
) -> None:
    shapes = solids(Scene((TOP,), (), (), (Insert("ell", "top", ELL, RESIN),)))
    result = passage(shapes, start, end)
    assert bool(result.blocked) == (not through)
    assert int(result.insert) == (0 if through else -1)


def test_an_insert_that_fills_its_box_passes_light_by_every_face() -> None:
    whole = ((0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5))
    shapes = solids(Scene((TOP,), (), (), (Insert("block", "top", whole, RESIN),)))
    ends = [(2.0, 0.2, 0.41), (-1.0, 0.2, 0.41), (0.5, 2.0, 0.41), (0.5, -2.0, 0.41)]
    result = crossings(shapes, (0.5, 0.2, 0.41), ends)
    assert not result.blocked.any()
    assert result.through.all()
    met = nearest(shapes, (0.5, -2.0, 0.41), (0.0, 1.0, 0.0))
    assert met.kind.tolist() == [Kind.INSERT]


def test_the_first_insert_on_the_way_and_its_slant_are_told() -> None:
    low = Box("low shelf", (0.0, 0.0, 0.10), (1.0, 0.5, 0.12))
    front = Box("front", (0.0, -0.12, 0.0), (1.0, -0.10, 0.5))
    square = ((0.1, 0.1), (0.9, 0.1), (0.9, 0.4), (0.1, 0.4))
    inserts = tuple(Insert(host, host, square, RESIN) for host in ("top", "low shelf", "front"))
    shapes = solids(Scene((TOP, low, front), (), (), inserts))
    starts = [(0.5, 0.3, 0.6), (0.5, 0.3, 0.0), (0.5, -0.5, 0.2)]
    ends = [(0.5, 0.2, 0.0), (0.5, 0.3, 0.6), (0.5, 0.0, 0.2)]
    result = passage(shapes, starts, ends)
    assert not result.blocked.any()
    assert result.insert.tolist() == [0, 1, 2]
    assert result.cosine == pytest.approx([math.cos(math.atan2(0.1, 0.6)), 1.0, 1.0])
    assert crossings(shapes, starts, ends).through.sum(axis=1).tolist() == [2, 2, 1]


def test_arrays_of_any_shape_fare_as_one_by_one() -> None:
    scene = some_scene(Random(3))
    shapes = solids(scene)
    random = Random(4)
    leds = np.array([some_point(random, scene) for _ in range(7)])
    eyes = np.array([some_point(random, scene) for _ in range(5)])
    table = passage(shapes, leds[:, None], eyes)
    assert table.blocked.shape == table.insert.shape == table.cosine.shape == (7, 5)
    for i, led in enumerate(leds):
        for j, eye in enumerate(eyes):
            one = passage(shapes, led, eye)
            assert one.blocked == table.blocked[i, j]
            assert one.insert == table.insert[i, j]
    many = np.repeat(leds, 10_000, axis=0)
    assert (blocked(shapes, many, eyes[0]) == np.repeat(table.blocked[:, 0], 10_000)).all()


def test_wrong_scenes_are_refused_in_a_sentence() -> None:
    with pytest.raises(ValueError, match="let into lid, which is no box"):
        solids(Scene((TOP,), (), (), (Insert("ell", "lid", ELL, RESIN),)))
    with pytest.raises(ValueError, match="three corners"):
        solids(Scene((TOP,), (), (), (Insert("ell", "top", ELL[:2], RESIN),)))
    with pytest.raises(ValueError, match="Box top is empty"):
        solids(Scene((replace(TOP, low=TOP.high),), (), ()))
