"""How each unit becomes SI, held against pint's own full registry and NIST SP 811."""

import subprocess
import sys
from pathlib import Path

import pint
import pytest

from lightcalc.units import UnitProblem, scale
from lightcalc.units.scales import kinds

FULL = pint.UnitRegistry()

# The same unit in the words of pint's default registry, whose definitions are not ours.
SAME_IN_PINT = [
    ("in", "length", "inch", "metre"),
    ("ft", "length", "foot", "metre"),
    ("yd", "length", "yard", "metre"),
    ("sq ft", "area", "foot ** 2", "metre ** 2"),
    ("mAh", "charge", "milliampere * hour", "coulomb"),
    ("Wh", "energy", "watt * hour", "joule"),
    ("kWh", "energy", "kilowatt_hour", "joule"),
    ("oz", "mass", "ounce", "kilogram"),
    ("lb", "mass", "pound", "kilogram"),
    ("lb/ft2", "mass_per_area", "pound / foot ** 2", "kilogram / metre ** 2"),
    ("oz/ft", "mass_per_length", "ounce / foot", "kilogram / metre"),
    ("W/ft", "power_per_length", "watt / foot", "watt / metre"),
    ("mohm/ft", "resistance_per_length", "milliohm / foot", "ohm / metre"),
    ("lm/ft", "flux_per_length", "lumen / foot", "lumen / metre"),
    ("fc", "illuminance", "lumen / foot ** 2", "lux"),
    ("fL", "luminance", "candela / (pi * foot ** 2)", "candela / metre ** 2"),
    ("nit", "luminance", "nit", "candela / metre ** 2"),
    ("week", "time", "week", "second"),
    ("month", "time", "month", "second"),
    ("year", "time", "julian_year", "second"),
    ("kHz", "frequency", "kilohertz", "hertz"),
    ("rad", "angle", "radian", "degree"),
    ("%", "ratio", "percent", "dimensionless"),
    ("per ft", "per_length", "1 / foot", "1 / metre"),
    ("degF", "temperature_difference", "delta_degree_Fahrenheit", "kelvin"),
]


@pytest.mark.parametrize(("word", "kind", "unit", "si"), SAME_IN_PINT)
def test_a_unit_is_what_the_full_registry_says(word, kind, unit, si):
    expected = FULL.Quantity(1.0, unit).to(si).magnitude
    assert scale(word, kind).factor == pytest.approx(expected, rel=1e-12)


# NIST Special Publication 811 (2008), appendix B.8.
@pytest.mark.parametrize(
    ("word", "kind", "expected"),
    [
        ("fc", "illuminance", 10.76391),
        ("fL", "luminance", 3.426259),
        ("oz", "mass", 2.834952e-2),
        ("lb", "mass", 4.535924e-1),
        ("sq in", "area", 6.4516e-4),
    ],
)
def test_a_unit_is_what_the_handbook_says(word, kind, expected):
    assert scale(word, kind).factor == pytest.approx(expected, rel=2e-7)


@pytest.mark.parametrize(("unit", "celsius"), [("degF", -40.0), ("degC", -40.0), ("K", 233.15)])
def test_minus_forty_is_the_same_in_fahrenheit_and_celsius(unit, celsius):
    factor, offset = scale(unit, "temperature")
    assert celsius * factor + offset == pytest.approx(-40.0, abs=1e-9)


def test_a_quantity_shown_in_any_of_its_units_has_a_scale():
    for name, kind in kinds().items():
        for unit in (*kind.metric, *kind.inch):
            assert scale(unit, name).factor > 0


@pytest.mark.parametrize(
    ("unit", "kind", "says"),
    [
        ("V", "length", "measures a voltage"),
        ("lm/m2", "luminance", "measures an illuminance"),
        ("degC/m", "temperature", "something else"),
        ("furlong", "length", "not a known unit"),
        ("MW", "power", "not a known unit"),
        ("", "length", "not a known unit"),
    ],
)
def test_a_wrong_unit_is_refused_with_what_it_is(unit, kind, says):
    with pytest.raises(UnitProblem, match=says):
        scale(unit, kind)


def test_the_module_is_light_until_a_unit_is_converted():
    code = (
        "import sys, lightcalc.units as u;"
        "light = not {'pint', 'numpy', 'pandas'} & set(sys.modules);"
        "u.read('1 W/yd', 'power_per_length');"
        "print(light, sorted({'pint', 'pandas', 'xarray', 'dask', 'babel'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout.strip() == "True ['pint']"
