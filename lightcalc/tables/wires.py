"""Copper, wire sizes and the current each size may carry, from published tables."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from lightcalc.tables.rows import read_rows

Construction = Literal["solid", "stranded"]
System = Literal["AWG", "mm2"]

# IEC 60028: annealed copper of 100 % conductivity.
COPPER_RESISTIVITY_20C_OHM_M = 1.7241e-8
COPPER_COEFFICIENT_20C_PER_K = 0.00393

# Strands run in a spiral and are that much longer than the wire: 2 %, the allowance of ASTM B8
# for concentric strands, from memory.
STRAND_LENGTH_RATIO = 1.02

AWG_THINNEST = 30
AWG_THICKEST = 6
METRIC_THINNEST_MM2 = 0.06

# Sizes in the shops. Those below 0.5 mm2 stand in no table of IEC 60228 (common practice).
STANDARD_AWG = tuple(range(AWG_THINNEST, AWG_THICKEST - 1, -2))
SMALL_METRIC_MM2 = (0.14, 0.22, 0.25, 0.34)


@dataclass(frozen=True)
class WireSize:
    """One size of copper conductor; `ampacity_awg` is the row that says what it may carry.

    That row is the thickest AWG of the ampacity tables which is not thicker than this size.
    """

    name: str
    system: System
    area_m2: float
    resistance_20c_ohm_per_m: float
    ampacity_awg: int


def awg_diameter_m(gauge: float) -> float:
    """Diameter in metres of a solid AWG conductor, ASTM B258; exact for 36 AWG and 0000.

    >>> round(awg_diameter_m(36) * 1000, 4)
    0.127
    """
    return 0.127e-3 * float(92.0 ** ((36.0 - gauge) / 39.0))


def awg_area_m2(gauge: float) -> float:
    """Copper area in square metres of an AWG size.

    >>> round(awg_area_m2(18) * 1e6, 3)
    0.823
    """
    return math.pi / 4.0 * awg_diameter_m(gauge) ** 2


@cache
def awg_size(gauge: int, construction: Construction = "stranded") -> WireSize:
    """Return one AWG size from 30 to 6; ValueError outside.

    Resistance is IEC 60028 copper over the ASTM B258 area; strands add 2 % of length.

    >>> round(awg_size(18, "solid").resistance_20c_ohm_per_m * 304.8, 3)  # per 1000 ft
    6.385
    """
    if not AWG_THICKEST <= gauge <= AWG_THINNEST:
        raise ValueError(
            f"The wire size is {gauge} AWG; the tables hold {AWG_THICKEST} to {AWG_THINNEST} AWG."
        )
    area_m2 = awg_area_m2(gauge)
    length_ratio = STRAND_LENGTH_RATIO if construction == "stranded" else 1.0
    return WireSize(
        name=f"{gauge} AWG",
        system="AWG",
        area_m2=area_m2,
        resistance_20c_ohm_per_m=COPPER_RESISTIVITY_20C_OHM_M / area_m2 * length_ratio,
        ampacity_awg=_ampacity_row(area_m2),
    )


@cache
def metric_size(area_mm2: float, construction: Construction = "stranded") -> WireSize:
    """Return one metric size up to 6 mm2; ValueError for a size that no table holds.

    From 0.5 mm2 the resistance is the greatest that IEC 60228 allows: class 5 when stranded,
    class 2 when solid. Thinner sizes stand in no such table; they get the resistance of their
    area, raised by as much as the class of IEC 60228 exceeds it anywhere in its table.

    >>> metric_size(0.75).resistance_20c_ohm_per_m
    0.026
    """
    table = _iec60228(construction)
    if area_mm2 in table:
        ohm_per_m = table[area_mm2]
    elif METRIC_THINNEST_MM2 <= area_mm2 < min(table):
        excess = max(ohm * mm2 for mm2, ohm in table.items()) * 1e-6
        ohm_per_m = excess / (area_mm2 * 1e-6)
    else:
        known = ", ".join(f"{mm2:g}" for mm2 in table)
        raise ValueError(
            f"The wire size is {area_mm2:g} mm2; sizes are {METRIC_THINNEST_MM2:g} to below "
            f"0.5 mm2, and {known} mm2."
        )
    area_m2 = area_mm2 * 1e-6
    return WireSize(f"{area_mm2:g} mm2", "mm2", area_m2, ohm_per_m, _ampacity_row(area_m2))


def standard_sizes(system: System, construction: Construction = "stranded") -> list[WireSize]:
    """Sizes that are sold everywhere in one system, thinnest first.

    >>> [size.name for size in standard_sizes("mm2")][:5]
    ['0.14 mm2', '0.22 mm2', '0.25 mm2', '0.34 mm2', '0.5 mm2']
    """
    if system == "AWG":
        return [awg_size(gauge, construction) for gauge in STANDARD_AWG]
    metric = (*SMALL_METRIC_MM2, *_iec60228(construction))
    return [metric_size(area_mm2, construction) for area_mm2 in metric]


def ampacity_30c_a(gauge: int, insulation_c: float) -> float:
    """Amps that a conductor of one AWG row may carry at an ambient of 30 degC.

    18 AWG and thicker from 33 CFR 183.425, table 5, in the column of the highest rating that is
    not above `insulation_c`; thinner ones from memory (NFPA 79). ValueError for insulation rated
    below 60 degC or a row that is in neither table.

    >>> ampacity_30c_a(16, 105), ampacity_30c_a(22, 105)
    (25.0, 3.0)
    """
    small = _small_ampacities()
    column = insulation_column_c(insulation_c)
    if gauge in small:
        return small[gauge]
    if gauge not in _ampacities()[column]:
        raise ValueError(f"The ampacity tables have no row for {gauge} AWG.")
    return _ampacities()[column][gauge]


def factor_50c(insulation_c: float) -> float:
    """Ampacity at an ambient of 50 degC over that at 30 degC: 33 CFR 183.425, table 5, note 1.

    >>> factor_50c(105)
    0.85
    """
    row = read_ampacity_rows()[-1]
    return float(row[str(insulation_column_c(insulation_c))])


def insulation_column_c(insulation_c: float) -> int:
    """Return the highest rating in 33 CFR 183.425 that is not above this one.

    >>> insulation_column_c(70)
    60
    """
    columns = [column for column in _ampacities() if column <= insulation_c]
    if not columns:
        raise ValueError(
            f"The insulation is rated {insulation_c:g} degC; the ampacity table begins at "
            f"{min(_ampacities())} degC. Choose a wire of a higher rating."
        )
    return max(columns)


@cache
def read_ampacity_rows() -> list[dict[str, str]]:
    """Rows of 33 CFR 183.425, table 5, thinnest first; the last row holds the 50 degC factors."""
    return read_rows("ampacity_cfr33_183_425.csv")


@cache
def _ampacities() -> dict[int, dict[int, float]]:
    rows = read_ampacity_rows()[:-1]
    columns = [column for column in rows[0] if column != "awg"]
    return {int(c): {int(row["awg"]): float(row[c]) for row in rows} for c in columns}


@cache
def _small_ampacities() -> dict[int, float]:
    return {int(row["awg"]): float(row["amps"]) for row in read_rows("ampacity_small.csv")}


@cache
def _iec60228(construction: Construction) -> dict[float, float]:
    column = "class5_ohm_per_km" if construction == "stranded" else "class2_ohm_per_km"
    return {
        float(row["mm2"]): float(row[column]) / 1000.0 for row in read_rows("copper_iec60228.csv")
    }


def _ampacity_row(area_m2: float) -> int:
    rows = [*_small_ampacities(), *next(iter(_ampacities().values()))]
    # The share of a millionth lets a size find its own row whatever the rounding.
    return min(row for row in rows if awg_area_m2(row) <= area_m2 * (1.0 + 1e-6))
