"""Findings about packs, converters, controllers and hours."""

from __future__ import annotations

import math
from collections.abc import Iterator

from lightcalc.answers.draw import Circuit, controller_idle_a, duties
from lightcalc.answers.findings.finding import Finding
from lightcalc.answers.results import SupplyAnswer
from lightcalc.answers.standby import bank_sleeps
from lightcalc.answers.wiring import Wired
from lightcalc.design.piece import Design
from lightcalc.parts.kinds import Controller
from lightcalc.physics.circuit.converter import highest_input_v
from lightcalc.physics.circuit.ladder import solve
from lightcalc.units import show

# IEEE 1789-2015, from memory: full modulation is low risk from 1250 Hz, unnoticed from 3000 Hz.
LOW_RISK_HZ = 1250.0
# A strip straight on a pack may see this much above its rated volts before it runs too hot.
OVERVOLT_CAUTION_RATIO, OVERVOLT_STOP_RATIO = 1.05, 1.15
FLAT_SOON_DAYS = 60.0
# UN Manual of Tests and Criteria 38.3 and IATA packing instructions 965 to 967.
SMALL_BATTERY_WH = 100.0
# At or above this share of a limit a part runs warm for its life (common practice).
NEAR_LIMIT = 0.8
# A change that gives less than this much longer is not worth naming first.
WORTH_SAYING = 1.15
# A converter that leaves more than this in the pack is the wrong one for it (judgement).
STRANDED_RATIO = 0.15


def power_findings(circuit: Circuit, answer: SupplyAnswer, design: Design) -> Iterator[Finding]:
    """Everything to know about one supply's power."""
    yield from _hours(answer, design)
    yield from _pack(circuit, answer, design)
    yield from _converter(circuit, answer)
    yield from _controller(circuit, answer, design)
    yield from _straight_on_pack(circuit, answer)


def _hours(answer: SupplyAnswer, design: Design) -> Iterator[Finding]:
    asked_s = design.ask.charge_s
    where = f"supply {answer.supply}"
    if answer.hours_h == 0.0:
        yield _no_light(answer, where)
        return
    if asked_s is None:
        return
    figures = {"hours_h": answer.hours_h, "asked_h": asked_s / 3600.0}
    lasts, asked = show(answer.hours_h * 3600.0, "time", digits=2), show(asked_s, "time", digits=2)
    if answer.hours_h * 3600.0 < asked_s:
        yield Finding(
            "hours-short",
            "stop",
            where,
            f"A charge lasts {'just less' if lasts == asked else lasts}; you asked for {asked}.",
            _how_to_last(answer, asked_s / 3600.0),
            figures,
        )
    elif answer.hours_low_h * 3600.0 < asked_s:
        low = show(answer.hours_low_h * 3600.0, "time", digits=2)
        yield Finding(
            "hours-close",
            "caution",
            where,
            f"A charge lasts {lasts}, but 1 in 10 builds gets less than {low}; "
            f"you asked for {asked}.",
            "Measure the pack's real capacity, or leave a margin.",
            {**figures, "hours_low_h": answer.hours_low_h},
        )


def _how_to_last(answer: SupplyAnswer, asked_h: float) -> str:
    """Say what helps most, cheapest first."""
    ways = []
    if answer.switched_off_h > WORTH_SAYING * answer.hours_h:
        longer = show(answer.switched_off_h * 3600.0, "time", digits=2)
        ways.append(
            f"Fit a hard switch at the pack: with no standby between evenings it lasts {longer}."
        )
    if answer.stranded_ratio > STRANDED_RATIO:
        left = show(answer.stranded_ratio, "ratio", digits=2)
        ways.append(
            f"Take a converter that works down to the pack's cut-off: this one leaves {left} of "
            "the charge in it."
        )
    more = asked_h / max(answer.hours_h, answer.switched_off_h)
    if more > 1.0:
        # Rounded up, or the pack that is bought for it would fall short again.
        times = math.ceil(10.0 * more) / 10.0
        ways.append(
            f"Take a pack of the same volts with about {times:.3g} times the amp hours, a lower "
            "level, or a strip of fewer watts."
        )
    return " ".join(ways)


def _no_light(answer: SupplyAnswer, where: str) -> Finding:
    sentences = {
        "auto-off": "the load is too small for the bank, which switches itself off.",
        "protection": "the pack's protection trips at once.",
        "converter": "even full, the pack sags too low for the converter.",
        "nothing drawn": "the volts are too low for the LEDs to draw anything.",
    }
    why = sentences.get(answer.ended_by, "the pack cannot start this load.")
    return Finding(
        "no-light",
        "stop",
        where,
        f"No light: {why}",
        "Take a pack that fits, or a load it can carry.",
        {"hours_h": 0.0},
    )


def _pack(circuit: Circuit, answer: SupplyAnswer, design: Design) -> Iterator[Finding]:
    part, supply = circuit.wired.pack, circuit.wired.supply
    where = f"pack {part.name}"
    allowed_a = part.max_amps * supply.pack_multiple
    trips = answer.levels[0].ended_by == "protection"
    if answer.pack_peak_a > NEAR_LIMIT * allowed_a:
        stops = trips or answer.pack_peak_a > allowed_a
        yield Finding(
            "pack-current",
            "stop" if stops else "caution",
            where,
            f"At full level it gives up to {show(answer.pack_peak_a, 'current', digits=2)} and is "
            f"allowed {show(allowed_a, 'current', digits=2)}"
            + ("; its protection trips before it is empty." if trips else "."),
            "Take a pack allowed more current, or fewer watts of strip.",
            {"pack_peak_a": answer.pack_peak_a, "allowed_a": allowed_a},
        )
    yield from _bank(circuit, answer)
    yield from _keeping(circuit, answer, design)


def _keeping(circuit: Circuit, answer: SupplyAnswer, design: Design) -> Iterator[Finding]:
    """Where the pack stands, how it keeps, and whether it may travel."""
    part, supply = circuit.wired.pack, circuit.wired.supply
    where = f"pack {part.name}"
    room_c = design.use.temperature_c
    if not part.min_c <= room_c <= part.max_c:
        yield Finding(
            "pack-temperature",
            "stop",
            where,
            f"The room has {show(room_c, 'temperature', design.system)}; the pack is for "
            f"{show(part.min_c, 'temperature', design.system)} to "
            f"{show(part.max_c, 'temperature', design.system)}.",
            "Take a pack for that temperature, or keep it elsewhere.",
            {"room_c": room_c},
        )
    if answer.days_until_flat_unlit_d < FLAT_SOON_DAYS and answer.standby_a > 0.0:
        yield Finding(
            "flat-unlit",
            "caution",
            where,
            f"Never lit, it is flat after about {answer.days_until_flat_unlit_d:.0f} days; "
            f"{show(answer.standby_a, 'current', digits=2)} of standby current flow all the time.",
            "Fit a hard switch at the pack, or a controller that draws less.",
            {"days_until_flat_d": answer.days_until_flat_unlit_d, "standby_a": answer.standby_a},
        )
    energy_wh = part.capacity_coulomb * part.nominal_v * supply.pack_multiple / 3600.0
    if part.chemistry in ("lithium-ion", "lifepo4") and energy_wh > SMALL_BATTERY_WH:
        yield Finding(
            "pack-shipping",
            "note",
            where,
            f"It holds {energy_wh:.0f} Wh, more than the 100 Wh that small-battery shipping "
            "exemptions allow.",
            "Ask the carrier before you promise delivery, or split it into smaller packs.",
            {"energy_wh": energy_wh},
        )


def _bank(circuit: Circuit, answer: SupplyAnswer) -> Iterator[Finding]:
    part, controller = circuit.wired.pack, circuit.wired.controller
    where = f"pack {part.name}"
    socket_a, limit_a = answer.socket_peak_a, part.output_max_a
    if socket_a is not None and limit_a is not None and socket_a > limit_a:
        yield Finding(
            "bank-limit",
            "stop",
            where,
            f"Its socket gives at most {show(limit_a, 'current', digits=2)}; full level asks for "
            f"{show(socket_a, 'current', digits=2)}.",
            "Take a bank with a stronger socket, or fewer watts of strip.",
            {"socket_a": socket_a, "limit_a": limit_a},
        )
    if controller and not circuit.wired.supply.switched_off and bank_sleeps(circuit):
        remote = controller.remote != "none"
        yield Finding(
            "bank-sleeps",
            "caution" if remote else "note",
            where,
            "Dark, the light draws less than "
            f"{show(part.auto_off_a or 0.0, 'current', digits=2)}, so the bank switches itself off"
            + (" and the remote does nothing" if remote else "")
            + " until someone presses the bank's button.",
            "Take a bank that stays on, or put its button within reach.",
            {"auto_off_a": part.auto_off_a or 0.0},
        )


def _converter(circuit: Circuit, answer: SupplyAnswer) -> Iterator[Finding]:
    converter, wired = circuit.converter, circuit.wired
    if converter is None or wired.converter is None:
        return
    where = f"converter {wired.converter.name}"
    limit = show(converter.limit_a, "current", digits=2)
    if answer.output_v < converter.output_v * (1 - 1e-6):
        wanted_a = float(solve(circuit.network, converter.output_v).supply_a)
        wanted_a += controller_idle_a(wired)
        yield Finding(
            "converter-limit",
            "stop",
            where,
            f"Full level asks for {show(wanted_a, 'current', digits=2)}; it gives at most {limit} "
            f"and sags to {show(answer.output_v, 'voltage')}, or switches off.",
            "Take a stronger converter, or one for each run.",
            {"wanted_a": wanted_a, "limit_a": converter.limit_a},
        )
    elif answer.output_peak_a > NEAR_LIMIT * converter.limit_a:
        yield Finding(
            "converter-warm",
            "caution",
            where,
            f"Full level takes {show(answer.output_peak_a, 'current', digits=2)} of its {limit}.",
            "Give it air, and expect it to be warm; a larger one runs cooler.",
            {"output_peak_a": answer.output_peak_a, "limit_a": converter.limit_a},
        )
    if answer.stranded_ratio > STRANDED_RATIO:
        left = show(answer.stranded_ratio, "ratio", digits=2)
        yield Finding(
            "stranded",
            "caution",
            where,
            f"It lets go while {left} of the charge is still in the pack.",
            f"Take one that works down to {show(wired.pack.cutoff_v, 'voltage')} at its input.",
            {"stranded_ratio": answer.stranded_ratio},
        )
    full_v = wired.pack.full_v if wired.pack.output_v is None else wired.pack.output_v
    if full_v > highest_input_v(converter):
        stops = full_v > OVERVOLT_STOP_RATIO * wired.rated_v
        yield Finding(
            "boost-passes",
            "stop" if stops else "caution",
            where,
            f"A boost converter lets the full pack's {show(full_v, 'voltage')} straight through "
            f"to a strip rated {show(wired.rated_v, 'voltage')}.",
            "Take a buck-boost converter, or a pack with fewer cells in series.",
            {"full_v": full_v, "rated_v": wired.rated_v},
        )


def _controller(circuit: Circuit, answer: SupplyAnswer, design: Design) -> Iterator[Finding]:
    wired, controller = circuit.wired, circuit.wired.controller
    channels = wired.runs[0].strip.channels
    levels = [duties(channels, stretch) for stretch in design.use.stretches]
    if controller is None:
        dimmest = min(min(level) for level in levels)
        if dimmest < 1.0:
            yield Finding(
                "no-dimmer",
                "stop",
                f"supply {wired.supply.name}",
                f"The evening has a level of {show(dimmest, 'ratio', digits=3)}, but nothing in "
                "the supply can dim; the hours count on a dimmer that is not there.",
                "Add a controller, or write the level as 100 %.",
                {"level_ratio": dimmest},
            )
        return
    where = f"controller {controller.name}"
    if answer.channel_peak_a > controller.max_amps_per_channel:
        yield Finding(
            "controller-current",
            "stop",
            where,
            f"A channel carries {show(answer.channel_peak_a, 'current', digits=2)}; it may carry "
            f"{show(controller.max_amps_per_channel, 'current', digits=2)}.",
            "Take a stronger controller, or split the runs over two.",
            {"channel_a": answer.channel_peak_a, "allowed_a": controller.max_amps_per_channel},
        )
    yield from _controller_volts(controller, wired, where)
    pulses = any(0.0 < duty < 1.0 for level in levels for duty in level)
    if pulses and controller.pwm_hz < LOW_RISK_HZ:
        yield Finding(
            "flicker",
            "note",
            where,
            f"It dims with {controller.pwm_hz:.0f} pulses a second; below {LOW_RISK_HZ:.0f} some "
            "people see flicker when they move their eyes, and cameras do.",
            "Take a controller with faster pulses where people sit for long.",
            {"pwm_hz": controller.pwm_hz},
        )


def _controller_volts(controller: Controller, wired: Wired, where: str) -> Iterator[Finding]:
    highest_v = wired.highest_v
    straight = wired.converter is None and wired.pack.output_v is None
    lowest_v = wired.pack.cutoff_v if straight else highest_v
    window = f"{show(controller.min_v, 'voltage')} to {show(controller.max_v, 'voltage')}"
    figures = {"highest_v": highest_v, "lowest_v": lowest_v}
    if not controller.min_v <= highest_v <= controller.max_v:
        yield Finding(
            "controller-volts",
            "stop",
            where,
            f"It sees {show(highest_v, 'voltage')} and is for {window}.",
            "Take a controller for that voltage.",
            figures,
        )
    elif lowest_v < controller.min_v:
        yield Finding(
            "controller-volts",
            "caution",
            where,
            f"Towards the end of a charge it sees {show(lowest_v, 'voltage')} and is for {window}; "
            "it may switch off before the pack is empty.",
            "Take a controller for that voltage, or add a converter.",
            figures,
        )


def _straight_on_pack(circuit: Circuit, answer: SupplyAnswer) -> Iterator[Finding]:
    wired = circuit.wired
    if circuit.converter is not None or wired.pack.output_v is not None:
        return
    where = f"supply {wired.supply.name}"
    ratio = wired.pack.full_v / wired.rated_v
    if ratio > OVERVOLT_CAUTION_RATIO:
        resistor = any(run.strip.kind == "resistor" for run in wired.runs)
        effect = "draws well above its label" if resistor else "turns the excess into heat"
        yield Finding(
            "overvolt",
            "stop" if ratio > OVERVOLT_STOP_RATIO else "caution",
            where,
            f"The full pack gives {show(wired.pack.full_v, 'voltage')} to a strip rated "
            f"{show(wired.rated_v, 'voltage')}; the strip then {effect}.",
            f"Add a converter that holds {show(wired.rated_v, 'voltage')} (a buck-boost one where "
            "the pack falls below that), or take a pack with fewer cells in series.",
            {"full_v": wired.pack.full_v, "rated_v": wired.rated_v},
        )
    if answer.half_light_h is not None:
        yield Finding(
            "dims-with-pack",
            "note",
            where,
            "Without a converter the light falls with the pack: down to half after "
            f"{show(answer.half_light_h * 3600.0, 'time', digits=2)} at full level, which is where "
            "the hours stop counting.",
            "Add a converter for steady light, or tell the client to expect it.",
            {"half_light_h": answer.half_light_h},
        )
