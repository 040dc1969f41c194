"""Colours of surfaces and of light."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.tables.colours import at_luminance_one, colours, tints, white_light
from lightcalc.tables.rows import read_rows

WEIGHTS = np.array((0.2126, 0.7152, 0.0722))  # IEC 61966-2-1
# The library changes how numpy prints for everyone; what it changes is put back.
with np.printoptions(), warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour


def test_no_surface_sends_back_more_than_falls_on_it():
    for shares in colours().values():
        assert all(0.0 < share < 1.0 for share in shares)
    assert sum(colours()["white plaster"]) > 3 * sum(colours()["dark boards"])


def test_woods_send_back_more_red_than_blue():
    for wood in ("oak", "ash", "maple", "cherry", "walnut", "pine"):
        red, green, blue = colours()[wood]
        assert red > green > blue


@pytest.mark.parametrize("row", read_rows("white_light.csv"), ids=lambda row: row["kelvin"])
def test_white_light_is_that_of_a_black_body_to_an_eye_adapted_to_4000_k(row):
    # colour-science: CIE 1931 observer, Bradford transform, sRGB primaries.
    shape = colour.SpectralShape(380, 780, 5)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)

    def xyz(kelvin):
        body = colour.sd_blackbody(kelvin, shape)
        found = colour.sd_to_XYZ(body, observer, method="Integration")
        return found / found[1]

    d65 = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"])
    seen = colour.adaptation.chromatic_adaptation_VonKries(
        xyz(float(row["kelvin"])), xyz(4000.0), d65, transform="Bradford"
    )
    linear = np.linalg.inv(colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ) @ seen
    expected = linear / (linear @ WEIGHTS)
    assert white_light(float(row["kelvin"])) == pytest.approx(expected, abs=0.002)


@given(st.floats(500.0, 30_000.0), st.floats(500.0, 30_000.0))
def test_warmer_light_is_redder_and_less_blue(one, other):
    warm, cool = sorted((one, other))
    assert white_light(warm)[0] >= white_light(cool)[0] - 1e-12
    assert white_light(warm)[2] <= white_light(cool)[2] + 1e-12
    assert np.dot(white_light(one), WEIGHTS) == pytest.approx(1.0, abs=2e-3)


def test_tints_lean_the_way_they_are_called():
    assert max(tints()["blue"]) == tints()["blue"][2]
    assert max(tints()["red"]) == tints()["red"][0]
    for tint in tints().values():
        assert np.dot(at_luminance_one(tint), WEIGHTS) == pytest.approx(1.0)
