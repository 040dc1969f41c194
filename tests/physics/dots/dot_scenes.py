"""Rows of LEDs, surfaces and eyes to look at them with."""

from __future__ import annotations

from hypothesis import settings
from hypothesis import strategies as st

from lightcalc.physics.dots.dots import (
    DotScene,
    Surface,
    reflecting_surface,
    sheet_surface,
)
from lightcalc.physics.dots.lobes import even_lobe, sheet_lobes
from lightcalc.physics.dots.sheet import sheet_from_shares

WALL = DotScene(
    pitch_m=1 / 60,
    lumens_per_emitter=12.0,
    beam_exponent=1.0,
    distance_m=1 / 60,
    surface=reflecting_surface(0.7),
    viewer_distance_m=1.0,
    row_length_m=1.0,
)
TINTED = sheet_surface(sheet_from_shares(0.003, straight=0.4, scattered=0.02), 0.003)
OPAL = sheet_surface(sheet_from_shares(0.003, straight=0.0, scattered=0.5), 0.003)
# Straight, scattered, at 3 mm: a light haze, a tint, a frost, a milk.
SHEETS = [sheet_from_shares(0.003, *pair) for pair in [(0.86, 0.02), (0.28, 0.02), (0.3, 0.5)]]
SHEETS.append(sheet_from_shares(0.003, straight=0.0005, scattered=0.55))
lobes = st.sampled_from(
    [(even_lobe(0.3),), *(sheet_lobes(sheet, t) for sheet in SHEETS for t in (0.002, 0.01))]
)
surfaces = st.one_of(
    st.floats(0.02, 0.95).map(reflecting_surface),
    st.builds(
        Surface,
        lobes=lobes,
        straight=st.sampled_from([0.0, 1e-9, 1e-6, 1e-3, 0.1]),
        room_reflectance=st.floats(0.02, 0.9),
    ),
)
scenes = st.builds(
    DotScene,
    pitch_m=st.floats(0.002, 0.1),
    lumens_per_emitter=st.floats(0.05, 100.0),
    beam_exponent=st.one_of(st.just(1.0), st.floats(0.5, 20.0)),
    distance_m=st.floats(0.001, 0.3),
    surface=surfaces,
    viewer_distance_m=st.floats(0.2, 10.0),
    row_length_m=st.floats(0.1, 5.0),
    room_illuminance_lux=st.one_of(st.just(0.0), st.floats(1.0, 2000.0)),
)
quick = settings(max_examples=60, deadline=None)
