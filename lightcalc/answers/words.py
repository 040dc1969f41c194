"""Numbers and stable codes put into the maker's words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lightcalc import units

ENDED_BY = {
    "cut-off": "It ends when the pack reaches its cut-off volts.",
    "converter": "It ends when the pack is too low for the converter.",
    "empty": "It ends when the cells are empty.",
    "cannot deliver": "It ends when the pack can no longer give this power.",
    "protection": "It ends when the pack's protection trips on current.",
    "half light": "Count it as flat then: the light is down to half, and goes on falling.",
    "ran down unlit": "It runs down between evenings, not while lit.",
    "nothing drawn": "It ends because the strip gives next to no light at these volts.",
    "auto-off": "It ends when the bank switches itself off, because so little is drawn.",
}
DECIDED_BY = {
    "voltage drop": "drop",
    "ampacity": "amps",
    "fuse": "its fuse",
    "mechanical minimum": "strength",
    "thinnest on offer": "thinnest",
}
REMEDIES = {
    "none needed": "",
    "more distance": "More distance between LEDs and surface hides them; so does a denser strip.",
    "scattering layer": "More distance does not help; a layer that scatters (opal or milky) does.",
}
CHEMISTRIES = {
    "alkaline": "alkaline",
    "nimh": "nickel-metal hydride",
    "lithium-ion": "lithium-ion",
    "lifepo4": "lithium iron phosphate",
    "lead-acid": "lead-acid",
}
VERDICTS = {
    "hidden": "the LEDs blend; an eye there sees no dots.",
    "faint": "the dots can just be seen.",
    "plain": "the LEDs show plainly as dots.",
}


# Words for the codes of an answer, by the name they have in it.
CODES = {
    "ended_by": ENDED_BY,
    "decided_by": DECIDED_BY,
    "chemistry": CHEMISTRIES,
}
# What no price of a design holds: it is there to compare designs, and a shop sells otherwise.
PRICE_COUNTS = (
    "Strip and wire by the length used. Not in it: spares, whole reels and jumpers, which the "
    "shopping list adds; charger, fuse holders, splices, channels and a switch by hand, which no "
    "catalogue lists."
)
DAYS_A_YEAR = 365.25
# Three digits, and the steps of a clock, are within these shares of a value.
SLACK = (0.0, 0.001, 0.002, 0.005, 0.01)


@dataclass(frozen=True)
class Shower:
    """Shows numbers in one system of units, "metric" or "inch"."""

    system: str

    def _show(self, value: float, kind: str, digits: int = 3) -> str:
        return units.show(value, kind, self.system, digits)

    def hours(self, hours_h: float) -> str:
        """Show a duration to two digits: nobody knows a charge better than that."""
        return self._show(hours_h * 3600.0, "time", 2)

    def hours_closely(self, hours_h: float) -> str:
        """Show a duration to three digits, where one is held against another."""
        return self._show(hours_h * 3600.0, "time", 3)

    def no_more_than(self, value: float, kind: str) -> str:
        """Show what can be had at most, never rounded up.

        >>> Shower("metric").no_more_than(28770.0, "time")
        '7 h 59 min'
        """
        return self._rounded(value, kind, -1.0)

    def no_less_than(self, value: float, kind: str) -> str:
        """Show what must be taken at least, never rounded down."""
        return self._rounded(value, kind, 1.0)

    def _rounded(self, value: float, kind: str, way: float) -> str:
        texts = (self._show(value * (1.0 + way * share), kind) for share in SLACK)
        good = (text for text in texts if way * (units.read(text, kind) - value) >= 0.0)
        return next(good, self._show(value, kind, 12))

    def length(self, length_m: float) -> str:
        """Show a length."""
        return self._show(length_m, "length")

    def length_at_least(self, length_m: float) -> str:
        """Show a length that must not be less."""
        return units.show_at_least(length_m, self.system)

    def amps(self, amps_a: float) -> str:
        """Show a current."""
        return self._show(amps_a, "current", 2)

    def charge(self, charge_coulomb: float) -> str:
        """Show a capacity."""
        return self._show(charge_coulomb, "charge", 3)

    def volts(self, volts_v: float) -> str:
        """Show a voltage."""
        return self._show(volts_v, "voltage")

    def meter_volts(self, volts_v: float) -> str:
        """Show a voltage as a meter does, to a hundredth where there is one."""
        hundredths = round(volts_v, 2) if abs(volts_v) >= 1.0 else volts_v
        return self._show(hundredths, "voltage", 4)

    def power(self, power_w: float) -> str:
        """Show a power."""
        return self._show(power_w, "power", 2)

    def power_per_length(self, power_w_per_m: float) -> str:
        """Show a power per length."""
        return self._show(power_w_per_m, "power_per_length", 2)

    def light(self, light_lm: float) -> str:
        """Show a luminous flux."""
        return self._show(light_lm, "luminous_flux", 2)

    def lux(self, lux: float) -> str:
        """Show an illuminance."""
        return self._show(lux, "illuminance", 2)

    def luminance(self, luminance_cd_m2: float) -> str:
        """Show a luminance."""
        return self._show(luminance_cd_m2, "luminance", 2)

    def temperature(self, temperature_c: float) -> str:
        """Show a temperature to whole degrees."""
        return self._show(temperature_c, "temperature", 2)

    def mass(self, mass_kg: float) -> str:
        """Show a mass."""
        return self._show(mass_kg, "mass", 2)

    def ratio(self, ratio: float) -> str:
        """Show a share as per cent; what no meter could find is only called small."""
        return "below 0.01 %" if 0.0 < ratio < 1e-4 else self._show(ratio, "ratio", 2)

    def days(self, days_d: float) -> str:
        """Show a long time in days or years, as nearly as anyone knows it."""
        return f"about {self.long_time(days_d)}"

    def long_time(self, days_d: float) -> str:
        """Show days, or years; beyond ten years cells age whatever is drawn.

        >>> Shower("metric").long_time(1.2), Shower("metric").long_time(900.0)
        ('1 day', '2.5 years')
        """
        if days_d > 10.0 * DAYS_A_YEAR:
            return "10 years or more"
        if days_d > 2.0 * DAYS_A_YEAR:
            return self.years(days_d / DAYS_A_YEAR)
        return "1 day" if round(days_d) == 1 else f"{self.number(days_d)} days"

    def years(self, time_years: float) -> str:
        """Show years."""
        number = self.number(time_years)
        return "1 year" if number == "1" else f"{number} years"

    def number(self, value: float) -> str:
        """Show a plain number to two digits."""
        return f"{float(f'{value:.2g}'):,.6g}"

    def multiple(self, times: float) -> str:
        """Show how many times a pattern stands above what the eye can just see.

        >>> Shower("metric").multiple(0.004), Shower("metric").multiple(230.0)
        ('far below what the eye can just see', 'more than 100 times what the eye can just see')
        """
        threshold = "what the eye can just see"
        if times < 0.1:
            return f"far below {threshold}"
        if times > 100.0:
            return f"more than 100 times {threshold}"
        return f"{self.number(times)} times {threshold}"

    def named(self, name: str, value: float | str) -> str:
        """Show what an answer holds under a name, which tells its unit; a code in its words.

        Raises KeyError for a code that has no words.

        >>> Shower("metric").named("peak_a", 0.52), Shower("metric").named("decided_by", "fuse")
        ('520 mA', 'its fuse')
        """
        if isinstance(value, str):
            return CODES[name][value] if name in CODES else value
        ending = name.rpartition("_")[2]
        if ending in BY_ENDING:
            return BY_ENDING[ending](self, value)
        return f"{value:,}" if isinstance(value, int) else self.number(value)


# How a number is shown is told by the end of its name.
BY_ENDING: dict[str, Callable[[Shower, float], str]] = {
    "h": Shower.hours,
    "m": Shower.length,
    "a": Shower.amps,
    "v": Shower.meter_volts,
    "ratio": Shower.ratio,
    "w": Shower.power,
    "lm": Shower.light,
    "c": Shower.temperature,
    "kg": Shower.mass,
    "d": Shower.long_time,
    "years": Shower.years,
}


def told_apart(one: float, other: float, kind: str, system: str) -> tuple[str, str]:
    """Show two values with as many digits as it takes to see which is the greater.

    >>> told_apart(60.2, 60.0, "temperature", "metric")
    ('60.2 °C', '60 °C')
    >>> told_apart(71.0, 60.0, "temperature", "inch")
    ('160 °F', '140 °F')
    """
    for digits in (2, 3, 4):
        texts = units.show(one, kind, system, digits), units.show(other, kind, system, digits)
        if texts[0] != texts[1]:
            break
    return texts
