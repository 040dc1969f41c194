"""What the parts of a built piece may differ in, with the bands the catalogue gives them.

A tolerance is the half width of the band in which nearly every part falls. It is taken as twice
the standard deviation of a normal spread of the logarithm, so that about 95 of 100 parts are
inside. Parameters are logarithms of a factor on what the catalogue or the drawing says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.band.tolerances import (
    DEVIATIONS_IN_A_TOLERANCE,
    LEAST_TOLERANCE,
    usual_tolerances,
)
from lightcalc.answers.bench.built import BuiltSupply
from lightcalc.answers.bench.model import BenchModel
from lightcalc.parts.kinds import Catalogue, Strip

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Parameter:
    """One figure of a part that readings may change.

    code, owner   what it is a figure of: a strip, a lead or a supply, by its name
    part          name of its row in the catalogue; "" where the figure is none of the catalogue
    value, kind   as labelled or drawn (SI) and the kind of quantity; None for a mere factor
    sd            standard deviation of its logarithm before anything is measured
    columns       the knobs it turns
    """

    code: str
    owner: str
    part: str
    value: float
    kind: str
    sd: float
    columns: tuple[int, ...]


def parameters_of(model: BenchModel, catalogue: Catalogue) -> tuple[Parameter, ...]:
    """List every figure of the design's parts that has a tolerance."""
    found = [*_of_strips(model)]
    for supply in model.built:
        found += _of_leads(model, supply, catalogue)
        found += _of_pack_and_converter(model, supply)
    least = LEAST_TOLERANCE / DEVIATIONS_IN_A_TOLERANCE
    return tuple(parameter for parameter in found if parameter.sd > least)


def knob_matrix(model: BenchModel, parameters: tuple[Parameter, ...]) -> Array:
    """Return which parameter turns which knob, (parameters, knobs)."""
    matrix = np.zeros((len(parameters), len(model.knobs)))
    for row, parameter in enumerate(parameters):
        matrix[row, list(parameter.columns)] = 1.0
    return matrix


def _sd(*tolerances: float) -> float:
    return math.hypot(*tolerances) / DEVIATIONS_IN_A_TOLERANCE


def _of_strips(model: BenchModel) -> Iterator[Parameter]:
    strips: dict[str, Strip] = {}
    places: dict[str, list[tuple[int, int]]] = {}
    for supply in model.built:
        for run, cut_run in enumerate(supply.circuit.wired.runs):
            strips[cut_run.strip.name] = cut_run.strip
            places.setdefault(cut_run.strip.name, []).append((supply.number, run))
    for name, strip in strips.items():

        def columns(knob: str, name: str = name) -> tuple[int, ...]:
            return tuple(model.column[knob, supply, run] for supply, run in places[name])

        figures = (
            ("power", strip.power_w_per_m, "power_per_length", strip.power_tolerance),
            ("rail", strip.rail_ohm_per_m, "resistance_per_length", strip.rail_tolerance),
            ("forward", strip.forward_v[0], "voltage", strip.forward_v_tolerance),
        )
        for code, value, kind, tolerance in figures:
            yield Parameter(code, name, name, value, kind, _sd(tolerance), columns(code))


def _of_leads(model: BenchModel, supply: BuiltSupply, catalogue: Catalogue) -> Iterator[Parameter]:
    usual = usual_tolerances()
    leads = supply.circuit.network.leads
    for number, (lead, sized) in enumerate(zip(leads, supply.sized.leads, strict=True)):
        wire = catalogue.wires[sized.check.wire.name]
        # Copper alone differs so; a contact that differs is a weak joint.
        contact_ohm = supply.circuit.wired.leads[number].contact_ohm
        one_way = float(np.asarray(lead.positive_ohm)) - contact_ohm
        loop = one_way * (1.0 + 1.0 / len(lead.return_ohm))
        yield Parameter(
            "lead",
            sized.lead,
            "",
            loop,
            "resistance",
            _sd(wire.tolerance, usual["lead_length"]),
            (model.column["lead", supply.number, number],),
        )
    if supply.circuit.pack_lead_ohm > 0.0:
        yield Parameter(
            "pack lead",
            f"{supply.supply.name} pack lead",
            "",
            supply.circuit.pack_lead_ohm,
            "resistance",
            _sd(usual["pack_lead"]),
            (model.column["pack lead", supply.number, 0],),
        )


def _of_pack_and_converter(model: BenchModel, supply: BuiltSupply) -> Iterator[Parameter]:
    usual, wired, name = usual_tolerances(), supply.circuit.wired, supply.supply.name
    pack, converter = wired.pack, wired.converter

    def own(code: str, part: str, value: float, kind: str, tolerance: float) -> Parameter:
        column = model.column[code, supply.number, 0]
        return Parameter(code, name, part, value, kind, _sd(tolerance), (column,))

    capacity = pack.capacity_coulomb
    yield own("capacity", pack.name, capacity, "charge", pack.capacity_tolerance)
    ohm = pack.resistance_ohm
    yield own("resistance", pack.name, ohm, "resistance", pack.resistance_tolerance)
    yield own("rest", "", pack.full_v, "voltage", usual["rest"])
    if pack.output_v is not None:
        share = pack.output_efficiency or 1.0
        yield own("efficiency", pack.name, share, "ratio", usual["bank_efficiency"])
        yield own("output", "", wired.output_v, "voltage", usual["bank_output"])
    elif converter is not None:
        share = converter.efficiency or 1.0
        yield own("efficiency", converter.name, share, "ratio", converter.efficiency_tolerance)
        yield own("output", "", wired.output_v, "voltage", usual["output"])
