"""Short-circuit currents: the most a source can give, and the least at the far end of a branch.

```
   pack --wiring--[fuse]--feeder--+-- lead of branch 1 ==== strip ====x  short at the far end
                     x            +-- lead of branch 2 ==== strip ====
                short at the fuse
```

Most: full pack, cold copper, short at the fuse. Least: weak pack, hot copper, short at the end
of the longest, thinnest branch. A short is taken as bolted; a charred or loose one gives less
current and may open no fuse. Other branches take next to nothing once the volts have gone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from lightcalc.physics.circuit.wire import Wire, hot_copper_ratio, loop_ohm

# The wire between pack and fuse has no data of its own; no common insulation is hotter than this.
WIRING_HOT_C = 105.0


@dataclass(frozen=True)
class Source:
    """What feeds a short, at its strongest and at its weakest.

    `full_v` and `full_ohm`: full, new and warm. `weak_v` and `weak_ohm`: at cut-off, aged and
    cold. `wiring_20c_ohm` is the loop from the cells to the fuse. `limit_a` is what a converter
    limits its own output to; None for a bare pack, which limits nothing.
    """

    full_v: float
    full_ohm: float
    weak_v: float
    weak_ohm: float
    wiring_20c_ohm: float = 0.0
    limit_a: float | None = None

    def __post_init__(self) -> None:
        """Refuse a source that makes no sense."""
        if not (0.0 < self.weak_v <= self.full_v and 0.0 <= self.full_ohm <= self.weak_ohm):
            raise ValueError(
                f"The source has {self.full_v:g} V and {self.full_ohm:g} ohm when full, "
                f"{self.weak_v:g} V and {self.weak_ohm:g} ohm when weak; a weak one has no more "
                "volts and no less resistance."
            )
        if self.limit_a is None and self.full_ohm + self.wiring_20c_ohm <= 0.0:
            raise ValueError(
                "The source has neither resistance nor a current limit; a short would draw "
                "current without end. Give one of them."
            )


@dataclass(frozen=True)
class Lead:
    """A pair of wires; the loop counts both conductors, and `contact_ohm` its connectors."""

    wire: Wire
    loop_length_m: float
    contact_ohm: float = 0.0


@dataclass(frozen=True)
class Branch:
    """One lead, what flows in it for good, and the copper of the strip beyond it.

    `continuous_a` is the current while a dimmer's pulse is on. `strip_loop_ohm` is both rails
    from the feed to the far end, at 20 degC; `strip_c` is how warm they are.
    """

    lead: Lead
    continuous_a: float
    strip_loop_ohm: float = 0.0
    strip_c: float = 60.0


def prospective_a(source: Source) -> float:
    """Most that a source can drive through a short at the fuse: full volts, cold copper.

    >>> prospective_a(Source(full_v=12.0, full_ohm=0.125, weak_v=9.0, weak_ohm=0.25))
    96.0
    """
    ohm = source.full_ohm + source.wiring_20c_ohm
    amps = source.full_v / ohm if ohm > 0.0 else math.inf
    return amps if source.limit_a is None else min(amps, source.limit_a)


def far_short_a(
    source: Source, branch: Branch, feeder: Lead | None = None, fuse_ohm: float = 0.0
) -> float:
    """Least that flows through a short at the far end of a branch: weak pack, hot copper.

    Wires count as hot as their insulation allows.

    >>> from lightcalc.tables.wires import awg_size
    >>> lead = Lead(Wire("red", awg_size(22), 80.0), loop_length_m=4.0)
    >>> source = Source(full_v=12.6, full_ohm=0.1, weak_v=9.0, weak_ohm=0.2)
    >>> branch = Branch(lead, continuous_a=1.0, strip_loop_ohm=0.3)
    >>> round(far_short_a(source, branch), 2)
    11.05
    """
    ohm = sum(far_short_ohms(source, branch, feeder).values()) + fuse_ohm
    amps = source.weak_v / ohm if ohm > 0.0 else math.inf
    return amps if source.limit_a is None else min(amps, source.limit_a)


def far_short_ohms(
    source: Source, branch: Branch, feeder: Lead | None = None
) -> dict[Literal["pack", "leads", "contacts", "strip"], float]:
    """Ohms in the way of a short at the far end of a branch, by what they belong to."""
    leads = (feeder, branch.lead) if feeder else (branch.lead,)
    return {
        "pack": source.weak_ohm + source.wiring_20c_ohm * float(hot_copper_ratio(WIRING_HOT_C)),
        "leads": sum(_hot_ohm(lead) for lead in leads),
        "contacts": sum(lead.contact_ohm for lead in leads),
        "strip": branch.strip_loop_ohm * float(hot_copper_ratio(branch.strip_c)),
    }


def _hot_ohm(lead: Lead) -> float:
    return float(loop_ohm(lead.wire.size, lead.loop_length_m, lead.wire.insulation_c))
