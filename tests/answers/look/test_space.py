"""A design in space becomes the scene it describes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from designs import evening, parts, some
from hypothesis import given
from hypothesis import strategies as st
from in_space import CLEAR, DOOR, SOFA, bench, seen_of, under

from lightcalc.answers.light_colour import light_colour
from lightcalc.answers.look.look import lit_runs
from lightcalc.answers.look.space import default_viewers, placed, scene_of
from lightcalc.design.piece import Stretch, Use
from lightcalc.design.space import STAND_OFF_M, Mount, Room, Viewer


def scene(made, **changes):
    return scene_of(made, lit_runs(made, parts()), parts(), **changes).scene


def test_leds_lie_on_the_line_a_pitch_apart_and_stand_off_it():
    (row,) = scene(bench()).rows
    places = np.array(row.places)
    assert len(places) == 60
    assert np.diff(places[:, 0]) == pytest.approx(1.0 / 60)
    assert places[:, 2] == pytest.approx(0.41 - STAND_OFF_M)
    # A whole pitch for each LED: half of one before the first and after the last.
    assert places[0, 0] == pytest.approx(0.2 + 0.5 / 60)
    assert places[-1, 0] == pytest.approx(1.2 - 0.5 / 60)


@pytest.mark.parametrize("level", [1.0, 0.4])
def test_the_leds_give_the_light_of_the_run_at_the_brightest_of_the_evening(level):
    made = bench(use=evening(0.1, level))
    (_, answer), *_ = lit_runs(made, parts())
    (row,) = scene(made).rows
    assert row.lumens * len(row.places) == pytest.approx(answer.light_lm * level, rel=1e-9)


def test_with_one_colour_lit_half_of_the_leds_of_a_tunable_strip_shine():
    warm = Use((Stretch(1.0, 3600.0, (("cool", 0.0),)),))
    both, alone = (
        scene(bench(strip="strip-12v-tunable-120", use=use)).rows[0] for use in (evening(), warm)
    )
    assert len(alone.places) == pytest.approx(len(both.places) / 2, abs=1)
    assert alone.pitch_m == pytest.approx(2 * both.pitch_m, rel=1e-3)
    total = [row.lumens * len(row.places) for row in (alone, both)]
    assert total[0] == pytest.approx(total[1] / 2, rel=1e-9)
    assert alone.colour[0] > both.colour[0]


CORNERS = Mount("round", ((0.2, 0.05, 0.41), (0.9, 0.05, 0.41), (0.9, 0.38, 0.41)), "down")


def test_a_run_round_a_corner_has_a_row_for_each_side_and_all_of_its_leds():
    made = bench(CORNERS)
    found = scene_of(made, lit_runs(made, parts()), parts())
    names = [row.name for row in found.scene.rows]
    assert names == ["rail, side 1", "rail, side 2"]
    assert set(found.run_of.values()) == {"rail"}
    places = np.concatenate([row.places for row in found.scene.rows])
    assert len(places) == 60
    steps = np.linalg.norm(np.diff(places, axis=0), axis=1)
    assert steps.max() <= 1.0 / 60 + 1e-9
    assert np.array(found.scene.rows[0].places)[:, 1] == pytest.approx(0.05)
    assert np.array(found.scene.rows[1].places)[:, 0] == pytest.approx(0.9)


def test_a_curve_is_one_row():
    turns = [math.radians(6.0 * step) for step in range(16)]
    path = tuple((0.2 + 0.65 * math.sin(t), 0.7 - 0.65 * math.cos(t), 0.41) for t in turns)
    assert len(scene(bench(Mount("curve", path, "down"))).rows) == 1


@some
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=2, max_size=9))
def test_no_led_is_lost_or_doubled_on_any_line(corners):
    path = tuple((x / 2.0, y / 2.0, 0.3) for x, y in corners)
    mount = Mount("any", path, "down")
    if mount.length_m >= 1.0:
        rows = scene(bench(mount)).rows
        assert sum(len(row.places) for row in rows) == 60


def test_a_run_with_no_mount_is_left_out_and_a_design_with_none_is_not_placed():
    made = bench()
    bare = replace(made.runs[0], name="bare", mounts=())
    assert [row.name for row in scene(replace(made, runs=(*made.runs, bare))).rows] == ["rail"]
    assert placed(made)
    assert not placed(replace(made, runs=(bare,)))
    assert not placed(replace(made, space=replace(made.space, blocks=())))


def test_a_mount_is_picked_by_number():
    made = bench(under(), under(0.2, name="farther back"))
    assert scene(made, mounts={"rail": 1}).rows[0].places[0][1] == pytest.approx(0.2)


def test_the_room_and_the_inlay_are_as_the_maker_says():
    room = Room("dark boards", 0.1, 0.3, "coloured plaster")
    tinted = replace(CLEAR, tint="blue")
    found = scene(bench(room=room, inlays=(CLEAR, tinted)))
    assert found.wall.y_m == pytest.approx(0.7)
    assert found.floor.gloss == 0.1
    assert found.inserts[0].colour == (1.0, 1.0, 1.0)
    assert max(found.inserts[1].colour) == found.inserts[1].colour[2]
    assert found.room_lux == 50.0


def test_without_viewers_there_are_four_who_look_at_the_piece():
    eyes = scene(bench(viewers=())).eyes
    assert len(eyes) == 4
    assert all(eye.looks_at == pytest.approx((0.75, 0.2, 0.225)) for eye in eyes)
    assert all(eye.place[1] < 0.4 for eye in eyes)


def test_eyes_look_where_the_maker_says_and_one_in_the_middle_looks_somewhere():
    inside = Viewer("inside", (0.75, 0.2, 0.225))
    at_leg = replace(DOOR, looks_at_m=(0.05, 0.1, 0.0))
    middle, door, sofa = scene(bench(viewers=(inside, at_leg, SOFA))).eyes
    assert math.dist(middle.place, middle.looks_at) > 0.5
    assert door.looks_at == (0.05, 0.1, 0.0)
    assert sofa.looks_at == pytest.approx((0.75, 0.2, 0.225))


def test_the_colour_of_light_follows_the_label_and_the_mix():
    strips = parts().strips
    warm = light_colour(strips["strip-12v-60-warm"], (1.0,))
    neutral = light_colour(strips["strip-12v-120-neutral"], (1.0,))
    assert warm[0] > neutral[0] > neutral[2] - 1e-9 > warm[2]
    tunable = strips["strip-12v-tunable-120"]
    assert light_colour(tunable, (1.0, 0.0)) == pytest.approx(warm, rel=1e-3)
    assert light_colour(tunable, (0.0, 1.0))[2] > 1.5
    rgb = strips["strip-12v-rgb-60"]
    assert light_colour(rgb, (1.0, 1.0, 1.0)) == pytest.approx((1.0, 1.0, 1.0))
    assert light_colour(rgb, (0.0, 1.0, 0.0))[0] == 0.0
    assert light_colour(rgb, (0.0, 0.0, 0.0)) == (1.0, 1.0, 1.0)


@pytest.mark.parametrize("name", sorted(parts().strips))
def test_every_strip_has_a_colour_of_luminance_one(name):
    strip = parts().strips[name]
    colour = light_colour(strip, [1.0] * len(strip.channels))
    assert np.dot(colour, (0.2126, 0.7152, 0.0722)) == pytest.approx(1.0)


def test_on_a_table_those_who_are_not_named_look_from_lower():
    high = Room(table_m=0.74)
    floor, table = (default_viewers(bench(viewers=(), room=room)) for room in (None, high))
    for one, other in zip(floor, table, strict=True):
        assert other.at_m == pytest.approx((*one.at_m[:2], one.at_m[2] - 0.74))
    named = seen_of(bench(room=high)), seen_of(bench())
    assert named[0].sights == named[1].sights
