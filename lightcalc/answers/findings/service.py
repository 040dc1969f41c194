"""Findings about service: joints that come apart, reaching and holding packs.

::

    seat    ====[strip]====+
                           |  feed lead: a connector in it, on a side a hand can get to
    - - - - - - - - - - - -||- - - - - - - - - -   joint: the seat lifts off
    base    [pack][controller]
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from lightcalc.answers.findings.finding import Finding, Grade
from lightcalc.answers.findings.remotes import is_followed, listed
from lightcalc.answers.results import SupplyAnswer
from lightcalc.answers.sizing import Sized, SizedWire
from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Design, Supply
from lightcalc.design.service import BOTH_SIDES, Crossing, Joint
from lightcalc.parts.kinds import Catalogue, Pack
from lightcalc.tables.fasteners import Fastener, fasteners
from lightcalc.units import show

# Standard acceleration of free fall, to three figures.
GRAVITY_M_PER_S2 = 9.81
# A pack lead is + and -.
PACK_WIRES = 2


def service_findings(
    wired: Wired, sized: Sized, lasts: SupplyAnswer, design: Design, catalogue: Catalogue
) -> Iterator[Finding]:
    """Leads across joints, the way to the pack, its hold, and what is not said."""
    joints = {joint.name: joint for joint in design.joints}
    for wired_lead, wire in zip(wired.leads, sized.leads, strict=True):
        crossing = wired_lead.lead.crossing
        plugs = (crossing.connector,) if crossing.connector else ()
        yield from _crossing(crossing, plugs, wire, 1 + wired.returns, joints)
        yield from _plug(crossing, wire, 1 + wired.returns, catalogue)
    supply = wired.supply
    yield from _crossing(supply.crossing, supply.connectors, sized.pack_lead, 2, joints)
    yield from _reach(wired, lasts)
    yield from hold_findings(wired.supply, wired.pack, design.system)
    yield from _no_plug(wired, sized, catalogue)
    yield from _unsaid(wired, design)


def _crossing(
    crossing: Crossing,
    plugs: Sequence[str],
    wire: SizedWire,
    conductors_count: int,
    joints: dict[str, Joint],
) -> Iterator[Finding]:
    """Find leads that tie two parts together, or that part where no hand gets to them."""
    where = f"lead {wire.lead}"
    for joint in (joints[name] for name in crossing.joints):
        figures = {"conductors_count": float(conductors_count)}
        if joint.removable and not plugs:
            yield Finding(
                "joint-no-connector",
                "stop",
                where,
                f"Its {conductors_count} wires cross the joint {joint.name}, which comes apart, "
                "with no connector in them: they would have to be cut.",
                "Put a connector in this lead at the joint; one elsewhere, as at the pack, does "
                "not part it. Or let the lead stay on one side.",
                figures,
            )
        elif joint.removable and joint.reached_from not in (BOTH_SIDES, crossing.side):
            yield _wrong_side(joint, crossing.side, where, figures)


def _wrong_side(joint: Joint, side: str | None, where: str, figures: dict[str, float]) -> Finding:
    if side is None:
        return Finding(
            "joint-side-not-said",
            "note",
            where,
            f"A hand gets to the joint {joint.name} from the {joint.reached_from} only, and the "
            "design does not say on which side the connector hangs.",
            f'Write connector_side = "{joint.reached_from}" once it is so.',
            figures,
        )
    return Finding(
        "joint-wrong-side",
        "stop",
        where,
        f"Its connector hangs on the {side} of the joint {joint.name}, and a hand gets there from "
        f"the {joint.reached_from} only.",
        f"Hang the connector on the {joint.reached_from}, with enough slack to part it there.",
        figures,
    )


def _plug(
    crossing: Crossing,
    wire: SizedWire,
    conductors_count: int,
    catalogue: Catalogue,
) -> Iterator[Finding]:
    """Find a connector in a feed lead or trunk that has too few poles or carries too much."""
    if crossing.connector is None:
        return
    part = catalogue.connectors[crossing.connector]
    where = f"connector {part.name}, lead {wire.lead}"
    if part.poles < conductors_count:
        yield Finding(
            "connector-poles",
            "stop",
            where,
            f"The lead has {conductors_count} wires and the connector {part.poles} poles.",
            f"Take a connector with {conductors_count} poles or more.",
            {"conductors_count": float(conductors_count), "poles_count": float(part.poles)},
        )
    if wire.duty.peak_a > part.max_amps:
        yield Finding(
            "connector-current",
            "stop",
            where,
            f"It carries up to {show(wire.duty.peak_a, 'current', digits=2)} and may carry "
            f"{show(part.max_amps, 'current', digits=2)}.",
            "Take a stronger connector.",
            {"amps_a": wire.duty.peak_a, "allowed_a": part.max_amps},
        )
    if wire.duty.source_v > part.max_v:
        yield Finding(
            "connector-volts",
            "stop",
            where,
            f"The lead has {show(wire.duty.source_v, 'voltage')}; it is for "
            f"{show(part.max_v, 'voltage')} at most.",
            "Take a connector for that voltage.",
            {"source_v": wire.duty.source_v, "allowed_v": part.max_v},
        )


def _no_plug(wired: Wired, sized: Sized, catalogue: Catalogue) -> Iterator[Finding]:
    """Find a pack that is charged, with nothing to part it from the light and put it on a charger.

    A bank has its socket, and cells to throw away come out of their holder.
    """
    supply, wire = wired.supply, sized.pack_lead
    if not wired.pack.rechargeable or wired.pack.form == "usb bank":
        return
    if supply.connectors or supply.service.sealed:
        return
    fits = [
        part
        for part in catalogue.connectors.values()
        if part.poles == PACK_WIRES
        and part.max_amps >= wire.duty.peak_a
        and part.max_v >= wire.duty.source_v
        # Whoever sees that plug puts it into any socket of its kind.
        and "usb" not in part.name.casefold()
    ]
    named = max(fits, key=lambda part: part.cycles or 0).name if fits else ""
    remedy = f'Write connectors = ["{named}"] under the supply, and put it into its pack lead.'
    if not named:
        remedy = (
            f"Put one into its pack lead, for {show(wire.duty.peak_a, 'current', digits=2)} and "
            f"{show(wire.duty.source_v, 'voltage')}; the catalogue has none for that."
        )
    yield Finding(
        "pack-no-plug",
        "note",
        f"supply {supply.name}",
        "There is no plug in its pack lead, so the client cannot part the pack from the light to "
        "charge it.",
        remedy,
        {"peak_a": wire.duty.peak_a, "source_v": wire.duty.source_v},
    )


def _reach(wired: Wired, lasts: SupplyAnswer) -> Iterator[Finding]:
    """Find a pack that nobody can get at."""
    if not wired.supply.service.sealed:
        return
    years = wired.pack.shelf_years
    if lasts.years_until_worn_years is not None:
        years = min(years, lasts.years_until_worn_years)
    yield Finding(
        "pack-sealed",
        "stop",
        f"supply {wired.supply.name}",
        f"Its pack is sealed in. It is flat after about {show(lasts.hours_h * 3600.0, 'time')} of "
        f"light, and no cells of its kind last longer here than about {show_years(years)}.",
        "Give it a door, a drawer or a lid that opens without breaking glue, and say so under "
        "reach.",
        {"hours_h": lasts.hours_h, "lasts_years": years},
    )


def show_years(years: float) -> str:
    """Say a number of years.

    >>> show_years(1.2), show_years(7.0)
    ('1.2 years', '7 years')
    """
    return f"{years:.2g} years"


def hold_findings(supply: Supply, pack: Pack, system: str) -> Iterator[Finding]:
    """Find a pack that hangs from too little."""
    service, where = supply.service, f"supply {supply.name}"
    if not service.overhead or service.held_by is None:
        return
    fastener = fasteners()[service.held_by]
    if fastener.counted_by == "nothing":
        return
    if pack.mass_kg is None:
        yield Finding(
            "pack-mass-unknown",
            "note",
            where,
            f"The catalogue does not say what {pack.name} weighs, so whether the "
            f"{fastener.name} holds it overhead is not known; {fastener.times_asked:g} times its "
            "weight is asked.",
            "Weigh it, and write its mass in the catalogue.",
            {"asked_ratio": fastener.times_asked},
        )
        return
    mass_kg = pack.mass_kg * supply.pack_multiple
    given = service.held_area_m2 if fastener.counted_by == "area" else service.held_count
    if given is None:
        asked = _asked(fastener, mass_kg * GRAVITY_M_PER_S2, system)
        yield Finding(
            "hold-not-said",
            "note",
            where,
            f"The pack of {show(mass_kg, 'mass', system)} hangs from {fastener.name}, and the "
            "design does not say how much of it.",
            f"It takes {asked}; write what there is as held_{fastener.counted_by}.",
            {"mass_kg": mass_kg, "asked_ratio": fastener.times_asked},
        )
        return
    holds_n = fastener.holds_n(service.held_area_m2 or 0.0, service.held_count or 0)
    yield from _margin(fastener, holds_n, mass_kg, where, system)


def _margin(
    fastener: Fastener, holds_n: float, mass_kg: float, where: str, system: str
) -> Iterator[Finding]:
    weight_n = mass_kg * GRAVITY_M_PER_S2
    times = holds_n / weight_n
    if times >= fastener.times_asked * (1.0 - 1e-9):
        return
    grade: Grade = "stop" if times < 1.0 else "caution"
    holds = show(holds_n / GRAVITY_M_PER_S2, "mass", system, 2)
    edge = " once an edge lifts" if fastener.counted_by == "area" else ""
    yield Finding(
        "pack-hold",
        grade,
        where,
        f"The pack of {show(mass_kg, 'mass', system, 2)} hangs from {fastener.name} that may hold "
        f"no more than {holds}{edge} ({fastener.basis}), {times:.2g} times its weight; "
        f"{fastener.times_asked:g} times is asked.",
        f"Give it {_asked(fastener, weight_n, system)}, or a shelf or strap under it.",
        {"weight_n": weight_n, "holds_n": holds_n, "asked_ratio": fastener.times_asked},
    )


def _asked(fastener: Fastener, weight_n: float, system: str) -> str:
    """Say how much of a fastener holds a weight with its margin."""
    asked_n = fastener.times_asked * weight_n
    if fastener.counted_by == "area":
        return f"{_area(fastener.least_area_m2(asked_n), system)} of {fastener.name}"
    count = max(math.ceil(asked_n / fastener.each_n - 1e-9), 1)
    return f"{count} {fastener.name if count > 1 else fastener.name.removesuffix('s')}"


def _area(area_m2: float, system: str) -> str:
    """Show an area that holds a hand's things, rounded up so that it still does."""
    unit_m2, word = (0.0254**2, "sq in") if system == "inch" else (1e-4, "cm2")
    return f"{math.ceil(area_m2 / unit_m2 - 1e-9)} {word}"


def _named(wired: Wired) -> str:
    return f"supply {wired.supply.name}"


def _unsaid(wired: Wired, design: Design) -> Iterator[Finding]:
    """Ask in one note for all that matters and is not said."""
    service, controller = wired.supply.service, wired.controller
    asked: list[tuple[str, str]] = []
    if not service.reach and not service.sealed:
        asked.append(("how its pack is reached", 'reach = "lift off the seat"'))
    mass_kg = wired.pack.mass_kg
    figures = {} if mass_kg is None else {"mass_kg": mass_kg * wired.supply.pack_multiple}
    if service.held_by is None:
        its = f"its {show(figures['mass_kg'], 'mass', design.system, 2)}" if figures else "it"
        asked.append((f"what holds {its}", 'held_by = "clips"'))
    remote = controller.remote if controller and controller.kind == "receiver" else "none"
    followed = is_followed(wired.supply, controller, design)
    if remote == "infrared" and service.sees_user is None and not followed:
        asked.append(("whether its receiver sees the user", "sees_user = true, or sensor_at"))
    if remote == "radio" and service.box is None:
        asked.append(("what its receiver is boxed in", 'box = "wood"'))
    if not asked:
        return
    joints = "" if design.joints else "; and [[joints]] for parts that come apart"
    yield Finding(
        "service-not-said",
        "note",
        _named(wired),
        f"The design does not say {listed([what for what, _ in asked])}.",
        f"Write under the supply such as {', '.join(key for _, key in asked)}{joints}.",
        figures,
    )
