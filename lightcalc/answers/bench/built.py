"""The supplies of a piece as they were built: with the wires and fuses an answer gives them."""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.answer import circuit_of
from lightcalc.answers.bought import cells_of, converter_of
from lightcalc.answers.draw import Circuit
from lightcalc.answers.sizing import Sized, size_supply
from lightcalc.answers.surroundings import heat_answer
from lightcalc.answers.wiring import wire_up
from lightcalc.design.piece import Design, Supply
from lightcalc.parts.kinds import Catalogue


@dataclass(frozen=True)
class BuiltSupply:
    """One supply with the wires and fuses it was given, and its place among the supplies."""

    number: int
    circuit: Circuit
    sized: Sized
    supply: Supply
    temperature_c: float


def built_supplies(design: Design, catalogue: Catalogue) -> tuple[BuiltSupply, ...]:
    """Wire and size every supply of a design, as an answer does."""
    use, built = design.use, []
    for number, supply in enumerate(design.supplies):
        wired = wire_up(supply, design, catalogue)
        converter = converter_of(wired.converter, wired.output_v) if wired.converter else None
        cells = cells_of(wired.pack, supply.pack_multiple, supply.health_ratio, use.temperature_c)
        sized = size_supply(wired, converter, cells, use, design.ask, catalogue=catalogue)
        heat = [heat_answer(run, wired.highest_v, use) for run in wired.runs]
        warm = tuple(min(found.strip_c, found.limit_c + 40.0) for found in heat)
        circuit = circuit_of(wired, sized, warm, use.temperature_c)
        built.append(BuiltSupply(number, circuit, sized, supply, use.temperature_c))
    return tuple(built)
