"""Parts as the catalogue lists them, turned into what the physics works with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lightcalc.design.check import find_wire_name
from lightcalc.parts import kinds
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.charge import pack
from lightcalc.physics.circuit import converter, fuse, wire
from lightcalc.physics.circuit.strip import CutUnit, describe_cut_unit
from lightcalc.physics.dots import sheet
from lightcalc.tables.wires import awg_size, metric_size

# Common practice: a buck converter needs about this much more at its input than it gives.
BUCK_HEADROOM_V = 0.5
# A pack at the end of its life is the weakest source a fuse must still open on.
WEAK_HEALTH = 0.8
FRESH_C = 25.0


@lru_cache(maxsize=512)
def cut_unit(strip: kinds.Strip) -> CutUnit:
    """Return the electrical make-up of one cut unit of a strip."""
    return describe_cut_unit(
        strip.kind,
        rated_v=strip.rated_v,
        power_w_per_m=strip.power_w_per_m,
        cut_unit_length_m=strip.cut_unit_m,
        forward_v=strip.forward_v,
        leds_in_series=strip.leds_in_series,
        dropout_v=strip.dropout_v,
        idle_a=strip.idle_a,
    )


def wire_of(part: kinds.Wire) -> wire.Wire:
    """Return a wire with the resistance of its size and construction."""
    number = part.size.name.split()[0]
    if part.size.name.endswith("AWG"):
        size = awg_size(int(number), part.construction)
    else:
        size = metric_size(float(number), part.construction)
    return wire.Wire(part.name, size, part.insulation_c)


def named_wire(name: str, catalogue: Catalogue) -> wire.Wire:
    """Return the wire of that name or size."""
    return wire_of(catalogue.wires[find_wire_name(name, catalogue)])


def offered_wires(catalogue: Catalogue) -> list[wire.Wire]:
    """Return every stranded wire of the catalogue: solid wire breaks where a piece is moved."""
    parts = catalogue.wires.values()
    return [wire_of(part) for part in parts if part.construction == "stranded"]


def fuse_of(part: kinds.Fuse) -> fuse.Fuse:
    """Return a fuse with what it carries and breaks."""
    return fuse.Fuse(
        name=part.name,
        kind=part.kind,
        rating_a=part.rating_a,
        volts_v=part.volts_v,
        breaking_a=part.breaking_a,
        opens_at_ratio=part.opens_at_ratio,
        opens_within_s=part.opens_within_s,
        resistance_ohm=part.resistance_ohm,
    )


def offered_fuses(catalogue: Catalogue) -> list[fuse.Fuse]:
    """Return every fuse of the catalogue that opens for good.

    A resettable one closes again by itself onto the fault, so it is only used when named.
    """
    return [fuse_of(part) for part in catalogue.fuses.values() if part.kind != "resettable"]


def converter_of(part: kinds.Converter, output_v: float) -> converter.Converter:
    """Return a converter set to `output_v`."""
    return converter.Converter(
        kind=part.kind,
        output_v=output_v,
        input_min_v=part.input_min_v,
        input_max_v=part.input_max_v,
        limit_a=part.output_max_a,
        efficiency=part.efficiency,
        loss_points=part.loss_points,
        idle_a=part.idle_a,
        headroom_v=BUCK_HEADROOM_V if part.kind == "buck" else 0.0,
    )


def pack_of(
    part: kinds.Pack, multiple: int = 1, health: float = 1.0, temperature_c: float = 20.0
) -> pack.Pack:
    """Return the cells of a pack, or of one built with `multiple` times as many in parallel."""
    ((one,),) = _in_states((part,), ((health, temperature_c),))
    return pack.scale_pack(one, parallel=multiple)


def stated_figures(part: kinds.Pack) -> dict[str, Any]:
    """Return the figures of a pack's label, by the names `pack.describe_pack` has for them."""
    return {
        "capacity_coulomb": part.capacity_coulomb,
        "nominal_volts": part.nominal_v,
        "full_volts": part.full_v,
        "cutoff_volts": part.cutoff_v,
        "resistance_ohm": part.resistance_ohm,
        "slow_current_a": part.slow_current_a,
        "fast_capacity_coulomb": part.fast_capacity_coulomb,
        "fast_current_a": part.fast_current_a,
        "cells_in_series": part.cells_in_series,
    }


@dataclass(frozen=True)
class Cells:
    """The cells of a supply: as they are used, at their strongest, and at their weakest."""

    used: pack.Pack
    fresh: pack.Pack
    weak: pack.Pack


def cells_of(part: kinds.Pack, multiple: int, health: float, temperature_c: float) -> Cells:
    """Return the cells of a pack in every state that an answer asks for."""
    (one,) = cells_of_packs((part,), health, temperature_c)
    states = (one.used, one.fresh, one.weak)
    return Cells(*(pack.scale_pack(state, parallel=multiple) for state in states))


def cells_of_packs(
    parts: Iterable[kinds.Pack], health: float, temperature_c: float
) -> tuple[Cells, ...]:
    """Return the cells of many packs at once, one of each."""
    weak = (min(health, WEAK_HEALTH), min(temperature_c, FRESH_C))
    states = ((health, temperature_c), (1.0, FRESH_C), weak)
    parts = tuple(parts)
    known = {part: _KNOWN[part, states] for part in parts if (part, states) in _KNOWN}
    groups: dict[tuple[object, ...], list[kinds.Pack]] = {}
    for part in dict.fromkeys(parts):
        if part not in known:
            key = part.chemistry, part.slow_current_a is None, part.fast_current_a is None
            groups.setdefault(key, []).append(part)
    for alike in groups.values():
        known.update(zip(alike, _in_states(alike, states), strict=True))
    if len(_KNOWN) > MOST_KNOWN:
        _KNOWN.clear()
    _KNOWN.update({(part, states): cells for part, cells in known.items()})
    return tuple(Cells(*known[part]) for part in parts)


States = tuple[tuple[float, float], ...]
_KNOWN: dict[tuple[kinds.Pack, States], tuple[pack.Pack, ...]] = {}
MOST_KNOWN = 2048


def _in_states(parts: Sequence[kinds.Pack], states: States) -> list[tuple[pack.Pack, ...]]:
    """Packs of which the same is known at pairs of health and temperature [degC].

    The figures of a pack are met once for all of its states.
    """
    health, temperature_c = (np.array(column) for column in zip(*states, strict=True))

    def figures(name: str) -> NDArray[np.float64] | None:
        values = [getattr(part, name) for part in parts]
        return None if values[0] is None else np.array(values, dtype=float)[:, None]

    batch = pack.describe_pack(
        parts[0].chemistry,
        np.array([[part.capacity_coulomb] for part in parts]),
        np.array([[part.nominal_v] for part in parts]),
        full_volts=figures("full_v"),
        cutoff_volts=figures("cutoff_v"),
        resistance_ohm=figures("resistance_ohm"),
        slow_current_a=figures("slow_current_a"),
        fast_capacity_coulomb=figures("fast_capacity_coulomb"),
        fast_current_a=figures("fast_current_a"),
        cells_in_series=figures("cells_in_series"),
        health=health,
        temperature_c=temperature_c,
    )
    columns = [getattr(batch, field.name) for field in fields(pack.Pack)]
    return [
        tuple(
            pack.Pack(*(np.asarray(column[row, state]) for column in columns))
            for state in range(len(states))
        )
        for row in range(len(parts))
    ]


@lru_cache(maxsize=256)
def sheet_of(part: kinds.Sheet) -> sheet.Sheet:
    """Return the material of a sheet."""
    return sheet.sheet_from_shares(
        part.reference_thickness_m, part.straight_share, part.scattered_share, part.refractive_index
    )
