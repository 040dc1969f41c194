"""Check that joints, connectors and fasteners a design names are there and fit each other."""

from __future__ import annotations

from collections import Counter

from lightcalc.design.check_space import block_round
from lightcalc.design.fields import label, shown, suggest
from lightcalc.design.known import known
from lightcalc.design.piece import Design, Supply
from lightcalc.design.service import Crossing
from lightcalc.design.space import Space
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import Problems
from lightcalc.tables.fasteners import fasteners


def check_service(design: Design, catalogue: Catalogue, problems: Problems) -> None:
    """Add every joint named twice or by nothing, and every key that says nothing there."""
    for name, times in Counter(joint.name for joint in design.joints).items():
        if name and times > 1:
            problems.add("joints", f"found {shown(name)} {times} times; give each its own name.")
    names = [joint.name for joint in design.joints if joint.name]
    for place, crossing, has_connector in _crossings(design):
        _check_crossing(crossing, place, names, has_connector, problems)
        known(crossing.connector, catalogue.connectors, "connector", f"{place}.connector", problems)
    for number, supply in enumerate(design.supplies, start=1):
        place = f"supplies.{label(supply.name, number)}"
        _check_held(supply, place, catalogue, problems)
        _check_sensor(supply, f"{place}.sensor_at", design.space, catalogue, problems)


def _crossings(design: Design) -> list[tuple[str, Crossing, bool]]:
    """Return the place of each lead in the file, what it crosses, and whether it has a plug."""
    found = []
    for number, supply in enumerate(design.supplies, start=1):
        place = f"supplies.{label(supply.name, number)}"
        found.append((place, supply.crossing, bool(supply.connectors)))
    for number, trunk in enumerate(design.trunks, start=1):
        place = f"trunks.{label(trunk.name, number)}"
        found.append((place, trunk.crossing, trunk.crossing.connector is not None))
    for number, run in enumerate(design.runs, start=1):
        for feed_number, feed in enumerate(run.feeds, start=1):
            crossing = feed.lead.crossing
            place = f"runs.{label(run.name, number)}.feeds.{feed_number}"
            found.append((place, crossing, crossing.connector is not None))
    return found


def _check_crossing(
    crossing: Crossing, place: str, names: list[str], has_connector: bool, problems: Problems
) -> None:
    for name in crossing.joints:
        if name not in names:
            hint = suggest(name, names) if names else "there are no [[joints]]."
            problems.add(f"{place}.crosses", f"found {shown(name)}, which is no joint; {hint}")
    if crossing.side and not (crossing.joints and has_connector):
        problems.add(
            f"{place}.connector_side",
            "stands alone; it is the side of a joint on which the connector hangs. Name the joint "
            "under crosses and a connector, or take it out.",
        )


def _check_held(supply: Supply, place: str, catalogue: Catalogue, problems: Problems) -> None:
    service = supply.service
    if service.sealed and service.reach:
        problems.add(
            f"{place}.sealed",
            f"is true, and reach says {shown(service.reach)}; take one of the two out.",
        )
    counted_by = fasteners()[service.held_by].counted_by if service.held_by else None
    for key, given, kind in (
        ("held_area", service.held_area_m2, "area"),
        ("held_count", service.held_count, "count"),
    ):
        if given is None or counted_by == kind:
            continue
        fitting = [name for name, one in fasteners().items() if one.counted_by == kind]
        problems.add(
            f"{place}.{key}",
            f"goes with held_by = {' or '.join(shown(name) for name in fitting)}; take it out or "
            "write that.",
        )
    controller = catalogue.controllers.get(supply.controller or "")
    worked = controller is not None and controller.kind == "receiver"
    for key, said in (
        ("sees_user", service.sees_user is not None),
        ("remote", service.remote != ""),
        ("remote_code", service.remote_code is not None),
    ):
        if said and not worked and (controller or not supply.controller):
            problems.add(
                f"{place}.{key}",
                "goes with a receiver; name one as the controller, or take it out.",
            )


def _check_sensor(
    supply: Supply, place: str, space: Space, catalogue: Catalogue, problems: Problems
) -> None:
    """Check that a sensor is one of a controller, and in the open unless it works by radio."""
    if supply.sensor_at_m is None:
        return
    if not supply.controller:
        problems.add(
            place,
            "goes with a controller, whose eye, aerial or knob lies there; name one, or take it "
            "out.",
        )
        return
    controller = catalogue.controllers.get(supply.controller)
    block = block_round(space, supply.sensor_at_m)
    if controller and controller.remote != "radio" and block is not None:
        noun = controller.sensor
        problems.add(
            place,
            f"is inside {shown(block)}; the {noun} of {controller.name} lies on a face of the "
            "wood, or behind a hole in it: write where the hole opens.",
        )
