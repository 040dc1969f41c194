"""What a field that chooses has on offer, and how each is described while one searches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from lightcalc.answers.words import Shower
from lightcalc.design.edit import value_at
from lightcalc.design.find import MERITS, OPEN
from lightcalc.design.service import BOTH_SIDES, BOXES, SIDES
from lightcalc.parts.catalogue import KINDS
from lightcalc.parts.kinds import (
    Catalogue,
    Connector,
    Controller,
    Converter,
    Fuse,
    Pack,
    Part,
    Sheet,
    Strip,
)
from lightcalc.screens.page.desk import Desk, Side
from lightcalc.screens.page.form_fields import FormField
from lightcalc.tables.fasteners import fasteners
from lightcalc.tables.mountings import mounting_names

LONGEST_NAME = 60
# What has the same choices in every design and catalogue.
_WORDS: dict[str, Callable[[], list[str]]] = {
    "units": lambda: ["metric", "inch"],
    "mountings": lambda: list(mounting_names()),
    "fasteners": lambda: list(fasteners()),
    "boxes": lambda: list(BOXES),
    "sides": lambda: list(SIDES),
    "reached": lambda: [*SIDES, BOTH_SIDES],
    "open": lambda: list(OPEN),
    "merits": lambda: list(MERITS),
}


def choices_for(desk: Desk, side: Side, choices: str) -> list[str]:
    """Return what is on offer: names of parts, of supplies or trunks, or fixed words."""
    if choices in _WORDS:
        return _WORDS[choices]()
    if choices in KINDS:
        catalogue = desk.outcome(side).catalogue
        return list(getattr(catalogue, choices)) if catalogue else []
    named = value_at(desk.tables(side) or {}, (choices,))
    if not isinstance(named, list):
        return []
    names = [entry.get("name") for entry in named if isinstance(entry, dict)]
    return list(dict.fromkeys(name for name in names if isinstance(name, str) and name))


def described(desk: Desk, side: Side, field: FormField, name: str) -> str:
    """Return a choice with what its part is, so that a search finds volts and kinds too."""
    if not name:
        return field.empty or "none"
    shown = name[:LONGEST_NAME]
    catalogue = desk.outcome(side).catalogue
    part = _part(catalogue, field.choices, name)
    if part is None:
        return shown
    good = desk.last_good(side)
    show = Shower(good.design.system if good and good.design else "metric")
    return f"{shown}: {_DESCRIBE[field.choices](part, show)}"


def _part(catalogue: Catalogue | None, choices: str, name: str) -> Part | None:
    if catalogue is None or choices not in _DESCRIBE:
        return None
    parts: dict[str, Part] = getattr(catalogue, choices)
    return parts.get(name)


def _strip(part: Strip, show: Shower) -> str:
    return _listed(
        show.volts(part.rated_v),
        show.power_per_length(part.power_w_per_m),
        f"LEDs every {show.length(part.pitch_m)}",
        part.colour,
    )


def _pack(part: Pack, show: Shower) -> str:
    volts = part.nominal_v if part.output_v is None else part.output_v
    return _listed(
        part.chemistry if part.form == "cells" else part.form,
        show.volts(volts),
        show.charge(part.capacity_coulomb),
    )


def _converter(part: Converter, show: Shower) -> str:
    outputs = dict.fromkeys(show.volts(volts) for volts in (part.output_min_v, part.output_max_v))
    return _listed(part.kind, f"to {' to '.join(outputs)}", show.amps(part.output_max_a))


def _controller(part: Controller, show: Shower) -> str:
    channels = "1 channel" if part.channels == 1 else f"{part.channels} channels"
    remote = "" if part.remote == "none" else part.remote
    return _listed(part.kind, remote, channels, show.amps(part.max_amps_per_channel))


def _fuse(part: Fuse, show: Shower) -> str:
    return _listed(part.kind, show.amps(part.rating_a), f"up to {show.volts(part.volts_v)}")


def _connector(part: Connector, show: Shower) -> str:
    return _listed(f"{part.poles} poles", show.amps(part.max_amps))


def _sheet(part: Sheet, show: Shower) -> str:
    return _listed(part.material, show.length(part.reference_thickness_m))


def _listed(*words: str) -> str:
    return ", ".join(word for word in words if word)


_DESCRIBE: dict[str, Callable[[Any, Shower], str]] = {
    "strips": _strip,
    "packs": _pack,
    "converters": _converter,
    "controllers": _controller,
    "fuses": _fuse,
    "connectors": _connector,
    "sheets": _sheet,
}


def described_parts(catalogue: Catalogue, choices: str, show: Shower) -> Sequence[tuple[str, str]]:
    """Return every part of a kind that can be described, with its description."""
    parts: dict[str, Part] = getattr(catalogue, choices)
    describe = _DESCRIBE.get(choices)
    return [(name, describe(part, show) if describe else "") for name, part in parts.items()]
