"""What stands on the label of a pack, so that a client can name it to a shop or a carrier."""

from __future__ import annotations

from lightcalc import units
from lightcalc.answers.words import CHEMISTRIES, Shower
from lightcalc.design.piece import Supply
from lightcalc.parts.kinds import Catalogue

JOULES_IN_A_WATT_HOUR = 3600.0
# Above this a lithium pack is no longer a small one for carriers: UN 38.3 and the exemptions of
# IATA's guidance on lithium batteries (packing instructions 965 to 967) count to 100 Wh.
SMALL_PACK_WH = 100.0


def energy_wh(supply: Supply, catalogue: Catalogue) -> float:
    """Return what a pack holds by its label: nominal volts times amp hours [Wh]."""
    pack = catalogue.packs[supply.pack]
    return supply.pack_multiple * pack.nominal_v * pack.capacity_coulomb / JOULES_IN_A_WATT_HOUR


def label_words(supply: Supply, catalogue: Catalogue) -> str:
    """Return chemistry, nominal volts, amp hours and watt hours of a pack, in words."""
    pack = catalogue.packs[supply.pack]
    show = Shower("metric")
    socket = "" if pack.output_v is None else f" in its cells, {show.volts(pack.output_v)} out"
    parts = (
        CHEMISTRIES[pack.chemistry],
        f"{show.volts(pack.nominal_v)} nominal{socket}",
        show.charge(supply.pack_multiple * pack.capacity_coulomb),
        energy_words(supply, catalogue),
    )
    return ", ".join(parts)


def energy_words(supply: Supply, catalogue: Catalogue) -> str:
    """Return the watt hours of a pack, rounded as a label has them."""
    joules = energy_wh(supply, catalogue) * JOULES_IN_A_WATT_HOUR
    return units.show(joules, "energy", digits=3)
