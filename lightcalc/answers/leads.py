"""What is said of every lead: its wire, and the current and volts in it at full level."""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.draw import Circuit, Draw, controller_idle_a
from lightcalc.answers.results import WireAnswer
from lightcalc.answers.sizing import Sized, SizedWire
from lightcalc.physics.circuit.ladder import Solution, lead_volts


@dataclass(frozen=True)
class _AtFullLevel:
    """Current in the + of a lead, and the volts between its conductors at start and end."""

    amps_a: float
    start_v: float
    end_v: float


def wire_answers(
    circuit: Circuit, sized: Sized, full: Solution, drawn: Draw
) -> tuple[WireAnswer, ...]:
    """Answer every lead of a supply: first that of its pack, then the others in their order.

    `full` solves the runs at full level, and `drawn` says what full level draws at the pack.
    """
    supply = circuit.wired.supply.name
    found = [_wire_answer(sized.pack_lead, supply, _pack_lead(circuit, full, drawn))]
    starts, ends = lead_volts(circuit.network, full)
    for number, wire in enumerate(sized.leads):
        at_full_level = _AtFullLevel(
            float(full.lead_a[number]), float(starts[number].min()), float(ends[number].min())
        )
        found.append(_wire_answer(wire, supply, at_full_level))
    return tuple(found)


def _pack_lead(circuit: Circuit, full: Solution, drawn: Draw) -> _AtFullLevel:
    """Find what leaves the pack, at its nominal volts, for the runs at full level."""
    pack = circuit.wired.pack
    terminal_v = pack.nominal_v if pack.output_v is None else pack.output_v
    if circuit.converter is None:
        amps = float(full.supply_a) + controller_idle_a(circuit.wired)
    else:
        watts = float(drawn.at_v(terminal_v, drawn.peak_w)) * (pack.output_efficiency or 1.0)
        amps = watts / terminal_v
    return _AtFullLevel(amps, terminal_v, terminal_v - amps * circuit.pack_lead_ohm)


def _wire_answer(wire: SizedWire, supply: str, full: _AtFullLevel) -> WireAnswer:
    check, contact_v = wire.check, wire.contact_drop_v
    drop_v = check.drop_v + contact_v
    return WireAnswer(
        lead=wire.lead,
        supply=supply,
        length_m=wire.length_m,
        loop_length_m=2.0 * wire.length_m,
        peak_a=wire.duty.peak_a,
        wire=check.wire.name,
        size=check.wire.size.name,
        area_mm2=check.wire.size.area_m2 * 1e6,
        chosen_by="you" if wire.named else "lightcalc",
        smallest_awg=wire.smallest_awg,
        smallest_mm2=wire.smallest_mm2,
        decided_by=wire.choice.decided_by or "thinnest on offer",
        drop_v=drop_v,
        drop_ratio=check.drop_ratio + wire.contact_drop_ratio,
        contact_drop_v=contact_v,
        contact_share_ratio=contact_v / drop_v if contact_v > 0.0 else 0.0,
        ampacity_a=check.ampacity_a,
        heat_w=check.heat_w,
        full_level_a=full.amps_a,
        start_v=full.start_v,
        end_v=full.end_v,
    )
