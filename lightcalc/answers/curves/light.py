"""How light changes with the wire of the leads, and dots with the distance to what is lit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import Part, answer_parts, circuit_of, warm_c
from lightcalc.answers.bought import offered_wires
from lightcalc.answers.curves.results import DistanceCurve, WireCurve
from lightcalc.answers.draw import Circuit, held, runs_limit_a
from lightcalc.answers.results import DotsAnswer
from lightcalc.answers.sizing import SizedWire
from lightcalc.answers.surroundings import dot_scene
from lightcalc.answers.wiring import lead_path
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.circuit.ladder import RunSolution, solve
from lightcalc.physics.circuit.network import Network
from lightcalc.physics.circuit.wire import Wire, WireCheck, choose_wire
from lightcalc.physics.dots.dots import DotScene, see_dots
from lightcalc.tables.wires import System, standard_sizes

Array = NDArray[np.float64]

# With fewer sizes than this in the catalogue a curve shows those that are sold everywhere too.
FEW_SIZES = 5
DISTANCES = 24
# A curve goes this far past the places that matter on either side.
BEYOND = 2.0


def wire_curves(
    design: Design, catalogue: Catalogue, parts: Sequence[Part] | None = None
) -> tuple[WireCurve, ...]:
    """Give the leads of each supply every size of wire in turn, at full level.

    The pack lead, the fuses and the warmth of strips stay as the answer has them; drop and heat of
    each lead are counted with the most current that the answer found in it. Sizes are those of the
    catalogue's stranded wires and of the wires in the answer, and where they are few the sizes sold
    everywhere too. `parts` are those of `answer_parts`, worked out here when not at hand.
    """
    parts = answer_parts(design, catalogue) if parts is None else parts
    return tuple(curve for part in parts for curve in _wire_curves(part, design, catalogue))


def distance_curves(
    design: Design, catalogue: Catalogue, parts: Sequence[Part] | None = None
) -> tuple[DistanceCurve, ...]:
    """Move each surface that a run is seen on nearer and farther, when the evening is brightest.

    All else stays, the eye's distance to the surface too. `parts` as in `wire_curves`.
    """
    parts = answer_parts(design, catalogue) if parts is None else parts
    found = []
    for part in parts:
        dots = iter(part.dots)
        for cut_run, run in zip(part.wired.runs, part.runs, strict=True):
            for seen in cut_run.run.seen:
                scene = dot_scene(cut_run, seen, run, design.use, catalogue)
                found.append(_distance_curve(scene, next(dots)))
    return tuple(found)


@dataclass(frozen=True)
class _Sizes:
    """One supply with all of its leads of one size: a check of each lead for each size."""

    names: tuple[str, ...]
    areas_mm2: tuple[float, ...]
    checks: tuple[tuple[WireCheck, ...], ...]


def _wire_curves(part: Part, design: Design, catalogue: Catalogue) -> list[WireCurve]:
    sizes = _sizes(part, design, catalogue)
    warm = warm_c(part.heat)
    circuits = []
    for checks in sizes.checks:
        pairs = zip(part.sized.leads, checks, strict=True)
        leads = tuple(replace(lead, check=check) for lead, check in pairs)
        sized = replace(part.sized, leads=leads)
        circuits.append(circuit_of(part.wired, sized, warm, design.use.temperature_c))
    lights = _lights(circuits)
    return [_wire_curve(number, light, sizes, part, design) for number, light in enumerate(lights)]


def _sizes(part: Part, design: Design, catalogue: Catalogue) -> _Sizes:
    leads = part.sized.leads
    wires = [*offered_wires(catalogue), *part.sized.lead_wires]
    if len({wire.size.name for wire in wires}) < FEW_SIZES:
        insulation_c = wires[0].insulation_c
        system: System = "AWG" if design.system == "inch" else "mm2"
        wires += [Wire(one.name, one, insulation_c) for one in standard_sizes(system)]
    alike: dict[str, list[Wire]] = {}
    for wire in sorted(wires, key=lambda wire: wire.size.area_m2):
        alike.setdefault(wire.size.name, []).append(wire)
    return _Sizes(
        names=tuple(alike),
        areas_mm2=tuple(same[0].size.area_m2 * 1e6 for same in alike.values()),
        checks=tuple(tuple(_check(lead, same) for lead in leads) for same in alike.values()),
    )


def _check(lead: SizedWire, same: Sequence[Wire]) -> WireCheck:
    """Check a lead in one size: the wire it has, when that is the size, or the best on offer."""
    if lead.check.wire.size.name == same[0].size.name:
        return lead.check
    return choose_wire(same, lead.duty).closest


def _lights(circuits: Sequence[Circuit]) -> list[Array]:
    """Light of every cut unit of each run, of shape (sizes, units), over its rated light."""
    first = circuits[0]
    converter, wired = first.converter, first.wired
    solution = solve(_stacked([circuit.network for circuit in circuits]), wired.output_v)
    lights = [_unit_light(run) for run in solution.runs]
    if converter is None:
        return lights
    # Where the converter's limit bites it holds fewer volts, each with its own wires.
    for size in np.flatnonzero(solution.supply_a > runs_limit_a(wired, converter)):
        on = (True,) * len(wired.runs[0].strip.channels)
        _, limited = held(circuits[int(size)], converter, on)
        for light, run in zip(lights, limited.runs, strict=True):
            light[size] = _unit_light(run)
    return lights


def _unit_light(run: RunSolution) -> Array:
    return np.asarray(run.light.mean(axis=-1))


def _stacked(networks: Sequence[Network]) -> Network:
    """One network as a batch, of several that differ in their leads and jumpers only."""
    leads = zip(*(network.leads for network in networks), strict=True)
    return replace(
        networks[0],
        series_positive_ohm=np.array([one.series_positive_ohm for one in networks]),
        series_return_ohm=tuple(np.array([one.series_return_ohm for one in networks]).T),
        leads=tuple(
            replace(
                same[0],
                positive_ohm=np.array([lead.positive_ohm for lead in same]),
                return_ohm=tuple(np.array([lead.return_ohm for lead in same]).T),
            )
            for same in leads
        ),
    )


def _wire_curve(number: int, light: Array, sizes: _Sizes, part: Part, design: Design) -> WireCurve:
    leads = part.wired.leads
    feeds = [place for place, lead in enumerate(leads) if lead.run == number]
    paths = [lead_path(leads, feed) for feed in feeds]
    on_the_way = sorted({place for path in paths for place in path})
    contacts = [lead.contact_drop_ratio for lead in part.sized.leads]
    dimmest, brightest_unit = light.min(axis=-1), light.max(axis=-1)
    thinnest = min((part.sized.lead_wires[feed] for feed in feeds), key=lambda w: w.size.area_m2)
    return WireCurve(
        run=part.wired.runs[number].run.name,
        sizes=sizes.names,
        area_mm2=sizes.areas_mm2,
        light_fall_ratio=tuple((1.0 - dimmest / np.maximum(brightest_unit, 1e-12)).tolist()),
        dimmest_light_ratio=tuple(dimmest.tolist()),
        lead_drop_ratio=tuple(
            max(sum(checks[place].drop_ratio + contacts[place] for place in path) for path in paths)
            for checks in sizes.checks
        ),
        suits=tuple(
            not any(checks[place].unmet for place in on_the_way) for checks in sizes.checks
        ),
        chosen_size=thinnest.size.name,
        lead_sizes=tuple(part.sized.lead_wires[place].size.name for place in on_the_way),
        asked_fall_ratio=design.ask.light_fall_ratio,
        asked_drop_ratio=design.ask.lead_drop_ratio,
    )


def _distance_curve(scene: DotScene, dots: DotsAnswer) -> DistanceCurve:
    distances_m = _distances_m(dots, scene.pitch_m)
    sights = [see_dots(replace(scene, distance_m=distance)) for distance in distances_m]
    return DistanceCurve(
        run=dots.run,
        surface=dots.surface,
        distance_m=distances_m,
        contrast_ratio=tuple(sight.contrast_ratio for sight in sights),
        threshold_ratio=tuple(min(sight.threshold_ratio, 1.0) for sight in sights),
        verdicts=tuple(str(sight.verdict) for sight in sights),
        drawn_distance_m=dots.distance_m,
        drawn_contrast_ratio=dots.contrast_ratio,
        hiding_distance_m=dots.hiding_distance_m,
    )


def _distances_m(dots: DotsAnswer, pitch_m: float) -> tuple[float, ...]:
    """Distances past the pitch, the drawn distance and the hiding one, the latter two among them.

    They go up by an even ratio: dots fade as the distance in pitches grows.
    """
    places = [dots.distance_m, dots.hiding_distance_m or dots.distance_m]
    low_m, high_m = min(*places, pitch_m) / BEYOND, max(*places, pitch_m) * BEYOND
    grid = np.geomspace(low_m, high_m, DISTANCES).tolist()
    return tuple(sorted({*grid, *places}))
