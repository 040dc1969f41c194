"""Read a design file (TOML) and report every mistake in it in one go."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

from lightcalc.design.check import check_against_catalogue
from lightcalc.design.fields import POSITIVE, SHARE, Limits, Section
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
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import BadInput, Problem, Problems
from lightcalc.tables.mountings import mounting_names

FORMAT = 1
LARGEST_FILE_BYTES = 1_000_000
EVENING = Limits(low=0.0, high=86_400.0, open_low=True)
ROOM_TEMPERATURE = Limits(low=-20.0, high=60.0)
LEVEL = Limits(low=0.0, high=1.0, open_low=True)
HEALTH = Limits(low=0.2, high=1.0)


def read_design(path: Path, catalogue: Catalogue) -> Design:
    """Read and check the design in `path`; its parts must be in `catalogue`.

    Raises BadInput with every mistake found: unreadable fields, unknown keys, names that nothing
    bears, and parts that cannot work together (see `lightcalc.design.check`).
    """
    return read_design_table(load_toml(path), catalogue, path)


def load_toml(path: Path) -> dict[str, Any]:
    """Return the raw tables of a TOML file; BadInput says why it cannot be read."""
    name = path.name
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise BadInput([Problem(name, "", "is larger than 1 MB; a design is a few pages.")])
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        reason = error.strerror or "it cannot be opened"
        raise BadInput([Problem(str(path), "", f"cannot be read: {reason}.")]) from None
    except UnicodeDecodeError:
        raise BadInput([Problem(name, "", "is not UTF-8 text; save it as UTF-8.")]) from None
    except tomllib.TOMLDecodeError as error:
        sentence = f"is not a readable TOML file: {error}. Texts stand in quotes, one key a line."
        raise BadInput([Problem(name, "", sentence)]) from None
    except RecursionError:
        raise BadInput([Problem(name, "", "is nested too deep to be a design.")]) from None


def read_design_table(table: dict[str, Any], catalogue: Catalogue, path: Path) -> Design:
    """Turn the raw tables of a design file into a checked Design."""
    problems = Problems(path.name)
    top = Section(table, "", problems)
    _read_format(top)
    top.optional_text("catalogue", "../my parts")
    supplies = tuple(_read_supply(section) for section in top.sections("supplies", required=True))
    trunks = tuple(_read_trunk(section) for section in top.sections("trunks"))
    only = supplies[0].name if len(supplies) == 1 else None
    runs = tuple(_read_run(section, only) for section in top.sections("runs", required=True))
    design = Design(
        piece=_read_piece(top.section("piece", required=True)),
        runs=runs,
        supplies=supplies,
        trunks=trunks,
        use=_read_use(top.section("use", required=True)),
        ask=_read_ask(top.section("ask")),
        system=top.choice("units", ("metric", "inch"), "metric"),
        file=path,
    )
    top.close()
    check_against_catalogue(design, catalogue, problems)
    problems.raise_if_any()
    return design


def _read_format(top: Section) -> None:
    version = top.count("format", Limits(low=1, high=1_000_000), FORMAT)
    if version > FORMAT:
        top.problems.add(
            "format", f"this file has format {version:g}; this lightcalc reads up to {FORMAT}."
        )


def _read_piece(section: Section) -> Piece:
    piece = Piece(
        name=section.text("name", "Hall table"),
        height_m=section.quantity("height", "length", "46 cm", default=None),
        notes=section.text("notes", "oak, oiled", default=""),
    )
    section.close()
    return piece


def _read_trunk(section: Section) -> Lead:
    lead = Lead(
        name=section.text("name", "trunk"),
        length_m=section.quantity("length", "length", "80 cm"),
        wire=section.optional_text("wire", "18 AWG"),
        parent=section.optional_text("from", "another trunk"),
    )
    section.close()
    return lead


def _read_feed(section: Section, run_name: str, run_length_m: float, number: int) -> Feed:
    at = section.table.get("at", "start")
    named = {"start": 0.0, "middle": run_length_m / 2, "end": run_length_m}
    if isinstance(at, str) and at.strip() in named:
        section.used.add("at")
        at_m = named[at.strip()]
    else:
        at_m = section.quantity("at", "length", "start", Limits(low=0.0))
    if at_m > run_length_m:
        section.problems.add(
            section.place("at"), f'found "{at}"; the run ends before that. Write "end" or less.'
        )
    lead = Lead(
        name=f"{run_name} feed {number}",
        length_m=section.quantity("lead", "length", "60 cm"),
        wire=section.optional_text("wire", "20 AWG"),
        parent=section.optional_text("from", "trunk"),
    )
    section.close()
    return Feed(at_m, lead)


def _read_run(section: Section, only_supply: str | None) -> Run:
    name = section.text("name", "front rail")
    length_m = section.quantity("length", "length", "1.6 m")
    feeds = tuple(
        _read_feed(feed, name, length_m, number)
        for number, feed in enumerate(section.sections("feeds", required=True), start=1)
    )
    run = Run(
        name=name,
        strip=section.text("strip", "strip-12v-warm"),
        length_m=length_m,
        feeds=feeds,
        supply=section.text("supply", "main", default=only_supply),
        where=section.text("where", "inside the front rail", default=""),
        mounting=section.choice("mounting", mounting_names(), "bare on wood"),
        seen=tuple(_read_seen(seen) for seen in section.sections("seen")),
    )
    section.close()
    return run


def _read_seen(section: Section) -> Seen:
    seen = Seen(
        surface=section.text("surface", "floor"),
        distance_m=section.quantity("distance", "length", "25 mm"),
        viewer_distance_m=section.quantity("viewer", "length", "1.5 m", default=1.5),
        sheet=section.optional_text("sheet", "sheet-opal-3"),
        thickness_m=section.quantity("thickness", "length", "3 mm", default=None),
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
        output_v=section.quantity("output", "voltage", "12 V", default=None),
        pack_multiple=int(section.count("pack_multiple", Limits(low=1, high=16), 1)),
        pack_lead_m=section.quantity("pack_lead", "length", "15 cm", default=0.15),
        pack_wire=section.optional_text("pack_wire", "18 AWG"),
        pack_fuse=section.optional_text("pack_fuse", "blade-3a"),
        fuse=section.optional_text("fuse", "blade-2a"),
        connectors=section.texts("connectors", "plug-2p"),
        health_ratio=section.quantity("health", "ratio", "100 %", HEALTH, default=1.0),
        near=section.texts("near", "resin"),
        switched_off=section.flag("switched_off"),
    )
    section.close()
    return supply


def _read_use(section: Section) -> Use:
    use = Use(
        stretches=tuple(
            _read_stretch(item) for item in section.sections("evening", required=True)
        ),
        evenings_a_week=section.count(
            "evenings_a_week", Limits(low=0.0, high=7.0, open_low=True), 7.0, whole=False
        ),
        temperature_c=section.quantity(
            "temperature", "temperature", "20 degC", ROOM_TEMPERATURE, default=20.0
        ),
        room_lux=section.quantity("room", "illuminance", "50 lx", Limits(low=0.0), default=50.0),
    )
    total_s = math.fsum(stretch.duration_s for stretch in use.stretches)
    if total_s > EVENING.high:
        section.problems.add(section.place("evening"), "the stretches add up to more than 24 h.")
    section.close()
    return use


def _read_stretch(section: Section) -> Stretch:
    mix = section.section("mix")
    stretch = Stretch(
        level_ratio=section.quantity("level", "ratio", "60 %", LEVEL),
        duration_s=section.quantity("time", "time", "3 h", EVENING),
        mix=tuple((str(key), mix.quantity(key, "ratio", "50 %", SHARE)) for key in mix.table),
    )
    section.close()
    return stretch


def _read_ask(section: Section) -> Ask:
    ask = Ask(
        charge_s=section.quantity("hours_a_charge", "time", "12 h", POSITIVE, default=None),
        light_fall_ratio=section.quantity("light_fall", "ratio", "10 %", SHARE, default=0.10),
        lead_drop_ratio=section.quantity("lead_drop", "ratio", "3 %", LEVEL, default=0.03),
    )
    section.close()
    return ask
