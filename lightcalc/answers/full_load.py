"""What flows in a supply at full level: what its wires and fuses have to carry.

Leads carry full level whatever the level of the evening: a dimmer's pulse has the full current. The
pack lead carries the current at the end of the charge, when the pack is lowest.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lightcalc.answers.draw import controller_idle_a
from lightcalc.answers.wiring import Wired, build_network
from lightcalc.design.piece import Ask, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.converter import Converter, input_current_a, lowest_input_v
from lightcalc.physics.circuit.ladder import solve
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.wire import Wire
from lightcalc.tables.wires import metric_size

# Wires inside a closed piece are warmer than the room by about this much (common practice).
INSIDE_PIECE_K = 10.0
# Wire through which it is first tried how much flows.
THICK = metric_size(2.5)


@dataclass(frozen=True)
class FullLoad:
    """What the wires and fuses of one supply have to do.

    `lead_a` is in each lead and `pack_a` at the pack's terminals; `ambient_c` is inside the piece.
    """

    wired: Wired
    converter: Converter | None
    catalogue: Catalogue
    ambient_c: float
    lead_drop_ratio: float
    lead_a: tuple[float, ...]
    pack_a: float

    @property
    def limit_a(self) -> float | None:
        """Current that the source of the leads limits itself to, if it does."""
        return self.converter.limit_a if self.converter else self.wired.pack.output_max_a


def full_load(
    wired: Wired, converter: Converter | None, use: Use, ask: Ask, catalogue: Catalogue
) -> FullLoad:
    """Find what flows at full level through leads of thick wire, and at the pack's terminals."""
    ambient_c = max(use.temperature_c, 20.0) + INSIDE_PIECE_K
    thick = (Wire("", THICK, 70.0),) * len(wired.leads)
    lead_a = full_currents_a(wired, thick, ambient_c)
    output_a = sum(a for a, lead in zip(lead_a, wired.leads, strict=True) if lead.parent < 0)
    pack_a = _pack_peak_a(wired, converter, output_a, ask.lead_drop_ratio)
    return FullLoad(wired, converter, catalogue, ambient_c, ask.lead_drop_ratio, lead_a, pack_a)


def full_currents_a(wired: Wired, wires: tuple[Wire, ...], ambient_c: float) -> tuple[float, ...]:
    """Find the current in each lead at full level and the highest volts."""
    strip_c = (ambient_c,) * len(wired.runs)
    return _lead_currents_a(build_network(wired, wires, strip_c, 0.0, ambient_c), wired.highest_v)


@lru_cache(maxsize=1024)
def _lead_currents_a(network: Network, supply_v: float) -> tuple[float, ...]:
    """Find the current in each lead; a search comes back to the same leads again and again."""
    return tuple(float(amps) for amps in np.abs(solve(network, supply_v).lead_a))


def _pack_peak_a(
    wired: Wired, converter: Converter | None, output_a: float, drop_ratio: float
) -> float:
    """Highest current at the pack's terminals, at full level, lead and converter low on volts."""
    output_a += controller_idle_a(wired)
    if converter is None:
        return output_a
    lowest_v = wired.pack.cutoff_v if wired.pack.output_v is None else wired.pack.output_v
    input_v = max(lowest_v * (1.0 - drop_ratio), lowest_input_v(converter))
    output_w = min(output_a, converter.limit_a) * converter.output_v
    return float(input_current_a(converter, output_w, input_v))
