"""The verb `sheet`: both shares of a sheet or resin from two readings at the bench."""

from __future__ import annotations

import click

from lightcalc.answers.quick_sheet import QuickSheet, from_meter, from_target
from lightcalc.answers.words import Shower
from lightcalc.physics.dots.sheet_readings import Bench
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import paragraph
from lightcalc.screens.options import Quantity, as_json, example

SHARE = Quantity("ratio", "0 %", "110 %")
SMALL = Quantity("length", "1 mm", "1 m")


@click.command(
    epilog=example(
        'lightcalc sheet --thickness "3 mm" --near "30 %" --far "28 %"',
        'lightcalc sheet --thickness "10 mm" --near "75 %" --contrast "40 %"',
    )
)
@click.option(
    "--thickness",
    type=Quantity("length", "0.1 mm", "500 mm"),
    required=True,
    help="Of the sample.",
)
@click.option(
    "--near",
    type=SHARE,
    required=True,
    help="Meter with the sample touching its sensor, over the meter without it.",
)
@click.option("--far", type=SHARE, help="The same with the sample far from the sensor.")
@click.option(
    "--contrast",
    type=SHARE,
    help="Instead of --far: contrast of printed bars through the sample, over without it.",
)
@click.option(
    "--lamp",
    type=Quantity("length", "5 cm", "20 m"),
    default="1 m",
    show_default=True,
    help="From lamp to sensor.",
)
@click.option(
    "--away",
    type=Quantity("length", "1 cm", "20 m"),
    default="40 cm",
    show_default=True,
    help="From the far sample to the sensor.",
)
@click.option(
    "--opening", type=SMALL, default="30 mm", show_default=True, help="In the card at the sample."
)
@click.option("--sensor", type=SMALL, default="20 mm", show_default=True, help="Its diameter.")
@click.option(
    "--screen",
    type=Quantity("angle", "1 deg", "90 deg"),
    default="45 deg",
    show_default=True,
    help="Half angle of the lit screen behind the bars, seen from the sample.",
)
@as_json
def sheet(
    thickness: float,
    near: float,
    far: float | None,
    contrast: float | None,
    as_json: bool,
    **bench: float,
) -> None:
    """Find what a sheet or resin passes straight and what it scatters.

    Read a light meter facing a small lamp: without the sample, with the sample touching the
    sensor (near), and with it far from the sensor behind a card with a round opening (far).
    Or print black and white bars, light them from behind, and compare a raw photo of them
    through the sample with one without it (contrast).
    """
    try:
        if far is not None and contrast is None:
            place = Bench(bench["lamp"], bench["away"], bench["opening"], bench["sensor"])
            found = from_meter(near, far, place, thickness)
        elif contrast is not None and far is None:
            found = from_target(near, contrast, bench["screen"], thickness)
        else:
            raise click.UsageError("Give --far or --contrast, and not both.")
    except ValueError as error:
        raise click.UsageError(str(error)) from None
    click.echo(to_json(found) if as_json else paragraph(_text(found), "", ""))


def _text(found: QuickSheet) -> str:
    show = Shower("metric")
    text = (
        f"Straight {show.ratio(found.straight_ratio)}, give or take "
        f"{show.ratio(found.straight_error_ratio)}; scattered {show.ratio(found.scattered_ratio)}, "
        f"give or take {show.ratio(found.scattered_error_ratio)} (one standard error, with a "
        "pocket meter good to 3 %). Write them into sheets.csv for this thickness."
    )
    if not found.straight_can_be_told:
        text += (
            " The straight share cannot be told from none, and one part in ten thousand can still "
            "show an LED: look at a bare LED through the sample."
        )
    return text
