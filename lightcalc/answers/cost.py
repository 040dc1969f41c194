"""What the parts of a design cost and weigh: strip and wire by the length used, the rest whole.

Fuses that a converter's limit makes needless are not bought, unless the design names them; the
connectors of a pack lead count, and one at each joint that a lead goes across.

A part with no price or mass in the catalogue makes the sum unknown, not smaller.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from lightcalc.answers.sizing import Sized
from lightcalc.answers.wiring import Wired
from lightcalc.parts.kinds import Catalogue


def price_of(wired: Sequence[Wired], sized: Sequence[Sized], catalogue: Catalogue) -> float | None:
    """Return the price of strips, packs, converters, controllers, wires, fuses and connectors."""
    prices: list[float | None] = []
    for one, sizes in zip(wired, sized, strict=True):
        for run in one.runs:
            price = run.strip.price
            prices.append(None if price is None else price * run.length_m / run.strip.reel_m)
        pack = one.pack.price
        prices.append(None if pack is None else pack * one.supply.pack_multiple)
        prices += [part.price for part in (one.converter, one.controller) if part]
        prices += [catalogue.connectors[name].price for name in _connectors(one)]
        prices += [catalogue.fuses[f.fitted.name].price for f in sizes.fuses if f.fitted]
        for name, length_m in _copper(one, sizes):
            per_m = catalogue.wires[name].price_per_m
            prices.append(None if per_m is None else per_m * length_m)
    return _total(prices)


def mass_of(wired: Sequence[Wired], sized: Sequence[Sized], catalogue: Catalogue) -> float | None:
    """Return the mass of the same parts [kg]."""
    masses: list[float | None] = []
    for one, sizes in zip(wired, sized, strict=True):
        for run in one.runs:
            per_m = run.strip.mass_kg_per_m
            masses.append(None if per_m is None else per_m * run.length_m)
        pack = one.pack.mass_kg
        masses.append(None if pack is None else pack * one.supply.pack_multiple)
        masses += [part.mass_kg for part in (one.converter, one.controller) if part]
        masses += [catalogue.connectors[name].mass_kg for name in _connectors(one)]
        masses += [catalogue.fuses[f.fitted.name].mass_kg for f in sizes.fuses if f.fitted]
        for name, length_m in _copper(one, sizes):
            per_m = catalogue.wires[name].mass_kg_per_m
            masses.append(None if per_m is None else per_m * length_m)
    return _total(masses)


def _connectors(wired: Wired) -> list[str]:
    """Return every connector of a supply: of its pack lead, then of its leads."""
    in_leads = [name for lead in wired.leads for name in lead.lead.crossing.connectors]
    return [*wired.supply.connectors, *in_leads]


def _copper(wired: Wired, sized: Sized) -> list[tuple[str, float]]:
    """Wire and length of all conductors of each lead: one out, and one back for each channel."""
    leads = [(w.check.wire.name, (1 + wired.returns) * w.length_m) for w in sized.leads]
    return [*leads, (sized.pack_lead.check.wire.name, 2.0 * sized.pack_lead.length_m)]


def _total(parts: Sequence[float | None]) -> float | None:
    known = [part for part in parts if part is not None]
    return math.fsum(known) if len(known) == len(parts) else None
