"""What the cells of one row must agree on, beyond each cell's own range."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from lightcalc.parts.kinds import Construction
from lightcalc.tables.wires import awg_size, metric_size
from lightcalc.units import WireSize

Check = Callable[..., str | None]


@dataclass(frozen=True)
class Rule:
    """A check on the named fields of one row of a file; it returns a sentence when broken."""

    file: str
    fields: tuple[str, ...]
    check: Check


_RULES: list[Rule] = []

# SI Brochure, 9th edition, 2.3.1: a watt of green light is 683 lm, and no light is more.
MOST_LUMENS_A_WATT = 683.0
# No cell that is sold holds more for its mass (from memory: the best hold about 300 Wh/kg).
MOST_WH_A_KG = 500.0
# A printed pitch is rounded, so a cut unit holds a whole number of LEDs only nearly.
PITCH_ROUNDING = 0.02
# Shares of light on a label are rounded to a whole per cent.
SHARE_ROUNDING = 0.011


def rules(file: str) -> list[Rule]:
    """Return the rules for the rows of one file, by its name with no ending."""
    return [rule for rule in _RULES if rule.file == file]


def _rule(file: str, *fields: str) -> Callable[[Check], Check]:
    def note(check: Check) -> Check:
        _RULES.append(Rule(file, fields, check))
        return check

    return note


@_rule("strips", "forward_v", "channels")
def _one_forward_a_channel(forward_v: tuple[float, ...], channels: tuple[str, ...]) -> str | None:
    if len(forward_v) == len(channels):
        return None
    return (
        f"found {len(forward_v)} value(s) for {len(channels)} channel(s); write one for each, "
        "parted by semicolons."
    )


@_rule("strips", "forward_v", "dropout_v", "rated_v")
def _forward_below_rated(
    forward_v: tuple[float, ...], dropout_v: float | None, rated_v: float
) -> str | None:
    most = max(forward_v, default=0.0)
    if most >= rated_v:
        return (
            f"found {most:g} V; the LEDs in series must take less than the rated {rated_v:g} V, "
            "for something has to be left to hold their current."
        )
    if dropout_v is not None and most + dropout_v > rated_v * (1 + 1e-9):
        return (
            f"found {most:g} V and a dropout of {dropout_v:g} V, together more than the rated "
            f"{rated_v:g} V; the regulator could never hold its current."
        )
    return None


@_rule("strips", "forward_v", "leds_in_series")
def _forward_of_one_led(forward_v: tuple[float, ...], leds_in_series: int) -> str | None:
    for volts in forward_v:
        if not 1.4 <= volts / leds_in_series <= 4.0:
            return (
                f"found {volts:g} V for {leds_in_series} LED(s) in series, which is "
                f"{volts / leds_in_series:.2g} V for each; one LED takes from 1.4 V to 4 V."
            )
    return None


@_rule("strips", "cut_unit_m", "pitch_m", "leds_in_series")
def _whole_leds_in_a_cut_unit(cut_unit_m: float, pitch_m: float, leds_in_series: int) -> str | None:
    leds = cut_unit_m / pitch_m
    if leds > 0.5 and abs(leds - round(leds)) <= min(0.25, PITCH_ROUNDING * leds):
        if round(leds) % leds_in_series == 0:
            return None
        return (
            f"found {round(leds)} LEDs in a cut unit (cut unit over LED pitch); that must be a "
            f"multiple of the {leds_in_series} LEDs in series."
        )
    return (
        f"found {leds:.3g} LEDs in a cut unit (cut unit over LED pitch); that must be a whole "
        "number of LEDs."
    )


@_rule("strips", "channel_pitch_m", "pitch_m", "channels")
def _channel_pitch(channel_pitch_m: float, pitch_m: float, channels: tuple[str, ...]) -> str | None:
    most = pitch_m * len(channels) * (1 + PITCH_ROUNDING)
    if pitch_m * (1 - PITCH_ROUNDING) <= channel_pitch_m <= most:
        return None
    return (
        f"found {channel_pitch_m * 1000:.4g} mm; it lies between the LED pitch of "
        f"{pitch_m * 1000:.4g} mm and that times the number of channels."
    )


@_rule("strips", "reel_m", "cut_unit_m")
def _reel_holds_a_cut_unit(reel_m: float, cut_unit_m: float) -> str | None:
    return None if reel_m >= cut_unit_m else "is shorter than one cut unit."


@_rule("strips", "led_width_m", "width_m")
def _led_on_the_strip(led_width_m: float, width_m: float) -> str | None:
    return None if led_width_m <= width_m else "is wider than the strip itself."


@_rule("strips", "idle_a", "power_w_per_m", "cut_unit_m", "rated_v")
def _idle_below_rated(
    idle_a: float, power_w_per_m: float, cut_unit_m: float, rated_v: float
) -> str | None:
    rated_a = power_w_per_m * cut_unit_m / rated_v
    if idle_a < rated_a:
        return None
    return (
        f"found {idle_a * 1000:.3g} mA, but a whole cut unit draws only {rated_a * 1000:.3g} mA "
        "full on (power times cut unit over volts); idle is for one cut unit."
    )


@_rule("strips", "light_lm_per_m", "power_w_per_m", "heat_share")
def _light_within_the_power(
    light_lm_per_m: float, power_w_per_m: float, heat_share: float
) -> str | None:
    most = MOST_LUMENS_A_WATT * power_w_per_m * (1.0 - heat_share)
    if light_lm_per_m <= most * (1 + 1e-9):
        return None
    return (
        f"found {light_lm_per_m:.4g} lm for each metre, but {power_w_per_m:.3g} W of which "
        f"{heat_share:.0%} is heat gives at most {most:.4g} lm (683 lm a watt of light)."
    )


@_rule("packs", "cutoff_v", "nominal_v", "full_v")
def _volts_in_order(cutoff_v: float, nominal_v: float, full_v: float) -> str | None:
    if cutoff_v < nominal_v < full_v:
        return None
    return (
        f"found cut-off {cutoff_v:g} V, nominal {nominal_v:g} V, full {full_v:g} V; they must "
        "rise in that order."
    )


@cache
def _cell_volts() -> dict[str, tuple[float, float, float]]:
    text = Path(__file__).with_name("cell_volts.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {
        row["chemistry"]: (
            float(row["lowest_nominal_v"]),
            float(row["highest_nominal_v"]),
            float(row["highest_full_v"]),
        )
        for row in rows
    }


@_rule("packs", "nominal_v", "full_v", "chemistry", "cells_in_series")
def _volts_of_one_cell(
    nominal_v: float, full_v: float, chemistry: str, cells_in_series: int
) -> str | None:
    low, high, full = (volts * cells_in_series for volts in _cell_volts()[chemistry])
    if low - 1e-9 <= nominal_v <= high + 1e-9 and full_v <= full + 1e-9:
        return None
    return (
        f"found {nominal_v:g} V, {full_v:g} V when full, for {cells_in_series} {chemistry} "
        f"cell(s) in series; they make {low:.3g} V to {high:.3g} V, at most {full:.3g} V when full."
    )


@_rule("packs", "fast_capacity_coulomb", "fast_current_a", "capacity_coulomb")
def _fast_pair(
    fast_capacity_coulomb: float | None, fast_current_a: float | None, capacity_coulomb: float
) -> str | None:
    if (fast_capacity_coulomb is None) != (fast_current_a is None):
        return "the fast capacity and the fast current go together; fill both or neither."
    if fast_capacity_coulomb is not None and fast_capacity_coulomb > capacity_coulomb:
        return "is more than the label's capacity; a fast discharge never gives more."
    return None


@_rule("packs", "fast_current_a", "slow_current_a")
def _fast_above_slow(fast_current_a: float | None, slow_current_a: float | None) -> str | None:
    if fast_current_a is None or slow_current_a is None or fast_current_a > slow_current_a:
        return None
    return f"found {fast_current_a:g} A; it must be above the slow current, {slow_current_a:g} A."


@_rule("packs", "prospective_a", "max_amps")
def _short_above_load(prospective_a: float | None, max_amps: float) -> str | None:
    if prospective_a is None or prospective_a >= max_amps:
        return None
    return f"found {prospective_a:g} A; a short draws at least the max current, {max_amps:g} A."


@_rule("packs", "cycle_life", "rechargeable", "chemistry")
def _cycles_when_charged(cycle_life: int, rechargeable: bool, chemistry: str) -> str | None:
    if chemistry == "alkaline" and rechargeable:
        return "alkaline cells are not to be charged; write no under rechargeable."
    if rechargeable and cycle_life == 0:
        return "a rechargeable pack needs its number of full charges, such as 500."
    if not rechargeable and cycle_life > 0:
        return f"found {cycle_life} charges for a pack that is not rechargeable; write 0."
    return None


@_rule("packs", "mass_kg", "capacity_coulomb", "nominal_v")
def _heavy_enough(mass_kg: float | None, capacity_coulomb: float, nominal_v: float) -> str | None:
    energy_wh = capacity_coulomb * nominal_v / 3600.0
    if mass_kg is None or energy_wh <= MOST_WH_A_KG * mass_kg:
        return None
    return (
        f"found {1000.0 * mass_kg:.3g} g for {energy_wh:.3g} Wh; cells that hold so much weigh at "
        f"least {1000.0 * energy_wh / MOST_WH_A_KG:.3g} g. Weigh the pack, look at its capacity."
    )


@_rule("packs", "protected", "chemistry")
def _lithium_protected(protected: bool, chemistry: str) -> str | None:
    if protected or chemistry not in ("lithium-ion", "lifepo4"):
        return None
    return (
        f"found no for {chemistry}; lithium cells with no protection circuit are not for "
        "furniture. Take a protected pack."
    )


@_rule("converters", "output_min_v", "output_max_v")
def _output_range(output_min_v: float, output_max_v: float) -> str | None:
    return None if output_min_v <= output_max_v else "is above the max output."


@_rule("converters", "input_min_v", "input_max_v")
def _input_range(input_min_v: float, input_max_v: float) -> str | None:
    return None if input_min_v < input_max_v else "is not below the max input."


@_rule("converters", "kind", "output_min_v", "output_max_v", "input_min_v", "input_max_v")
def _kind_can_convert(
    kind: str, output_min_v: float, output_max_v: float, input_min_v: float, input_max_v: float
) -> str | None:
    if kind == "buck" and output_min_v >= input_max_v:
        return "a buck converter only lowers, but its outputs lie above all of its inputs."
    if kind == "boost" and output_max_v <= input_min_v:
        return "a boost converter only raises, but its outputs lie below all of its inputs."
    return None


@_rule("converters", "efficiency", "loss_points")
def _one_way_to_state_losses(
    efficiency: float | None, loss_points: tuple[tuple[float, float], ...]
) -> str | None:
    if (efficiency is None) != (not loss_points):
        return None
    return "fill either the efficiency or the losses, one of the two."


@_rule("converters", "loss_points", "output_max_a")
def _losses_in_order(
    loss_points: tuple[tuple[float, float], ...], output_max_a: float
) -> str | None:
    amps = [point[0] for point in loss_points]
    if any(above <= below for below, above in pairwise(amps)):
        return "the amps of the losses must rise from pair to pair."
    if amps and amps[-1] > output_max_a * (1 + 1e-9):
        return f"the last loss is at {amps[-1]:g} A, above the max current of {output_max_a:g} A."
    return None


@_rule("controllers", "min_v", "max_v")
def _supply_range(min_v: float, max_v: float) -> str | None:
    return None if min_v < max_v else "is not below the max supply."


@_rule("controllers", "remote", "kind")
def _receiver_has_a_remote(remote: str, kind: str) -> str | None:
    if kind == "receiver" and remote == "none":
        return "a receiver needs a remote; write infrared or radio."
    return None


@_rule("wires", "strands", "construction")
def _strands_by_construction(strands: int, construction: str) -> str | None:
    if (strands == 1) == (construction == "solid"):
        return None
    return f"found {strands} for {construction} wire; solid wire has 1 strand, stranded more."


@_rule("wires", "size", "construction")
def _size_in_the_tables(size: WireSize, construction: Construction) -> str | None:
    number, system = size.name.split()
    try:
        if system == "AWG":
            awg_size(int(number), construction)
        else:
            metric_size(float(number), construction)
    except ValueError as problem:
        return str(problem)
    return None


@_rule("fuses", "breaking_a", "rating_a")
def _breaks_more_than_it_carries(breaking_a: float, rating_a: float) -> str | None:
    return None if breaking_a > rating_a else "is not above the rating."


@_rule("sheets", "scattered_share", "straight_share")
def _shares_within_all(scattered_share: float, straight_share: float) -> str | None:
    total = scattered_share + straight_share
    if total <= 1 + 1e-9:
        return None
    return f"found {total:.0%} together with the straight share; it cannot be more than 100 %."


@_rule("sheets", "straight_share", "refractive_index")
def _two_faces_reflect(straight_share: float, refractive_index: float) -> str | None:
    """Fresnel at normal incidence, all passes between two smooth faces: T = 2n / (n^2 + 1)."""
    most = 2 * refractive_index / (refractive_index**2 + 1)
    if straight_share <= most + SHARE_ROUNDING:
        return None
    return (
        f"found {straight_share:.0%}; the two faces of a sheet with refractive index "
        f"{refractive_index:g} let at most {most:.0%} straight through."
    )
