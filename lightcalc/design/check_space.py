"""Check the piece in space: parts that hang together, and LEDs and eyes that are not inside wood.

A mistake here makes a look at the piece meaningless. Lengths that could not be read are NaN, for
which no comparison holds, so that they are no further mistake.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from lightcalc import units
from lightcalc.design.check_lines import check_lines
from lightcalc.design.fields import label, shown, suggest
from lightcalc.design.known import comes_in, known
from lightcalc.design.piece import Run, Supply
from lightcalc.design.space import (
    FACINGS,
    SAME_M,
    Block,
    Inlay,
    Mount,
    Place,
    Side,
    Space,
    Viewer,
    stood_off,
)
from lightcalc.parts.kinds import Catalogue, Sheet
from lightcalc.problems import Problems

# LEDs face across their strip; cosine of the least angle between the two.
ALONG_COSINE = 0.7
# What lies in a face, to a tenth of a millimetre, is not inside.
INSIDE_M = 1e-4
SMALLEST_AREA_M2 = 1e-6
WAYS = ("left to right", "front to back", "bottom to top")

Corner = tuple[float, ...]


def check_space(
    space: Space,
    runs: Sequence[Run],
    catalogue: Catalogue,
    problems: Problems,
    system: str = "metric",
) -> None:
    """Add every contradiction within the piece in space."""
    _check_names("blocks", [block.name for block in space.blocks], problems)
    _check_names("inlays", [inlay.name for inlay in space.inlays], problems)
    _check_names("viewers", [viewer.name for viewer in space.viewers], problems)
    for number, block in enumerate(space.blocks, start=1):
        if block.at_m[2] < -SAME_M:
            problems.add(
                f"blocks.{label(block.name, number)}.at",
                "is below the floor; the last of its three lengths is from the floor up.",
            )
    for number, inlay in enumerate(space.inlays, start=1):
        _check_inlay(
            inlay, f"inlays.{label(inlay.name, number)}", space, catalogue.sheets, problems, system
        )
    for number, viewer in enumerate(space.viewers, start=1):
        _check_viewer(viewer, f"viewers.{label(viewer.name, number)}", space, problems)
    for number, run in enumerate(runs, start=1):
        place = f"runs.{label(run.name, number)}.mounts"
        _check_names(place, [mount.name for mount in run.mounts], problems)
        for which, mount in enumerate(run.mounts, start=1):
            _check_mount(run, mount, f"{place}.{label(mount.name, which)}", space, problems)
        check_lines(run, place, catalogue.strips.get(run.strip), problems, system)


def check_supply_places(space: Space, supplies: Sequence[Supply], problems: Problems) -> None:
    """Add every pack and sensor that lies where nothing can."""
    for number, supply in enumerate(supplies, start=1):
        place = f"supplies.{label(supply.name, number)}"
        for key, at_m in (("at", supply.at_m), ("sensor_at", supply.sensor_at_m)):
            if at_m is None:
                continue
            if at_m[2] < -SAME_M:
                problems.add(
                    f"{place}.{key}",
                    "is below the floor; the last of its three lengths is from the floor up.",
                )
            if at_m[1] > _wall_m(space) + SAME_M:
                problems.add(
                    f"{place}.{key}",
                    "is behind the wall; the second of its lengths is from the front.",
                )


def block_round(space: Space, at_m: Place) -> str | None:
    """Return the name of a block that a place is inside, not just on its face, if any."""
    for block in space.blocks:
        far_m = block.far_m
        if all(block.at_m[k] + INSIDE_M < at_m[k] < far_m[k] - INSIDE_M for k in range(3)):
            return block.name
    return None


def _check_names(place: str, names: Sequence[str], problems: Problems) -> None:
    for name in sorted({name for name in names if name and names.count(name) > 1}):
        problems.add(
            place,
            f"{shown(name)} is there {names.count(name)} times; give each a name of its own.",
        )


def _check_inlay(  # noqa: PLR0917 - what it is, where, and what it is held against
    inlay: Inlay,
    place: str,
    space: Space,
    sheets: Mapping[str, Sheet],
    problems: Problems,
    system: str,
) -> None:
    known(inlay.sheet, sheets, "sheet", f"{place}.sheet", problems)
    _check_outline(inlay, f"{place}.outline", problems)
    blocks = {block.name: block for block in space.blocks if block.name}
    if not inlay.block:
        return
    if inlay.block not in blocks:
        problems.add(
            f"{place}.block",
            f"found {shown(inlay.block)}, which is no block; {suggest(inlay.block, [*blocks])}",
        )
        return
    host = blocks[inlay.block]
    if len(host.thin_axes) > 1:
        problems.add(
            f"{place}.block",
            f"{shown(host.name)} is as thin one way as another, and an inlay goes through the "
            "thinnest; make one side of the block a little thinner.",
        )
    elif host.thin_axes and not _lies_within(inlay, host):
        across = [WAYS[axis] for axis in range(3) if axis != host.thin_axes[0]]
        problems.add(
            f"{place}.outline",
            f"reaches past {shown(host.name)}; its corners are lengths {across[0]} and "
            f"{across[1]}, counted from where all else is counted from.",
        )
    _check_thickness(inlay, host, place, sheets, problems, system)


def _check_thickness(  # noqa: PLR0917 - as above
    inlay: Inlay,
    host: Block,
    place: str,
    sheets: Mapping[str, Sheet],
    problems: Problems,
    system: str,
) -> None:
    sheet, thickness_m = sheets.get(inlay.sheet), min(host.size_m)
    if sheet is None or comes_in(sheet, thickness_m):
        return
    listed = ", ".join(units.show(one_m, "length", system) for one_m in sheet.thicknesses_m)
    problems.add(
        f"{place}.sheet",
        f"{shown(host.name)} is {units.show(thickness_m, 'length', system)} thick and so is what "
        f"is let into it, but {sheet.name} comes in {listed}; draw the panel as a block as thin as "
        "that.",
    )


def _check_outline(inlay: Inlay, place: str, problems: Problems) -> None:
    corners = inlay.outline_m
    if not corners:
        return
    crossing = _crossing_sides(corners)
    if crossing:
        one, other = crossing
        problems.add(
            place,
            f"crosses itself, between corners {one + 1} and {(one + 1) % len(corners) + 1} and "
            f"corners {other + 1} and {(other + 1) % len(corners) + 1}; write the corners in the "
            "order in which you would walk round it.",
        )
    elif _area_m2(corners) < SMALLEST_AREA_M2:
        problems.add(place, "encloses nothing; write the corners of an area, in order.")


def _crossing_sides(corners: Sequence[Corner]) -> tuple[int, int] | None:
    """Return two sides of an outline that cross, by the corners they begin at."""
    count = len(corners)
    sides = [(corners[k], corners[(k + 1) % count]) for k in range(count)]
    for one, other in combinations(range(count), 2):
        (a, b), (c, d) = sides[one], sides[other]
        if _turn(a, b, c) * _turn(a, b, d) < 0.0 and _turn(c, d, a) * _turn(c, d, b) < 0.0:
            return one, other
    return None


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    """Return more than nil where a, b, c turn to the left, and nil on a line."""
    found = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return 0.0 if abs(found) < 1e-15 else found


def _area_m2(corners: Sequence[Corner]) -> float:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return abs(math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2.0


def _lies_within(inlay: Inlay, block: Block) -> bool:
    across = [axis for axis in range(3) if axis != block.thin_axes[0]]
    return not any(
        value < block.at_m[axis] - SAME_M or value > block.far_m[axis] + SAME_M
        for corner in inlay.outline_m
        for axis, value in zip(across, corner, strict=True)
    )


def _check_viewer(viewer: Viewer, place: str, space: Space, problems: Problems) -> None:
    at = viewer.at_m
    if at[2] <= 0.0:
        problems.add(f"{place}.at", "is not above the floor; an eye is.")
    for block in space.blocks:
        if all(block.at_m[k] < at[k] < block.far_m[k] for k in range(3)):
            problems.add(f"{place}.at", f"is inside {shown(block.name)}; an eye is in the open.")
    if at[1] >= _wall_m(space):
        problems.add(f"{place}.at", "is behind the wall; an eye is in front of it.")
    if viewer.looks_at_m is not None and math.dist(viewer.looks_at_m, at) < INSIDE_M:
        problems.add(f"{place}.looks_at", "is the eye's own place; write what it looks at.")


def _wall_m(space: Space) -> float:
    """Return how far back the wall is; infinite without one."""
    if space.room.wall_behind_m is None or not space.blocks:
        return math.inf
    return max(block.far_m[1] for block in space.blocks) + space.room.wall_behind_m


def _check_mount(run: Run, mount: Mount, place: str, space: Space, problems: Problems) -> None:
    if not mount.path_m or math.isnan(run.length_m):
        return
    facing = FACINGS[mount.faces]
    used = list(_used_sides(mount, run.length_m))
    if any(abs(_cosine(side.direction, facing)) > ALONG_COSINE for side in used):
        across = [word for word, way in FACINGS.items() if _lies_across(way, used)]
        problems.add(
            f"{place}.faces",
            f"found {shown(mount.faces)}, along its own path, and LEDs face across their strip; "
            f"{'allowed are: ' + ', '.join(across) if across else 'make each side its own run'}.",
        )
    _check_leds(mount, used, f"{place}.path", space, problems)


def _used_sides(mount: Mount, length_m: float) -> Iterator[Side]:
    """Sides of a line, less what the run does not reach."""
    for side in mount.sides():
        yield side if length_m >= side.length_m else Side(side.start_m, side.at(length_m))
        length_m -= side.length_m
        if not length_m > SAME_M:
            return


def _lies_across(way: Place, sides: Sequence[Side]) -> bool:
    return all(abs(_cosine(side.direction, way)) <= ALONG_COSINE for side in sides)


def _cosine(one: Place, other: Place) -> float:
    return math.fsum(a * b for a, b in zip(one, other, strict=True))


def _check_leds(
    mount: Mount, sides: Sequence[Side], place: str, space: Space, problems: Problems
) -> None:
    """LEDs stand a little off their line, and must be in the open there."""
    leds = [
        (stood_off(side.start_m, mount.faces), stood_off(side.end_m, mount.faces)) for side in sides
    ]
    if any(end[2] < 0.0 for ends in leds for end in ends):
        problems.add(place, "puts LEDs below the floor; move it up, or turn them another way.")
    if any(end[1] >= _wall_m(space) for ends in leds for end in ends):
        problems.add(place, "puts LEDs behind the wall; move it to the front, or turn them.")
    for block in space.blocks:
        if any(_enters(block, start, end) for start, end in leds):
            problems.add(
                place,
                f"puts LEDs inside {shown(block.name)}, facing {mount.faces}; a line on the face "
                "of a block has LEDs that face away from it. For a groove, draw a block on either "
                "side of it.",
            )


def _enters(block: Block, start: Place, end: Place) -> bool:
    """Return whether a straight line runs through the inside of a block (slab method)."""
    first, last = 0.0, 1.0
    for low, high, a, b in zip(block.at_m, block.far_m, start, end, strict=True):
        inner_low, inner_high = low + INSIDE_M, high - INSIDE_M
        if a == b:
            if not inner_low < a < inner_high:
                return False
            continue
        one, other = (inner_low - a) / (b - a), (inner_high - a) / (b - a)
        first, last = max(first, min(one, other)), min(last, max(one, other))
    return first < last
