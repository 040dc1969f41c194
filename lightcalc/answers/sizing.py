"""Wires and fuses for one supply.

    cells ─[pack fuse]─ pack lead ─[converter]─[strip fuse]─ trunks ─ feed leads ─ runs

`full_load` says what flows in each of them, `fuses` what protects it, and each wire is chosen for
both. Where the pack is bare its fuse is settled before any wire is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lightcalc.answers.bought import Cells, named_wire, offered_wires
from lightcalc.answers.full_load import FullLoad, full_currents_a, full_load
from lightcalc.answers.fuses import (
    SizedFuse,
    pack_rating_a,
    size_fuses,
    strip_rating_a,
)
from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Ask, Lead, Use
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.converter import Converter
from lightcalc.physics.circuit.wire import (
    Wire,
    WireCheck,
    WireChoice,
    WireDuty,
    check_wire,
    choose_wire,
)

SHARING_ROUNDS = 6


@dataclass(frozen=True)
class SizedWire:
    """The wire of one lead: the one used, its check, and what the shop should sell at least.

    Wires are chosen by what their copper loses. `contact_ohm` is what the connectors in the lead
    add to each of its conductors, and comes on top.
    """

    lead: str
    length_m: float
    duty: WireDuty
    check: WireCheck
    choice: WireChoice
    named: bool
    smallest_awg: str | None
    smallest_mm2: str | None
    contact_ohm: float

    @property
    def contact_drop_v(self) -> float:
        """What its connectors lose, there and back, at the current that its wire is sized for."""
        loop_in_lengths = self.duty.loop_length_m / self.length_m
        return self.duty.peak_a * self.contact_ohm * loop_in_lengths

    @property
    def contact_drop_ratio(self) -> float:
        """The same as a share of the volts."""
        return self.contact_drop_v / self.duty.source_v


@dataclass(frozen=True)
class Sized:
    """Every wire and fuse of one supply."""

    leads: tuple[SizedWire, ...]
    pack_lead: SizedWire
    fuses: tuple[SizedFuse, ...]
    pack_peak_a: float

    @property
    def lead_wires(self) -> tuple[Wire, ...]:
        """The wire of each lead, in the order of the leads."""
        return tuple(sized.check.wire for sized in self.leads)


def size_supply(
    wired: Wired,
    converter: Converter | None,
    cells: Cells,
    use: Use,
    ask: Ask,
    *,
    catalogue: Catalogue,
) -> Sized:
    """Choose or check every wire and fuse of one supply."""
    load = full_load(wired, converter, use, ask, catalogue)
    at_pack_a, after_limit_a = pack_rating_a(load, cells), strip_rating_a(load)
    pack_lead = _size_pack_lead(load, at_pack_a)
    load, leads = _size_leads(load, at_pack_a if after_limit_a is None else after_limit_a)
    fuses = size_fuses(load, cells, pack_lead.check.wire, _wires(leads))
    return Sized(leads, pack_lead, fuses, load.pack_a)


def _wires(leads: tuple[SizedWire, ...]) -> tuple[Wire, ...]:
    return tuple(lead.check.wire for lead in leads)


def _size_pack_lead(load: FullLoad, rating_a: float) -> SizedWire:
    pack, supply = load.wired.pack, load.wired.supply
    duty = WireDuty(
        peak_a=load.pack_a,
        rms_a=load.pack_a,
        loop_length_m=2.0 * supply.pack_lead_m,
        source_v=pack.nominal_v if pack.output_v is None else pack.output_v,
        allowed_drop_ratio=load.lead_drop_ratio,
        ambient_c=load.ambient_c,
        fuse_a=rating_a,
    )
    lead = Lead(f"{supply.name} pack lead", supply.pack_lead_m, supply.pack_wire)
    return _size_wire(lead, load.wired.pack_contact_ohm, duty, load.catalogue)


def _size_leads(load: FullLoad, rating_a: float) -> tuple[FullLoad, tuple[SizedWire, ...]]:
    """Size the leads, and return the load with what then flows in them.

    Where a run has several feeds, the wires chosen settle how they share its current.
    """
    leads = _each_lead(load, rating_a)
    for _ in range(SHARING_ROUNDS):
        found_a = full_currents_a(load.wired, _wires(leads), load.ambient_c)
        if all(now <= 1.01 * was for now, was in zip(found_a, load.lead_a, strict=True)):
            break
        load = replace(load, lead_a=tuple(map(max, load.lead_a, found_a)))
        leads = _each_lead(load, rating_a)
    # Each wire stands the most it was found to carry; a fuse carries what flows at one time.
    return replace(load, lead_a=found_a), leads


def _each_lead(load: FullLoad, rating_a: float) -> tuple[SizedWire, ...]:
    """Size each lead. The positive conductor carries all, each of `n` returns an n-th."""
    loop_in_lengths = 1.0 + 1.0 / load.wired.returns
    sized = []
    for wired_lead, amps in zip(load.wired.leads, load.lead_a, strict=True):
        lead = wired_lead.lead
        duty = WireDuty(
            peak_a=amps,
            rms_a=amps,
            loop_length_m=loop_in_lengths * lead.length_m,
            source_v=load.wired.output_v,
            allowed_drop_ratio=load.lead_drop_ratio * wired_lead.share,
            ambient_c=load.ambient_c,
            fuse_a=rating_a,
        )
        sized.append(_size_wire(lead, wired_lead.contact_ohm, duty, load.catalogue))
    return tuple(sized)


def _size_wire(lead: Lead, contact_ohm: float, duty: WireDuty, catalogue: Catalogue) -> SizedWire:
    choice = choose_wire(offered_wires(catalogue), duty)
    check = check_wire(named_wire(lead.wire, catalogue), duty) if lead.wire else choice.closest
    smallest: dict[str, str] = {}
    for fitting in (one.wire.size for one in choice.checks if not one.unmet):
        smallest.setdefault(fitting.system, fitting.name)
    return SizedWire(
        lead=lead.name,
        length_m=lead.length_m,
        duty=duty,
        check=check,
        choice=choice,
        named=lead.wire is not None,
        smallest_awg=smallest.get("AWG"),
        smallest_mm2=smallest.get("mm2"),
        contact_ohm=contact_ohm,
    )
