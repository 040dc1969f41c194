"""Conductor sizes, held against the copper wire tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.units import UnitProblem, read_wire_size

COPPER_OHM_M = 1.7241e-8  # annealed copper at 20 degC, IEC 60028

# Ohms per 1000 ft of solid annealed copper at 20 degC: NBS Handbook 100, Copper Wire Tables
# (1966).
OHM_PER_1000_FT = {10: 0.9989, 14: 2.525, 18: 6.385, 20: 10.15, 24: 25.67, 28: 64.90, 30: 103.2}


@pytest.mark.parametrize("awg", OHM_PER_1000_FT)
def test_the_section_of_an_awg_size_gives_the_tabled_resistance(awg):
    ohms = COPPER_OHM_M * 304.8 / read_wire_size(f"{awg} AWG").area_m2
    assert ohms == pytest.approx(OHM_PER_1000_FT[awg], rel=1e-3)


@pytest.mark.parametrize(
    "text",
    [
        "20 AWG",
        "20AWG",
        "AWG 20",
        "awg20",
        " 20  awg ",
        "20 ga",
        "20ga.",
        "20 gauge",
        "#20",
        "20-gauge",
    ],
)
def test_an_awg_size_has_one_name(text):
    assert read_wire_size(text).name == "20 AWG"


# Diameters of the imperial standard wire gauge in mm: BS 3737, from memory.
SWG_MM = {14: 2.032, 18: 1.219, 20: 0.914, 24: 0.559, 28: 0.376, 30: 0.315}


@pytest.mark.parametrize("number", SWG_MM)
def test_a_gauge_is_never_taken_for_more_copper_than_it_has_in_either_system(number):
    swg_m2 = math.pi / 4.0 * (SWG_MM[number] / 1000.0) ** 2
    assert read_wire_size(f"{number} ga").area_m2 < swg_m2


@pytest.mark.parametrize("text", ["0.75 mm2", "0.75mm²", "0.75 MM2", "0.750 mm2"])
def test_a_metric_size_has_one_name(text):
    assert read_wire_size(text).name == "0.75 mm2"
    assert read_wire_size(text).area_m2 == pytest.approx(0.75e-6, rel=1e-12)


@given(st.integers(0, 39))
def test_a_higher_awg_number_is_a_thinner_wire(awg):
    assert read_wire_size(f"{awg} AWG").area_m2 > read_wire_size(f"{awg + 1} AWG").area_m2


@pytest.mark.parametrize(
    "text", ["20", "0.75", "20 gauge SWG", "18 SWG", "18/2/2", "41 AWG", "", "1 m", "-1 mm2"]
)
def test_a_size_in_no_known_system_is_refused(text):
    with pytest.raises(UnitProblem, match=r"AWG|mm2"):
        read_wire_size(text)


@pytest.mark.parametrize("value", [None, 20, True, ["20 AWG"], "2" * 100])
def test_what_is_no_size_at_all_is_refused(value):
    with pytest.raises(UnitProblem, match="AWG or mm2"):
        read_wire_size(value)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("18/2", "18 AWG"),
        ("18 / 2", "18 AWG"),
        ("18 AWG/2", "18 AWG"),
        ("18/2 AWG", "18 AWG"),
        ("2 x 0.75 mm2", "0.75 mm2"),
        ("2×0.75 mm²", "0.75 mm2"),
        ("2x18 AWG", "18 AWG"),
    ],
)
def test_a_cable_of_two_conductors_is_named_by_one_of_them(text, name):
    assert read_wire_size(text) == read_wire_size(name)


@pytest.mark.parametrize("text", ["18/3", "18/4 AWG", "3 x 0.75 mm2"])
def test_a_cable_of_more_or_fewer_is_refused_with_what_to_write(text):
    with pytest.raises(
        UnitProblem, match=r"conductors; a lead has two.*such as (18 AWG|0\.75 mm2)"
    ):
        read_wire_size(text)


@pytest.mark.parametrize(
    ("text", "each"),
    [
        ("1 x 0.75 mm2", "0.75 mm2"),
        ("1x0.5mm2", "0.5mm2"),
        ("18/1", "18 AWG"),
        ("1 x 18 AWG", "18 AWG"),
    ],
)
def test_a_single_conductor_written_as_a_cable_is_told_to_be_written_alone(text, each):
    with pytest.raises(UnitProblem) as refused:
        read_wire_size(text)
    assert f'found "{text}", a single conductor' in str(refused.value)
    assert str(refused.value).endswith(f"write its size alone: {each}.")
    assert read_wire_size(each)


@pytest.mark.parametrize("text", ["1/0", "2/0 AWG", "4/0", "0 x 0.75 mm2"])
def test_sizes_above_0_awg_are_no_cables(text):
    with pytest.raises(UnitProblem, match=f'"{text}"; AWG numbers run from 0 to 40'):
        read_wire_size(text)


@pytest.mark.parametrize("text", ["2x18", "2 x 0,75 mm2", "99/2"])
def test_a_mistake_in_a_cable_is_told_in_the_words_it_was_written_in(text):
    with pytest.raises(UnitProblem, match=f'found "{text}"'):
        read_wire_size(text)


@pytest.mark.parametrize("text", ["41/2", "1/2 in", "18/", "/2", "18//2", "2 x", "2 x 2 x 1 mm2"])
def test_what_is_no_cable_is_refused(text):
    with pytest.raises(UnitProblem):
        read_wire_size(text)
