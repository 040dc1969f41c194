"""Read a design file (TOML) and report every mistake in it in one go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from lightcalc import units
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.check_leads import check_names_and_leads
from lightcalc.design.fields import SHARE, Limits, Section, clean, shown
from lightcalc.design.find import read_find
from lightcalc.design.load import load_toml
from lightcalc.design.piece import (
    Ask,
    Design,
    Feed,
    Lead,
    Piece,
    Run,
    Seen,
    Stretch,
    Supply,
    Use,
)
from lightcalc.design.read_service import read_crossing, read_joints, read_service
from lightcalc.design.read_space import ANYWHERE, read_mounts, read_space
from lightcalc.parts.catalogue import read_catalogue
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import BadInput, Problems
from lightcalc.tables.mountings import mounting_names

FORMAT = 1
# Wider than any furniture, and narrow enough that a wrong unit shows.
HEIGHT = Limits(0.01, 20.0)
LENGTH = Limits(0.001, 100.0)
AT = Limits(0.0, LENGTH.high)
THICKNESS = Limits(0.0001, 0.5)
VOLTS = Limits(0.5, 1000.0)
STRETCH = Limits(1.0, 86_400.0)
A_CHARGE = Limits(60.0, 31_557_600.0)
ROOM_TEMPERATURE = Limits(-20.0, 60.0)
ROOM_LIGHT = Limits(0.0, 200_000.0)
LEVEL = Limits(0.001, 1.0)
HEALTH = Limits(0.2, 1.0)
EVENINGS = Limits(0.02, 7.0)

# Parts of a design, as a maker would write them.
PIECE = '[piece] on a line, and under it name = "Hall table"'
USE = '[use] on a line, and under it evening = [{ level = "60 %", time = "3 h" }]'
ASK = '[ask] on a line, and under it hours_a_charge = "12 h"'
RUN = '[[runs]] on a line, and under it name = "front rail"'
SUPPLY = '[[supplies]] on a line, and under it name = "main"'
TRUNK = '[[trunks]] on a line, and under it name = "trunk"'
SEEN = '[[runs.seen]] under its run, and under that surface = "floor"'
FEED = 'feeds = [{ at = "start", lead = "45 cm" }]'
EVENING = 'evening = [{ level = "60 %", time = "3 h" }]'
MIX = 'mix = { red = "50 %" }'
AT_WORDS = ' Or write "start", "middle" or "end".'


def read_design(path: Path, folder: Path | None = None) -> tuple[Design, Catalogue]:
    """Read the design in `path` and the catalogue of its parts.

    The catalogue is in `folder`, else in the one that the design names, else beside the design.
    Raises BadInput with every mistake in both: unreadable fields, unknown keys, names that nothing
    bears, and parts that cannot work together (see `lightcalc.design.check`).
    """
    problems = Problems(path.name)
    table = load_toml(path, problems)
    design = _read_fields(table, path, problems)
    try:
        catalogue = _catalogue_of(table, path, folder)
    except BadInput as bad:
        raise BadInput([*problems.found, *bad.problems]) from None
    check_against_catalogue(design, catalogue, problems)
    problems.raise_if_any()
    return design, catalogue


def read_design_table(table: dict[str, Any], catalogue: Catalogue, path: Path) -> Design:
    """Turn the raw tables of a design file into a checked Design; BadInput as `read_design`."""
    problems = Problems(path.name)
    design = _read_fields(table, path, problems)
    check_against_catalogue(design, catalogue, problems)
    problems.raise_if_any()
    return design


def _catalogue_of(table: dict[str, Any], path: Path, folder: Path | None) -> Catalogue:
    """Read the catalogue; a folder that holds none of it is one mistake, not one for each file."""
    named = table.get("catalogue")
    place = folder or (path.parent / named if isinstance(named, str) else path.parent)
    if folder is None and not _is_file(place / "catalogue.toml"):
        where = "is missing" if named is None else f"found {shown(named)}"
        Problems(path.name).fail(
            "catalogue",
            f"{where}, and there is no catalogue.toml in {clean(str(place), 200)}; write the "
            'folder of the parts as seen from the design, such as catalogue = "../my parts"',
        )
    return read_catalogue(place)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name no file can have
        return False


def _read_fields(table: dict[str, Any], path: Path, problems: Problems) -> Design:
    """Read every field; what cannot be read holds a placeholder and is noted in `problems`."""
    if "readings" in table and "runs" not in table:
        problems.fail(
            "", "holds readings and no design; the design comes first: bench DESIGN READINGS"
        )
    top = Section(table, "", problems)
    top.format(FORMAT)
    top.system = top.choice("units", ("metric", "inch"), "metric")
    top.optional_text("catalogue", "../my parts")
    supplies = tuple(
        _read_supply(section) for section in top.sections("supplies", SUPPLY, required=True)
    )
    trunks = tuple(_read_trunk(section) for section in top.sections("trunks", TRUNK))
    names = [supply.name for supply in supplies]
    runs = tuple(_read_run(section, names) for section in top.sections("runs", RUN, required=True))
    design = Design(
        piece=_read_piece(top.section("piece", PIECE, required=True)),
        runs=runs,
        supplies=supplies,
        trunks=trunks,
        joints=read_joints(top),
        use=_read_use(top.section("use", USE, required=True)),
        ask=_read_ask(top.section("ask", ASK)),
        find=read_find(top),
        space=read_space(top),
        system=top.system,
        file=path,
    )
    top.close()
    check_names_and_leads(design, problems)
    return design


def _read_piece(section: Section) -> Piece:
    piece = Piece(
        name=section.text("name", "Hall table", default=None if section.present else ""),
        height_m=section.quantity("height", "length", "46 cm", HEIGHT, default=None),
        notes=section.text("notes", "oak, oiled", default=""),
    )
    section.close()
    return piece


def _read_trunk(section: Section) -> Lead:
    lead = Lead(
        name=section.text("name", "trunk"),
        length_m=section.quantity("length", "length", "80 cm", LENGTH),
        wire=section.optional_text("wire", "18 AWG"),
        parent=section.optional_text("from", "another trunk"),
        crossing=read_crossing(section),
    )
    section.close()
    return lead


def _read_at(section: Section, run_length_m: float) -> float:
    """Return where a feed is soldered, metres from the start of its run."""
    at = section.table.get("at")
    at = "start" if at is None else at
    named = {"start": 0.0, "middle": run_length_m / 2, "end": run_length_m}
    if isinstance(at, str) and at.strip().casefold() in named:
        section.used.add("at")
        return named[at.strip().casefold()]
    at_m = float(section.quantity("at", "length", "start", AT, hint=AT_WORDS))
    if at_m > run_length_m:
        length = units.show(run_length_m, "length", section.system)
        section.note("at", f'found {shown(at)}; the run is {length} long. Write "end" or less.')
    return at_m


def _read_feed(section: Section, run_name: str, run_length_m: float, number: int) -> Feed:
    lead = Lead(
        name=f"{run_name} feed {number}",
        length_m=section.quantity("lead", "length", "60 cm", LENGTH),
        wire=section.optional_text("wire", "20 AWG"),
        parent=section.optional_text("from", "trunk"),
        crossing=read_crossing(section),
    )
    feed = Feed(_read_at(section, run_length_m), lead)
    section.close()
    return feed


def _read_run(section: Section, supplies: Sequence[str]) -> Run:
    # With one supply, or none that could be read, a run need not name it.
    only = None if len(supplies) > 1 else "".join(supplies)
    name = section.text("name", "front rail")
    length_m = section.quantity("length", "length", "1.6 m", LENGTH)
    feeds = tuple(
        _read_feed(feed, name, length_m, number)
        for number, feed in enumerate(section.sections("feeds", FEED, required=True), start=1)
    )
    run = Run(
        name=name,
        strip=section.text("strip", "strip-12v-warm"),
        length_m=length_m,
        feeds=feeds,
        supply=section.text("supply", "".join(supplies[:1]) or "main", default=only),
        where=section.text("where", "inside the front rail", default=""),
        mounting=section.choice("mounting", mounting_names(), "bare on wood"),
        seen=tuple(_read_seen(seen) for seen in section.sections("seen", SEEN)),
        mounts=read_mounts(section),
    )
    section.close()
    return run


def _read_seen(section: Section) -> Seen:
    seen = Seen(
        surface=section.text("surface", "floor"),
        distance_m=section.quantity("distance", "length", "25 mm", LENGTH),
        viewer_distance_m=section.quantity("viewer", "length", "1.5 m", LENGTH, default=1.5),
        sheet=section.optional_text("sheet", "sheet-opal-3"),
        thickness_m=section.quantity("thickness", "length", "3 mm", THICKNESS, default=None),
        reflectance_ratio=section.quantity("reflectance", "ratio", "30 %", SHARE, default=0.3),
    )
    section.close()
    return seen


def _read_supply(section: Section) -> Supply:
    supply = Supply(
        name=section.text("name", "main"),
        pack=section.text("pack", "liion-3s-5200"),
        converter=section.optional_text("converter", "buck-12v-3a"),
        controller=section.optional_text("controller", "dimmer-1ch"),
        output_v=section.quantity("output", "voltage", "12 V", VOLTS, default=None),
        pack_multiple=int(section.count("pack_multiple", Limits(1, 16), 1)),
        pack_lead_m=section.quantity("pack_lead", "length", "15 cm", LENGTH, default=0.15),
        pack_wire=section.optional_text("pack_wire", "18 AWG"),
        pack_fuse=section.optional_text("pack_fuse", "blade-3a"),
        fuse=section.optional_text("fuse", "blade-2a"),
        connectors=section.texts("connectors", "plug-2p"),
        health_ratio=section.quantity("health", "ratio", "100 %", HEALTH, default=1.0),
        near=section.texts("near", "resin"),
        switched_off=section.flag("switched_off"),
        at_m=section.optional_place_m("at", ANYWHERE),
        sensor_at_m=section.optional_place_m("sensor_at", ANYWHERE),
        crossing=read_crossing(section, own_connector=False),
        service=read_service(section),
    )
    section.close()
    return supply


def _read_use(section: Section) -> Use:
    evening = section.sections("evening", EVENING, required=section.present)
    use = Use(
        stretches=tuple(_read_stretch(item) for item in evening),
        evenings_a_week=section.count("evenings_a_week", EVENINGS, 7.0, whole=False),
        temperature_c=section.quantity(
            "temperature", "temperature", "20 degC", ROOM_TEMPERATURE, default=20.0
        ),
        room_lux=section.quantity("room", "illuminance", "50 lx", ROOM_LIGHT, default=50.0),
    )
    total_s = math.fsum(stretch.duration_s for stretch in use.stretches)
    if total_s > STRETCH.high:
        section.note(
            "evening",
            f"its stretches add up to {total_s / 3600.0:.4g} h; an evening has at most 24 h.",
        )
    section.close()
    return use


def _read_stretch(section: Section) -> Stretch:
    mix = section.section("mix", MIX)
    stretch = Stretch(
        level_ratio=section.quantity("level", "ratio", "60 %", LEVEL),
        duration_s=section.quantity("time", "time", "3 h", STRETCH),
        mix=tuple((str(key), mix.quantity(key, "ratio", "50 %", SHARE)) for key in mix.table),
    )
    section.close()
    return stretch


def _read_ask(section: Section) -> Ask:
    ask = Ask(
        charge_s=section.quantity("hours_a_charge", "time", "12 h", A_CHARGE, default=None),
        light_fall_ratio=section.quantity("light_fall", "ratio", "10 %", SHARE, default=0.10),
        lead_drop_ratio=section.quantity("lead_drop", "ratio", "3 %", LEVEL, default=0.03),
    )
    section.close()
    return ask
