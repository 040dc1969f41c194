"""The one way in: a design and its parts go in, an answer with its findings comes out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lightcalc.answers.band.tolerances import usual_tolerances
from lightcalc.answers.bought import Cells, cells_of, converter_of
from lightcalc.answers.cost import mass_of, price_of, unpriced_of
from lightcalc.answers.draw import Circuit, with_jumpers
from lightcalc.answers.endurance import Charge, run_down, supply_answer
from lightcalc.answers.findings.cautions import cautions_for
from lightcalc.answers.findings.finding import Finding, worst_first
from lightcalc.answers.findings.power import power_findings
from lightcalc.answers.findings.remotes import (
    is_followed,
    receiver_findings,
    remote_findings,
)
from lightcalc.answers.findings.service import service_findings
from lightcalc.answers.findings.wiring import (
    dots_findings,
    fuse_findings,
    heat_findings,
    reach_findings,
    run_findings,
    wire_findings,
)
from lightcalc.answers.fuses import PACK_SIDE, SizedFuse
from lightcalc.answers.jumpers import jumper_ohms
from lightcalc.answers.leads import wire_answers
from lightcalc.answers.look.results import RemoteAnswer, SightAnswer
from lightcalc.answers.results import (
    Answer,
    DotsAnswer,
    FuseAnswer,
    HeatAnswer,
    RunAnswer,
    SupplyAnswer,
    WireAnswer,
)
from lightcalc.answers.runs import run_answers
from lightcalc.answers.sizing import Sized, size_supply
from lightcalc.answers.surroundings import dots_answers, heat_answer, rises_with_volts
from lightcalc.answers.wiring import Wired, build_network, wire_up
from lightcalc.design.piece import Design, Supply
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.wire import loop_ohm

FAR_BEYOND_K = 40.0


@dataclass(frozen=True)
class Built:
    """One supply ready to be lit: wired, its wires and fuses chosen, its strips warm."""

    wired: Wired
    cells: Cells
    sized: Sized
    heat: tuple[HeatAnswer, ...]
    circuit: Circuit


@dataclass(frozen=True)
class Part:
    """One supply worked out: as it is wired and sized, and what the answer says of it."""

    wired: Wired
    sized: Sized
    circuit: Circuit
    charge: Charge
    supply: SupplyAnswer
    runs: tuple[RunAnswer, ...]
    wires: tuple[WireAnswer, ...]
    dots: tuple[DotsAnswer, ...]
    heat: tuple[HeatAnswer, ...]
    remotes: tuple[RemoteAnswer, ...]
    findings: tuple[Finding, ...]


def answer(design: Design, catalogue: Catalogue, parts: tuple[Part, ...] | None = None) -> Answer:
    """Answer a checked design; `parts` are those of `answer_parts`, where they are at hand.

    Every part the design names is in the catalogue (`lightcalc.design.read` sees to that);
    KeyError when it is not.
    """
    parts = answer_parts(design, catalogue) if parts is None else parts
    eyes, sights, seen = _seen_in_space(parts, design, catalogue)
    findings = [*(finding for part in parts for finding in part.findings), *seen]
    findings += remote_findings(design, catalogue)
    wired = [part.wired for part in parts]
    sized = [part.sized for part in parts]
    return Answer(
        piece=design.piece.name,
        units=design.system,
        currency=catalogue.currency,
        price=price_of(wired, sized, catalogue),
        unpriced=unpriced_of(wired, sized, catalogue),
        mass_kg=mass_of(wired, sized, catalogue),
        asked_h=None if design.ask.charge_s is None else design.ask.charge_s / 3600.0,
        findings=worst_first(findings),
        supplies=tuple(part.supply for part in parts),
        runs=tuple(run for part in parts for run in part.runs),
        wires=tuple(wire for part in parts for wire in part.wires),
        fuses=tuple(_fuse_answer(f, part.wired) for part in parts for f in part.sized.fuses),
        dots=tuple(dots for part in parts for dots in part.dots),
        heat=tuple(heat for part in parts for heat in part.heat),
        eyes=eyes,
        sights=sights,
        remotes=tuple(line for part in parts for line in part.remotes),
        cautions=cautions_for(_subjects(design, wired)),
    )


def answer_parts(design: Design, catalogue: Catalogue) -> tuple[Part, ...]:
    """Answer every supply of a design; what `answer` puts together, and curves start from."""
    return tuple(answer_supply(supply, design, catalogue) for supply in design.supplies)


def _seen_in_space(
    parts: Sequence[Part], design: Design, catalogue: Catalogue
) -> tuple[tuple[str, ...], tuple[SightAnswer, ...], list[Finding]]:
    """List eyes and LEDs that they see, when the piece is drawn in space, and what to say."""
    if not (design.space.blocks and any(run.mounts for run in design.runs)):
        return (), (), []
    # Only a piece drawn in space needs these, and start-up must stay light.
    from lightcalc.answers.look.sights import (  # noqa: PLC0415
        seen_alike,
        sight_answers,
        sight_findings,
    )
    from lightcalc.answers.look.space import scene_of  # noqa: PLC0415

    runs = [pair for part in parts for pair in zip(part.wired.runs, part.runs, strict=True)]
    scene = scene_of(design, runs, catalogue).scene
    sights = sight_answers(scene)
    findings = sight_findings(seen_alike(sights), None, design.system)
    return tuple(eye.name for eye in scene.eyes), sights, list(findings)


def circuit_of(wired: Wired, sized: Sized, strip_c: tuple[float, ...], room_c: float) -> Circuit:
    """Put a supply together with the wires and fuses it was given."""
    lead = sized.pack_lead
    ohm = float(loop_ohm(lead.check.wire.size, 2.0 * lead.length_m, room_c))
    # The current goes through one contact of a connector and comes back through another.
    ohm += 2.0 * wired.pack_contact_ohm
    strip_side_ohm = 0.0
    for fuse in sized.fuses:
        fuse_ohm = fuse.fitted.resistance_ohm if fuse.fitted else 0.0
        if fuse.place == PACK_SIDE or wired.converter is None:
            ohm += fuse_ohm
        else:
            strip_side_ohm += fuse_ohm
    series_ohm = strip_side_ohm if wired.converter is not None else ohm
    network = build_network(wired, sized.lead_wires, strip_c, series_ohm, room_c)
    jumpers = jumper_ohms(wired, sized.lead_wires, room_c)
    converter = converter_of(wired.converter, wired.output_v) if wired.converter else None
    return Circuit(wired, with_jumpers(network, jumpers), ohm, converter, jumpers)


def warm_c(heat: Iterable[HeatAnswer]) -> tuple[float, ...]:
    """Return how warm each run is taken to get; far beyond its limit its figure says nothing."""
    return tuple(min(found.strip_c, found.limit_c + FAR_BEYOND_K) for found in heat)


def build_supply(supply: Supply, design: Design, catalogue: Catalogue) -> Built:
    """Wire one supply of a design, choose its wires and fuses, and put it together."""
    use, wired = design.use, wire_up(supply, design, catalogue)
    converter = converter_of(wired.converter, wired.output_v) if wired.converter else None
    cells = cells_of(wired.pack, supply.pack_multiple, supply.health_ratio, use.temperature_c)
    sized = size_supply(wired, converter, cells, use, design.ask, catalogue=catalogue)
    heat = tuple(heat_answer(run, wired.highest_v, use) for run in wired.runs)
    circuit = circuit_of(wired, sized, warm_c(heat), use.temperature_c)
    return Built(wired, cells, sized, heat, circuit)


def answer_supply(supply: Supply, design: Design, catalogue: Catalogue) -> Part:
    """Answer one supply of a design: its runs, wires, fuses, hours, dots, heat and findings."""
    built = build_supply(supply, design, catalogue)
    return answer_built(
        built, run_down(built.circuit, built.cells.used, design.use), design, catalogue
    )


def answer_built(built: Built, charge: Charge, design: Design, catalogue: Catalogue) -> Part:
    """Answer a supply that is built, from its charge."""
    use, wired, sized = design.use, built.wired, built.sized
    heat, circuit = built.heat, built.circuit
    lasts = supply_answer(charge, load_tolerance(wired))
    full = charge.draws[0].told
    runs = run_answers(circuit, full)
    wires = wire_answers(circuit, sized, full, charge.draws[0])
    dots = tuple(
        found
        for cut_run, run in zip(wired.runs, runs, strict=True)
        for found in dots_answers(cut_run, run, use, catalogue)
    )
    remotes = _remotes(wired, design, catalogue)
    findings: list[Finding] = [
        *power_findings(circuit, lasts, design),
        *_each(run_findings(run, design) for run in runs),
        *wire_findings(wired, sized, catalogue),
        *reach_findings(wired, design),
        *fuse_findings(wired, sized),
        *_each(heat_findings(found, wired.supply.near, design.system) for found in heat),
        *_each(dots_findings(found, design) for found in dots),
        *receiver_findings(wired, remotes, design.system),
        *service_findings(wired, sized, lasts, design, catalogue),
    ]
    return Part(
        wired, sized, circuit, charge, lasts, runs, wires, dots, heat, remotes, tuple(findings)
    )


def _remotes(wired: Wired, design: Design, catalogue: Catalogue) -> tuple[RemoteAnswer, ...]:
    """Follow the lines of every viewer to an infrared eye, where both have a place."""
    if not is_followed(wired.supply, wired.controller, design):
        return ()
    # As for what is seen in space.
    from lightcalc.answers.look.remote import remote_answers  # noqa: PLC0415

    return remote_answers(wired.supply, design, catalogue)


def load_tolerance(wired: Wired) -> float:
    """Return the share by which the power drawn may miss its label: strips, converter, volts."""
    strips = max(run.strip.power_tolerance for run in wired.runs)
    usual, volts, efficiency = usual_tolerances(), 0.0, 0.0
    if wired.pack.output_v is not None:
        volts, efficiency = usual["bank_output"], usual["bank_efficiency"]
    if wired.converter is not None:
        volts = usual["output"]
        efficiency = math.hypot(efficiency, wired.converter.efficiency_tolerance)
    steepest = max(rises_with_volts(run.strip) for run in wired.runs)
    return math.hypot(strips, efficiency, steepest * volts)


def _each(groups: Iterable[Iterable[Finding]]) -> list[Finding]:
    return [finding for group in groups for finding in group]


def _fuse_answer(sized: SizedFuse, wired: Wired) -> FuseAnswer:
    choice = sized.choice
    trouble = sized.named_fails if sized.named else choice.failed
    return FuseAnswer(
        place=sized.place,
        supply=wired.supply.name,
        fuse=sized.fuse.name if sized.fuse else None,
        rating_a=sized.fuse.rating_a if sized.fuse else None,
        fitted=sized.fitted is not None,
        protected_by=_protected_by(sized),
        continuous_a=sized.duty.continuous_a,
        least_rating_a=choice.least_rating_a,
        wire_ampacity_a=choice.least_ampacity_a,
        volts_v=sized.duty.source.full_v,
        prospective_a=choice.prospective_a,
        far_end_short_a=choice.far_short_a,
        fits=not trouble,
        trouble="; ".join(trouble),
    )


def _protected_by(sized: SizedFuse) -> str:
    if sized.named is not None and not sized.named_fails:
        return "fuse" if sized.choice.protected_by == "nothing" else sized.choice.protected_by
    return sized.choice.protected_by


def _subjects(design: Design, wired: list[Wired]) -> set[str]:
    subjects: set[str] = {part.pack.chemistry for part in wired}
    subjects |= {"usb bank" for part in wired if part.pack.form == "usb bank"}
    subjects |= {"fuse" for part in wired if part.pack.form == "cells" or part.supply.fuse}
    if len(wired) > 1 or any(part.supply.pack_multiple > 1 for part in wired):
        subjects.add("parallel")
    near = {thing for supply in design.supplies for thing in supply.near}
    mounted = {run.mounting for run in design.runs}
    if "resin" in near or "cast in resin" in mounted:
        subjects.add("resin")
    return subjects
