"""What may differ from build to build: every figure of a design's parts and places with its band.

A tolerance is the half width of the band in which nearly every part falls: two standard deviations
of the logarithm of a factor on what the catalogue or the drawing says. Parts of one row of the
catalogue come from one batch, so they share most of their factor:

    log factor of a place = sd * (sqrt(common) * z of the batch + sqrt(1 - common) * z of the place)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.answer import Built
from lightcalc.answers.band.tolerances import (
    DEVIATIONS_IN_A_TOLERANCE,
    LEAST_TOLERANCE,
    common_share,
    usual_tolerances,
)
from lightcalc.parts.kinds import Catalogue

Array = NDArray[np.float64]

Place = tuple[int, ...]
"""Where a figure counts: (supply,), (supply, run), (supply, lead) or (supply, run, surface)."""
EVERYWHERE: Place = ()
TEMPERATURE = "temperature"
CATALOGUE, JUDGEMENT = "catalogue", "judgement"


@dataclass(frozen=True)
class Input:
    """One figure that differs from build to build.

    code        what it is a figure of
    name, of    what a maker calls it, and the part or place it belongs to
    tolerance   half width in which nearly every part falls; kelvin for the room
    source      CATALOGUE or JUDGEMENT
    places      where it counts; a batch that counts in several has a factor of its own in each
    """

    code: str
    name: str
    of: str
    tolerance: float
    source: str
    places: tuple[Place, ...]

    @property
    def in_kelvin(self) -> bool:
        """Whether the tolerance is kelvin rather than a share."""
        return self.code == TEMPERATURE


@dataclass(frozen=True)
class Dimension:
    """One standard normal number of a sample: of a whole batch, or of one place (by its number)."""

    owner: int
    place: int | None
    weight: float


def inputs_of(built: Sequence[Built], catalogue: Catalogue) -> tuple[Input, ...]:
    """List everything that may differ, in the order in which a maker would think of it."""
    found: dict[tuple[str, str], Input] = {}
    for one in _all(built, catalogue):
        known = found.get((one.code, one.of))
        places = (known.places if known else ()) + one.places
        found[one.code, one.of] = Input(
            one.code, one.name, one.of, one.tolerance, one.source, places
        )
    return tuple(one for one in found.values() if one.tolerance > LEAST_TOLERANCE)


def dimensions_of(inputs: Sequence[Input]) -> tuple[Dimension, ...]:
    """Return the standard normal numbers that one sample is made of."""
    common = common_share()
    found = []
    for owner, one in enumerate(inputs):
        if len(one.places) == 1:
            found.append(Dimension(owner, None, 1.0))
            continue
        found.append(Dimension(owner, None, math.sqrt(common)))
        own = math.sqrt(1.0 - common)
        found += [Dimension(owner, place, own) for place in range(len(one.places))]
    return tuple(found)


class Factors:
    """What every figure is multiplied by in each sample."""

    def __init__(self, inputs: Sequence[Input], scores: Array) -> None:
        self.size = len(scores)
        self._logs: dict[tuple[str, Place], Array] = {}
        totals = [[np.zeros(self.size) for _ in one.places] for one in inputs]
        for column, part in enumerate(dimensions_of(inputs)):
            own = totals[part.owner]
            for place in range(len(own)) if part.place is None else (part.place,):
                own[place] += part.weight * scores[:, column]
        for one, deviations in zip(inputs, totals, strict=True):
            sd = one.tolerance / DEVIATIONS_IN_A_TOLERANCE
            for where, score in zip(one.places, deviations, strict=True):
                self._logs[one.code, where] = sd * score

    def log(self, code: str, *place: int) -> Array:
        """Return the logarithm of the factor (samples,); 0 for what is known."""
        found = self._logs.get((code, place))
        return np.zeros(self.size) if found is None else found

    def of(self, code: str, *place: int) -> Array:
        """Return the factor itself (samples,); 1 for what is known."""
        return np.asarray(np.exp(self.log(code, *place)))


def _all(built: Sequence[Built], catalogue: Catalogue) -> Iterator[Input]:
    for number, one in enumerate(built):
        yield from _of_the_pack(number, one)
        yield from _of_the_strips(number, one)
        yield from _of_the_electronics(number, one)
        yield from _of_the_wires(number, one, catalogue)
        yield from _of_the_places(number, one)
    kelvin = usual_tolerances()["temperature_k"]
    yield Input(TEMPERATURE, "room temperature", "", kelvin, JUDGEMENT, (EVERYWHERE,))


def _judged(code: str, name: str, of: str, tolerance: float, place: Place) -> Input:
    return Input(code, name, of, tolerance, JUDGEMENT, (place,))


def _stated(code: str, name: str, of: str, tolerance: float, place: Place) -> Input:
    return Input(code, name, of, tolerance, CATALOGUE, (place,))


def _of_the_pack(number: int, built: Built) -> Iterator[Input]:
    pack, usual, place = built.wired.pack, usual_tolerances(), (number,)
    yield _stated("capacity", "pack capacity", pack.name, pack.capacity_tolerance, place)
    yield _stated("resistance", "pack resistance", pack.name, pack.resistance_tolerance, place)
    if built.wired.supply.health_ratio < 1.0:
        yield _judged("age", "age of the pack", pack.name, usual["age"], place)
    if pack.self_discharge_per_month > 0.0:
        wide = usual["self_discharge"]
        yield _judged("self-discharge", "self-discharge", pack.name, wide, place)
    if pack.output_v is not None:
        wide = usual["bank_efficiency"]
        yield _judged("bank efficiency", "efficiency of the bank", pack.name, wide, place)
        yield _judged("bank output", "volts of the bank", pack.name, usual["bank_output"], place)


def _of_the_strips(number: int, built: Built) -> Iterator[Input]:
    usual = usual_tolerances()
    for run, cut_run in enumerate(built.wired.runs):
        strip, place = cut_run.strip, (number, run)
        yield _stated("power", "strip power", strip.name, strip.power_tolerance, place)
        yield _stated("rail", "strip copper", strip.name, strip.rail_tolerance, place)
        forward = strip.forward_v_tolerance
        yield _stated("forward", "LED forward volts", strip.name, forward, place)
        yield _judged("light", "light for its watts", strip.name, usual["light"], place)
        mounting = cut_run.run.mounting
        yield _judged("mounting", "warmth of the mounting", mounting, usual["mounting"], place)


def _of_the_electronics(number: int, built: Built) -> Iterator[Input]:
    usual, wired = usual_tolerances(), built.wired
    converter, controller, place = wired.converter, wired.controller, (number,)
    if converter is not None:
        wide = converter.efficiency_tolerance
        yield _stated("efficiency", "converter efficiency", converter.name, wide, place)
        volts = usual["output"]
        yield _judged("output", "volts of the converter", converter.name, volts, place)
        if converter.idle_a > 0.0:
            yield _judged(
                "converter idle", "converter standby", converter.name, usual["idle"], place
            )
    if controller is not None and controller.idle_a > 0.0:
        yield _judged("idle", "controller standby", controller.name, usual["idle"], place)


def _of_the_wires(number: int, built: Built, catalogue: Catalogue) -> Iterator[Input]:
    length = usual_tolerances()["lead_length"]
    for lead, sized in enumerate(built.sized.leads):
        wire, place = catalogue.wires[sized.check.wire.name], (number, lead)
        yield _stated("wire", "wire copper", wire.name, wire.tolerance, place)
        yield _judged("lead length", "length of the lead", sized.lead, length, place)
    pack_lead = built.sized.pack_lead
    wire = catalogue.wires[pack_lead.check.wire.name]
    yield _stated("wire", "wire copper", wire.name, wire.tolerance, (number,))
    yield _judged("lead length", "length of the lead", pack_lead.lead, length, (number,))


def _of_the_places(number: int, built: Built) -> Iterator[Input]:
    usual = usual_tolerances()
    for run, cut_run in enumerate(built.wired.runs):
        if cut_run.run.seen:
            strip = cut_run.strip.name
            yield _judged("pitch", "pitch of the LEDs", strip, usual["pitch"], (number, run))
        for surface, seen in enumerate(cut_run.run.seen):
            of = f"{cut_run.run.name} to {seen.surface}"
            place = (number, run, surface)
            yield _judged("distance", "distance to the surface", of, usual["distance"], place)
