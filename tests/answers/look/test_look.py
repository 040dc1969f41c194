"""A look at a piece: what it finds, and that its numbers hang together."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from designs import few, parts
from hypothesis import given
from hypothesis import strategies as st
from in_space import CHAIR, CLEAR, DOOR, SOFA, bench, flipped, seen_of, under

from lightcalc.answers.look.look import look, plainest
from lightcalc.design.read import read_design
from lightcalc.design.space import Mount, Room
from lightcalc.physics.room.picture import picture, stage
from lightcalc.problems import BadInput

DEMO = Path(__file__).parents[3] / "catalog_examples" / "hall-bench.toml"
WALL = Room(wall_behind_m=0.1)
ROUND = Mount("round", ((0.2, 0.05, 0.41), (0.9, 0.05, 0.41), (0.9, 0.38, 0.41)), "down")


def sums_up(glow):
    parts_lm = glow.floor_lm + glow.wall_lm + glow.piece_lm + glow.inserts_lm + glow.left_lm
    return parts_lm / glow.emitted_lm


@few
@given(
    st.sampled_from(["down", "back", "front"]),
    st.integers(0, 3),
    st.booleans(),
    st.sampled_from(["strip-12v-60-warm", "strip-12v-cob-480-warm"]),
)
def test_all_light_is_accounted_for(faces, tenths, wall, strip):
    mount = under(0.05 + 0.1 * tenths, faces=faces, z_m=0.3)
    made = bench(mount, inlays=(CLEAR,), room=WALL if wall else None, strip=strip)
    glow = seen_of(made).glow
    assert sums_up(glow) == pytest.approx(1.0, abs=0.01)


def test_the_demo_accounts_for_its_light_and_emits_that_of_its_runs():
    design, catalogue = read_design(DEMO)
    found = look(design, catalogue, faces=False).look
    assert sums_up(found.glow) == pytest.approx(1.0, abs=0.01)
    # Two runs of 1.4 m after cutting, 450 lm/m, a few per cent less at the far end.
    assert found.glow.emitted_lm == pytest.approx(2 * 1.4 * 450, rel=0.08)


def test_pictures_change_no_number():
    made = bench(viewers=(SOFA, DOOR), inlays=(CLEAR,), room=WALL)
    assert look(made, parts()).look == look(made, parts(), faces=False).look


def test_light_by_way_of_wood_and_wall_is_in_the_maps():
    made = bench(room=WALL)
    with_faces, without = (look(made, parts(), faces=faces).light for faces in (True, False))
    assert with_faces.floor.lumens > 1.02 * without.floor.lumens
    assert len(with_faces.faces) == 6 * len(made.space.blocks)


def test_a_mirrored_design_has_the_same_glow():
    made = bench(ROUND, viewers=(SOFA, CHAIR), inlays=(CLEAR,), room=WALL)
    one, other = seen_of(made).glow, seen_of(flipped(made)).glow
    for name in ("emitted_lm", "floor_lm", "wall_lm", "piece_lm", "inserts_lm"):
        assert getattr(one, name) == pytest.approx(
            getattr(other, name), abs=0.01 * one.emitted_lm
        ), name
    assert one.floor_peak_lux == pytest.approx(other.floor_peak_lux, rel=0.03)


def test_a_mirrored_design_has_mirrored_pictures():
    made = bench(viewers=(replace(SOFA, at_m=(0.75, -2.0, 1.15)),), room=WALL)
    images = []
    for one in (made, flipped(made)):
        found = look(one, parts())
        ready = stage(found.scene, found.light)
        images.append(picture(ready, found.scene.eyes[0], 160, 120))
    assert np.median(np.abs(images[0] / images[1][:, ::-1] - 1.0)) < 0.01


def test_a_run_round_a_corner_is_looked_at_side_by_side():
    found = seen_of(bench(ROUND, viewers=(SOFA,)))
    assert {sight.run for sight in found.sights} == {"rail, side 1", "rail, side 2"}
    assert len(found.glow.edges) == 2
    assert sums_up(found.glow) == pytest.approx(1.0, abs=0.01)


def test_a_continuous_strip_is_seen_as_a_line():
    found = seen_of(bench(strip="strip-12v-cob-480-warm"))
    assert found.sights[0].of_count == 480
    assert all(p.verdict == "hidden" for p in found.patterns if p.surface == "floor")


def test_a_run_that_is_not_placed_is_named():
    made = bench()
    made = replace(made, runs=(*made.runs, replace(made.runs[0], name="other", mounts=())))
    (note,) = [f for f in seen_of(made).findings if f.code == "not-placed"]
    assert note.where == "run other"
    assert seen_of(made).mounts == ("rail: under the top",)


def test_a_design_that_is_not_in_space_and_a_mount_that_is_not_there_are_refused():
    made = bench()
    with pytest.raises(BadInput, match=r"no \[\[blocks\]\]"):
        look(replace(made, space=replace(made.space, blocks=())), parts())
    with pytest.raises(BadInput, match="rail has no mount 3; it has 1"):
        look(made, parts(), mounts={"rail": 2})


def test_for_each_surface_the_eye_that_sees_most_is_told():
    low = Mount("low", ((0.2, -0.05, 0.02), (1.2, -0.05, 0.02)), "down")
    found = seen_of(bench(low, viewers=(SOFA, DOOR, CHAIR)))
    told = plainest(found.patterns)
    assert len(told) == len({(p.run, p.surface) for p in found.patterns})
    (floor,) = [p for p in told if p.surface == "floor"]
    assert floor.multiple_ratio == max(
        p.multiple_ratio for p in found.patterns if p.surface == "floor"
    )
    (finding,) = [f for f in found.findings if f.code == "dots-seen"]
    assert finding.grade == "caution"
    assert floor.eye in finding.why


def test_the_distance_that_is_told_hides_the_dots_on_a_wall():
    def at(gap_m):
        mount = Mount("at the back", ((0.2, 0.4, 0.3), (1.2, 0.4, 0.3)), "back")
        eye = replace(SOFA, at_m=(0.7, 0.39, 1.4))
        return seen_of(bench(mount, room=Room(wall_behind_m=gap_m), viewers=(eye,)))

    (near,) = [p for p in at(0.012).patterns if p.surface == "wall"]
    far_m = near.hiding_distance_m
    (far,) = [p for p in at(far_m + 0.004).patterns if p.surface == "wall"]
    assert (near.verdict, far.verdict) == ("plain", "hidden")
