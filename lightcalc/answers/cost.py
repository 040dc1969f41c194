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
    return _total([price for _, price in prices_of(wired, sized, catalogue)])


def unpriced_of(
    wired: Sequence[Wired], sized: Sequence[Sized], catalogue: Catalogue
) -> tuple[str, ...]:
    """Name each part that has no price, which leaves the whole without one."""
    prices = prices_of(wired, sized, catalogue)
    return tuple(dict.fromkeys(name for name, price in prices if price is None))


def prices_of(
    wired: Sequence[Wired], sized: Sequence[Sized], catalogue: Catalogue
) -> list[tuple[str, float | None]]:
    """Return every part with the price of what is used of it."""
    prices: list[tuple[str, float | None]] = []
    for one, sizes in zip(wired, sized, strict=True):
        for run in one.runs:
            strip = run.strip
            price = strip.price
            used = None if price is None else price * run.length_m / strip.reel_m
            prices.append((strip.name, used))
        prices.append((one.pack.name, _times(one.pack.price, one.supply.pack_multiple)))
        prices += [(part.name, part.price) for part in (one.converter, one.controller) if part]
        prices += [(name, catalogue.connectors[name].price) for name in _connectors(one)]
        fitted = [fuse.fitted.name for fuse in sizes.fuses if fuse.fitted]
        prices += [(name, catalogue.fuses[name].price) for name in fitted]
        for name, length_m in _copper(one, sizes):
            prices.append((name, _times(catalogue.wires[name].price_per_m, length_m)))
    return prices


def _times(price: float | None, amount: float) -> float | None:
    return None if price is None else price * amount


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
