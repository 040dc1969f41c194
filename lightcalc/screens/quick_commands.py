"""The verbs that answer one quick question from flags: `wire`, `hours`, `dots`."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import click

from lightcalc.answers.bought import pack_of
from lightcalc.answers.quick import QuickHours, quick_dots, quick_hours, quick_wire
from lightcalc.answers.words import VERDICTS, Shower
from lightcalc.design.fields import shown, suggest
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.physics.charge.pack import describe_pack
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import paragraph
from lightcalc.screens.options import (
    Capacity,
    Pitch,
    Quantity,
    as_json,
    catalogue_folder,
    example,
    examples_folder,
    figures_of_a_sheet,
    system_option,
)
from lightcalc.tables.chemistries import chemistry_keys

# Of a converter at the loads of furniture; common practice of the trade.
USUAL_EFFICIENCY = 0.9
NO_WAY_STATUS = 1

LENGTH = Quantity("length", "1 mm", "100 m")
CAPACITY = Capacity()
AMBIENT = Quantity("temperature", "-40 degC", "80 degC")


@click.command(
    epilog=example('lightcalc wire --amps "3 A" --length "2 m" --volts "12 V" --drop "3 %"')
)
@click.option(
    "--amps",
    type=Quantity("current", "1 mA", "100 A"),
    required=True,
    help="Current at full level.",
)
@click.option("--length", type=LENGTH, required=True, help="Length of the lead.")
@click.option(
    "--volts", type=Quantity("voltage", "0.5 V", "60 V"), required=True, help="Volts of the supply."
)
@click.option(
    "--drop",
    type=Quantity("ratio", "0.1 %", "50 %"),
    default="3 %",
    show_default=True,
    help="Volts it may lose.",
)
@click.option(
    "--ambient",
    type=AMBIENT,
    default="30 degC",
    show_default=True,
    help="Temperature where it lies.",
)
@click.option(
    "--insulation",
    type=Quantity("temperature", "60 degC", "260 degC"),
    default="80 degC",
    show_default=True,
    help="Temperature its insulation is rated for.",
)
@system_option
@as_json
def wire(  # noqa: PLR0917 - click passes every option by name
    amps: float,
    length: float,
    volts: float,
    drop: float,
    ambient: float,
    insulation: float,
    system: str,
    as_json: bool,
) -> None:
    """Find the thinnest wire for one lead, in AWG and mm2.

    The length is that of the lead; both of its conductors are counted.
    """
    found = quick_wire(amps, length, volts, drop, ambient, insulation)
    if as_json:
        click.echo(to_json(found))
    elif found.awg is None and found.mm2 is None:
        click.echo(
            paragraph("No size sold everywhere will do; shorten the lead or split the load.", "")
        )
    else:
        show = Shower(system)
        click.echo(
            paragraph(
                f"{found.awg or 'no AWG size'} or {found.mm2 or 'no size in mm2'}, decided by "
                f"{found.decided_by}. {found.thinner} loses {show.ratio(found.drop_ratio)} "
                f"({show.volts(found.drop_v)}) over {show.length(found.loop_length_m)} of copper, "
                f"there and back, and may carry {show.amps(found.ampacity_a)}. Fuse it at "
                f"{show.amps(found.least_fuse_a)} or the next rating up, but no more than the "
                "wire may carry.",
                "",
                "",
            )
        )
    if found.awg is None and found.mm2 is None:
        click.get_current_context().exit(NO_WAY_STATUS)


@click.command(
    epilog=example(
        'lightcalc hours --pack liion-3s-5200 --watts "12 W" --packs 2',
        'lightcalc hours --chemistry nimh --capacity "2,000 mAh" --volts "12 V" \\',
        '    --watts "6 W"',
    )
)
@click.option(
    "--watts",
    type=Quantity("power", "1 mW", "1 kW"),
    required=True,
    help="Power of the light.",
)
@click.option("--pack", help="Name of a pack in the catalogue.")
@click.option("--chemistry", type=click.Choice(chemistry_keys()), help="Chemistry of the cells.")
@click.option("--capacity", type=CAPACITY, help="Capacity on the label, in Ah, mAh or Wh.")
@click.option(
    "--volts", type=Quantity("voltage", "0.5 V", "60 V"), help="Nominal volts on the label."
)
@figures_of_a_sheet
@click.option("--packs", type=click.IntRange(1, 16), default=1, show_default=True, help="Packs.")
@click.option(
    "--efficiency",
    type=Quantity("ratio", "10 %", "100 %"),
    default=None,
    help="Of the converter; 90 % when left out, or a USB bank's own.",
)
@click.option(
    "--temperature",
    type=Quantity("temperature", "-20 degC", "60 degC"),
    default="20 degC",
    show_default=True,
    help="Of the cells.",
)
@catalogue_folder
@system_option
@as_json
def hours(  # noqa: PLR0917 - click passes every option by name
    watts: float,
    pack: str | None,
    chemistry: str | None,
    capacity: float | str | None,
    volts: float | None,
    packs: int,
    efficiency: float | None,
    temperature: float,
    catalogue_folder: Path | None,
    system: str,
    as_json: bool,
    **sheet: Any,
) -> None:
    """Estimate hours a charge at steady power, for one pack and for several.

    A pack comes from the catalogue, or is described by its label; the more of its sheet you
    give, the closer the answer.
    """
    allowed_a = math.inf
    described = (chemistry, capacity, volts, *sheet.values())
    if pack is not None and not any(described):
        part = _find_pack(pack, catalogue_folder)
        cells = pack_of(part, 1, 1.0, temperature)
        label_wh = part.capacity_coulomb * part.nominal_v / 3600.0
        bank = part.output_efficiency
        through = (efficiency or 1.0) * bank if bank else efficiency or USUAL_EFFICIENCY
        allowed_a = part.max_amps
    elif pack is None and chemistry is not None and capacity is not None and volts is not None:
        capacity = CAPACITY.at_volts(capacity, volts)
        if (sheet["fast_capacity_coulomb"] or 0.0) > capacity:
            raise click.UsageError("--fast-capacity is at most --capacity: rate takes from it.")
        cells = describe_pack(chemistry, capacity, volts, temperature_c=temperature, **sheet)
        label_wh = capacity * volts / 3600.0
        through = efficiency or USUAL_EFFICIENCY
    else:
        raise click.UsageError("Give --pack, or all of --chemistry, --capacity and --volts.")
    found = quick_hours(cells, watts, packs, through, label_wh, max_amps_a=allowed_a)
    if as_json:
        click.echo(to_json(found))
    else:
        click.echo(paragraph(_hours_text(found, Shower(system)), "", ""))
    if found.hours_h == 0.0:
        click.get_current_context().exit(NO_WAY_STATUS)


def _hours_text(found: QuickHours, show: Shower) -> str:
    if found.hours_h == 0.0:
        return (
            "No light: this is more than the pack can give, or its protection allows. Take fewer "
            "watts, or more packs."
        )
    text = f"{show.hours(found.hours_each_alone_h)} with one pack"
    if found.packs_count > 1:
        text += (
            f", {show.hours(found.hours_h)} with {found.packs_count}, each with its share of the "
            "light"
        )
    naive = show.hours(found.watt_hours_over_watts_h)
    through = "straight from the pack"
    if found.efficiency_ratio < 1.0:
        through = f"at {show.ratio(found.efficiency_ratio)} from cells to strip"
    return (
        f"{text}, {through}. Its cells give {show.amps(found.start_a)} at first and "
        f"{show.amps(found.end_a)} at the end. Watt hours over watts would have said {naive}."
    )


def _find_pack(name: str, folder: Path | None) -> Any:
    packs = read_catalogue(folder or examples_folder()).packs
    if name not in packs:
        raise click.UsageError(
            f"{shown(name)} is no pack in the catalogue; {suggest(name, [*packs])}"
        )
    return packs[name]


@click.command(
    epilog=example('lightcalc dots --pitch "16.7 mm" --distance "25 mm" --viewer "1.5 m"')
)
@click.option("--pitch", type=Pitch(), required=True, help="From LED to LED, or such as 60 LEDs/m.")
@click.option("--distance", type=LENGTH, required=True, help="From LED to surface.")
@click.option(
    "--viewer",
    type=Quantity("length", "5 cm", "100 m"),
    default="1.5 m",
    show_default=True,
    help="From the eye to the surface.",
)
@click.option(
    "--beam",
    type=Quantity("angle", "5 deg", "175 deg"),
    default="120 deg",
    show_default=True,
    help="Angle between the directions of half intensity.",
)
@click.option(
    "--light",
    type=Quantity("flux_per_length", "1 lm/m", "20000 lm/m"),
    default="800 lm/m",
    show_default=True,
    help="Light of the strip.",
)
@click.option(
    "--reflectance",
    type=Quantity("ratio", "1 %", "100 %"),
    default="50 %",
    show_default=True,
    help="Share of light the surface sends back.",
)
@click.option(
    "--room",
    type=Quantity("illuminance", "0 lx", "200000 lx"),
    default="50 lx",
    show_default=True,
    help="The room's own light on the surface.",
)
@system_option
@as_json
def dots(  # noqa: PLR0917 - click passes every option by name
    pitch: float,
    distance: float,
    viewer: float,
    beam: float,
    light: float,
    reflectance: float,
    room: float,
    system: str,
    as_json: bool,
) -> None:
    """Say whether LEDs show as dots on a matt surface."""
    found = quick_dots(pitch, distance, viewer, beam, light, reflectance, room)
    if as_json:
        click.echo(to_json(found))
        return
    show = Shower(system)
    hidden = (
        f"Hidden from {show.length_at_least(found.hiding_distance_m)} between LEDs and surface."
        if found.hiding_distance_m
        else ""
    )
    click.echo(
        paragraph(
            f"{found.verdict.capitalize()}: {VERDICTS[found.verdict]} Contrast "
            f"{show.ratio(found.contrast_ratio)}, {show.multiple(found.multiple_ratio)}. "
            f"{hidden}",
            "",
            "",
        )
    )
