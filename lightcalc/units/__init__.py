"""Quantities as makers write them, read to SI and shown again: `5 ft 3 in`, `10,000 mAh`, `80 %`.

Everything is SI but for two kinds: a temperature is in degrees Celsius and an angle in degrees.
The words for units, and how each kind is shown, stand in `units.toml`. Text is taken apart by
a small grammar; only the names of units from that file ever reach pint, which converts.
The registry is built when the first unit is converted, so importing this module costs little.

The kinds: length, area, current, voltage, power, power_per_length, charge, energy, time, ratio,
temperature, temperature_difference, mass, mass_per_length, mass_per_area, resistance,
resistance_per_length, luminous_flux, flux_per_length, luminance, illuminance, frequency, angle,
per_length, per_area. A kind that is none of these is a mistake in the program: KeyError.
"""

from lightcalc.units.label import is_light_a_watt, read_capacity, read_light, read_pitch
from lightcalc.units.reading import read
from lightcalc.units.scales import Scale, UnitProblem, registry, scale, tidied
from lightcalc.units.showing import show, show_at_least, show_range
from lightcalc.units.wire_size import WireSize, is_cable, read_wire_size

__all__ = [
    "Scale",
    "UnitProblem",
    "WireSize",
    "read",
    "is_cable",
    "is_light_a_watt",
    "read_capacity",
    "read_light",
    "read_pitch",
    "read_wire_size",
    "registry",
    "scale",
    "show",
    "show_at_least",
    "show_range",
    "tidied",
]
