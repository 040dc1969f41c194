"""What goes while a supply is dark: standby and self-discharge; and a bank that falls asleep."""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.draw import Circuit, Draw, standby_w
from lightcalc.design.piece import Stretch, Use
from lightcalc.parts.kinds import Pack
from lightcalc.physics.charge.bank import TYPICAL_HOLD_S, Bank, auto_off
from lightcalc.physics.charge.pack import Pack as Cells
from lightcalc.physics.charge.wear import MONTH_S


def leak_a_of(cells: Cells, part: Pack) -> float:
    """Self-discharge as a current [A]."""
    return part.self_discharge_per_month * float(cells.capacity_coulomb) / MONTH_S


def socket_a(drawn: Draw, part: Pack) -> float:
    """Mean current out of the socket of a USB bank."""
    return float(drawn.watts.total_w[0]) * (part.output_efficiency or 1.0) / (part.output_v or 5.0)


def dark_w_of(circuit: Circuit) -> float:
    """Power drawn at the terminals between evenings [W]."""
    if circuit.wired.supply.switched_off or bank_sleeps(circuit):
        return 0.0
    part = circuit.wired.pack
    return standby_w(circuit, part.output_v or part.nominal_v)


def bank_sleeps(circuit: Circuit) -> bool:
    """Whether a USB bank switches itself off between evenings, so little does it feed then."""
    part = circuit.wired.pack
    if part.auto_off_a is None or part.output_v is None:
        return False
    return standby_w(circuit, part.output_v) / part.output_v < part.auto_off_a


def bank_falls_asleep(
    cells: Cells, levels: Sequence[Stretch], drawn: Sequence[Draw], part: Pack, use: Use
) -> bool:
    """Whether a USB bank that feeds these levels switches off at one of the evening's."""
    if part.auto_off_a is None or part.output_v is None:
        return False
    keys = [(level.level_ratio, level.mix) for level in levels]
    stretches = [
        (socket_a(drawn[keys.index((one.level_ratio, one.mix))], part), one.duration_s)
        for one in use.stretches
    ]
    efficiency = part.output_efficiency or 1.0
    bank = Bank(cells, efficiency, part.output_v, part.auto_off_a, TYPICAL_HOLD_S)
    return auto_off(bank, stretches).switches_off
