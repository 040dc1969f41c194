"""What may be wrong on a built piece: each fault with its place and how it turns the knobs.

A fault has at most one number of its own, its magnitude, kept as a logarithm: a factor on a lead,
a strip or a pack, or the ohms of a joint.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench.built import BuiltSupply
from lightcalc.answers.bench.model import OPEN, REVERSED, BenchModel
from lightcalc.units import show

Array = NDArray[np.float64]

# A feed that makes no contact, on a run that other feeds light [ohm].
NO_CONTACT_OHM = 1e6
USUAL_VOLTS = (5.0, 12.0, 24.0)
NO_FAULT = "no fault"


@cache
def bench_table() -> dict[str, Any]:
    """Return odds and faults as the table `bench.toml` gives them."""
    return tomllib.loads(Path(__file__).with_name("bench.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Fault:
    """One thing that may be wrong at one place.

    code, place   what and where; `detail` tells two faults of one code and place apart
    prior         share of benches that have it
    mean, sd      of the logarithm of its magnitude; sd is 0 for a fault that has none
    adds          columns of the knobs to which that logarithm is added
    ohms          columns that gain the magnitude itself, in ohms
    sets          columns and what they hold
    part          the parameter, by its code and owner, that the magnitude is part of, when what is
                  wrong is a part and not the work
    """

    code: str
    place: str = ""
    detail: str = ""
    prior: float = 0.0
    mean: float = 0.0
    sd: float = 0.0
    adds: tuple[int, ...] = ()
    ohms: tuple[int, ...] = ()
    sets: tuple[tuple[int, float], ...] = ()
    part: tuple[str, str] | None = None

    def turn(self, cases: Array, magnitude_log: Array) -> None:
        """Turn the knobs of the cases (cases, knobs) by this fault, in place."""
        for column in self.adds:
            cases[:, column] += magnitude_log
        for column in self.ohms:
            cases[:, column] += np.exp(magnitude_log)
        for column, value in self.sets:
            cases[:, column] = value


def faults_of(model: BenchModel) -> tuple[Fault, ...]:
    """List no fault at all, then everything that may be wrong with this design."""
    found = [fault for supply in model.built for fault in _of_supply(model, supply)]
    found += _of_strips(model)
    codes = {fault.code for fault in found}
    none = float(bench_table()["odds"]["no_fault"])
    each = (1.0 - none) / len(codes)
    counts = {code: sum(fault.code == code for fault in found) for code in codes}
    faults = (_weighed(fault, each / counts[fault.code]) for fault in found)
    return (Fault(NO_FAULT, prior=none), *faults)


def _weighed(fault: Fault, prior: float) -> Fault:
    """Give a fault its prior, and its magnitude the spread of the table."""
    entry = words_of(fault.code)
    if entry["magnitude"] == "none":
        return replace(fault, prior=prior)
    mean, sd = math.log(entry["median"]), math.log(entry["factor"])
    return replace(fault, prior=prior, mean=mean, sd=sd)


def words_of(code: str) -> dict[str, Any]:
    """Return a fault's entry in the table: what it says, and the remedy."""
    return next(entry for entry in bench_table()["faults"] if entry["code"] == code)


def _of_supply(model: BenchModel, supply: BuiltSupply) -> Iterator[Fault]:
    wired, number = supply.circuit.wired, supply.number
    column, name = model.column, supply.supply.name

    for run, cut_run in enumerate(wired.runs):
        state = column["state", number, run]
        feeds = [k for k, lead in enumerate(wired.leads) if lead.run == run]
        yield Fault("reversed feed", f"run {cut_run.run.name}", sets=((state, REVERSED),))
        for lead in feeds:
            joint = column["joint", number, lead]
            open_feed = (state, OPEN) if len(feeds) == 1 else (joint, NO_CONTACT_OHM)
            yield Fault("open feed", wired.leads[lead].lead.name, sets=(open_feed,))
    for lead, wired_lead in enumerate(wired.leads):
        place = wired_lead.lead.name
        joint, factor = column["joint", number, lead], column["lead", number, lead]
        yield Fault("weak joint", place, ohms=(joint,))
        yield Fault("thin lead", place, adds=(factor,))
    if wired.pack.output_v is None:
        place = f"{name} pack lead"
        joint, factor = column["pack joint", number, 0], column["pack lead", number, 0]
        yield Fault("weak joint", place, ohms=(joint,))
        yield Fault("thin lead", place, adds=(factor,))
    capacity = column["capacity", number, 0]
    yield Fault("weak pack", f"pack of {name}", adds=(capacity,), part=("capacity", name))


def _of_strips(model: BenchModel) -> Iterator[Fault]:
    """Faults of strips: in all runs of one, and, where it serves several, in single runs."""
    places: dict[str, list[tuple[str, int, int]]] = {}
    for supply in model.built:
        for run, cut_run in enumerate(supply.circuit.wired.runs):
            place = (cut_run.run.name, supply.number, run)
            places.setdefault(cut_run.strip.name, []).append(place)
    for strip_name, all_runs in places.items():
        yield Fault(
            "thin rails",
            f"strip {strip_name}",
            adds=_columns(model, "rail", all_runs),
            part=("rail", strip_name),
        )
        groups = [(f"strip {strip_name}", all_runs)]
        if len(all_runs) > 1:
            groups += [(f"run {run[0]}", [run]) for run in all_runs]
        for where, some in groups:
            yield from _other_strip(model, strip_name, where, some, whole=some is all_runs)


def _other_strip(
    model: BenchModel,
    strip: str,
    place: str,
    some: Sequence[tuple[str, int, int]],
    *,
    whole: bool,
) -> Iterator[Fault]:
    yield Fault(
        "other power",
        place,
        adds=_columns(model, "power", some),
        part=("power", strip) if whole else None,
    )
    rated_v = next(
        cut_run.strip.rated_v
        for supply in model.built
        for cut_run in supply.circuit.wired.runs
        if cut_run.strip.name == strip
    )
    for volts in USUAL_VOLTS:
        if not math.isclose(volts, rated_v, rel_tol=0.1):
            ratio = math.log(volts / rated_v)
            sets = tuple((column, ratio) for column in _columns(model, "rated", some))
            detail = f"for {show(volts, 'voltage')}"
            yield Fault("other volts", place, detail, sets=sets)


def _columns(model: BenchModel, knob: str, some: Sequence[tuple[str, int, int]]) -> tuple[int, ...]:
    return tuple(model.column[knob, supply, run] for _, supply, run in some)
