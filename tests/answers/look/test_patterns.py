"""Dots of light on floor, wall and inlays, for the eyes that see these."""

from dataclasses import replace

import pytest
from designs import few, parts
from hypothesis import given
from hypothesis import strategies as st
from in_space import CLEAR, SOFA, bench, flipped, seen_of, under

from lightcalc.answers.answer import answer
from lightcalc.answers.findings.dots_remedy import SCATTER, dots_remedy
from lightcalc.answers.look.look import dots_cd_m2, look
from lightcalc.design.piece import Seen, Use
from lightcalc.design.space import Block, Mount, Room, Viewer
from lightcalc.physics.room.picture import picture, stage
from lightcalc.physics.room.tone import adaptation_cd_m2, screen_bytes

LOW = Mount("low", ((0.2, -0.05, 0.03), (1.2, -0.05, 0.03)), "down")
ABOVE = Viewer("above", (0.6, 0.15, 1.6))
TRAY = Mount("in the tray", ((0.25, 0.15, 0.4), (1.25, 0.15, 0.4)), "up")


def of(found, surface):
    return [pattern for pattern in found.patterns if pattern.surface == surface]


def worst(made, surface):
    return max((p.multiple_ratio for p in of(seen_of(made), surface)), default=0.0)


def test_leds_near_the_floor_draw_dots_on_it_and_far_ones_do_not():
    near = [worst(bench(replace(LOW, path_m=lift(z))), "floor") for z in (0.012, 0.03, 0.2)]
    assert near == sorted(near, reverse=True)
    assert near[0] > 3.0
    assert near[-1] < 0.1


def lift(z_m):
    return tuple((x, y, z_m) for x, y, _ in LOW.path_m)


def test_a_denser_strip_hides_the_dots():
    dense = worst(bench(LOW, strip="strip-12v-120-warm"), "floor")
    cob = worst(bench(LOW, strip="strip-12v-cob-480-warm"), "floor")
    assert worst(bench(LOW), "floor") > dense > cob


def test_nobody_sees_dots_where_the_piece_hides_the_floor():
    panel = Block("panel", (-0.5, -0.5, 0.0), (2.5, 0.01, 1.2), "ash")
    assert of(seen_of(bench(LOW)), "floor")
    assert of(seen_of(bench(LOW, blocks=(panel,))), "floor") == []


def test_dots_on_a_wall_need_a_wall_that_is_near_and_lit():
    back = Mount("at the back", ((0.2, 0.4, 0.3), (1.2, 0.4, 0.3)), "back")
    near, far = (
        seen_of(
            bench(back, room=Room(wall_behind_m=gap), viewers=(Viewer("up", (0.7, 0.39, 1.4)),))
        )
        for gap in (0.012, 0.3)
    )
    assert of(near, "wall")[0].multiple_ratio > 3.0
    assert of(far, "wall")[0].verdict == "hidden"
    assert of(seen_of(bench(back)), "wall") == []


@pytest.mark.parametrize("sheet", ["resin-milky-10", "resin-clear-10"])
def test_leds_are_judged_through_an_inlay_for_eyes_on_its_other_side(sheet):
    below = Viewer("below", (0.6, -0.5, 0.2))
    made = bench(TRAY, inlays=(replace(CLEAR, sheet=sheet),), viewers=(ABOVE, below))
    patterns = of(seen_of(made), "seam")
    assert [pattern.eye for pattern in patterns] == ["above"]
    straight = patterns[0].straight_multiple_ratio
    assert (straight is not None and straight > 10.0) == (sheet == "resin-clear-10")


def test_an_eye_that_sees_no_led_through_an_inlay_sees_it_glow():
    # From aside, the line through the seam ends on the underside, not at the LEDs.
    aside = Viewer("aside", (0.6, -2.0, 0.9))
    patterns = of(seen_of(bench(TRAY, inlays=(CLEAR,), viewers=(aside,))), "seam")
    assert all(pattern.straight_multiple_ratio is None for pattern in patterns)
    # What hides the dots of what it sees glow is what hides them from an eye above.
    assert {pattern.remedy for pattern in patterns} <= {"scattering layer", "none needed"}


@pytest.mark.parametrize("sheet", ["resin-clear-10", "resin-milky-10", "sheet-opal-dense-3"])
def test_answer_and_look_name_one_remedy_for_dots_through_a_sheet(sheet):
    near = Mount("in the tray", ((0.35, 0.15, 0.404), (0.85, 0.15, 0.404)), "up")
    inlay = replace(CLEAR, sheet=sheet)
    eyes = (ABOVE, Viewer("aside", (0.6, -2.0, 0.9)))
    made = bench(near, inlays=(inlay,), viewers=eyes, m=0.5)
    seen = Seen("the seam", 0.006, 1.15, sheet, 0.04)
    made = replace(made, runs=(replace(made.runs[0], seen=(seen,)),))
    told = {f.remedy for f in answer(made, parts()).findings if f.code == "dots"}
    looked = {f.remedy for f in seen_of(made).findings if f.code == "dots-seen"}
    assert {t.split(";")[0] for t in looked} <= {
        *(t.split(";")[0] for t in told),
        "The piece leaves no room for enough distance",
    }
    if sheet == "resin-clear-10":
        assert looked == told == {SCATTER}


def test_a_picture_shows_the_dots_that_its_eye_sees_and_is_else_exposed_as_ever():
    near = Mount("in the tray", ((0.35, 0.15, 0.402), (0.85, 0.15, 0.402)), "up")
    eye = Viewer("aside", (0.6, -0.6, 1.2))
    for sheet, dotted in (("resin-clear-10", True), ("sheet-opal-dense-3", False)):
        inlay = replace(CLEAR, sheet=sheet)
        looked = look(bench(near, inlays=(inlay,), viewers=(eye,), m=0.5), parts())
        seen = picture(stage(looked.scene, looked.light), looked.scene.eyes[0], 640, 480)
        cd_m2 = dots_cd_m2(looked.look, "aside")
        assert (cd_m2 > 0.0) == dotted
        shown = screen_bytes(seen, adaptation_cd_m2(seen, cd_m2)).min(axis=2)
        before = screen_bytes(seen, adaptation_cd_m2(seen)).min(axis=2)
        if not dotted:
            assert (shown == before).all()
            continue
        assert (shown >= 254).sum() < 0.5 * (before >= 254).sum()


def test_a_distance_that_the_piece_has_no_room_for_is_no_remedy():
    far = dots_remedy("more distance", 0.12, "metric", 0.5)
    assert "Hidden from 120 mm" in far
    near = dots_remedy("more distance", 0.12, "metric", 0.1)
    assert "no room" in near
    assert "120" not in near


@few
@given(st.floats(0.0, 300.0), st.floats(1.5, 20.0))
def test_more_light_in_the_room_never_makes_dots_plainer(lux, times):
    def multiple(room_lux):
        use = Use(bench().use.stretches, room_lux=room_lux)
        return worst(bench(LOW, use=use), "floor")

    assert multiple(lux * times + 1.0) <= multiple(lux) * 1.001


@few
@given(st.floats(1.2, 2.0), st.floats(1.05, 3.0))
def test_farther_away_fine_dots_are_never_plainer(height_m, times):
    # Only beyond the eye's best frequency, some 3 to 5 cycles a degree: 120 LEDs a metre are
    # finer than that from 2.5 m on. Coarser dots may show better from a little farther away.
    def multiple(away_m):
        eye = Viewer("eye", (0.7, -away_m, height_m))
        made = bench(replace(LOW, path_m=lift(0.008)), strip="strip-12v-120-warm", viewers=(eye,))
        return worst(made, "floor")

    assert multiple(2.5 * times) <= multiple(2.5) * 1.001


@few
@given(st.integers(2, 9), st.integers(0, 5))
def test_a_mirrored_design_shows_the_same_dots(tenths, lift_cm):
    low = Mount(
        "low", ((0.2, -0.05, 0.02 + lift_cm / 100), (1.2, -0.05, 0.02 + lift_cm / 100)), "down"
    )
    eye = Viewer("eye", (0.13 * tenths, -1.5, 1.2))
    made = bench(low, viewers=(eye,), inlays=(CLEAR,))
    one, other = seen_of(made).patterns, seen_of(flipped(made)).patterns
    assert [(p.surface, p.verdict) for p in one] == [(p.surface, p.verdict) for p in other]
    for a, b in zip(one, other, strict=True):
        assert a.multiple_ratio == pytest.approx(b.multiple_ratio, rel=0.05, abs=0.02)
        assert a.mean_lux == pytest.approx(b.mean_lux, rel=0.03)


def test_a_slanted_run_and_one_that_stands_up_are_judged_nowhere_on_the_floor():
    slanted = Mount("slanted", ((0.2, 0.0, 0.03), (1.0, 0.7, 0.03)), "down")
    upright = Mount("upright", ((0.2, -0.1, 0.05), (0.2, -0.1, 1.1)), "front")
    for mount in (slanted, upright):
        assert of(seen_of(bench(mount)), "floor") == []


def test_light_too_weak_to_see_draws_no_dots():
    assert of(seen_of(bench(under(), viewers=(SOFA,))), "wall") == []
