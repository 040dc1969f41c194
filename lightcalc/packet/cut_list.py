"""What to cut before the bench: strip from which reel, and every single wire, with allowances.

Strip is cut to whole cut units, a run in one piece. Wire is cut longer than drawn::

    |- end -|---------- as drawn ----------|- service loop -|- end -|
      25 mm                                      100 mm       25 mm

An end is what stripping, tinning and a second try take; the loop lets a part be lifted out to be
worked on. A connector in a lead has two more ends. (Common practice, from memory.) The volts and
amps of an answer are those of the lengths drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from lightcalc.answers.results import Answer, RunAnswer, WireAnswer
from lightcalc.answers.wiring import wire_up
from lightcalc.design.cutting import cut_units
from lightcalc.design.piece import Design, Supply
from lightcalc.packet.conductors import conductors, returns_of
from lightcalc.packet.dimensions import measure
from lightcalc.packet.jumpers import JUMPER_M, jumpers
from lightcalc.packet.reels import plan_reels
from lightcalc.packet.sensors import sensor_wire_notes
from lightcalc.parts.kinds import Catalogue, Strip


@dataclass(frozen=True)
class Allowance:
    """What a wire is cut longer than drawn: at each end, for its loop, for that of a pack lead.

    A pack lead stays short, for its fuse is within a hand's width of the pack.
    """

    end_m: float
    loop_m: float
    pack_loop_m: float

    def for_lead_m(self, plugs_count: int, pack: bool = False) -> float:
        """Return what each wire of a lead with so many connectors in it is cut longer.

        >>> round(ALLOWANCES["metric"].for_lead_m(1), 3)
        0.2
        """
        loop_m = self.pack_loop_m if pack else self.loop_m
        return loop_m + 2.0 * self.end_m * (1 + plugs_count)


# By the maker's rule: in millimetres, or in inches.
ALLOWANCES = {
    "metric": Allowance(0.025, 0.1, 0.05),
    "inch": Allowance(0.0254, 4 * 0.0254, 2 * 0.0254),
}


@dataclass(frozen=True)
class StripCut:
    """One run, cut in one piece: from `start_m` to `end_m` along its reel."""

    run: str
    supply: str
    where: str
    units_count: int
    length_m: float
    start_m: float
    end_m: float


@dataclass(frozen=True)
class Reel:
    """One new reel, its cuts in order, and the offcut that is left (whole cut units of it)."""

    number: int
    cuts: tuple[StripCut, ...]
    offcut_units_count: int
    offcut_m: float


@dataclass(frozen=True)
class StripCuts:
    """All cuts from one kind of strip.

    `too_long` names the runs that no reel holds in one piece; they are in no reel and must be
    split. The reels are as few as can be and the longest offcut as long as can be when `proved`;
    else at least `least_reels_count` are needed and the plan may not be the best.
    """

    strip: str
    cut_unit_m: float
    reel_m: float
    reels: tuple[Reel, ...]
    too_long: tuple[str, ...]
    used_m: float
    longest_offcut_m: float
    least_reels_count: int
    proved: bool


@dataclass(frozen=True)
class WireCut:
    """One conductor of a lead. `length_m` to cut is `drawn_m` and `allowance_m` together.

    A jumper is drawn nowhere, and its `drawn_m` is what is assumed for it. `sign` and `channel`
    mark it as on the wiring diagram. `joints` are those at which a connector parts it: cut it there
    again, where the joint is on the piece.
    """

    lead: str
    supply: str
    sign: str
    channel: str
    colour: str
    wire: str
    size: str
    drawn_m: float
    allowance_m: float
    length_m: float
    joints: tuple[str, ...]
    is_jumper: bool = False


@dataclass(frozen=True)
class WireTotal:
    """All cuts of one wire in one colour; `jumpers_m` of what is drawn are jumpers."""

    wire: str
    size: str
    colour: str
    cuts_count: int
    drawn_m: float
    jumpers_m: float
    length_m: float


@dataclass(frozen=True)
class CutList:
    """Everything to cut for a piece; `notes` are sentences that belong beside it."""

    piece: str
    units: str
    strips: tuple[StripCuts, ...]
    wires: tuple[WireCut, ...]
    wire_totals: tuple[WireTotal, ...]
    notes: tuple[str, ...]


def cut_list(design: Design, catalogue: Catalogue, answer: Answer) -> CutList:
    """List what to cut for a design and its answer."""
    names = list(dict.fromkeys(run.strip for run in design.runs))
    strips = tuple(_strip_cuts(catalogue.strips[name], design, answer) for name in names)
    wires = tuple(
        cut for supply in design.supplies for cut in _wire_cuts(supply, design, catalogue, answer)
    )
    return CutList(
        piece=design.piece.name,
        units=design.system,
        strips=strips,
        wires=wires,
        wire_totals=_totals(wires),
        notes=tuple(_notes(design, catalogue, strips, wires)),
    )


def _strip_cuts(strip: Strip, design: Design, answer: Answer) -> StripCuts:
    answered = {run.run: run for run in answer.runs}
    runs = [answered[run.name] for run in design.runs if run.strip == strip.name]
    plan = plan_reels([run.cut_units_count for run in runs], cut_units(strip.reel_m, strip))
    reels = tuple(
        Reel(
            number=number,
            cuts=tuple(_cuts([runs[k] for k in chosen], strip.cut_unit_m)),
            offcut_units_count=left,
            offcut_m=left * strip.cut_unit_m,
        )
        for number, (chosen, left) in enumerate(
            zip(plan.reels, plan.left_units, strict=True), start=1
        )
    )
    return StripCuts(
        strip=strip.name,
        cut_unit_m=strip.cut_unit_m,
        reel_m=strip.reel_m,
        reels=reels,
        too_long=tuple(runs[k].run for k in plan.too_long),
        used_m=math.fsum(cut.length_m for reel in reels for cut in reel.cuts),
        longest_offcut_m=plan.longest_left_units * strip.cut_unit_m,
        least_reels_count=plan.least_reels_count,
        proved=plan.proved,
    )


def _cuts(runs: list[RunAnswer], cut_unit_m: float) -> list[StripCut]:
    """Lay the runs of one reel one after the other."""
    cuts, start = [], 0
    for run in runs:
        end = start + run.cut_units_count
        cuts.append(
            StripCut(
                run=run.run,
                supply=run.supply,
                where=run.where,
                units_count=run.cut_units_count,
                length_m=run.cut_units_count * cut_unit_m,
                start_m=start * cut_unit_m,
                end_m=end * cut_unit_m,
            )
        )
        start = end
    return cuts


def _wire_cuts(
    supply: Supply, design: Design, catalogue: Catalogue, answer: Answer
) -> list[WireCut]:
    """Return every conductor of a supply: of its pack lead, its leads, then its jumpers."""
    wired = wire_up(supply, design, catalogue)
    pack_wire, *wires = (wire for wire in answer.wires if wire.supply == supply.name)
    returns, allowed = returns_of(wired.runs[0].strip), ALLOWANCES[design.system]
    plugs_count = len(supply.connectors)
    joints = supply.crossing.joints if plugs_count else ()
    extra_m = allowed.for_lead_m(plugs_count, pack=True)
    cuts = _of_lead(pack_wire, ("",), joints, extra_m, catalogue)
    for wire, lead in zip(wires, wired.leads, strict=True):
        crossing = lead.lead.crossing
        joints = crossing.joints if crossing.connector else ()
        extra_m = allowed.for_lead_m(len(crossing.connectors))
        cuts += _of_lead(wire, returns, joints, extra_m, catalogue)
    for one in jumpers(wired, wires, returns):
        wire = replace(one.like, lead=one.name, length_m=JUMPER_M[design.system])
        found = _of_lead(wire, one.returns, (), 2.0 * allowed.end_m, catalogue)
        cuts += [replace(cut, is_jumper=True) for cut in found]
    return cuts


def _of_lead(
    wire: WireAnswer,
    returns: tuple[str, ...],
    joints: tuple[str, ...],
    allowance_m: float,
    catalogue: Catalogue,
) -> list[WireCut]:
    return [
        WireCut(
            lead=wire.lead,
            supply=wire.supply,
            sign=one.sign,
            channel=one.channel,
            colour=one.colour,
            wire=wire.wire,
            size=wire.size,
            drawn_m=wire.length_m,
            allowance_m=allowance_m,
            length_m=wire.length_m + allowance_m,
            joints=joints,
        )
        for one in conductors(catalogue.wires.get(wire.wire), returns)
    ]


def _totals(cuts: tuple[WireCut, ...]) -> tuple[WireTotal, ...]:
    groups: dict[tuple[str, str, str], list[WireCut]] = {}
    for cut in cuts:
        groups.setdefault((cut.wire, cut.size, cut.colour), []).append(cut)
    return tuple(
        WireTotal(
            wire=wire,
            size=size,
            colour=colour,
            cuts_count=len(some),
            drawn_m=math.fsum(cut.drawn_m for cut in some),
            jumpers_m=math.fsum(cut.drawn_m for cut in some if cut.is_jumper),
            length_m=math.fsum(cut.length_m for cut in some),
        )
        for (wire, size, colour), some in sorted(groups.items())
    )


def _notes(
    design: Design,
    catalogue: Catalogue,
    strips: tuple[StripCuts, ...],
    wires: tuple[WireCut, ...],
) -> list[str]:
    def shown(length_m: float) -> str:
        return measure(length_m, design.system)

    allowed = ALLOWANCES[design.system]
    notes = [
        f"Each wire is cut longer than drawn: {shown(allowed.end_m)} at each end to strip and "
        f"solder, and a service loop of {shown(allowed.loop_m)} ({shown(allowed.pack_loop_m)} on a "
        "pack lead), so "
        "that parts can be lifted out; where a connector parts it, two more ends. Lay a string "
        "along the way before you cut.",
        "The fewest reels come first, then one offcut as long as can be; no run is joined from "
        "two pieces.",
    ]
    if any(wire.is_jumper for wire in wires):
        notes.append(
            f"Jumpers join parts of a supply: {shown(JUMPER_M[design.system])} is assumed for "
            "each, common practice for parts side by side. Lay them out and measure. The answer "
            "counts what they lose, and leaves out their price."
        )
    for one in strips:
        for run in one.too_long:
            notes.append(
                f"Run {run} is longer than a reel of {one.strip} ({shown(one.reel_m)}) and is not "
                "in this list: split it into shorter runs, each with its own feed."
            )
        if not one.proved:
            notes.append(
                f"{one.strip} has too many different runs to look at every way to cut them: "
                f"{len(one.reels)} reels do, at least {one.least_reels_count} are needed, and a "
                "longer offcut may be possible."
            )
    if any(catalogue.strips[run.strip].kind == "pixel" for run in design.runs):
        notes.append(
            "Pixel strips also take a data wire from the controller to each run; it is not in "
            "this list."
        )
    return [*notes, *sensor_wire_notes(design, catalogue)]
