"""The verbs that answer one quick question from flags: `wire`, `hours`, `dots`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from lightcalc.answers.bought import pack_of
from lightcalc.answers.quick import quick_dots, quick_hours, quick_wire
from lightcalc.design.fields import suggest
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.physics.pack import describe_pack
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import paragraph
from lightcalc.screens.options import (
    Quantity,
    as_json,
    catalogue_folder,
    examples_folder,
    system_option,
)
from lightcalc.screens.words import VERDICTS, Shower
from lightcalc.tables.chemistries import chemistry_keys

NO_WIRE_STATUS = 1


@click.command(
    epilog='Example: lightcalc wire --amps "3 A" --length "2 m" --volts "12 V" --drop "3 %"'
)
@click.option("--amps", type=Quantity("current"), required=True, help="Current at full level.")
@click.option("--length", type=Quantity("length"), required=True, help="Length of the lead.")
@click.option("--volts", type=Quantity("voltage"), required=True, help="Volts of the supply.")
@click.option(
    "--drop", type=Quantity("ratio"), default="3 %", show_default=True, help="Volts it may lose."
)
@click.option(
    "--ambient", type=Quantity("temperature"), default="30 degC", show_default=True,
    help="Temperature where it lies.",
)
@click.option(
    "--insulation", type=Quantity("temperature"), default="80 degC", show_default=True,
    help="Temperature its insulation is rated for.",
)
@system_option
@as_json
def wire(
    amps: float, length: float, volts: float, drop: float, ambient: float, insulation: float,
    system: str, as_json: bool,
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
                f"{found.decided_by}. It loses {show.ratio(found.drop_ratio)} "
                f"({show.volts(found.drop_v)}) over {show.length(found.loop_length_m)} of copper, "
                f"there and back, and may carry {show.amps(found.ampacity_a)}. Fuse it at "
                f"{show.amps(found.least_fuse_a)} or the next rating up, but no more than the "
                "wire may carry.",
                "", "",
            )
        )
    if found.awg is None and found.mm2 is None:
        click.get_current_context().exit(NO_WIRE_STATUS)


@click.command(
    epilog="Example: lightcalc hours --pack liion-3s-5200 --watts '12 W' --packs 2; or describe "
    "a pack: lightcalc hours --chemistry nimh --capacity '2,000 mAh' --volts '12 V' --watts '6 W'"
)
@click.option("--watts", type=Quantity("power"), required=True, help="Power of the light.")
@click.option("--pack", help="Name of a pack in the catalogue.")
@click.option("--chemistry", type=click.Choice(chemistry_keys()), help="Chemistry of the cells.")
@click.option("--capacity", type=Quantity("charge"), help="Capacity on the label.")
@click.option("--volts", type=Quantity("voltage"), help="Nominal volts on the label.")
@click.option("--packs", type=click.IntRange(1, 16), default=1, show_default=True, help="Packs.")
@click.option(
    "--efficiency", type=Quantity("ratio"), default="90 %", show_default=True,
    help="Of the converter; 100 % without one.",
)
@click.option(
    "--temperature", type=Quantity("temperature"), default="20 degC", show_default=True,
    help="Of the cells.",
)
@catalogue_folder
@system_option
@as_json
def hours(  # noqa: PLR0917 - click passes every option by name
    watts: float, pack: str | None, chemistry: str | None, capacity: float | None,
    volts: float | None, packs: int, efficiency: float, temperature: float,
    catalogue_folder: Path | None, system: str, as_json: bool,
) -> None:
    """Estimate hours a charge at steady power, for one pack and for several."""
    if not 0.0 < efficiency <= 1.0 or watts <= 0.0:
        raise click.UsageError("Give watts above 0 W and an efficiency above 0 % up to 100 %.")
    if pack is not None:
        part = _find_pack(pack, catalogue_folder)
        cells = pack_of(part, 1, 1.0, temperature)
        label_wh = part.capacity_coulomb * part.nominal_v / 3600.0
        efficiency *= part.output_efficiency or 1.0
    elif chemistry is not None and capacity is not None and volts is not None:
        cells = describe_pack(chemistry, capacity, volts, temperature_c=temperature)
        label_wh = capacity * volts / 3600.0
    else:
        raise click.UsageError("Give --pack, or all of --chemistry, --capacity and --volts.")
    found = quick_hours(cells, watts, packs, efficiency, label_wh)
    if as_json:
        click.echo(to_json(found))
        return
    show = Shower(system)
    text = f"{show.hours(found.hours_each_alone_h)} with one pack"
    if packs > 1:
        text += f", {show.hours(found.hours_h)} with {packs}, each with its share of the light"
    click.echo(
        paragraph(
            f"{text}. A pack gives {show.amps(found.start_a)} at first and "
            f"{show.amps(found.end_a)} at the end. Watt hours over watts would have said "
            f"{show.hours(found.watt_hours_over_watts_h)}.",
            "", "",
        )
    )


def _find_pack(name: str, folder: Path | None) -> Any:
    packs = read_catalogue(folder or examples_folder()).packs
    if name not in packs:
        raise click.UsageError(f'"{name}" is no pack in the catalogue; {suggest(name, [*packs])}')
    return packs[name]


@click.command(
    epilog='Example: lightcalc dots --pitch "16.7 mm" --distance "25 mm" --viewer "1.5 m"'
)
@click.option("--pitch", type=Quantity("length"), required=True, help="From LED to LED.")
@click.option("--distance", type=Quantity("length"), required=True, help="From LED to surface.")
@click.option(
    "--viewer", type=Quantity("length"), default="1.5 m", show_default=True,
    help="From the eye to the surface.",
)
@click.option(
    "--beam", type=Quantity("angle"), default="120 deg", show_default=True,
    help="Angle between the directions of half intensity.",
)
@click.option(
    "--light", type=Quantity("flux_per_length"), default="800 lm/m", show_default=True,
    help="Light of the strip.",
)
@click.option(
    "--reflectance", type=Quantity("ratio"), default="50 %", show_default=True,
    help="Share of light the surface sends back.",
)
@click.option(
    "--room", type=Quantity("illuminance"), default="50 lx", show_default=True,
    help="The room's own light on the surface.",
)
@system_option
@as_json
def dots(  # noqa: PLR0917 - click passes every option by name
    pitch: float, distance: float, viewer: float, beam: float, light: float, reflectance: float,
    room: float, system: str, as_json: bool,
) -> None:
    """Say whether LEDs show as dots on a matt surface."""
    try:
        found = quick_dots(pitch, distance, viewer, beam, light, reflectance, room)
    except ValueError as error:
        raise click.UsageError(str(error)) from None
    if as_json:
        click.echo(to_json(found))
        return
    show = Shower(system)
    hidden = (
        f"Hidden from {show.length(found.hiding_distance_m)} between LEDs and surface."
        if found.hiding_distance_m
        else ""
    )
    click.echo(
        paragraph(
            f"{found.verdict.capitalize()}: {VERDICTS[found.verdict]} Contrast "
            f"{show.contrast(found.contrast_ratio)}, {show.multiple(found.multiple_ratio)}. "
            f"{hidden}",
            "", "",
        )
    )
