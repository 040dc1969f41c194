from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from lightcalc.physics.dots.diffusion import row_contrast, row_illuminance_lux
from lightcalc.physics.dots.sheet import Sheet, fresnel_reflectance, sheet_shares
from lightcalc.physics.room.bounce import reflectance
from lightcalc.physics.room.direct import lighting
from lightcalc.physics.room.glow import edge_evenness, glow, insert_glows, line_evenness
from lightcalc.physics.room.grids import outline
from lightcalc.physics.room.scene import Box, Insert, Point, Row, Scene, Wall

DOWN: Point = (0.0, 0.0, -1.0)
UP: Point = (0.0, 0.0, 1.0)
PITCH = 1 / 60
TOP = Box("top", (0.0, 0.0, 0.40), (1.2, 0.6, 0.43))
RESIN = Sheet(1.5, absorption_per_m=5.0, scattering_per_m=2000.0)
PANE = Insert("pane", "top", ((0.1, 0.2), (1.1, 0.2), (1.1, 0.4), (0.1, 0.4)), RESIN)


def row(y: float, z: float, facing: Point = DOWN, count: int = 60, first: float = 0.1) -> Row:
    places = tuple((first + PITCH * k, y, z) for k in range(count))
    return Row(f"row {y}", places, facing, 20.0, 1.0, PITCH, 0.004)


def test_insert_glows_with_the_scattered_share_of_the_light_behind_it() -> None:
    scene = Scene((TOP,), (row(0.3, 0.35, UP),), (), (PANE,))
    (found,) = glow(scene, faces=False).inserts
    shares = sheet_shares(RESIN, 0.03)
    grid = found.low.grid
    v = int(np.abs(grid.v_m - 0.33).argmin())
    lux = row_illuminance_lux(
        grid.u_m - 0.1, 0.05, PITCH, 20.0, 1.0, count=60, y_m=float(grid.v_m[v]) - 0.3
    )
    # A matt glow sends lux / pi of what it passes or sends back each way.
    above = found.luminance(from_high=True).lux[:, v]
    assert above == pytest.approx(shares.scattered * lux / math.pi, rel=1e-3)
    matt = shares.reflected - fresnel_reflectance(1.5)
    below = found.luminance(from_high=False).lux[:, v]
    assert below == pytest.approx(matt * lux / math.pi, rel=1e-3)
    assert found.room_luminance(50.0) == pytest.approx((shares.scattered + matt) * 50.0 / math.pi)


def test_insert_cells_lie_inside_its_outline_by_area() -> None:
    star = ((0.2, 0.1), (0.6, 0.25), (1.0, 0.1), (0.9, 0.5), (0.6, 0.4), (0.3, 0.5))
    scene = Scene((TOP,), (row(0.3, 0.39, UP),), (), (replace(PANE, corners=star),))
    prepared, shape = lighting(scene), outline(scene)
    (found,) = insert_glows(scene, prepared, shape)
    x, y = np.array(star).T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0  # the surveyor's formula
    assert found.low.grid.areas_m2[found.inside].sum() == pytest.approx(area, rel=0.02)


def test_insert_close_over_a_row_shows_its_dots() -> None:
    near = glow(Scene((TOP,), (row(0.3, 0.39, UP),), (), (PANE,)), faces=False).inserts[0]
    lux = near.low.lux[:, int(np.abs(near.low.grid.v_m - 0.3).argmin())]
    middle = lux[len(lux) // 3 : -len(lux) // 3]
    contrast = (middle.max() - middle.min()) / (middle.max() + middle.min())
    # Four cells a pitch miss the peaks of a wave by an eighth of it at most.
    most = row_contrast(0.01, PITCH, 1.0)
    assert most * math.cos(math.pi / 4.0) * 0.98 < contrast < most * 1.001


def test_dots_on_the_floor_have_the_contrast_of_a_long_row() -> None:
    for height in (0.01, 0.02, 0.03):
        scene = Scene((), (row(0.0, height, count=300),), ())
        found = edge_evenness(lighting(scene), outline(scene), 0)
        assert found.dot_contrast == pytest.approx(row_contrast(height, PITCH, 1.0), rel=0.1)


def test_smooth_light_that_fades_along_a_line_shows_no_dots() -> None:
    scene = Scene((), (row(0.0, 0.4, count=120),), ())
    found = edge_evenness(lighting(scene), outline(scene), 0)
    assert found.contrast > 0.1
    assert found.dot_contrast < 5e-4


def test_line_under_the_edge_runs_along_the_row_on_the_side_nearest_to_it() -> None:
    rows = (row(0.05, 0.39), row(0.50, 0.39))
    scene = Scene((TOP,), rows, (), wall=Wall(1.0))
    lit = glow(scene, faces=False)
    for found, y in zip(lit.edges, (0.0, 0.6), strict=True):
        assert found.places_m[:, 1] == pytest.approx(y)
        assert found.places_m[0, 0] == pytest.approx(0.1)
        assert found.places_m[-1, 0] == pytest.approx(0.1 + 59 * PITCH, abs=PITCH)
        expected = sum(
            row_illuminance_lux(
                found.places_m[:, 0] - 0.1,
                0.39,
                PITCH,
                20.0,
                1.0,
                count=60,
                y_m=y - leds.places[0][1],
            )
            for leds in rows
        )
        assert found.lux == pytest.approx(expected, rel=1e-4)
        assert found.least_over_mean == pytest.approx(expected.min() / expected.mean(), rel=1e-4)


def test_light_lies_evener_the_higher_the_row() -> None:
    figures = []
    for height in (0.01, 0.02, 0.04):
        scene = Scene((), (row(0.0, height, count=600, first=-5.0),), ())
        line = [np.array([x, 0.0, 0.0]) for x in (-0.2, 0.2)]
        figures.append(line_evenness(lighting(scene), *line, pitch_m=PITCH).contrast)
    assert figures == sorted(figures, reverse=True)


def test_line_off_the_floor_is_refused() -> None:
    scene = Scene((), (row(0.0, 0.4),), ())
    with pytest.raises(ValueError, match="floor along x or y"):
        line_evenness(lighting(scene), np.zeros(3), np.array([1.0, 1.0, 0.0]), PITCH)


def test_glow_answers_for_every_face_and_for_the_lumens() -> None:
    scene = Scene((TOP,), (row(0.05, 0.39), row(0.3, 0.3, UP)), (), (PANE,), wall=Wall(0.9))
    lit = glow(scene)
    assert lit.wall is not None
    assert len(lit.faces) == 6
    assert lit.lumens.accounted == pytest.approx(lit.lumens.emitted, rel=1e-9)
    assert lit.floor.lumens == pytest.approx(lit.lumens.floor, abs=0.01 * lit.lumens.emitted)
    assert lit.floor.lux_by_row.shape[0] == 2
    underside = next(face for face in lit.faces if face.grid.name == "top low z")
    (pane,) = lit.lumens.inserts
    met = pane.scattered + pane.reflected + pane.absorbed + pane.straight
    assert underside.lumens == pytest.approx(met + lit.lumens.boxes["top"], rel=0.01)


def test_light_by_way_of_a_face_adds_and_is_less_than_what_the_face_got() -> None:
    scene = Scene((TOP,), (row(0.3, 0.3, UP),), (), wall=Wall(0.9))
    direct, lit = glow(scene), glow(scene, bounced=True)
    assert direct.wall is not None
    assert lit.wall is not None
    pairs = [(direct.floor, lit.floor), (direct.wall, lit.wall)]
    pairs += list(zip(direct.faces, lit.faces, strict=True))
    assert all((more.lux >= plain.lux).all() for plain, more in pairs)
    gained = sum(more.lumens - plain.lumens for plain, more in pairs)
    sent = direct.lumens.boxes["top"] * reflectance(TOP.colour)
    sent += direct.lumens.wall * reflectance(scene.wall.colour if scene.wall else TOP.colour)
    sent += direct.lumens.floor * reflectance(scene.floor.colour)
    # Most of it goes down to the floor and back to the wall; the rest leaves the scene.
    assert 0.6 * sent < gained < 1.02 * sent


def test_black_room_gives_no_light_by_way_of_its_faces() -> None:
    black = (0.0, 0.0, 0.0)
    scene = Scene((replace(TOP, colour=black),), (row(0.3, 0.3, UP),), ())
    scene = replace(scene, floor=replace(scene.floor, colour=black))
    direct, lit = glow(scene), glow(scene, bounced=True)
    assert (lit.floor.lux == direct.floor.lux).all()


def test_piece_without_leds_has_no_glow() -> None:
    lit = glow(Scene((TOP,), (), (), (PANE,), wall=Wall(0.9)), bounced=True)
    assert lit.floor.lux.max() == 0.0
    assert lit.edges == ()
    assert lit.inserts[0].luminance(from_high=True).lux.max() == 0.0


def test_dark_rows_leave_a_dark_piece() -> None:
    dark = replace(row(0.3, 0.3), lumens=0.0)
    lit = glow(Scene((TOP,), (dark,), ()), bounced=True)
    assert lit.floor.lux.max() == 0.0
    assert lit.edges[0].least_over_mean == 0.0
    assert lit.edges[0].contrast == 0.0
    assert lit.lumens.emitted == 0.0
