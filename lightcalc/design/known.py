"""Look names of a design up in the catalogue."""

from __future__ import annotations

from collections.abc import Mapping

from lightcalc import units
from lightcalc.design.fields import shown, suggest
from lightcalc.parts.kinds import Catalogue, Sheet
from lightcalc.problems import Problems, nearest

# Sheets are sold by nominal thickness: what is called 1/8 in may be 3 mm.
NOMINAL_THICKNESS_RATIO = 0.1


def known(
    name: str | None, parts: Mapping[str, object], kind: str, place: str, problems: Problems
) -> bool:
    """Return whether the name is in the catalogue, noting it when it is not.

    No name is not in the catalogue either, and not noted here: it was optional, or noted before.
    """
    if not name:
        return False
    if name not in parts:
        problems.add(
            place,
            f"found {shown(name)}, which is no {kind} in the catalogue; {suggest(name, [*parts])}",
        )
    return name in parts


def check_fuse(name: str | None, catalogue: Catalogue, place: str, problems: Problems) -> None:
    """Note a fuse that is not in the catalogue; a rating is told with the fuses that have it."""
    try:
        rating_a = units.read(name, "current")
    except units.UnitProblem:
        known(name, catalogue.fuses, "fuse", place, problems)
        return
    rated = [fuse.name for fuse in catalogue.fuses.values() if fuse.rating_a == rating_a]
    ratings = sorted({fuse.rating_a for fuse in catalogue.fuses.values()})
    listed = ", ".join(units.show(rating, "current") for rating in ratings)
    hint = f"write one of: {', '.join(rated)}." if rated else f"ratings there are: {listed}."
    problems.add(place, f"found {shown(name)}; a fuse is written by its name; {hint}")


def check_wire(name: str | None, catalogue: Catalogue, place: str, problems: Problems) -> None:
    """Note a wire that is neither the name nor the size of one in the catalogue."""
    if not name:
        return
    try:
        find_wire_name(name, catalogue)
    except KeyError:
        problems.add(place, _no_wire(name, catalogue))


def _no_wire(name: str, catalogue: Catalogue) -> str:
    """Say what is wrong with a wire, which are allowed, and which of them is nearest."""
    areas_m2 = {wire.size.name: wire.size.area_m2 for wire in catalogue.wires.values()}
    sizes = sorted(areas_m2, key=areas_m2.__getitem__)
    hint = ""
    try:
        least_m2 = units.read_wire_size(name).area_m2
    except units.UnitProblem as problem:
        if units.is_cable(name) or "swg" in name.casefold():
            # A number of conductors, or another system's; the words say what to write, and the
            # name that looks most alike would be another wire.
            return str(problem)
        near = nearest(name, (*catalogue.wires, *sizes))
        hint = f" Did you mean {near}?" if near else ""
    else:
        thicker = next((size for size in sizes if areas_m2[size] >= least_m2), None)
        if sizes:
            hint = (
                f" The next thicker is {thicker}." if thicker else f" The thickest is {sizes[-1]}."
            )
    return (
        f"found {shown(name)}, which is no wire in the catalogue; allowed are: "
        f"{', '.join(sizes)}, or the name of a wire.{hint}"
    )


def find_wire_name(name: str, catalogue: Catalogue) -> str:
    """Return the name of the catalogue's wire of this name or size; KeyError when there is none."""
    if name in catalogue.wires:
        return name
    try:
        size = units.read_wire_size(name)
    except units.UnitProblem:
        raise KeyError(name) from None
    for wire in catalogue.wires.values():
        if wire.size.name == size.name:
            return wire.name
    raise KeyError(name)


def comes_in(sheet: Sheet, thickness_m: float) -> bool:
    """Return whether a sheet is sold so thick, or is cast to any thickness.

    A thickness that could not be read is no further mistake.
    """
    sold_m = sheet.thicknesses_m
    return not sold_m or not all(
        abs(thickness_m - one_m) > NOMINAL_THICKNESS_RATIO * one_m for one_m in sold_m
    )
