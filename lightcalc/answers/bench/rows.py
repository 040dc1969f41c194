"""What was learned, as rows for the catalogue and lines for the design."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lightcalc import units
from lightcalc.answers.band.tolerances import DEVIATIONS_IN_A_TOLERANCE
from lightcalc.answers.bench.model import BenchModel
from lightcalc.answers.bench.results import DesignLine, FigureAnswer, Value
from lightcalc.parts.kinds import Catalogue, Converter, Pack, Strip

MOST_EFFICIENCY = 0.995
# No tolerance is written smaller than this: the next reel is another reel.
LEAST_TOLERANCE = 0.002
SPREAD_95 = 1.96
Row = dict[str, Value]
Rows = dict[str, dict[str, Row]]


@dataclass(frozen=True)
class Change:
    """A factor on a figure, and its new tolerance."""

    factor: float
    tolerance: float


def row_changes(
    model: BenchModel, catalogue: Catalogue, figures: Sequence[FigureAnswer]
) -> dict[str, dict[str, Row]]:
    """Return what changes in the catalogue: by file, row and field, in SI.

    Only figures that were learned change. Where two supplies have the same part, its row gets the
    mean of both and a tolerance that covers both.
    """
    learned: dict[tuple[str, str], list[FigureAnswer]] = defaultdict(list)
    for figure in figures:
        if figure.learned and figure.part and figure.code in _WRITERS:
            learned[figure.code, figure.part].append(figure)
    rows: Rows = {}
    for (code, part), found in learned.items():
        file, writer = _WRITERS[code]
        if code == "efficiency" and part in catalogue.packs:
            file, writer = "packs", _bank_efficiency
        row = writer(getattr(catalogue, file)[part], _joined(found))
        rows.setdefault(file, {}).setdefault(part, {}).update(row)
    for file, part, row in _outputs(model, figures):
        rows.setdefault(file, {}).setdefault(part, {}).update(row)
    return rows


def _joined(found: Sequence[FigureAnswer]) -> Change:
    logs = [math.log(figure.found / figure.stated) for figure in found]
    sds = [math.log(figure.found_high / figure.found) / SPREAD_95 for figure in found]
    mean = math.fsum(logs) / len(logs)
    between = math.fsum((log - mean) ** 2 for log in logs) / len(logs)
    variance = math.fsum(sd**2 for sd in sds) / len(sds) + between
    tolerance = DEVIATIONS_IN_A_TOLERANCE * math.sqrt(variance)
    return Change(math.exp(mean), max(tolerance, LEAST_TOLERANCE))


def _power(strip: Strip, change: Change) -> Row:
    return {
        "power_w_per_m": strip.power_w_per_m * change.factor,
        "power_tolerance": change.tolerance,
    }


def _rail(strip: Strip, change: Change) -> Row:
    return {
        "rail_ohm_per_m": strip.rail_ohm_per_m * change.factor,
        "rail_tolerance": change.tolerance,
    }


def _forward(strip: Strip, change: Change) -> Row:
    return {
        "forward_v": tuple(volts * change.factor for volts in strip.forward_v),
        "forward_v_tolerance": change.tolerance,
    }


def _capacity(pack: Pack, change: Change) -> Row:
    row: Row = {
        "capacity_coulomb": pack.capacity_coulomb * change.factor,
        "capacity_tolerance": change.tolerance,
    }
    if pack.fast_capacity_coulomb is not None:
        row["fast_capacity_coulomb"] = pack.fast_capacity_coulomb * change.factor
    return row


def _resistance(pack: Pack, change: Change) -> Row:
    return {
        "resistance_ohm": pack.resistance_ohm * change.factor,
        "resistance_tolerance": change.tolerance,
    }


def _efficiency(converter: Converter, change: Change) -> Row:
    """Less is drawn for the same output by the factor: of an efficiency, or of each loss point."""
    row: Row = {"efficiency_tolerance": change.tolerance}
    if converter.efficiency is not None:
        row["efficiency"] = min(converter.efficiency * change.factor, MOST_EFFICIENCY)
        return row
    volts = converter.output_max_v
    points, least_w = [], 0.0
    for amps, watts in converter.loss_points:
        output_w = amps * volts
        least_w = max((output_w + watts) / change.factor - output_w, least_w)
        points.append((amps, least_w))
    row["loss_points"] = tuple(points)
    return row


def _bank_efficiency(pack: Pack, change: Change) -> Row:
    share = (pack.output_efficiency or 1.0) * change.factor
    return {"output_efficiency": min(share, MOST_EFFICIENCY)}


_WRITERS: dict[str, tuple[str, Callable[..., Row]]] = {
    "power": ("strips", _power),
    "rail": ("strips", _rail),
    "forward": ("strips", _forward),
    "capacity": ("packs", _capacity),
    "resistance": ("packs", _resistance),
    "efficiency": ("converters", _efficiency),
}


def _outputs(model: BenchModel, figures: Sequence[FigureAnswer]) -> list[tuple[str, str, Row]]:
    """Widen what a converter can be set to, where it was found to give other volts; a bank's."""
    found: list[tuple[str, str, Row]] = []
    volts = {
        figure.owner: figure.found
        for figure in figures
        if figure.learned and figure.code == "output"
    }
    for supply in model.built:
        wired, output_v = supply.circuit.wired, volts.get(supply.supply.name)
        if output_v is None:
            continue
        converter = wired.converter
        if converter is None:
            found.append(("packs", wired.pack.name, {"output_v": output_v}))
        elif not _can_give(converter, output_v):
            row: Row = {
                "output_min_v": min(converter.output_min_v, output_v),
                "output_max_v": max(converter.output_max_v, output_v),
            }
            found.append(("converters", converter.name, row))
    return found


def _can_give(converter: Converter, output_v: float) -> bool:
    return converter.output_min_v <= output_v <= converter.output_max_v


def design_lines(model: BenchModel, figures: Sequence[FigureAnswer]) -> tuple[DesignLine, ...]:
    """Return lines of the design to change for what was learned and stands in no catalogue."""
    learned = {(figure.code, figure.owner): figure for figure in figures if figure.learned}
    lines = []
    for supply in model.built:
        name, wired = supply.supply.name, supply.circuit.wired
        output = learned.get(("output", name))
        if output is not None and wired.converter is not None:
            line = f'output = "{output.found:.4g} V"'
            beyond = not _can_give(wired.converter, output.found)
            lines.append(DesignLine("supplies", name, line, with_rows=beyond))
        for wired_lead in wired.leads:
            figure = learned.get(("lead", wired_lead.lead.name))
            if figure is None:
                continue
            length = units.show(wired_lead.lead.length_m * figure.found / figure.stated, "length")
            key = "length" if wired_lead.run is None else "lead"
            table = "trunks" if wired_lead.run is None else "runs"
            line = f'{key} = "{length}"'
            lines.append(DesignLine(table, wired_lead.lead.name, line, with_rows=False))
    return tuple(lines)
