"""What can be said of a pack's charger from the row of the pack: what for, and how many hours.

No catalogue lists chargers. A charger is named by the cells it is for, and how long it takes by
the amps that the pack's maker states, where they are known.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lightcalc import units
from lightcalc.answers.words import CHEMISTRIES, Shower
from lightcalc.design.piece import Supply
from lightcalc.packet.pack_label import energy_wh
from lightcalc.parts.kinds import Catalogue
from lightcalc.tables.rows import rows_in

SECONDS_IN_AN_HOUR = 3600.0
# What a small adapter gives at the least, for an example: 5 V and 2 A.
SMALL_ADAPTER_W = 10.0


@dataclass(frozen=True)
class ChargeRule:
    """How long a charge of one chemistry takes, against its amp hours over the charger's amps."""

    low_ratio: float
    high_ratio: float
    usual_share: float
    full_is_charge: bool


@cache
def charge_rules() -> dict[str, ChargeRule]:
    """Return the rule of each chemistry that may be charged."""
    rows = rows_in(Path(__file__).with_name("charging.csv"))
    return {
        row["chemistry"]: ChargeRule(
            low_ratio=float(row["low_ratio"]),
            high_ratio=float(row["high_ratio"]),
            usual_share=float(row["usual_share"]),
            full_is_charge=row["full_is_charge"] == "yes",
        )
        for row in rows
    }


def charger_words(supply: Supply, catalogue: Catalogue) -> str:
    """Name what charges a pack, as "charger for 4 lithium-ion cells in series, 16.8 V".

    Its volts stand there where those of the full pack are the charger's; else those of the label.
    "" for what is never charged.
    """
    pack = catalogue.packs[supply.pack]
    if not pack.rechargeable:
        return ""
    if pack.output_v is not None:
        return "cable and listed adapter to charge the bank"
    chemistry, show = CHEMISTRIES[pack.chemistry], Shower("metric")
    if charge_rules()[pack.chemistry].full_is_charge:
        volts = show.volts(pack.full_v)
    else:
        volts = f"{show.volts(pack.nominal_v)} nominal"
    several = f"{pack.cells_in_series} {chemistry} cells in series"
    cells = several if pack.cells_in_series > 1 else f"1 {chemistry} cell"
    return f"charger for {cells}, {volts}"


def charge_time_words(supply: Supply, catalogue: Catalogue) -> str:
    """Say about how long a full charge takes, as an estimate; "" for what is never charged."""
    pack = catalogue.packs[supply.pack]
    if not pack.rechargeable:
        return ""
    rule = charge_rules()[pack.chemistry]
    if pack.output_v is not None:
        watt_hours = energy_wh(supply, catalogue)
        shown = units.show(watt_hours * SECONDS_IN_AN_HOUR, "energy", digits=2)
        hours = _hours(watt_hours / SMALL_ADAPTER_W, rule)
        return (
            f"about {hours} from an adapter of {SMALL_ADAPTER_W:g} W, for {shown}; from a "
            "stronger one less, down to what the bank's maker states. An estimate"
        )
    charge = supply.pack_multiple * pack.capacity_coulomb
    amp_hours, show = charge / SECONDS_IN_AN_HOUR, Shower("metric")
    if pack.charge_current_a is not None:
        hours = _hours(amp_hours / pack.charge_current_a, rule)
        at = show.amps(pack.charge_current_a)
        return f"about {hours} at {at}, for {show.charge(charge)}. An estimate"
    amps = float(f"{rule.usual_share * amp_hours:.1g}")
    return (
        f"the pack's maker states the amps; {show.charge(charge)} at {show.amps(amps)} would take "
        f"about {_hours(amp_hours / amps, rule)}. An estimate"
    )


def _hours(bare_h: float, rule: ChargeRule) -> str:
    low_s, high_s = (
        bare_h * ratio * SECONDS_IN_AN_HOUR for ratio in (rule.low_ratio, rule.high_ratio)
    )
    return units.show_range(low_s, high_s, "time", digits=1)
