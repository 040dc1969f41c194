"""Wire sizes agree with the published tables of copper wire."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.tables.wires import (
    COPPER_COEFFICIENT_20C_PER_K,
    COPPER_RESISTIVITY_20C_OHM_M,
    STANDARD_AWG,
    ampacity_30c_a,
    awg_area_m2,
    awg_diameter_m,
    awg_size,
    factor_50c,
    metric_size,
    standard_sizes,
)

# NBS Handbook 100, Copper Wire Tables (1966): solid, 20 degC, ohm per 1000 ft.
NBS_OHM_PER_1000FT = {
    10: 0.9989, 12: 1.588, 14: 2.525, 16: 4.016, 18: 6.385, 20: 10.15,
    22: 16.14, 24: 25.67, 26: 40.81, 28: 64.90, 30: 103.2,
}  # fmt: skip

# NFPA 70, chapter 9, table 8: uncoated copper at 75 degC, ohm per km; solid and 7 strands.
NEC_OHM_PER_KM = {18: (25.5, 26.1), 16: (16.0, 16.4), 14: (10.1, 10.3), 12: (6.34, 6.50)}

# IEC 60228, plain copper at 20 degC, ohm per km: class 2 and class 5.
IEC_OHM_PER_KM = {
    0.5: (36.0, 39.0), 0.75: (24.5, 26.0), 1.0: (18.1, 19.5), 1.5: (12.1, 13.3),
    2.5: (7.41, 7.98), 4.0: (4.61, 4.95), 6.0: (3.08, 3.30),
}  # fmt: skip

# 33 CFR 183.425, table 5: amps at 30 degC by insulation rating.
CFR_RATINGS_C = (60, 75, 80, 90, 105, 125, 200)
CFR_AMPS = {
    18: (10, 10, 15, 20, 20, 25, 25),
    16: (15, 15, 20, 25, 25, 30, 35),
    14: (20, 20, 25, 30, 35, 40, 45),
    12: (25, 25, 35, 40, 45, 50, 55),
    10: (40, 40, 50, 55, 60, 70, 70),
    8: (55, 65, 70, 70, 80, 90, 100),
    6: (80, 95, 100, 100, 120, 125, 135),
}


@pytest.mark.parametrize(("gauge", "ohm"), NBS_OHM_PER_1000FT.items())
def test_solid_awg_agrees_with_nbs_handbook_100_within_two_thousandths(
    gauge: int, ohm: float
) -> None:
    assert awg_size(gauge, "solid").resistance_20c_ohm_per_m * 304.8 == pytest.approx(ohm, rel=2e-3)


@pytest.mark.parametrize(("gauge", "ohms"), NEC_OHM_PER_KM.items())
def test_hot_awg_agrees_with_nec_table_8_within_one_per_cent(
    gauge: int, ohms: tuple[float, float]
) -> None:
    hot = 1.0 + COPPER_COEFFICIENT_20C_PER_K * (75.0 - 20.0)
    for construction, ohm_per_km in zip(("solid", "stranded"), ohms, strict=True):
        size = awg_size(gauge, construction)
        assert size.resistance_20c_ohm_per_m * hot * 1000.0 == pytest.approx(ohm_per_km, rel=0.01)


@pytest.mark.parametrize(("mm2", "ohms"), IEC_OHM_PER_KM.items())
def test_metric_sizes_have_the_resistance_of_iec_60228(
    mm2: float, ohms: tuple[float, float]
) -> None:
    assert metric_size(mm2, "solid").resistance_20c_ohm_per_m == pytest.approx(ohms[0] / 1000)
    assert metric_size(mm2, "stranded").resistance_20c_ohm_per_m == pytest.approx(ohms[1] / 1000)


@pytest.mark.parametrize("gauge", CFR_AMPS)
def test_ampacity_is_that_of_33_cfr_183_425(gauge: int) -> None:
    found = tuple(ampacity_30c_a(gauge, rating_c) for rating_c in CFR_RATINGS_C)
    assert found == CFR_AMPS[gauge]


def test_ambient_factors_are_those_of_33_cfr_183_425_note_1() -> None:
    # The 105 degC factor from a published copy, the others from memory.
    factors = tuple(factor_50c(rating_c) for rating_c in CFR_RATINGS_C)
    assert factors == (0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1.00)


def test_small_conductors_carry_the_amps_of_nfpa_79_from_memory() -> None:
    amps = {30: 0.5, 28: 0.8, 26: 1, 24: 2, 22: 3, 20: 5}
    assert {gauge: ampacity_30c_a(gauge, 105.0) for gauge in amps} == amps


def test_a_rating_between_two_columns_counts_as_the_lower() -> None:
    assert ampacity_30c_a(14, 79.0) == ampacity_30c_a(14, 75.0) == 20.0


def test_diameters_are_exact_where_astm_b258_defines_them() -> None:
    # ASTM B258: 36 AWG is 5 mils and 0000 is 460 mils; a mil is 0.0254 mm.
    assert awg_diameter_m(36) == pytest.approx(5 * 25.4e-6, rel=1e-12)
    assert awg_diameter_m(-3) == pytest.approx(460 * 25.4e-6, rel=1e-12)


@given(st.floats(0.06, 0.499))
def test_a_metric_size_below_the_table_is_as_much_above_pure_copper_as_iec_60228_allows(
    mm2: float,
) -> None:
    ratio = metric_size(mm2).resistance_20c_ohm_per_m * mm2 * 1e-6 / COPPER_RESISTIVITY_20C_OHM_M
    # IEC 60228, class 5: between 13.1 % (0.5 mm2) and 15.8 % (2.5 mm2) above.
    assert 1.13 < ratio < 1.16


@pytest.mark.parametrize("system", ["AWG", "mm2"])
@pytest.mark.parametrize("construction", ["solid", "stranded"])
def test_a_thicker_size_has_less_resistance_and_no_less_ampacity(
    system: str, construction: str
) -> None:
    sizes = standard_sizes(system, construction)  # type: ignore[arg-type]
    for thin, thick in pairwise(sizes):
        assert thin.area_m2 < thick.area_m2
        assert thin.resistance_20c_ohm_per_m > thick.resistance_20c_ohm_per_m
        assert ampacity_30c_a(thin.ampacity_awg, 105) <= ampacity_30c_a(thick.ampacity_awg, 105)


def test_standard_sizes_reach_from_hair_to_battery_cable() -> None:
    assert {30, 8} <= set(STANDARD_AWG)
    metric = [size.area_m2 * 1e6 for size in standard_sizes("mm2")]
    assert min(metric) == pytest.approx(0.14)
    assert max(metric) == pytest.approx(6.0)


@given(st.floats(0.06, 0.499) | st.sampled_from(list(IEC_OHM_PER_KM)))
def test_a_metric_size_is_rated_as_the_thickest_awg_that_is_not_thicker(mm2: float) -> None:
    row = metric_size(mm2).ampacity_awg
    assert awg_area_m2(row) <= mm2 * 1e-6 * (1 + 1e-6)
    thicker = [gauge for gauge in (*STANDARD_AWG, 6) if awg_area_m2(gauge) > awg_area_m2(row)]
    assert all(awg_area_m2(gauge) > mm2 * 1e-6 for gauge in thicker)


def test_awg_sizes_are_rated_in_their_own_row_and_odd_ones_in_the_thinner() -> None:
    assert [awg_size(gauge).ampacity_awg for gauge in STANDARD_AWG] == list(STANDARD_AWG)
    assert awg_size(21).ampacity_awg == 22


@pytest.mark.parametrize("wrong", [5, 31])
def test_an_awg_size_outside_the_tables_is_refused(wrong: int) -> None:
    with pytest.raises(ValueError, match="tables hold 6 to 30 AWG"):
        awg_size(wrong)


@pytest.mark.parametrize("wrong", [0.05, 0.8, 10.0])
def test_a_metric_size_outside_the_tables_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="sizes are"):
        metric_size(wrong)


def test_insulation_below_the_table_and_unknown_rows_are_refused() -> None:
    with pytest.raises(ValueError, match="begins at 60"):
        ampacity_30c_a(18, 50.0)
    with pytest.raises(ValueError, match="no row for 19 AWG"):
        ampacity_30c_a(19, 105.0)
