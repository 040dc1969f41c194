"""The kinds of part a maker can buy, in strict SI units (temperatures in degrees Celsius).

Shares and tolerances are fractions of one. A tolerance is the half width of the band within
which nearly every bought part falls, so 0.1 means plus or minus ten per cent of the label.
What a column of the catalogue holds, and how it may be written, stands in `columns.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from lightcalc.units import WireSize

StripKind = Literal["resistor", "constant-current", "pixel"]
Chemistry = Literal["alkaline", "nimh", "lithium-ion", "lifepo4", "lead-acid"]
PackForm = Literal["cells", "usb bank"]
ConverterKind = Literal["buck", "boost", "buck-boost"]
ControllerKind = Literal["dimmer", "receiver"]
Remote = Literal["none", "infrared", "radio"]
Construction = Literal["solid", "stranded"]
FuseKind = Literal["blade", "cartridge", "resettable"]


@dataclass(frozen=True)
class Strip:
    """LED strip by the reel.

    ```
      + rail  ====+=========+=========+====
                  |         |         |        pitch_m between neighbouring LEDs,
                 [LEDs]    [LEDs]    [LEDs]    cut_unit_m between cut marks,
                  |         |         |        rail_ohm_per_m in each rail
      returns ====+=========+=========+====    (one return rail for each channel)
    ```

    `power_w_per_m` and `light_lm_per_m` are for all channels full on at `rated_v`, shared evenly
    by the channels; a pixel strip's power includes its idle current. `forward_v` holds, for each
    channel, the volts of the LEDs in series within one cut unit at their rated current.
    `dropout_v` is the volts that the regulator of a constant-current or pixel strip needs beyond
    `forward_v` to hold its current; None for a resistor strip. `idle_a` is what one cut unit draws
    when dark. `channel_pitch_m` is the pitch of the LEDs of one channel, which is larger than
    `pitch_m` where channels take turns along the strip.
    """

    name: str
    kind: StripKind
    channels: tuple[str, ...]
    rated_v: float
    power_w_per_m: float
    cut_unit_m: float
    pitch_m: float
    channel_pitch_m: float
    leds_in_series: int
    forward_v: tuple[float, ...]
    dropout_v: float | None
    idle_a: float
    rail_ohm_per_m: float
    light_lm_per_m: float
    beam_deg: float
    led_width_m: float
    width_m: float
    reel_m: float
    heat_share: float
    max_c: float
    colour: str
    power_tolerance: float
    rail_tolerance: float
    forward_v_tolerance: float
    price: float | None
    mass_kg_per_m: float | None


@dataclass(frozen=True)
class Pack:
    """Cells with their holder and protection; volts, ohms and coulombs are of the whole pack.

    The label's `capacity_coulomb` holds at `slow_current_a`, where it is given. The fast pair is
    both or neither: what the pack still gives at `fast_current_a`. `resistance_ohm` holds at half
    charge: the volts lost at 1 C over that current, holder and protection included. For a USB bank
    the capacity and all volts but `output_v` are counted at the cells, before its built-in
    converter, and the `output_*` fields are set; they are None for every other pack. `cycle_life`
    is 0 for cells that cannot be charged; `charge_current_a` is what its charger gives.
    """

    name: str
    chemistry: Chemistry
    form: PackForm
    cells_in_series: int
    nominal_v: float
    full_v: float
    cutoff_v: float
    capacity_coulomb: float
    slow_current_a: float | None
    fast_capacity_coulomb: float | None
    fast_current_a: float | None
    resistance_ohm: float
    max_amps: float
    prospective_a: float | None
    cycle_life: int
    shelf_years: float
    self_discharge_per_month: float
    capacity_tolerance: float
    resistance_tolerance: float
    rechargeable: bool
    protected: bool
    min_c: float
    max_c: float
    output_v: float | None
    output_efficiency: float | None
    output_max_a: float | None
    auto_off_a: float | None
    price: float | None
    mass_kg: float | None
    charge_current_a: float | None = None


@dataclass(frozen=True)
class Converter:
    """Raises or lowers the pack's voltage.

    Either `efficiency` (a fraction of one) or `loss_points`, pairs of output amps and watts lost
    in rising order of amps, is set; the other is None or empty. `idle_a` is drawn at the input
    when nothing is drawn at the output.
    """

    name: str
    kind: ConverterKind
    output_min_v: float
    output_max_v: float
    input_min_v: float
    input_max_v: float
    output_max_a: float
    efficiency: float | None
    loss_points: tuple[tuple[float, float], ...]
    idle_a: float
    efficiency_tolerance: float
    price: float | None
    mass_kg: float | None


@dataclass(frozen=True)
class Controller:
    """A dimmer or a remote receiver; `on_ohm` is the resistance of one channel's switch."""

    name: str
    kind: ControllerKind
    remote: Remote
    channels: int
    pwm_hz: float
    max_amps_per_channel: float
    on_ohm: float
    idle_a: float
    min_v: float
    max_v: float
    price: float | None
    mass_kg: float | None

    @property
    def sensor(self) -> str:
        """What of it is worked, or hears its remote."""
        return {"infrared": "eye", "radio": "aerial"}.get(self.remote, "knob or touch pad")


@dataclass(frozen=True)
class Wire:
    """One copper conductor with its insulation, sold by length.

    `tolerance` is that of its resistance; price and mass are of one conductor.
    """

    name: str
    size: WireSize
    construction: Construction
    strands: int
    insulation_c: float
    tolerance: float
    colours: tuple[str, ...]
    price_per_m: float | None
    mass_kg_per_m: float | None


@dataclass(frozen=True)
class Fuse:
    """A fuse that carries `rating_a` for good and breaks up to `breaking_a` at up to `volts_v`.

    At `opens_at_ratio` times its rating it has opened after `opens_within_s` at the latest.
    """

    name: str
    kind: FuseKind
    rating_a: float
    volts_v: float
    breaking_a: float
    opens_at_ratio: float
    opens_within_s: float
    resistance_ohm: float
    price: float | None
    mass_kg: float | None


@dataclass(frozen=True)
class Connector:
    """A plug and socket; `resistance_ohm` is of one contact pair, `max_amps` of each pole."""

    name: str
    poles: int
    max_amps: float
    max_v: float
    resistance_ohm: float
    cycles: int | None
    price: float | None
    mass_kg: float | None


@dataclass(frozen=True)
class Sheet:
    """A sheet or casting that light goes through.

    Of the light that arrives head on, `straight_share` leaves in the direction it came and
    `scattered_share` leaves in all directions on the far side, both for `reference_thickness_m`
    with its two surfaces; the rest is absorbed or sent back. `thicknesses_m` are those on offer;
    when there are none it is cast or cut to any thickness.
    """

    name: str
    material: str
    reference_thickness_m: float
    straight_share: float
    scattered_share: float
    refractive_index: float
    thicknesses_m: tuple[float, ...]
    max_c: float
    price_per_m2: float | None
    mass_kg_per_m2: float | None


Part = Strip | Pack | Converter | Controller | Wire | Fuse | Connector | Sheet


@dataclass(frozen=True)
class Catalogue:
    """Every part the maker can buy, by kind and then by name."""

    name: str
    currency: str
    folder: Path
    strips: dict[str, Strip]
    packs: dict[str, Pack]
    converters: dict[str, Converter]
    controllers: dict[str, Controller]
    wires: dict[str, Wire]
    fuses: dict[str, Fuse]
    connectors: dict[str, Connector]
    sheets: dict[str, Sheet]
