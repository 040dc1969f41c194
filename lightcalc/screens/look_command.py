"""The verb `look`: findings on the screen, pictures and maps of light in a folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightcalc.design.read import read_design
from lightcalc.screens.json_door import to_json
from lightcalc.screens.options import as_json, catalogue_folder, example

if TYPE_CHECKING:
    from lightcalc.answers.look import Looked


@click.command(
    epilog=example(
        "lightcalc look hall-bench.toml",
        "lightcalc look hall-bench.toml --compare --out pictures",
    )
)
@click.argument("design", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for pictures and maps; without it one beside you, named after the design.",
)
@click.option("--mount", default=1, type=click.IntRange(1, 20), help="Which mount of each run.")
@click.option("--compare", is_flag=True, help="Every mount of the runs, side by side.")
@click.option("--no-pictures", is_flag=True, help="Findings only; write nothing.")
@catalogue_folder
@as_json
def look(  # noqa: PLR0917 - click passes every option by name
    design: Path,
    out: Path | None,
    mount: int,
    compare: bool,
    no_pictures: bool,
    catalogue_folder: Path | None,
    as_json: bool,
) -> None:
    """See a DESIGN before it is glued: what each eye sees, dots, and the glow.

    Writes a picture from each eye (PNG) and the light on floor and wall (CSV). The design says
    where its blocks and runs are; see the README.
    """
    # Only this verb needs the light of a whole room, and start-up must stay light.
    from lightcalc.answers.look import look as look_at  # noqa: PLC0415
    from lightcalc.screens.look_sheet import look_sheet, mounts_table  # noqa: PLC0415

    drawn, catalogue = read_design(design, catalogue_folder)
    most = max((len(run.mounts) for run in drawn.runs), default=0)
    numbers = range(most) if compare else (mount - 1,)
    found = []
    for number in numbers:
        chosen = {r.name: min(number, len(r.mounts) - 1) for r in drawn.runs if r.mounts}
        found.append(look_at(drawn, catalogue, mounts=chosen, faces=not no_pictures))
    if not found:
        found = [look_at(drawn, catalogue)]
    looks = [looked.look for looked in found]
    if as_json:
        click.echo(to_json({"looks": looks}))
    elif compare:
        click.echo(mounts_table(looks))
    else:
        click.echo(look_sheet(looks[0]))
    if not no_pictures:
        folder = out or Path(f"{design.stem}-look")
        for number, looked in zip(numbers, found, strict=True):
            place = folder / f"mount-{number + 1}" if compare else folder
            _write(looked, place)
        click.echo(f"Pictures and maps are in {folder}.", err=True)


def _write(looked: Looked, folder: Path) -> None:
    from lightcalc.physics.picture import picture, stage  # noqa: PLC0415
    from lightcalc.physics.tone import adaptation_cd_m2, screen_bytes  # noqa: PLC0415
    from lightcalc.screens.light_csv import light_csv  # noqa: PLC0415
    from lightcalc.screens.png import png_bytes  # noqa: PLC0415

    folder.mkdir(parents=True, exist_ok=True)
    ready = stage(looked.scene, looked.light)
    for eye in looked.scene.eyes:
        seen = picture(ready, eye)
        pixels = screen_bytes(seen, adaptation_cd_m2(seen))
        (folder / f"{_file_name(eye.name)}.png").write_bytes(png_bytes(pixels))
    maps = {"floor": looked.light.floor, "wall": looked.light.wall}
    for name, light in maps.items():
        if light is not None:
            text = light_csv(light)
            (folder / f"light-on-{name}.csv").write_text(text, encoding="utf-8")


def _file_name(name: str) -> str:
    """Return a name that every file system takes, and that cannot leave the folder.

    >>> _file_name("seated, in front/../x")
    'seated-in-front-x'
    """
    letters = "".join(sign if sign.isalnum() else " " for sign in name.casefold())
    return "-".join(letters.split())[:60] or "eye"
