"""Check that the lines a run may lie on are long enough for what is cut of it."""

from __future__ import annotations

import math

from lightcalc import units
from lightcalc.design.cutting import cut_units
from lightcalc.design.fields import label
from lightcalc.design.piece import Run
from lightcalc.design.space import Mount
from lightcalc.design.stretch import LONGER_THAN_PATH, written_like
from lightcalc.parts.kinds import Strip
from lightcalc.problems import Problems


def check_lines(
    run: Run, place: str, strip: Strip | None, problems: Problems, system: str = "metric"
) -> None:
    """Add one mistake for all lines that a run does not fit on, with the two ways to mend it.

    `place` is that of the run's mounts. A line that is as long as what is cut of the strip will do.
    """
    if math.isnan(run.length_m):
        return
    needed_m = run.length_m
    if strip is not None and not math.isnan(strip.cut_unit_m):
        needed_m = min(needed_m, cut_units(run.length_m, strip) * strip.cut_unit_m)
    short = {
        label(mount.name, number): mount
        for number, mount in enumerate(run.mounts, start=1)
        if mount.path_m and not needed_m <= mount.length_m * LONGER_THAN_PATH
    }
    if not short:
        return
    least = min(short.values(), key=lambda mount: mount.length_m)
    told = units.show(least.length_m, "length", system), units.show(run.length_m, "length", system)
    ends = {name: _end(mount, run.length_m, system) for name, mount in short.items()}
    if len(short) == 1:
        ((name, end),) = ends.items()
        where, begins = f"{place}.{name}.path", f"is {told[0]} long and the run {told[1]}"
        at = f"end the line at {end}"
    else:
        where, begins = place, f"the shortest line is {told[0]} long and the run {told[1]}"
        at = "end the lines at " + ", ".join(f"{end} ({name})" for name, end in ends.items())
    if not least.length_m:
        problems.add(where, f"{begins}; write where the line ends.")
        return
    length = written_like(least.length_m, _unit(system))
    problems.add(where, f'{begins}; write length = "{length}", or {at}.')


def _end(mount: Mount, length_m: float, system: str) -> str:
    """Return where a line of that length ends that goes on the way its last side does."""
    sides = mount.sides()
    if not sides:
        return "another place"
    last = sides[-1]
    more_m = length_m - mount.length_m
    places = [b + more_m * way for b, way in zip(last.end_m, last.direction, strict=True)]
    written = ", ".join(f'"{written_like(place_m, _unit(system))}"' for place_m in places)
    return f"[{written}]"


def _unit(system: str) -> str:
    return "1 in" if system == "inch" else "1 mm"
