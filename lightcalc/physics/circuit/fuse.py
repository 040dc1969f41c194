"""Fuses: which rating carries the load, saves the wire, and still opens at the far end.

```
   pack --wiring--[fuse]--feeder--+-- lead of branch 1 ==== strip ====x  short at the far end
                                  +-- lead of branch 2 ==== strip ====
```

The same fuse must break the most the pack can give and open for the least.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from lightcalc.physics.circuit.short_circuit import (
    Branch,
    Lead,
    Source,
    far_short_a,
    far_short_ohms,
    prospective_a,
)
from lightcalc.physics.circuit.wire import ampacity_a, loop_ohm, short_circuit_withstand_s
from lightcalc.tables.fuses import fuse_behaviours

FuseDemand = Literal[
    "carries the load",
    "protects the wire",
    "breaks the pack's short",
    "stands the volts",
    "opens at the far end",
    "wire survives the short",
    "rides through the inrush",
]
Change = Literal[
    "smaller fuse per branch",
    "fuse of another rating",
    "thicker wire",
    "fuse of higher breaking capacity",
    "fuse of higher voltage",
    "shorter run or one more feed",
    "lower resistance pack",
    "converter with a lower current limit",
    "slower fuse",
]
Protection = Literal["fuse", "converter limit", "nothing"]

# Common practice of the trade.
CONTINUOUS_MARGIN = 1.25
# Common practice: pulses at every switch-on stay below this share of what the fuse rides through.
INRUSH_SHARE = 0.3
FUSE_RATED_AT_C = 25.0

# Rounding must not refuse a fuse of exactly the rating that is asked for.
_MET = 1.0 + 1e-9


@dataclass(frozen=True)
class Fuse:
    """A fuse that carries `rating_a` for good and breaks up to `breaking_a` at up to `volts_v`.

    At `opens_at_ratio` times its rating it has opened within `opens_within_s`. `kind` is a row
    of the table of fuse kinds: blade, cartridge or resettable.
    """

    name: str
    kind: str
    rating_a: float
    volts_v: float
    breaking_a: float
    opens_at_ratio: float
    opens_within_s: float
    resistance_ohm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse figures that make no sense."""
        if self.kind not in fuse_behaviours():
            raise ValueError(
                f'The fuse "{self.name}" is of kind "{self.kind}"; '
                f"kinds are {', '.join(fuse_behaviours())}."
            )
        if min(self.rating_a, self.volts_v, self.breaking_a) <= 0.0 or self.opens_at_ratio <= 1.0:
            raise ValueError(
                f'The fuse "{self.name}" needs a rating, volts and a breaking capacity above 0, '
                "and opens at more than 1 times its rating."
            )


@dataclass(frozen=True)
class FuseDuty:
    """Everything behind one fuse. `inrush_a2s` is the square of amps times seconds at switch-on."""

    source: Source
    branches: tuple[Branch, ...]
    feeder: Lead | None = None
    ambient_c: float = 25.0
    inrush_a2s: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a fuse with nothing behind it."""
        if not self.branches:
            raise ValueError("The fuse has no branch behind it; give at least one.")

    @cached_property
    def continuous_a(self) -> float:
        """Current of all branches together."""
        return sum(branch.continuous_a for branch in self.branches)

    @cached_property
    def least_ampacity_a(self) -> float:
        """What the weakest wire carries."""
        return min(ampacity_a(lead.wire, self.ambient_c) for lead in self.leads)

    @cached_property
    def survives_a2s(self) -> float:
        """Square of amps times seconds that the thinnest wire survives."""
        thinnest_m2 = min(lead.wire.size.area_m2 for lead in self.leads)
        # The seconds that it survives 1 A are the A2 s that it survives at any current.
        return float(short_circuit_withstand_s(thinnest_m2, 1.0))

    @property
    def leads(self) -> tuple[Lead, ...]:
        """Every pair of wires that the fuse protects."""
        own = (self.feeder,) if self.feeder else ()
        return own + tuple(branch.lead for branch in self.branches)


@dataclass(frozen=True)
class Need:
    """What one demand needs and what there is, in one unit; met when needed <= available."""

    needed: float
    available: float

    @property
    def use(self) -> float:
        """Needed over available."""
        if self.needed == 0.0:
            return 0.0
        return self.needed / self.available if self.available > 0.0 else math.inf


@dataclass(frozen=True)
class FuseCheck:
    """One fuse at one duty, demand by demand: amps, volts, or A2 s for the last two."""

    fuse: Fuse
    needs: Mapping[FuseDemand, Need]

    @property
    def failed(self) -> tuple[FuseDemand, ...]:
        """The demands that this fuse does not meet."""
        return tuple(demand for demand, need in self.needs.items() if need.use > _MET)


@dataclass(frozen=True)
class BranchFuses:
    """A fuse at the start of each branch, and `main` for the feeder before them.

    None where nothing on offer will do; `main` is also None when there is no feeder.
    """

    main: Fuse | None
    branches: tuple[Fuse | None, ...]
    solves: bool


@dataclass(frozen=True)
class FuseChoice:
    """The smallest fuse on offer that meets every demand, or None and what must change.

    `closest` is the check of the chosen fuse, or of the one that fails least. `protected_by`
    says what saves the wire; behind a converter that limits itself to no more than the wire may
    carry, that is its limit, and no fuse is needed. `far_branch` counts from 0. `branch_fuses`
    is worked out when no single fuse will do and there are several branches.
    """

    chosen: Fuse | None
    closest: FuseCheck
    protected_by: Protection
    failed: tuple[FuseDemand, ...]
    changes: tuple[Change, ...]
    branch_fuses: BranchFuses | None
    least_rating_a: float
    least_ampacity_a: float
    prospective_a: float
    far_short_a: float
    far_branch: int


def check_fuse(fuse: Fuse, duty: FuseDuty) -> FuseCheck:
    """Hold one fuse against every demand of a duty."""
    behaviour = fuse_behaviours()[fuse.kind]
    warm_k = max(duty.ambient_c - FUSE_RATED_AT_C, 0.0)
    carries_a = fuse.rating_a * max(1.0 - behaviour.derating_per_k * warm_k, 0.0)
    wire_a = duty.least_ampacity_a
    limit_a = duty.source.limit_a
    far_a = min(
        far_short_a(duty.source, branch, duty.feeder, fuse.resistance_ohm)
        for branch in duty.branches
    )
    opens = Need(fuse.rating_a * fuse.opens_at_ratio, far_a)
    if limit_a is not None and limit_a <= wire_a:
        # No short can hurt the wire, so whether the fuse opens does not matter.
        opens = Need(limit_a, wire_a)
    rating_square = fuse.rating_a**2
    passes_a2s = behaviour.passes_a2s * rating_square
    return FuseCheck(
        fuse,
        {
            "carries the load": Need(CONTINUOUS_MARGIN * duty.continuous_a, carries_a),
            "protects the wire": Need(fuse.rating_a, wire_a),
            "breaks the pack's short": Need(prospective_a(duty.source), fuse.breaking_a),
            "stands the volts": Need(duty.source.full_v, fuse.volts_v),
            "opens at the far end": opens,
            "wire survives the short": Need(passes_a2s, duty.survives_a2s),
            "rides through the inrush": Need(
                duty.inrush_a2s, INRUSH_SHARE * behaviour.holds_a2s * rating_square
            ),
        },
    )


def choose_fuse(offered: Sequence[Fuse], duty: FuseDuty) -> FuseChoice:
    """Choose the smallest fuse on offer that meets every demand, or say which part must change.

    ValueError when nothing is on offer.

    >>> from lightcalc.tables.wires import awg_size
    >>> from lightcalc.physics.circuit.wire import Wire
    >>> offered = [Fuse(f"{a} A", "blade", a, 32.0, 1000.0, 2.0, 5.0) for a in (1.0, 2.0, 3.0, 5.0)]
    >>> source = Source(full_v=12.6, full_ohm=0.1, weak_v=9.0, weak_ohm=0.2)
    >>> lead = Lead(Wire("red", awg_size(22), 80.0), loop_length_m=4.0)
    >>> choose_fuse(offered, FuseDuty(source, (Branch(lead, 1.5, 0.3),))).chosen.name
    '2.0 A'
    >>> choice = choose_fuse(offered, FuseDuty(source, (Branch(lead, 1.5, 3.0),)))
    >>> choice.failed, choice.changes
    (('opens at the far end',), ('shorter run or one more feed',))
    """
    if not offered:
        raise ValueError("No fuse is on offer; list at least one.")
    checks, fitting = [], None
    for fuse in sorted(offered, key=lambda fuse: fuse.rating_a):
        checks.append(check_fuse(fuse, duty))
        if not checks[-1].failed:
            fitting = checks[-1]
            break
    closest = fitting or min(checks, key=_how_bad)
    wire_a = duty.least_ampacity_a
    limited = duty.source.limit_a is not None and duty.source.limit_a <= wire_a
    # Where none is needed the short goes through no fuse.
    fuse_ohm = 0.0 if limited else closest.fuse.resistance_ohm
    shorts = [far_short_a(duty.source, b, duty.feeder, fuse_ohm) for b in duty.branches]
    in_trouble = fitting is None and not limited
    apart = _branch_fuses(offered, duty) if in_trouble and len(duty.branches) > 1 else None
    protected_by: Protection = "nothing"
    if fitting is not None or limited:
        protected_by = "converter limit" if limited else "fuse"
    return FuseChoice(
        chosen=fitting.fuse if fitting else None,
        closest=closest,
        protected_by=protected_by,
        failed=closest.failed if in_trouble else (),
        changes=_changes(checks, closest, duty, apart) if in_trouble else (),
        branch_fuses=apart,
        least_rating_a=CONTINUOUS_MARGIN * duty.continuous_a,
        least_ampacity_a=wire_a,
        prospective_a=prospective_a(duty.source),
        far_short_a=min(shorts),
        far_branch=shorts.index(min(shorts)),
    )


def _how_bad(check: FuseCheck) -> tuple[bool, int, float]:
    # The load is what the maker wants, so a fuse that cannot carry it is no answer at all.
    too_small = "carries the load" in check.failed
    return too_small, len(check.failed), max(need.use for need in check.needs.values())


def _branch_fuses(offered: Sequence[Fuse], duty: FuseDuty) -> BranchFuses:
    feeder = duty.feeder
    source = duty.source
    main = None
    if feeder is not None:
        whole = Branch(feeder, duty.continuous_a)
        main = _smallest(offered, replace(duty, branches=(whole,), feeder=None))
        # Seen from a branch's own fuse, the feeder is wiring before it.
        cold_ohm = float(loop_ohm(feeder.wire.size, feeder.loop_length_m)) + feeder.contact_ohm
        source = replace(source, wiring_20c_ohm=source.wiring_20c_ohm + cold_ohm)
    branches = tuple(
        _smallest(offered, replace(duty, source=source, branches=(branch,), feeder=None))
        for branch in duty.branches
    )
    solves = None not in branches and (feeder is None or main is not None)
    return BranchFuses(main, branches, solves)


def _smallest(offered: Sequence[Fuse], duty: FuseDuty) -> Fuse | None:
    fitting = [fuse for fuse in offered if not check_fuse(fuse, duty).failed]
    return min(fitting, key=lambda fuse: fuse.rating_a, default=None)


def _changes(
    checks: Sequence[FuseCheck], closest: FuseCheck, duty: FuseDuty, apart: BranchFuses | None
) -> tuple[Change, ...]:
    """Look at what one fuse misses alone, or else at all that the closest misses."""
    alone = {check.failed[0]: check for check in reversed(checks) if len(check.failed) == 1}
    blocking = alone or dict.fromkeys(closest.failed, closest)
    changes: list[Change] = ["smaller fuse per branch"] if apart and apart.solves else []
    simple: dict[FuseDemand, Change] = {
        "breaks the pack's short": "fuse of higher breaking capacity",
        "stands the volts": "fuse of higher voltage",
        "wire survives the short": "thicker wire",
        "rides through the inrush": "slower fuse",
    }
    for demand in closest.needs:
        if demand not in blocking:
            continue
        if demand in simple:
            changes.append(simple[demand])
        else:
            wanted = blocking[demand] if demand == "opens at the far end" else None
            changes += _rating_changes(checks, wanted, duty)
    return tuple(dict.fromkeys(changes))


def _rating_changes(
    checks: Sequence[FuseCheck], wanted: FuseCheck | None, duty: FuseDuty
) -> list[Change]:
    """Look for room between what the load asks and what wire and far end allow.

    `wanted` is the fuse that only the far end refuses, if that is the trouble.
    """
    gentlest = min(checks, key=_rating_for_load)
    least_a = _rating_for_load(gentlest)
    if least_a > duty.least_ampacity_a * _MET:
        some_carries = any("carries the load" not in check.failed for check in checks)
        return ["thicker wire"] if some_carries else ["thicker wire", "fuse of another rating"]
    opens_a = least_a * gentlest.fuse.opens_at_ratio
    if opens_a <= gentlest.needs["opens at the far end"].available * _MET:
        return ["fuse of another rating"]
    if wanted is not None:
        opens_a = wanted.needs["opens at the far end"].needed
    return _far_end_changes(opens_a, (wanted or gentlest).fuse.resistance_ohm, duty)


def _rating_for_load(check: FuseCheck) -> float:
    return check.needs["carries the load"].use * check.fuse.rating_a


def _far_end_changes(opens_a: float, fuse_ohm: float, duty: FuseDuty) -> list[Change]:
    """Try each change alone on the branch whose short gives least; else name all, worst first."""
    source = duty.source
    if source.limit_a is not None and source.limit_a < opens_a:
        return ["thicker wire", "converter with a lower current limit"]
    branch = min(duty.branches, key=lambda b: far_short_a(source, b, duty.feeder, fuse_ohm))
    ohms = far_short_ohms(source, branch, duty.feeder)
    total_ohm = sum(ohms.values()) + fuse_ohm
    # What each change can save: all of the leads at best; a feed at both ends leaves a quarter
    # of the strip's loop; the pack comes down to what it is when new.
    saves: dict[Change, float] = {
        "thicker wire": ohms["leads"],
        "shorter run or one more feed": 0.75 * ohms["strip"],
        "lower resistance pack": source.weak_ohm - source.full_ohm,
    }
    by_saving = sorted(saves, key=lambda change: -saves[change])
    allowed_ohm = source.weak_v / opens_a
    enough = [change for change in by_saving if total_ohm - saves[change] <= allowed_ohm]
    return enough or [change for change in by_saving if saves[change] > 0.0]
