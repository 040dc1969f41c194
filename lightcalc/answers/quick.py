"""One quick question each, from a few numbers and no design: wire, hours, dots."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.physics.charge.discharge import discharge
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import Pack, scale_pack
from lightcalc.physics.circuit.wire import Wire, WireDuty, choose_wire, smallest_standard_size
from lightcalc.physics.dots.diffusion import beam_exponent
from lightcalc.physics.dots.dots import DotScene, reflecting_surface
from lightcalc.physics.dots.hiding_distance import judge_dots
from lightcalc.tables.wires import System, standard_sizes


@dataclass(frozen=True)
class QuickWire:
    """The thinnest standard wire in both systems, and what the thinner of the two does."""

    awg: str | None
    mm2: str | None
    thinner: str
    decided_by: str
    drop_v: float
    drop_ratio: float
    ampacity_a: float
    loop_length_m: float
    least_fuse_a: float


@dataclass(frozen=True)
class QuickHours:
    """Hours of one pack, and of several packs that share the load evenly."""

    hours_h: float
    packs_count: int
    efficiency_ratio: float
    hours_each_alone_h: float
    ended_by: str
    watt_hours_over_watts_h: float
    start_a: float
    end_a: float


@dataclass(frozen=True)
class QuickDots:
    """Whether dots show on a matt surface."""

    verdict: str
    contrast_ratio: float
    threshold_ratio: float
    multiple_ratio: float
    hiding_distance_m: float | None
    hiding_viewer_distance_m: float


def quick_wire(  # noqa: PLR0917 - plain numbers, in the order in which a maker says them
    amps_a: float,
    length_m: float,
    volts_v: float,
    drop_ratio: float,
    ambient_c: float,
    insulation_c: float,
) -> QuickWire:
    """Choose among the sizes sold everywhere, for a lead `length_m` long, both conductors counted.

    The fuse is taken as 125 % of the current (common practice of the trade).
    """
    least_fuse_a = 1.25 * amps_a
    duty = WireDuty(
        peak_a=amps_a,
        rms_a=amps_a,
        loop_length_m=2.0 * length_m,
        source_v=volts_v,
        allowed_drop_ratio=drop_ratio,
        ambient_c=ambient_c,
        fuse_a=least_fuse_a,
    )
    systems: Sequence[System] = ("AWG", "mm2")
    offered = [
        Wire(size.name, size, insulation_c) for system in systems for size in standard_sizes(system)
    ]
    choice = choose_wire(offered, duty)
    sizes = {system: smallest_standard_size(system, duty, insulation_c) for system in systems}
    awg, mm2 = sizes["AWG"], sizes["mm2"]
    return QuickWire(
        awg=awg.name if awg else None,
        mm2=mm2.name if mm2 else None,
        thinner=choice.closest.wire.name,
        decided_by=choice.decided_by or "thinnest on offer",
        drop_v=choice.closest.drop_v,
        drop_ratio=choice.closest.drop_ratio,
        ampacity_a=choice.closest.ampacity_a,
        loop_length_m=duty.loop_length_m,
        least_fuse_a=least_fuse_a,
    )


def quick_hours(
    cells: Pack,
    watts_w: float,
    packs: int,
    efficiency: float,
    label_wh: float,
    *,
    max_amps_a: float = math.inf,
) -> QuickHours:
    """Hours at steady power behind a converter; each of several packs takes an even share.

    `max_amps_a` is what the protection of one pack allows.
    """
    load = constant_power(watts_w / efficiency)
    alone = discharge(cells, load, max_amps_a)
    shared = discharge(scale_pack(cells, parallel=packs), load, max_amps_a * packs)
    return QuickHours(
        hours_h=float(shared.duration_s) / 3600.0,
        packs_count=packs,
        efficiency_ratio=efficiency,
        hours_each_alone_h=float(alone.duration_s) / 3600.0,
        ended_by=str(shared.ended_by),
        watt_hours_over_watts_h=label_wh * packs / watts_w,
        start_a=float(shared.amps[0]) / packs,
        end_a=float(shared.amps.max()) / packs,
    )


def quick_dots(  # noqa: PLR0917 - plain numbers, in the order in which a maker says them
    pitch_m: float,
    distance_m: float,
    viewer_m: float,
    beam_deg: float,
    light_lm_per_m: float,
    reflectance: float,
    room_lux: float,
) -> QuickDots:
    """Judge a metre of strip in front of a matt surface."""
    verdict = judge_dots(
        DotScene(
            pitch_m=pitch_m,
            lumens_per_emitter=light_lm_per_m * pitch_m,
            beam_exponent=beam_exponent(beam_deg),
            distance_m=distance_m,
            surface=reflecting_surface(reflectance),
            viewer_distance_m=viewer_m,
            row_length_m=1.0,
            room_illuminance_lux=room_lux,
        )
    )
    return QuickDots(
        verdict=str(verdict.verdict),
        contrast_ratio=verdict.contrast_ratio,
        threshold_ratio=min(verdict.threshold_ratio, 1.0),
        multiple_ratio=verdict.multiple,
        hiding_distance_m=verdict.hiding_distance_m,
        hiding_viewer_distance_m=verdict.hiding_viewer_distance_m,
    )
