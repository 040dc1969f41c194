"""The way from luminance to a screen: the sRGB standard, and order that is kept."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.physics.room.tone import (
    LUMINANCE_WEIGHTS,
    adaptation_cd_m2,
    luminance_of,
    screen_bytes,
    shown_share,
    srgb_from_linear,
)

# The library changes how numpy prints for everyone; what it changes is put back.
with np.printoptions():
    import colour

luminances = st.floats(0.0, 1e7)
adaptations = st.floats(0.01, 1e4)


def test_the_transfer_is_that_of_iec_61966_2_1() -> None:
    linear = np.linspace(0.0, 1.0, 5001)
    expected = colour.models.eotf_inverse_sRGB(linear)  # colour-science
    assert srgb_from_linear(linear) == pytest.approx(expected, abs=1e-6)


def test_the_luminance_of_colours_is_that_of_the_srgb_primaries() -> None:
    matrix = colour.models.RGB_COLOURSPACE_sRGB.matrix_RGB_to_XYZ  # colour-science
    assert pytest.approx(matrix[1], abs=1e-4) == LUMINANCE_WEIGHTS
    assert luminance_of(np.eye(3, dtype=np.float32)) == pytest.approx(matrix[1], abs=1e-4)


def test_what_the_eye_is_adapted_to_shows_as_a_grey_card() -> None:
    # The 18 % grey card of photography.
    for adapted in (0.05, 7.0, 900.0):
        assert float(shown_share(np.array([adapted]), adapted)[0]) == pytest.approx(0.18, abs=0.002)


@given(luminances, luminances, adaptations)
def test_brighter_is_never_shown_darker(one: float, other: float, adapted: float) -> None:
    dark, bright = sorted((one, other))
    shown = screen_bytes(np.array([dark, bright], dtype=np.float32), adapted)
    assert shown[1] >= shown[0]


@given(luminances, adaptations, st.floats(1.0, 100.0))
def test_an_eye_adapted_to_more_shows_the_same_no_brighter(
    luminance: float, adapted: float, times: float
) -> None:
    light = np.array([luminance], dtype=np.float32)
    assert shown_share(light, adapted * times) <= shown_share(light, adapted)


@given(st.lists(st.floats(0.02, 1e5), min_size=2, max_size=8), st.floats(0.1, 10.0))
def test_a_scene_lit_evenly_more_looks_the_same(light: list[float], times: float) -> None:
    picture = np.array(light, dtype=np.float32)[:, None, None] * np.ones(3, dtype=np.float32)
    more = picture * np.float32(times)
    if picture.min() * times > 0.02:
        one = shown_share(picture, adaptation_cd_m2(picture))
        assert shown_share(more, adaptation_cd_m2(more)) == pytest.approx(one, abs=1e-4)


def test_adaptation_is_the_log_average_and_barely_follows_a_speck() -> None:
    halves = np.array([[[1.0] * 3], [[100.0] * 3]], dtype=np.float32)
    assert adaptation_cd_m2(halves) == pytest.approx(10.0)
    field = np.full((100, 100, 3), 5.0, dtype=np.float32)
    field[50, 50] = 1e6
    assert 5.0 < adaptation_cd_m2(field) < 5.01


def test_black_is_black_and_the_sun_is_white() -> None:
    assert screen_bytes(np.array([0.0, 1e9]), 10.0).tolist() == [0, 255]


def test_a_black_picture_does_not_divide_by_nil() -> None:
    black = np.zeros((4, 4, 3), dtype=np.float32)
    assert not screen_bytes(black, adaptation_cd_m2(black)).any()


@given(
    average=st.floats(0.01, 100.0),
    bright=st.floats(0.01, 1e5),
    contrast=st.floats(0.1, 0.9),
)
def test_a_pattern_that_is_looked_at_does_not_burn_out(
    average: float, bright: float, contrast: float
) -> None:
    room = np.full((4, 4, 3), average, dtype=np.float32)
    adapted = adaptation_cd_m2(room, bright)
    assert adapted >= adaptation_cd_m2(room) * (1.0 - 1e-6)
    if bright < average:
        assert adapted == pytest.approx(adaptation_cd_m2(room))
        return
    dim = bright * (1.0 - contrast) / (1.0 + contrast)
    shown = screen_bytes(np.array([[bright] * 3, [dim] * 3], dtype=np.float32), adapted)
    assert shown[0].max() < 255
    assert int(shown[0, 0]) - int(shown[1, 0]) >= 8
