"""The verb `look`: findings on the screen, pictures and maps of light in a folder."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightcalc.design.read import read_design
from lightcalc.files import put_file
from lightcalc.screens.json_door import to_json
from lightcalc.screens.layout import printable
from lightcalc.screens.options import as_json, catalogue_folder, example
from lightcalc.screens.waiting import Waiting

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lightcalc.answers.look.look import Looked
    from lightcalc.design.piece import Design


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
    where its blocks and runs are; see the README. The pictures of an eye have one exposure, so
    that mounts can be compared.
    """
    # Only this verb needs the light of a whole room, and start-up must stay light.
    from lightcalc.answers.look.look import look as look_at  # noqa: PLC0415
    from lightcalc.screens.look_sheet import look_sheet, mounts_table  # noqa: PLC0415

    drawn, catalogue = read_design(design, catalogue_folder)
    most = max((len(run.mounts) for run in drawn.runs), default=0)
    numbers = list(range(most) if compare and most else [mount - 1])
    found: list[Looked] = []
    with Waiting("Looking at each way to mount it") as waiting:
        for number in numbers:
            waiting.at(len(found), len(numbers))
            mounts = each_in(drawn, number, most)
            found.append(look_at(drawn, catalogue, mounts=mounts, faces=not no_pictures))
    looks = [looked.look for looked in found]
    if as_json:
        click.echo(to_json({"looks": looks}))
    else:
        click.echo(mounts_table(looks) if compare else look_sheet(looks[0]))
    if not no_pictures:
        folder = out or Path(f"{design.stem}-look")
        names = [f"mount-{number + 1}" if compare else "." for number in numbers]
        _write(found, [folder / name for name in names])
        click.echo(printable(f"Pictures and maps are in {folder}."), err=True)


def each_in(design: Design, number: int, most: int) -> dict[str, int]:
    """Put every run in the mount of that number; a run that has fewer stays in its last."""
    last = number < most
    return {
        run.name: min(number, len(run.mounts) - 1) if last else number
        for run in design.runs
        if run.mounts
    }


def _write(found: Sequence[Looked], folders: Sequence[Path]) -> None:
    """Write pictures and maps; the pictures of an eye all as it sees them adapted to the first."""
    from lightcalc.screens.eye_pictures import eye_pictures  # noqa: PLC0415
    from lightcalc.screens.light_csv import light_csv  # noqa: PLC0415

    adapted_to: dict[str, float] = {}
    names = _file_names([eye.name for eye in found[0].scene.eyes])
    done, of = 0, len(names) * len(found)
    with Waiting("Drawing what each eye sees") as waiting:
        for looked, folder in zip(found, folders, strict=True):
            folder.mkdir(parents=True, exist_ok=True)
            waiting.at(done, of)
            for eye, png in eye_pictures(looked, adapted_to):
                put_file(folder / f"{names[eye]}.png", png)
                done += 1
                waiting.at(done, of)
            for name, light in (("floor", looked.light.floor), ("wall", looked.light.wall)):
                if light is not None:
                    put_file(folder / f"light-on-{name}.csv", light_csv(light).encode())


def _file_names(eyes: Sequence[str]) -> dict[str, str]:
    """Return a file name for each eye, no two alike, not even where capitals are not told apart.

    >>> _file_names(["Sofa", "sofa", "sofa 2"])
    {'Sofa': 'sofa', 'sofa': 'sofa-2', 'sofa 2': 'sofa-2-2'}
    """
    names: dict[str, str] = {}
    for eye in eyes:
        name, number = _file_name(eye), 1
        while name in names.values():
            number += 1
            name = f"{_file_name(eye)}-{number}"
        names[eye] = name
    return names


def _file_name(name: str) -> str:
    """Return a name that every file system takes, and that cannot leave the folder.

    >>> _file_name("seated, in front/../x")
    'seated-in-front-x'
    """
    letters = "".join(sign if sign.isalnum() else " " for sign in name.casefold())
    return "-".join(letters.split())[:60] or "eye"
