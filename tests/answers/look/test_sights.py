"""Who sees which LEDs, who sees them alike, and what is said of it."""

from dataclasses import replace

import pytest
from designs import few, parts
from hypothesis import given
from hypothesis import strategies as st
from in_space import CHAIR, CLEAR, DOOR, SOFA, bench, flipped, seen_of, under

from lightcalc.answers.answer import answer
from lightcalc.design.piece import Use
from lightcalc.design.space import Block, Mount, Room, Viewer
from lightcalc.physics.room.line_of_light import line_multiple

DULL = Room(floor_gloss_ratio=0.0)
ABOVE = Viewer("above", (0.6, 0.15, 1.6))
TRAY = Mount("in the tray", ((0.25, 0.15, 0.3), (1.25, 0.15, 0.3)), "up")


def ways(found, eye="sofa"):
    return {sight.way for sight in found.sights if sight.eye == eye}


def found_codes(found):
    return [finding for finding in found.findings if finding.code == "leds-seen"]


def test_leds_under_a_top_are_seen_in_a_glossy_floor_only():
    assert ways(seen_of(bench())) == {"mirrored"}
    assert ways(seen_of(bench(room=DULL))) == set()
    assert "none" not in str(found_codes(seen_of(bench(room=DULL))))


def test_leds_on_the_front_edge_are_seen_bare_whatever_the_floor():
    front = Mount("on the edge", ((0.2, 0.0, 0.43), (1.2, 0.0, 0.43)), "front")
    for room in (DULL, None):
        found = seen_of(bench(front, room=room))
        assert "direct" in ways(found)
        assert found_codes(found)[0].grade == "caution"
        assert "bare (all of them)" in found_codes(found)[0].why


@pytest.mark.parametrize(
    ("sheet", "seen"),
    [
        ("resin-clear-10", True),
        ("resin-blue-10", True),
        ("resin-pearl-10", False),
        ("sheet-opal-dense-3", False),
    ],
)
def test_leds_show_through_clear_resin_and_not_through_what_scatters(sheet, seen):
    inlay = replace(CLEAR, sheet=sheet)
    found = seen_of(bench(TRAY, inlays=(inlay,), viewers=(ABOVE,), room=DULL))
    assert (ways(found, "above") == {"through"}) == seen
    if seen:
        (finding,) = found_codes(found)
        assert "through the inlay seam" in finding.why
        assert "scatters more" in finding.remedy


def test_a_trace_of_straight_light_is_lost_in_the_glow_around_it():
    # 0.3 % at 10 mm leaves exp(-4 * 5.8) = 1e-10 of it in 40 mm: far below any eye.
    milky = replace(CLEAR, sheet="resin-milky-10")
    found = seen_of(bench(TRAY, inlays=(milky,), viewers=(ABOVE,), room=DULL))
    assert found.sights == ()


def test_no_set_back_or_turn_takes_a_run_out_from_under_its_inlay():
    # A tray: a floor for the strip 1 cm under a panel with a resin river 10 cm wide.
    base = Block("base", (0.2, 0.0, 0.38), (1.1, 0.4, 0.02), "walnut")
    lying = Mount("on the base", ((0.35, 0.15, 0.4), (0.85, 0.15, 0.4)), "up")
    eye = Viewer("above", (0.6, -0.6, 1.6))
    found = seen_of(bench(lying, inlays=(CLEAR,), viewers=(eye,), room=DULL, blocks=(base,), m=0.5))
    assert ways(found, "above") == {"through"}
    (hide,) = found.hides
    assert hide.set_back_m is None
    assert not hide.turning_hides
    away = [finding for finding in found.findings if "et it back" in finding.remedy]
    assert not away


def test_eyes_that_see_the_same_share_a_finding():
    found = seen_of(bench(viewers=(SOFA, CHAIR)))
    (finding,) = found_codes(found)
    assert finding.where == "run rail, eyes sofa and chair"
    assert "all of them" in finding.why
    assert len(found.sights) == 2


def test_eyes_behind_and_before_need_changes_at_other_edges():
    behind = Viewer("window", (0.6, 2.2, 1.2))
    found = seen_of(bench(under(0.2), viewers=(SOFA, behind)))
    assert sorted(hide.edge for hide in found.hides) == ["back", "front"]
    assert len(found_codes(found)) == 2


def test_the_set_back_that_is_told_hides_and_a_millimetre_less_does_not():
    cushions = (Viewer("cushion", (0.6, -1.5, 0.35)), Viewer("pouf", (0.9, -2.0, 0.38)))

    def on_top(y_m):
        mount = under(y_m, name="on the top", faces="front", z_m=0.455)
        return seen_of(bench(mount, viewers=cushions, room=DULL))

    (hide,) = on_top(0.005).hides
    assert hide.eyes == ("cushion", "pouf")
    assert on_top(0.005 + hide.set_back_m).sights == ()
    assert on_top(0.005 + hide.set_back_m - 0.0015).sights


def test_the_lip_that_is_told_hides():
    low = Viewer("floor cushion", (0.6, -1.5, 0.3))
    found = seen_of(bench(viewers=(low,), room=DULL))
    assert ways(found, "floor cushion") == {"direct"}
    (hide,) = found.hides
    lip = Block("lip", (0.0, 0.0, 0.41 - hide.lip_m), (1.5, 0.003, hide.lip_m), "ash")
    assert seen_of(bench(viewers=(low,), room=DULL, blocks=(lip,))).sights == ()


def test_another_mount_that_hides_is_named():
    behind = Mount("behind the leg", ((0.25, 0.3, 0.2), (0.25, 1.3, 0.2)), "down")
    deep = under(0.38, name="at the back")
    found = seen_of(bench(under(), deep, behind))
    (hide,) = found.hides
    for name in ("at the back", "behind the leg"):
        number = ["under the top", "at the back", "behind the leg"].index(name)
        there = seen_of(bench(under(), deep, behind), mounts={"rail": number})
        assert (name in hide.mounts_that_hide) == (there.sights == ())
    if hide.mounts_that_hide:
        assert hide.mounts_that_hide[0] in found_codes(found)[0].remedy


def test_the_answer_lists_what_a_look_does_or_more():
    made = bench(viewers=(SOFA, DOOR, CHAIR))
    told = answer(made, parts())
    looked = seen_of(made)
    assert {(s.eye, s.way) for s in told.sights} >= {(s.eye, s.way) for s in looked.sights}
    codes = [finding.code for finding in told.findings]
    assert "leds-seen" in codes
    assert answer(replace(made, space=replace(made.space, blocks=())), parts()).sights == ()


places = st.tuples(
    st.integers(-20, 35).map(lambda n: n / 10 + 0.013),
    st.integers(-25, -3).map(lambda n: n / 10 + 0.007),
    st.integers(3, 19).map(lambda n: n / 10 + 0.003),
)


@few
@given(places, st.integers(1, 7))
def test_a_mirrored_design_is_seen_alike(at, tenths):
    made = bench(under(0.05 * tenths), viewers=(Viewer("eye", at),), inlays=(CLEAR,))
    one, other = seen_of(made), seen_of(flipped(made))
    assert [(s.way, s.leds_count) for s in one.sights] == [
        (s.way, s.leds_count) for s in other.sights
    ]
    for a, b in zip(one.sights, other.sights, strict=True):
        assert a.kept_ratio == pytest.approx(b.kept_ratio)
        assert a.multiple_ratio == pytest.approx(b.multiple_ratio, rel=0.02)
    assert [(h.set_back_m, h.lip_m) for h in one.hides] == [
        (h.set_back_m, h.lip_m) for h in other.hides
    ]


@few
@given(st.floats(0.0, 500.0), st.floats(1.1, 50.0))
def test_more_light_in_the_room_never_makes_leds_plainer(lux, times):
    def multiples(room_lux):
        use = Use(bench().use.stretches, room_lux=room_lux)
        return [s.multiple_ratio for s in seen_of(bench(use=use)).sights]

    for dim, light in zip(multiples(lux), multiples(lux * times + 1.0), strict=False):
        assert light <= dim * 1.001


@given(
    st.floats(0.0, 1e5, allow_subnormal=False),
    st.floats(0.01, 1e4),
    st.floats(0.017, 0.5),
    st.floats(0.05, 100.0),
)
def test_a_brighter_line_stands_out_more(line, around, height, length):
    found = line_multiple(line, around, height, length)
    assert found >= 0.0
    assert line_multiple(line * 1.5 + 0.01, around, height, length) >= found
    assert line_multiple(line, around * 2.0, height, length) <= found * 1.001


def test_a_line_a_minute_tall_is_just_seen_at_a_few_per_cent():
    # Weber contrasts for a bright line of one minute are one to some ten per cent by day
    # (handbook range, from memory).
    assert 0.01 < 0.01 / line_multiple(1.0, 100.0, 1.0 / 60.0, 20.0) < 0.2
